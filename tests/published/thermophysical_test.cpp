// SPDX-License-Identifier: Apache-2.0
/// What the equations of the substance table give, compared with values from other sources (read/thermo.csv).
#include <algorithm>
#include <cmath>
#include <fstream>
#include <limits>
#include <span>
#include <sstream>
#include <string>
#include <vector>

#include "published/run.hpp"
#include "support/paths.hpp"

namespace {

using namespace leanside;
using namespace published;

/// A line of read/thermo.csv; NaN where the source gives nothing.
struct Row {
  std::string id;
  double boiling, triple_pressure, heat_boiling, heat_25, rackett;
};

std::vector<Row> rows() {
  std::ifstream in{leanside::testing::source_path("tests/published/read/thermo.csv")};
  std::vector<Row> out;
  for (std::string line; std::getline(in, line);) {
    if (line.starts_with('#') || line.starts_with("id,")) continue;
    std::istringstream fields{line};
    Row row;
    std::getline(fields, row.id, ',');
    for (double* value : {&row.boiling, &row.triple_pressure, &row.heat_boiling, &row.heat_25, &row.rackett}) {
      std::string field;
      std::getline(fields, field, ',');
      *value = field.empty() ? std::numeric_limits<double>::quiet_NaN() : std::stod(field);
    }
    out.push_back(row);
  }
  EXPECT_EQ(out.size(), 78u);
  return out;
}

/// Runs `compare` for each row with a substance, and expects it to have compared `count` of them.
template <class Compare>
void for_each_row(int count, const Compare& compare) {
  int compared = 0;
  for (const Row& row : rows()) compared += compare(row, named(row.id)) ? 1 : 0;
  EXPECT_EQ(compared, count);
}

TEST(Thermophysical, BoilingPointsAreThoseOfTheReferenceEquations) {
  cite("Boiling points of the reference equations of state",
       "Reference Helmholtz equations of state, in the fluid files of CoolProp (read), against the equations of vapour "
       "pressure of Perry's Chemical Engineers' Handbook, 8th ed. Tolerance 0.35 K, which is 1 to 1.5 % of the "
       "pressure: the handbook's equations are correlations of older measurements.");
  for_each_row(42, [](const Row& row, const Substance& substance) {
    const auto found = boiling_temperature(substance, standard_atmosphere);
    if (std::isnan(row.boiling) || !found) return false;
    expect_near(*found, row.boiling, 0.35) << "boiling point of " << plain(row.id) << ", K";
    return true;
  });
}

TEST(Thermophysical, PressuresAtTheTriplePointAreThoseOfTheReferenceEquations) {
  cite("Pressure at the triple point",
       "Reference Helmholtz equations of state, in the fluid files of CoolProp (read): those over 1 kPa, against the "
       "equations of Perry's handbook. Tolerance 2 %. Below 1 kPa the equations of the handbook are up to 44 % off "
       "(isobutane, 0.02 Pa); no gas is that cold here.");
  for_each_row(12, [](const Row& row, const Substance& substance) {
    if (std::isnan(row.triple_pressure) || row.triple_pressure < 1e3 || !substance.triple_point) return false;
    const auto found = vapour_pressure(substance, substance.triple_point->value);
    if (!found) return false;
    expect_within(*found / 1e3, row.triple_pressure / 1e3, 2.0) << "triple point of " << plain(row.id) << ", kPa";
    return true;
  });
}

TEST(Thermophysical, HeatsOfVaporisationAtTheBoilingPointAreThoseOfTheHandbook) {
  cite("Heat of vaporisation at the boiling point",
       "CRC Handbook of Chemistry and Physics, 95th ed., 2014, enthalpy of vaporisation (read in data files), against "
       "the equations of Perry's handbook, table 2-150. Tolerance 2 %, the accuracy of such measurements in two "
       "collections.");
  for_each_row(68, [](const Row& row, const Substance& substance) {
    if (std::isnan(row.heat_boiling) || !substance.boiling_point) return false;
    const auto found = heat_of_vaporisation(substance, substance.boiling_point->value);
    if (!found) return false;
    expect_within(*found / 1e3, row.heat_boiling / 1e3, 2.0) << "boiling " << plain(row.id) << ", kJ/mol";
    return true;
  });
}

TEST(Thermophysical, HeatsOfVaporisationAt25DegreesAreThoseOfTheHandbook) {
  cite("Heat of vaporisation at 25 degC",
       "CRC Handbook of Chemistry and Physics, 95th ed., 2014, enthalpy of vaporisation (read in data files), against "
       "the equations of Perry's handbook, table 2-150. Tolerance 2 %, for 1-butanol 2.5 %.");
  for_each_row(55, [](const Row& row, const Substance& substance) {
    const auto found = heat_of_vaporisation(substance, zero_celsius + 25.0);
    if (std::isnan(row.heat_25) || !found) return false;
    expect_within(*found / 1e3, row.heat_25 / 1e3, row.id == "1-butanol" ? 2.5 : 2.0)
        << plain(row.id) << " at 25 degC, kJ/mol";
    return true;
  });
}

TEST(Thermophysical, DensitiesOfBoilingLiquidsAreThoseOfRackett) {
  cite("Density of the boiling liquid by Rackett's equation",
       "C. F. Spencer and R. P. Danner, J. Chem. Eng. Data 17 (1972) 236 (equation from memory): R T_c/p_c "
       "Z_RA^(1 + (1 - T/T_c)^(2/7)) mol, with published Z_RA (read), against the equations of Perry's handbook, table "
       "2-32. Tolerance 3.5 %: the method is good to 1 to 3 %.");
  for_each_row(38, [](const Row& row, const Substance& substance) {
    if (std::isnan(row.rackett) || !substance.boiling_point || !substance.critical_temperature) return false;
    const double temperature = substance.boiling_point->value;
    const auto found = liquid_density(substance, temperature);
    if (!found) return false;
    const double critical = substance.critical_temperature->value;
    const double volume = gas_constant * critical / substance.critical_pressure->value *
                          std::pow(row.rackett, 1.0 + std::pow(1.0 - temperature / critical, 2.0 / 7.0));
    expect_within(*found, substance.molar_mass.value / volume, 3.5) << "boiling " << plain(row.id) << ", kg/m3";
    return true;
  });
}

TEST(Thermophysical, VapourPressuresHaveThePublishedAcentricFactors) {
  cite("Acentric factor from the vapour pressure",
       "K. S. Pitzer and others, J. Am. Chem. Soc. 77 (1955) 3433 (definition from memory): -log10(p/p_c) - 1 at 0.7 "
       "T_c. The factors are those of reference equations and handbooks (docs/sources.md), the pressures those of "
       "Perry's handbook. Tolerance 0.01, which is 2.3 % of the pressure. Acetaldehyde differs by 0.034, "
       "acrylonitrile by 0.016 and 2-propanol by 0.015; which source is right is not known.");
  int compared = 0;
  for (const Substance& substance : built_in_substances().substances()) {
    if (!substance.acentric_factor || substance.acentric_factor->source == "acentric-from-boiling-point") continue;
    const auto pressure = vapour_pressure(substance, 0.7 * substance.critical_temperature->value);
    if (!pressure) continue;
    const bool open = substance.id == "acetaldehyde" || substance.id == "acrylonitrile" || substance.id == "2-propanol";
    expect_near(-std::log10(*pressure / substance.critical_pressure->value) - 1.0, substance.acentric_factor->value,
                open ? 0.035 : 0.01)
        << "acentric factor of " << plain(substance.id);
    ++compared;
  }
  EXPECT_EQ(compared, 75);
}

TEST(Thermophysical, RatiosOfHeatCapacitiesFollowFromOtherHeatCapacities) {
  cite("Ratio of heat capacities from the polynomials of another source",
       "Heat capacity of the gas at 300 K from Poling and others, The Properties of Gases and Liquids, 5th ed., TRC "
       "tables, ChemSep or the NIST WebBook (read in data files): C_p/(C_p - R), against the table's ratio at 25 degC, "
       "which for most substances is from the CRC Handbook. Tolerance 0.6 %.");
  int compared = 0;
  for (const Substance& substance : built_in_substances().substances()) {
    if (!substance.gas_heat || !substance.heat_capacity_ratio) continue;
    const std::string& ratio = substance.heat_capacity_ratio->source;
    const std::string& heat = substance.gas_heat->source;
    if (ratio.ends_with(heat)) continue;  // from the same source
    const double from_heat = substance.gas_heat->value / (substance.gas_heat->value - gas_constant);
    expect_within(substance.heat_capacity_ratio->value, from_heat, 0.6) << "C_p/C_v of " << plain(substance.id);
    ++compared;
  }
  EXPECT_GT(compared, 40);
}

TEST(Thermophysical, VapourPressuresEndAtTheCriticalPressure) {
  cite("Vapour pressure at the critical temperature",
       "Critical temperature and pressure of reference equations and handbooks (docs/sources.md, most of them read), "
       "against the equations of vapour pressure of Perry's handbook. Tolerance 5 %: critical pressures of collections "
       "differ by 1 to 4 %, their temperatures by tenths of a kelvin. Acetaldehyde and vinyl chloride differ by 7 to 9 "
       "%; "
       "which source is right is not known. No gas is that hot here.");
  int compared = 0;
  for (const Substance& substance : built_in_substances().substances()) {
    if (!substance.critical_temperature || !substance.critical_pressure || !substance.vapour_pressure) continue;
    // The critical temperatures of the two sources may differ by some tenths of a kelvin.
    const double end = std::min(substance.critical_temperature->value, substance.vapour_pressure->t_max);
    const auto found = vapour_pressure(substance, end);
    if (!found) continue;
    const double published = substance.critical_pressure->value;
    const bool open = substance.id == "acetaldehyde" || substance.id == "vinyl-chloride";
    expect_within(*found / 1e5, published / 1e5, open ? 10.0 : 5.0)
        << "critical pressure of " << plain(substance.id) << ", bar";
    ++compared;
  }
  EXPECT_GT(compared, 60);
}

TEST(Thermophysical, SlopesOfVapourPressureGiveTheHeatsOfVaporisation) {
  cite(
      "Heat of vaporisation from the slope of the vapour pressure",
      "CRC Handbook of Chemistry and Physics, 95th ed., 2014, enthalpy of vaporisation at the boiling point (read in "
      "data files), against Clapeyron's equation, T dp/dT (v_gas - v_liquid), with leanside's vapour pressure, density "
      "of the liquid and compressibility of the vapour. Tolerance 5 %: 2 % for the measurement, 1 % for the slope, 2 % "
      "for the vapour. "
      "Acetonitrile differs by 6 %: its molecules attract each other more than the method for compressibility knows. "
      "Acetic acid is left out: half of its vapour consists of pairs.");
  int compared = 0;
  for (const Row& row : rows()) {
    const Substance& substance = named(row.id);
    if (std::isnan(row.heat_boiling) || !substance.boiling_point || !substance.critical_temperature) continue;
    if (row.id == "acetic-acid") continue;
    const double temperature = substance.boiling_point->value;
    const auto above = vapour_pressure(substance, temperature + 0.5);
    const auto below = vapour_pressure(substance, temperature - 0.5);
    const auto density = liquid_density(substance, temperature);
    const GasPart part{&substance, 1.0};
    const auto z = compressibility(std::span{&part, 1}, temperature, standard_atmosphere);
    if (!above || !below || !density || !z) continue;
    const double gas = *z * gas_constant * temperature / standard_atmosphere;
    const double heat = temperature * (*above - *below) * (gas - substance.molar_mass.value / *density);
    expect_within(heat / 1e3, row.heat_boiling / 1e3, row.id == "acetonitrile" ? 8.0 : 5.0)
        << "boiling " << plain(row.id) << ", kJ/mol";
    ++compared;
  }
  EXPECT_GT(compared, 40);
}

}  // namespace
