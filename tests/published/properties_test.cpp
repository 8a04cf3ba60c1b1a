// SPDX-License-Identifier: Apache-2.0
/// Heats, diffusion and other properties of the built-in substances, compared with published values. Each test cites
/// its source.
#include <cctype>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "leanside/advanced/sources.hpp"
#include "leanside/site.hpp"
#include "leanside/substance.hpp"
#include "leanside/units.hpp"
#include "published/run.hpp"

namespace leanside {
namespace {

using namespace published;

struct Row {
  const char* id;
  double value;
};

/// Hydrogen atoms of a formula such as C2H6O.
int hydrogen_of(const std::string& formula) {
  for (std::size_t i = 0; i < formula.size(); ++i) {
    if (formula[i] != 'H') continue;
    const bool counted = i + 1 < formula.size() && std::isdigit(static_cast<unsigned char>(formula[i + 1])) != 0;
    return counted ? std::stoi(formula.substr(i + 1)) : 1;
  }
  return 0;
}

TEST(HeatOfCombustion, MatchesTheTextbook) {
  cite("Heats of combustion",
       "R. M. Felder and R. W. Rousseau, Elementary Principles of Chemical Processes, table B.1, standard heats of "
       "combustion of gases with liquid water, kJ/mol (from memory); here the net heat of the table plus 44.01 kJ per "
       "mol of water. Tables of enthalpies of formation differ in the last digits; tolerance 0.2 %.");
  for (const auto& [id, value] : std::vector<Row>{{"hydrogen", 285.84},
                                                  {"carbon-monoxide", 282.99},
                                                  {"methane", 890.36},
                                                  {"ethane", 1559.9},
                                                  {"propane", 2220.0},
                                                  {"n-butane", 2878.5},
                                                  {"n-hexane", 4194.8},
                                                  {"ethylene", 1411.0},
                                                  {"propylene", 2058.4},
                                                  {"acetylene", 1299.6},
                                                  {"benzene", 3301.5},
                                                  {"toluene", 3947.9},
                                                  {"methanol", 764.0},
                                                  {"ethanol", 1409.2},
                                                  {"acetone", 1821.4},
                                                  {"ammonia", 382.58},
                                                  {"hydrogen-sulfide", 562.59}}) {
    const double water = 0.5 * hydrogen_of(named(id).formula);
    expect_within(named(id).net_heat->value / 1e3 + 44.01 * water, value, 0.2)
        << "heat of combustion of " << plain(id) << ", kJ/mol";
  }
}

TEST(HeatOfCombustion, PerGramOfOxygenMatchesThePaper) {
  cite("Heat per gram of oxygen",
       "C. Huggett, Fire and Materials 4 (1980) 61, net heat per gram of oxygen consumed, kJ (from memory).");
  for (const auto& [id, value] : std::vector<Row>{
           {"methane", 12.54}, {"ethane", 12.75}, {"n-butane", 12.78}, {"ethylene", 13.78}, {"acetylene", 15.73}}) {
    const double oxygen = named(id).oxygen_demand->value * 31.998;
    expect_within(named(id).net_heat->value / 1e3 / oxygen, value, 0.15)
        << "heat of " << plain(id) << " per gram of oxygen, kJ";
  }
}

TEST(HeatCapacityRatio, MatchesTheTextbook) {
  cite("Ratio of heat capacities",
       "F. M. White, Fluid Mechanics, table A.4, k of gases at 20 degC (from memory), two decimals. Tolerance 0.02, "
       "since it averages several sources. It prints 1.31 for nitrous oxide, 0.035 above the table here.");
  for (const auto& [id, value] : std::vector<Row>{{"hydrogen", 1.41},
                                                  {"helium", 1.66},
                                                  {"argon", 1.67},
                                                  {"air", 1.40},
                                                  {"carbon-dioxide", 1.30},
                                                  {"carbon-monoxide", 1.40},
                                                  {"nitrogen", 1.40},
                                                  {"oxygen", 1.40},
                                                  {"chlorine", 1.34},
                                                  {"methane", 1.32}}) {
    expect_near(named(id).heat_capacity_ratio->value, value, 0.02) << "ratio of heat capacities of " << plain(id);
  }
}

TEST(RelativeDensity, MatchesThePocketGuide) {
  cite("Gases lighter and heavier than air",
       "NIOSH Pocket Guide to Chemical Hazards, 2005-149, relative density of gases, air 1, two decimals (from "
       "memory): the ratio of the molar masses, from which leanside decides whether a gas rises or sinks. Tolerance "
       "0.03, since the guide is for real gases.");
  for (const auto& [id, value] : std::vector<Row>{{"acetylene", 0.91},
                                                  {"ammonia", 0.60},
                                                  {"carbon-dioxide", 1.53},
                                                  {"carbon-monoxide", 0.97},
                                                  {"chlorine", 2.47},
                                                  {"hydrogen-sulfide", 1.19},
                                                  {"propane", 1.55}}) {
    expect_near(named(id).molar_mass.value / molar_mass_of_air, value, 0.03)
        << "density of " << plain(id) << " over that of air";
  }
}

TEST(Diffusivity, AgreesWithMeasurements) {
  cite("Diffusion of gases and vapours in air",
       "E. N. Fuller, P. D. Schettler and J. C. Giddings, Ind. Eng. Chem. 58 (5), 1966, 18, is the method behind the "
       "values in the table. They are compared with measurements, m2/s at 25 degC: hydrogen 7.6e-5, methane 2.2e-5, "
       "ethanol 1.2e-5, acetone 1.1e-5, water 2.5e-5 (CRC handbook, diffusion of gases, from memory, two figures). The "
       "method is accurate to 10 %.");
  for (const auto& [id, measured] : std::vector<Row>{{"hydrogen", 7.6e-5},
                                                     {"methane", 2.2e-5},
                                                     {"ethanol", 1.2e-5},
                                                     {"acetone", 1.1e-5},
                                                     {"water-vapour", 2.5e-5}}) {
    expect_within(named(id).diffusivity_in_air->value, measured, 10)
        << "diffusivity of " << plain(id) << " in air, m2/s";
  }
}

TEST(Diffusivity, MatchesTheSchmidtNumbersOfTheHandbook) {
  cite("Schmidt numbers of vapours in air",
       "Perry's Chemical Engineers' Handbook, diffusion of vapours in air at 25 degC and 1 atm, Schmidt numbers (from "
       "memory). Tolerance 10 %, the accuracy of the method of Fuller, by which the table here is computed. In the "
       "same list ammonia (0.55) and acetic acid (1.16) are 22 and 13 % below it.");
  for (const auto& [id, value] : std::vector<Row>{{"hydrogen", 0.22},
                                                  {"water-vapour", 0.60},
                                                  {"oxygen", 0.75},
                                                  {"carbon-dioxide", 0.94},
                                                  {"methanol", 0.97},
                                                  {"ethanol", 1.30},
                                                  {"carbon-disulfide", 1.45},
                                                  {"1-propanol", 1.55},
                                                  {"diethyl-ether", 1.66},
                                                  {"1-butanol", 1.72},
                                                  {"benzene", 1.76},
                                                  {"toluene", 1.84},
                                                  {"n-octane", 2.58}}) {
    expect_within(schmidt_number(named(id).diffusivity_in_air->value, zero_celsius + 25, standard_atmosphere), value,
                  10)
        << "Schmidt number of " << plain(id);
  }
}

TEST(Idlh, MatchesThePocketGuide) {
  cite("Concentrations immediately dangerous to life or health",
       "NIOSH Pocket Guide to Chemical Hazards, 2005-149, IDLH, ppm (read). The values in the built-in table.");
  for (const auto& [id, value] : std::vector<Row>{{"ammonia", 300},
                                                  {"carbon-monoxide", 1200},
                                                  {"hydrogen-sulfide", 100},
                                                  {"hydrogen-cyanide", 50},
                                                  {"chlorine", 10},
                                                  {"carbon-dioxide", 40000},
                                                  {"acetone", 2500},
                                                  {"methanol", 6000},
                                                  {"toluene", 500},
                                                  {"n-hexane", 1100},
                                                  {"phosphine", 50}}) {
    expect_within(1e6 * named(id).idlh->value, value, 1e-9) << "dangerous concentration of " << plain(id) << ", ppm";
  }
}

}  // namespace
}  // namespace leanside
