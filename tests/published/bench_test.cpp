// SPDX-License-Identifier: Apache-2.0
// Vessels on a bench, compared with published figures.
#include "leanside/advanced/bench.hpp"

#include "leanside/advanced/sources.hpp"
#include "leanside/substance_file.hpp"
#include "published/run.hpp"

namespace {

using namespace published;
using namespace leanside;

/// Q / (D^5 g drho/rho)^(1/2) of an opening of 10 cm, brine over water.
double exchange_number(double length_over_diameter) {
  const double d = 0.1, light = 995.0, heavy = 1005.0;
  const double scale = std::sqrt(standard_gravity * 0.01 * std::pow(d, 5.0));
  return horizontal_exchange(d, length_over_diameter * d, light, heavy) / scale;
}

TEST(BenchExchange, ThroughAHorizontalOpeningIsThatOfEpstein) {
  cite("Exchange through one horizontal opening",
       "M. Epstein, J. Heat Transfer 110 (1988) 885 (abstract read: length over diameter 0.01 to 10, four regimes with "
       "a "
       "peak; figures from memory): 0.055 for an orifice, 0.32 (D/L)^(3/2) for a long tube, errors of 10 %.");
  expect_within(exchange_number(0.01), 0.055, 10.0, "Q/(D^5 g drho/rho)^1/2 of an orifice");
  expect_within(exchange_number(10.0), 0.32 * std::pow(0.1, 1.5), 10.0, "Q/(D^5 g drho/rho)^1/2 at L/D 10");
  EXPECT_GT(exchange_number(0.6), exchange_number(0.1));
  EXPECT_GT(exchange_number(0.6), exchange_number(3.0));
}

TEST(BenchExchange, AFrontComesDownATubeAsABubbleRises) {
  cite("Front in a vertical tube",
       "R. M. Davies and G. I. Taylor, Proc. R. Soc. A 200 (1950) 375: 0.464 (g r)^(1/2), r the radius, of a light "
       "bubble (from memory).");
  // A bubble without weight: the mean density is half of that of the liquid, g' is 2 g.
  expect_within(front_speed(0.1, 1000.0 - 1e-6, 1000.0, 0.33) / std::sqrt(standard_gravity * 1e-9 * 0.1),
                0.464 / std::sqrt(2.0), 1.0, "speed over (g' D)^1/2");
}

TEST(BenchElectrolysis, GivesThePublishedVolumes) {
  cite("Electrolysis of water",
       "R. Chang, Chemistry, example 19.9 (FOSSEE Python Textbook Companions): 1.26 A for 7.44 h give 3.92 L of "
       "hydrogen "
       "and 1.96 L of oxygen at 0 degC and 1 atm.");
  const double litres = 1000.0 * 7.44 * 3600.0 * gas_constant * zero_celsius / standard_atmosphere;
  expect_within(electrolysis_hydrogen(1.26) * litres, 3.92, 0.2, "hydrogen, L");
  expect_within(electrolysis_oxygen(1.26) * litres, 1.96, 0.2, "oxygen, L");
}

TEST(BenchElectrolysis, GivesThePublishedOxygenAtAnAnode) {
  cite("Oxygen at an anode",
       "FOSSEE Scilab Textbook Companions 3876, chapter 7, example 7.3: 20 A for 50 min give 3.48 L at 22.4 L/mol.");
  expect_within(electrolysis_oxygen(20.0) * 50.0 * 60.0 * 22.4, 3.48, 0.2, "oxygen, L");
}

TEST(OverWater, TheVapourPressureIsThePublishedOne) {
  cite("Vapour pressure of water",
       "OpenStax Chemistry, table of vapour pressures: 0, 10, 15, 20, 22, 25, 30 and 40 degC.");
  constexpr double torr = 133.322;
  const std::pair<double, double> table[] = {{0.0, 4.6},   {10.0, 9.2},  {15.0, 12.8}, {20.0, 17.5},
                                             {22.0, 19.8}, {25.0, 23.8}, {30.0, 31.8}, {40.0, 55.3}};
  for (const auto& [celsius, published] : table) {
    expect_near(water_vapour_pressure(zero_celsius + celsius) / torr, published, 0.1, "vapour pressure, torr")
        << " at " << celsius << " degC";
  }
}

TEST(OverWater, MagnesiumGivesThePublishedHydrogen) {
  cite("Hydrogen from magnesium over water",
       "Open course text on gas laws and stoichiometry: 0.150 g of magnesium give 155 cm3 of hydrogen over water at 22 "
       "degC and 100.5 kPa, 2.64 kPa of it water.");
  const Reaction& reaction = *find_reaction("magnesium-hydrochloric-acid");
  const double amount[] = {0.150e-3 / reaction.reagents[0].molar_mass, 1.0};
  const double gas = yield_of(reaction, amount).gas;
  expect_within(1e6 * volume_over_water(gas, zero_celsius + 22.0, 100500.0), 155.0, 0.5, "wet hydrogen, cm3");
}

TEST(OverWater, TheDryGasHasThePublishedPressure) {
  cite("Pressure of a gas over water",
       "OpenStax Chemistry, example of a gas collected over water: 750 torr at 26 degC, 725 torr of it dry gas.");
  constexpr double torr = 133.322;
  expect_near(750.0 - water_vapour_pressure(zero_celsius + 26.0) / torr, 725.0, 0.5, "dry gas, torr");
}

TEST(BenchStoichiometry, MethaneTakesTwoPartsOfOxygenAndHydrogenHalf) {
  cite("Fuel with oxygen", "The balanced equations CH4 + 2 O2 and 2 H2 + O2.");
  const auto demand = [](const char* id) { return built_in_substances().find(id)->oxygen_demand->value; };
  expect_near(demand("methane"), 2.0, 1e-12, "oxygen for methane, mol/mol");
  expect_near(1.0 / demand("hydrogen"), 2.0, 1e-12, "hydrogen for oxygen, mol/mol");
}

}  // namespace
