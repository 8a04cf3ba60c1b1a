// SPDX-License-Identifier: Apache-2.0
// Openings, stack effect and vents that air by themselves. Each check names its source; "from memory" means that the
// figure is known but was not read again in the source.
#include <cmath>

#include "airflow/openings.hpp"
#include "leanside/airflow.hpp"
#include "leanside/transport.hpp"
#include "published/run.hpp"
#include "support/build_site.hpp"

namespace {

using namespace published;
using leanside::FlowField;
using leanside::Gap;
using leanside::gas_constant;
using leanside::molar_mass_of_air;
using leanside::Site;
using leanside::standard_gravity;
using leanside::airflow::doorway_flow;
using leanside::airflow::gap_flow;
using leanside::testing::SiteBuilder;

constexpr double foot = 0.3048, inch = 0.0254, psi = 6894.757293168;
constexpr double cubic_feet_a_minute = foot * foot * foot / 60.0;

double air_density(double pressure, double temperature, double molar_mass) {
  return pressure * molar_mass / (gas_constant * temperature);
}

FlowField balanced(const Site& site) {
  auto result = leanside::balance_flows(site, leanside::state_at(site, leanside::CaseIndex{0}, 0.0));
  return std::get<FlowField>(std::move(result));
}

TEST(Openings, ColumnOfHeavyGasRunsOut) {
  cite(
      "N. de Nevers, Fluid Mechanics for Chemical Engineers, example 5.5, p. 145 (as reproduced in a public collection "
      "of worked examples): 30 ft of carbon dioxide (44) in air (29) flow out at 25.664 ft/s.");
  const double air = air_density(101325.0, 293.15, 0.029), gas = air_density(101325.0, 293.15, 0.044);
  const double dp = (gas - air) * standard_gravity * 30.0 * foot;
  expect_within(gap_flow(1.0, 0.5, dp, gas, air).value / foot, 25.664, 0.05, "ft/s");
}

TEST(Openings, SmallPressureDrivesAir) {
  cite(
      "N. de Nevers, Fluid Mechanics for Chemical Engineers, example 5.2, p. 141 (same collection as example 5.5): "
      "0.01 psi drive air at 14.71 psia, 528 degR (M 29) at "
      "35.094 ft/s.");
  const double density = air_density(14.71 * psi, 528.0 / 1.8, 0.029);
  expect_within(gap_flow(1.0, 0.5, 0.01 * psi, density, density).value / foot, 35.094, 0.05, "ft/s");
}

TEST(Openings, LeakGoesWithTheRootOfTheMolarMass) {
  cite(
      "N. de Nevers, Fluid Mechanics for Chemical Engineers, example 5.11, p. 155 (same collection): 100 cm3/min of "
      "nitrogen (28) become 264.575 cm3/min of "
      "helium (4).");
  const double nitrogen = gap_flow(1.0, 0.5, 3.0, 0.028, 0.028).value,
               helium = gap_flow(1.0, 0.5, 3.0, 0.004, 0.004).value;
  expect_within(100.0 * helium / nitrogen, 264.575, 0.01, "cm3/min");
}

TEST(Openings, LeakageAreaFromTheFlowAtFiftyPascals) {
  cite(
      "Blower-door practice, effective leakage area (in2) = 0.055 times the flow at 50 Pa (cfm), exponent 0.65, 4 Pa, "
      "C_d 1 (from memory; the definition read on a public page). Two figures printed.");
  const double flow = gap_flow(inch * inch, 0.65, 50.0, 1.2, 1.2).value / cubic_feet_a_minute;  // cfm for 1 in2
  expect_within(1.0 / flow, 0.055, 2.0, "in2/cfm");
}

TEST(Openings, DoorExchangesAirOverTenKelvin) {
  cite(
      "W. G. Brown and K. R. Solvason, Int. J. Heat Mass Transfer 5 (1962) 859, Q = (C_d W/3) sqrt(g' H^3) (from "
      "memory; inputs ours): a door of 0.9 m by 2 m, 10 K about 293 K, C_d 0.65.");
  const double warm = air_density(101325.0, 298.0, molar_mass_of_air),
               cold = air_density(101325.0, 288.0, molar_mass_of_air);
  const double half = 0.5 * (cold - warm) * standard_gravity * 2.0;
  const auto flow = doorway_flow(0.9, 2.0, 0.65, -half, half, warm, cold);
  expect_within(0.5 * (flow.forward.value + flow.backward.value), 0.3191, 0.1, "m3/s each way");
}

TEST(StackEffect, IsFourHundredthsOfAPascalPerMetreAndKelvin) {
  cite(
      "ASHRAE Handbook Fundamentals, ventilation and infiltration, stack pressure rho g H dT/T; 0.04 Pa/(m K) in "
      "practice (from memory). One figure printed.");
  SiteBuilder b;
  const auto stair = b.space("stair", 300.0);
  b.site.spaces[0].temperature = 294.15;
  b.site.conditions.outside_temperature = 293.15;
  const auto low = b.airway("low", Gap{stair, std::nullopt, 0.02, 0.5, 0.0, {}});
  const auto high = b.airway("high", Gap{stair, std::nullopt, 0.02, 0.5, 10.0, {}});
  const auto field = balanced(b.site);
  expect_within((*field.airways[high.value].pressure_difference - *field.airways[low.value].pressure_difference) / 10.0,
                0.04, 2.0, "Pa/(m K)");
}

TEST(StackEffect, EqualOpeningsHaveTheConstantOfTheOldEquation) {
  cite(
      "ASHRAE Handbook Fundamentals (editions to 1993), flow due to thermal forces: Q = 9.4 A sqrt(h dT) in cfm, ft2, "
      "ft and degF for equal openings of effectiveness 65 % (from memory); reference temperature not stated exactly: "
      "540 degR taken.");
  SiteBuilder b;
  const double area = 2.0 * foot * foot, height = 20.0 * foot;
  const auto hall = b.space("hall", 1000.0);
  b.site.conditions.outside_temperature = 535.0 / 1.8;
  b.site.spaces[0].temperature = 545.0 / 1.8;
  const auto low = b.airway("low", Gap{hall, std::nullopt, 0.65 * area, 0.5, 0.0, {}});
  b.airway("high", Gap{hall, std::nullopt, 0.65 * area, 0.5, height, {}});
  const auto field = balanced(b.site);
  const double flow = field.airways[low.value].backward * gas_constant * b.site.conditions.outside_temperature /
                      b.site.conditions.pressure / cubic_feet_a_minute;
  expect_within(flow / (2.0 * std::sqrt(20.0 * 10.0)), 9.4, 2.5, "cfm/(ft2 sqrt(ft degF))");
}

/// Sustained hydrogen fraction of a space with two equal vents, C_d 0.6.
double vented(double leak_l_min, double vent_area, double rise) {
  SiteBuilder b;
  const auto h2 = b.hydrogen();
  const auto store = b.space("garage", 60.0);
  b.airway("low", Gap{store, std::nullopt, 0.6 * vent_area, 0.5, 0.0, {}});
  b.airway("high", Gap{store, std::nullopt, 0.6 * vent_area, 0.5, rise, {}});
  b.steady("leak", store, h2, leak_l_min * 1e-3 / 60.0);
  const auto solved = leanside::solve_sustained(b.site, leanside::CaseIndex{0}, leanside::gas_tracers(b.site));
  return std::get<leanside::SustainedFractions>(solved).fractions(store, 0);
}

TEST(Vents, HydrogenSettlesAsTheTwoVentTheorySays) {
  cite(
      "C. D. Barley and K. Gawlik, Buoyancy-driven ventilation of hydrogen from buildings, Int. J. Hydrogen Energy 34 "
      "(2009) 5592, and P. F. Linden, Annu. Rev. Fluid Mech. 31 (1999) 201: c = [q/(C_d A sqrt(g delta H))]^(2/3) for "
      "two equal vents, dilute (from memory; inputs ours). The closed form takes hydrogen as dilute: 2 %.");
  expect_within(100.0 * vented(5.9, 0.05, 2.0), 0.8381, 2.0, "vol %");
  const double delta = 1.0 - 0.002016 / molar_mass_of_air;
  for (const double leak : {0.1, 1.0, 5.0, 20.0, 80.0}) {  // a sweep over nearly three decades
    const double closed =
        std::pow(leak * 1e-3 / 60.0 / (0.6 * 0.05 * std::sqrt(standard_gravity * delta * 2.0)), 2.0 / 3.0);
    expect_within(100.0 * vented(leak, 0.05, 2.0), 100.0 * closed, leak > 50.0 ? 6.0 : 2.0, "vol %");
  }
}

TEST(Vents, FractionScalesWithLeakAreaAndHeight) {
  const double base = vented(1.0, 0.05, 2.0);
  expect_near(vented(8.0, 0.05, 2.0) / base, 4.0, 0.06);
  expect_near(vented(1.0, 0.4, 2.0) / base, 0.25, 0.004);
  expect_near(vented(1.0, 0.05, 16.0) / base, 0.5, 0.004);
}

}  // namespace
