// SPDX-License-Identifier: Apache-2.0
// Every accepted unit, compared with published conversion factors to the printed digits.
//
// Sources, all values from memory:
//   [SP811] NIST Special Publication 811, 2008 edition, appendix B.8, factors for units listed alphabetically.
//   [SI] SI Brochure, 9th edition (2019): table 7 (prefixes), table 8 (units accepted for use with the SI).
#include "leanside/units.hpp"

#include <cmath>
#include <map>
#include <string_view>

#include <gtest/gtest.h>

#include "published/record.hpp"

namespace leanside {
namespace {

using namespace published;

struct Published {
  double si;         ///< of 1 unit, in the SI unit of its dimension
  double tolerance;  ///< relative: half of the last printed digit, or exact
};
constexpr double exact = 1e-15;
constexpr double seven = 5e-7;  // printed to seven digits

using Table = std::map<std::string_view, Published>;

const Table& customary() {
  static const Table table{
      // [SP811] B.8
      {"in", {2.54e-2, exact}},
      {"ft", {3.048e-1, exact}},
      {"ft2", {9.290304e-2, exact}},
      {"in2", {6.4516e-4, exact}},
      {"ft3", {2.831685e-2, seven}},
      {"gal", {3.785412e-3, seven}},
      {"ft/min", {5.08e-3, exact}},
      {"ft3/min", {4.719474e-4, seven}},
      {"cfm", {4.719474e-4, seven}},
      {"ft3/h", {2.831685e-2 / 3600, seven}},  // cubic foot over hour
      {"lb", {4.535924e-1, seven}},
      {"lb/min", {7.559873e-3, seven}},
      {"atm", {1.01325e5, exact}},
      {"bar", {1e5, exact}},
      {"mbar", {1e2, exact}},
      {"psi", {6.894757e3, seven}},
      {"mmHg", {1.333224e2, seven}},  // "conventional"
      {"mmH2O", {9.80665, exact}},    // likewise
      {"cmH2O", {9.80665e1, exact}},
      {"inH2O", {2.490889e2, seven}},
      {"kcal/mol", {4.184e3, exact}},  // thermochemical
      {"Ah", {3.6e3, exact}},
      // gauge forms of the same
      {"barg", {1e5, exact}},
      {"mbarg", {1e2, exact}},
      {"psig", {6.894757e3, seven}},
      {"kPag", {1e3, exact}},
      {"degF", {5.0 / 9, exact}},  // the size of the degree; zeros are checked below
  };
  return table;
}

/// Time, fractions, lengths, areas, volumes and volume flows.
const Table& metric_geometry() {
  static const Table table{
      // [SI] table 8
      {"min", {60, exact}},
      {"h", {3600, exact}},
      {"d", {86400, exact}},
      {"L", {1e-3, exact}},
      // [SI] base and derived units, with prefixes of table 7
      {"%", {1e-2, exact}},
      {"ppm", {1e-6, exact}},
      {"m", {1, exact}},
      {"cm", {1e-2, exact}},
      {"mm", {1e-3, exact}},
      {"um", {1e-6, exact}},
      {"m2", {1, exact}},
      {"cm2", {1e-4, exact}},
      {"mm2", {1e-6, exact}},
      {"m3", {1, exact}},
      {"mL", {1e-6, exact}},
      {"dm3", {1e-3, exact}},
      {"cm3", {1e-6, exact}},
      {"s", {1, exact}},
      {"m/s", {1, exact}},
      {"m3/h", {1.0 / 3600, exact}},
      {"m3/min", {1.0 / 60, exact}},
      {"m3/s", {1, exact}},
      {"L/s", {1e-3, exact}},
      {"L/min", {1e-3 / 60, exact}},
      {"L/h", {1e-3 / 3600, exact}},
      {"mL/s", {1e-6, exact}},
      {"mL/min", {1e-6 / 60, exact}},
      {"mL/h", {1e-6 / 3600, exact}},
      {"dm3/min", {1e-3 / 60, exact}},
      {"cm3/min", {1e-6 / 60, exact}},
      {"/h", {1.0 / 3600, exact}},
      {"/min", {1.0 / 60, exact}},
      {"/s", {1, exact}},
  };
  return table;
}

/// Amounts and their rates, pressure, temperature, electrical and other derived units.
const Table& metric_amounts() {
  static const Table table{
      {"kg", {1, exact}},
      {"g", {1e-3, exact}},
      {"mg", {1e-6, exact}},
      {"mol", {1, exact}},
      {"mmol", {1e-3, exact}},
      {"kg/s", {1, exact}},
      {"kg/h", {1.0 / 3600, exact}},
      {"g/s", {1e-3, exact}},
      {"g/min", {1e-3 / 60, exact}},
      {"g/h", {1e-3 / 3600, exact}},
      {"mg/s", {1e-6, exact}},
      {"mg/min", {1e-6 / 60, exact}},
      {"mol/s", {1, exact}},
      {"mol/min", {1.0 / 60, exact}},
      {"mol/h", {1.0 / 3600, exact}},
      // Normal litres: an ideal gas at 273.15 K and 101.325 kPa takes 22.413 969 54 L/mol (CODATA 2018, from memory).
      {"nL/min", {1.0 / 22.41396954 / 60, 1e-9}},
      {"nL/h", {1.0 / 22.41396954 / 3600, 1e-9}},
      {"Nm3/h", {1e3 / 22.41396954 / 3600, 1e-9}},
      // Standard cubic feet: 379.48 to the pound-mole at 60 degF and 14.696 psia (gas handbooks, from memory).
      {"scfm", {453.59237 / 379.48 / 60, 1.4e-5}},
      {"scfh", {453.59237 / 379.48 / 3600, 1.4e-5}},
      {"mmol/s", {1e-3, exact}},
      {"mmol/min", {1e-3 / 60, exact}},
      {"Pa", {1, exact}},
      {"hPa", {1e2, exact}},
      {"kPa", {1e3, exact}},
      {"MPa", {1e6, exact}},
      {"K", {1, exact}},
      {"mol/L", {1e3, exact}},
      {"mol/m3", {1, exact}},
      {"g/mol", {1e-3, exact}},
      {"kg/mol", {1, exact}},
      {"kJ/mol", {1e3, exact}},
      {"J/mol", {1, exact}},
      {"mAh", {3.6, exact}},
      {"A", {1, exact}},
      {"mA", {1e-3, exact}},
      {"W", {1, exact}},
      {"kW", {1e3, exact}},
      {"m2/s", {1, exact}},
      {"cm2/s", {1e-4, exact}},
      {"N", {1, exact}},
      {"mN", {1e-3, exact}},
      {"degC", {1, exact}},  // [SI] section 5.4.1: the size of the degree
  };
  return table;
}

const Table& metric() {
  static const Table table = [] {
    Table all = metric_geometry();
    all.insert(metric_amounts().begin(), metric_amounts().end());
    return all;
  }();
  return table;
}

void expect_factors(const Table& table) {
  for (const auto& unit : units()) {
    const auto at = table.find(unit.symbol);
    if (at == table.end()) continue;
    expect_within(unit.factor, at->second.si, 100.0 * at->second.tolerance)
        << "SI value of 1 " << unit.symbol << " (" << name_of(unit.dimension) << ")";
  }
}

TEST(PublishedUnits, CustomaryUnitsHaveTheirPublishedFactors) {
  cite("Customary units",
       "NIST Special Publication 811, 2008 edition, appendix B.8 (from memory): exact, or seven digits.");
  expect_factors(customary());
}

TEST(PublishedUnits, MetricUnitsHaveTheirPublishedFactors) { expect_factors(metric()); }

TEST(PublishedUnits, EveryUnitIsComparedOnce) {
  for (const auto& unit : units()) {
    EXPECT_EQ(customary().count(unit.symbol) + metric().count(unit.symbol), 1u) << unit.symbol;
  }
  EXPECT_EQ(units().size(), customary().size() + metric().size()) << "a published unit is no longer accepted";
}

TEST(PublishedUnits, TemperatureScalesHaveTheirPublishedZeros) {
  // [SP811] B.8: T/K = t/degC + 273.15; T/K = (t/degF + 459.67)/1.8
  for (const auto& unit : units()) {
    const double zero = unit.symbol == "degC" ? 273.15 : unit.symbol == "degF" ? 459.67 / 1.8 : 0.0;
    expect_near(unit.offset, zero, 1e-12) << unit.symbol;
  }
}

TEST(PublishedUnits, CommonConversionsMatchTheDefinitions) {
  cite("Common conversions",
       "Exact by definition of the units (NIST Special Publication 811, B.6 and B.8, from memory): a US gallon is 231 "
       "cubic inches, 98.6 degF is 37 degC, -40 degF is -40 degC; 760 mmHg and 14.69595 psi are one atmosphere to "
       "seven digits.");
  const auto si = [](std::string_view text) { return std::get<Quantity>(parse_quantity(text)).si; };
  expect_near(si("1 gal") / std::pow(si("1 in"), 3), 231.0, 1e-12, "cubic inches in a gallon");
  expect_near(si("98.6 degF"), 310.15, 1e-12, "98.6 degF, K");
  expect_near(si("-40 degF"), 233.15, 1e-12, "-40 degF, K");
  expect_near(si("760 mmHg"), 101325.0, 2e-7 * 101325.0,
              "760 mmHg, Pa");  // the conventional mmHg differs slightly from the torr
  expect_near(si("14.69595 psi"), 101325.0, 3.5e-7 * 101325.0, "14.69595 psi, Pa");
}

}  // namespace
}  // namespace leanside
