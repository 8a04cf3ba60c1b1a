// SPDX-License-Identifier: Apache-2.0
// The one table of units. Factors are exact by definition unless said otherwise: SI Brochure, 9th ed. (2019), and NIST
// Special Publication 811 (2008), appendix B (from memory; tests/published/units_test.cpp compares).
#include "leanside/units.hpp"

#include <algorithm>
#include <array>

#include "base/units/unit_words.hpp"

namespace leanside {
namespace {

constexpr double inch = 0.0254;
constexpr double foot = 0.3048;
constexpr double cubic_foot = foot * foot * foot;
constexpr double us_gallon = 231.0 * inch * inch * inch;
constexpr double pound = 0.45359237;
constexpr double pound_force_per_square_inch = pound * standard_gravity / (inch * inch);
constexpr double millimetre_of_mercury = 133.322387415;  // conventional: 13 595.1 kg/m3 times standard gravity
constexpr double millimetre_of_water = 1e-3 * 1000.0 * standard_gravity;  // conventional: 1000 kg/m3
constexpr double minute = 60.0;
constexpr double hour = 3600.0;
constexpr double day = 86400.0;
constexpr double litre = 1e-3;
constexpr double millilitre = 1e-6;
constexpr double fahrenheit_zero = 459.67 * 5.0 / 9.0;  // K
constexpr double calorie = 4.184;                       // J, thermochemical
// mol/m3 of an ideal gas at 1 atm: at 0 degC ("normal") and, as is usual in the USA, at 60 degF ("standard"). Others
// count standard cubic feet at 70 degF, which is 1.9 % less.
constexpr double normal_concentration = standard_atmosphere / (gas_constant * zero_celsius);
constexpr double standard_concentration = standard_atmosphere / (gas_constant * (fahrenheit_zero + 60.0 * 5.0 / 9.0));

using enum Dimension;

constexpr auto table = std::to_array<Unit>({
    {"%", fraction, 1e-2},
    {"ppm", fraction, 1e-6},

    {"m", length, 1.0},
    {"cm", length, 1e-2},
    {"mm", length, 1e-3},
    {"um", length, 1e-6},
    {"in", length, inch},
    {"ft", length, foot},

    {"m2", area, 1.0},
    {"cm2", area, 1e-4},
    {"mm2", area, 1e-6},
    {"ft2", area, foot* foot},
    {"in2", area, inch* inch},

    {"m3", volume, 1.0},
    {"L", volume, litre},
    {"mL", volume, millilitre},
    {"dm3", volume, litre},
    {"cm3", volume, millilitre},
    {"ft3", volume, cubic_foot},
    {"gal", volume, us_gallon},

    {"s", time, 1.0},
    {"min", time, minute},
    {"h", time, hour},
    {"d", time, day},

    {"m/s", velocity, 1.0},
    {"ft/min", velocity, foot / minute},

    {"m3/h", volume_flow, 1.0 / hour},
    {"m3/min", volume_flow, 1.0 / minute},
    {"m3/s", volume_flow, 1.0},
    {"L/s", volume_flow, litre},
    {"L/min", volume_flow, litre / minute},
    {"L/h", volume_flow, litre / hour},
    {"mL/s", volume_flow, millilitre},
    {"mL/min", volume_flow, millilitre / minute},
    {"mL/h", volume_flow, millilitre / hour},
    {"dm3/min", volume_flow, litre / minute},
    {"cm3/min", volume_flow, millilitre / minute},
    {"ft3/min", volume_flow, cubic_foot / minute},
    {"cfm", volume_flow, cubic_foot / minute},
    {"ft3/h", volume_flow, cubic_foot / hour},

    {"/h", per_time, 1.0 / hour},
    {"/min", per_time, 1.0 / minute},
    {"/s", per_time, 1.0},

    {"kg", mass, 1.0},
    {"g", mass, 1e-3},
    {"mg", mass, 1e-6},
    {"lb", mass, pound},

    {"mol", amount, 1.0},
    {"mmol", amount, 1e-3},

    {"kg/s", mass_flow, 1.0},
    {"kg/h", mass_flow, 1.0 / hour},
    {"g/s", mass_flow, 1e-3},
    {"g/min", mass_flow, 1e-3 / minute},
    {"g/h", mass_flow, 1e-3 / hour},
    {"mg/s", mass_flow, 1e-6},
    {"mg/min", mass_flow, 1e-6 / minute},
    {"lb/min", mass_flow, pound / minute},

    {"mol/s", amount_flow, 1.0},
    {"mol/min", amount_flow, 1.0 / minute},
    {"mol/h", amount_flow, 1.0 / hour},
    {"mmol/s", amount_flow, 1e-3},
    {"mmol/min", amount_flow, 1e-3 / minute},
    {"nL/min", amount_flow, 1e-3 * normal_concentration / minute},
    {"nL/h", amount_flow, 1e-3 * normal_concentration / hour},
    {"Nm3/h", amount_flow, normal_concentration / hour},
    {"scfm", amount_flow, standard_concentration* cubic_foot / minute},
    {"scfh", amount_flow, standard_concentration* cubic_foot / hour},

    {"Pa", pressure, 1.0},
    {"hPa", pressure, 1e2},
    {"kPa", pressure, 1e3},
    {"MPa", pressure, 1e6},
    {"bar", pressure, 1e5},
    {"mbar", pressure, 1e2},
    {"atm", pressure, standard_atmosphere},
    {"psi", pressure, pound_force_per_square_inch},
    {"mmHg", pressure, millimetre_of_mercury},
    {"mmH2O", pressure, millimetre_of_water},
    {"cmH2O", pressure, 10.0 * millimetre_of_water},
    {"inH2O", pressure, inch / 1e-3 * millimetre_of_water},
    {"barg", pressure, 1e5, 0.0, true},
    {"mbarg", pressure, 1e2, 0.0, true},
    {"kPag", pressure, 1e3, 0.0, true},
    {"psig", pressure, pound_force_per_square_inch, 0.0, true},

    {"degC", temperature, 1.0, zero_celsius},
    {"degF", temperature, 5.0 / 9.0, fahrenheit_zero},
    {"K", temperature, 1.0},

    {"mol/L", concentration, 1e3},
    {"mol/m3", concentration, 1.0},

    {"g/mol", molar_mass, 1e-3},
    {"kg/mol", molar_mass, 1.0},

    {"kJ/mol", molar_energy, 1e3},
    {"J/mol", molar_energy, 1.0},
    {"kcal/mol", molar_energy, 1e3 * calorie},

    {"Ah", charge, hour},
    {"mAh", charge, 1e-3 * hour},

    {"A", current, 1.0},
    {"mA", current, 1e-3},

    {"W", power, 1.0},
    {"kW", power, 1e3},

    {"m2/s", diffusivity, 1.0},
    {"cm2/s", diffusivity, 1e-4},

    {"N", force, 1.0},
    {"mN", force, 1e-3},
});

}  // namespace

std::span<const Unit> units() { return table; }

const Unit* find_unit(std::string_view symbol) {
  const auto at = std::ranges::find(table, symbol, &Unit::symbol);
  return at == table.end() ? nullptr : &*at;
}

std::string_view name_of(Dimension dimension) {
  switch (dimension) {
    case fraction:
      return "share";
    case length:
      return "length";
    case area:
      return "area";
    case volume:
      return "volume";
    case time:
      return "time";
    case velocity:
      return "speed";
    case volume_flow:
      return "volume flow";
    case per_time:
      return "air change rate";
    case mass:
      return "mass";
    case amount:
      return "amount of substance";
    case mass_flow:
      return "mass flow";
    case amount_flow:
      return "molar flow";
    case pressure:
      return "pressure";
    case temperature:
      return "temperature";
    case concentration:
      return "concentration";
    case molar_mass:
      return "molar mass";
    case molar_energy:
      return "molar energy";
    case charge:
      return "electric charge";
    case current:
      return "electric current";
    case power:
      return "power";
    case diffusivity:
      return "diffusivity";
    case force:
      return "force";
  }
  return {};
}

std::string units_that_fit(Dimension dimension) {
  std::string out;
  for (const auto& unit : table) {
    if (unit.dimension != dimension) continue;
    if (!out.empty()) out += ", ";
    out += unit.symbol;
  }
  return out;
}

}  // namespace leanside
