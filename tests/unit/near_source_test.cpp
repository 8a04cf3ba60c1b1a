// SPDX-License-Identifier: Apache-2.0
#include "leanside/advanced/near_source.hpp"

#include <cmath>
#include <numbers>

#include <gtest/gtest.h>

#include "leanside/units.hpp"

namespace {

using namespace leanside;

constexpr double air = 0.0289655, methane = 0.01604, hydrogen = 0.002016;

/// A hole of `diameter` m to a line at `pressure` Pa absolute, 20 degC, ideal gas.
SourceJet jet(double molar_mass, double ratio, double diameter, double pressure) {
  constexpr double ambient = standard_atmosphere, temperature = 293.15;
  SourceJet source;
  source.molar_mass = molar_mass;
  source.air_molar_mass = air;
  source.density = ambient * molar_mass / (gas_constant * temperature);
  source.ambient_density = ambient * air / (gas_constant * temperature);
  source.exit = exit_plane(pressure * molar_mass / (gas_constant * temperature), pressure, ratio, ambient);
  source.diameter = diameter;
  const double area = 0.25 * std::numbers::pi * diameter * diameter;
  source.flow = source.exit->density * source.exit->speed * area / source.density;
  return source;
}

SourceJet plume(double molar_mass, double flow) {
  SourceJet source = jet(molar_mass, 1.4, 1e-3, 2e5);
  source.exit.reset();
  source.diameter = 0.0;
  source.flow = flow;
  return source;
}

TEST(NearSource, MassFractionTurnsBack) {
  for (const double x : {1e-6, 0.04, 0.5, 0.9}) {
    const double y = mass_fraction(x, hydrogen, air);
    const double back = (y / hydrogen) / (y / hydrogen + (1.0 - y) / air);
    EXPECT_NEAR(back, x, 1e-12);
  }
  EXPECT_DOUBLE_EQ(mass_fraction(1.0, methane, air), 1.0);
}

// Mass flow per area is the same by the plane of the hole as by the closed form of discharge.
TEST(NearSource, ExitPlaneCarriesTheFlowOfTheHole) {
  constexpr double k = 1.4, temperature = 300.0, molar_mass = 0.028;
  for (const double ratio : {1.0001, 1.5, 1.89, 1.9, 10.0, 200.0}) {
    const double ambient = 1e5, pressure = ratio * ambient;
    const double density = pressure * molar_mass / (gas_constant * temperature);
    const ExitPlane plane = exit_plane(density, pressure, k, ambient);
    const double critical = std::pow(0.5 * (k + 1.0), k / (k - 1.0));
    const double expected =
        ratio >= critical
            ? pressure * std::sqrt(k * molar_mass / (gas_constant * temperature)) *
                  std::pow(2.0 / (k + 1.0), (k + 1.0) / (2.0 * (k - 1.0)))
            : density * std::pow(1.0 / ratio, 1.0 / k) *
                  std::sqrt(2.0 * k / (k - 1.0) * pressure / density * (1.0 - std::pow(1.0 / ratio, (k - 1.0) / k)));
    EXPECT_NEAR(plane.density * plane.speed, expected, 1e-9 * expected) << ratio;
    EXPECT_GE(plane.pressure, ambient * (1.0 - 1e-12));
  }
  EXPECT_EQ(exit_plane(1.2, 1e5, k, 1e5).speed, 0.0);
}

// A jet of which the momentum is known reaches as far as one from a hole, where nothing is choked.
TEST(NearSource, HoleAndMomentumGiveTheSameJet) {
  const SourceJet source = jet(methane, 1.31, 0.0015, 1.04e5);
  const double mass = source.flow * source.density;
  const double y = mass_fraction(0.044, methane, air);
  const double by_hole = jet_reach(source.exit->density, source.diameter, source.ambient_density, y);
  const double by_momentum = jet_reach_of_momentum(mass, mass * source.exit->speed, source.ambient_density, y);
  EXPECT_NEAR(by_momentum, by_hole, 1e-12);
}

// Integrals of the profiles over radius and length, by midpoints, against the closed forms.
TEST(NearSource, VolumesAreThoseOfTheProfiles) {
  const auto volume = [](double spread, double power) {
    constexpr int steps = 200000;
    double sum = 0.0;  // axis fraction x^-power, at reach 1
    for (int i = 0; i < steps; ++i) {
      const double x = (i + 0.5) / steps;
      sum += std::numbers::pi * x * x / spread * power * std::log(1.0 / x) / steps;
    }
    return sum;
  };
  EXPECT_NEAR(jet_volume(1.0), volume(jet_spread, 1.0), 1e-8);
  EXPECT_NEAR(plume_volume(1.0), volume(plume_spread, 5.0 / 3.0), 1e-8);
  EXPECT_NEAR(jet_volume(2.0), 8.0 * jet_volume(1.0), 1e-15);
}

// The cloud whose mean is half of the limit: its fuel over its volume, by the profiles.
TEST(NearSource, CloudHasHalfTheLimitInTheMean) {
  const double limit = 0.05;
  for (const auto& [source, spread, power] : {std::tuple{jet(methane, 1.31, 0.01, 1.5e5), jet_spread, 1.0},
                                              std::tuple{plume(methane, 0.01), plume_spread, 5.0 / 3.0}}) {
    const auto zone = zone_of(source, limit, 0.0);
    ASSERT_TRUE(zone);
    // Edge fraction of the cloud from its volume, which goes with reach^3 and reach^power with 1/fraction. A jet counts
    // in mass fractions, which are in proportion to mole fractions only where both are small.
    const double reach = zone->reach * std::cbrt(zone->cloud / zone->volume);
    constexpr int steps = 100000;
    double fuel = 0.0, all = 0.0;
    const double edge = limit * std::pow(zone->reach / reach, power);
    for (int i = 0; i < steps; ++i) {
      const double x = reach * (i + 0.5) / steps;
      const double axis = edge * std::pow(reach / x, power);
      fuel += std::numbers::pi * x * x / spread * (axis - edge);
      all += std::numbers::pi * x * x / spread * std::log(axis / edge);
    }
    EXPECT_NEAR(fuel / all, 0.5 * limit, 0.02 * limit);
  }
}

// Mixing with air that has gas in it is linear: at the fresh fraction the mixture is at the limit.
TEST(NearSource, BackgroundGasLengthensTheZone) {
  EXPECT_NEAR(fraction_over_background(0.05, 0.02) * (1.0 - 0.02) + 0.02, 0.05, 1e-15);
  EXPECT_EQ(fraction_over_background(0.05, 0.05), 0.0);
  const SourceJet source = plume(methane, 1e-3);
  double before = 0.0;
  for (const double background : {0.0, 0.01, 0.03, 0.049}) {
    const auto zone = zone_of(source, 0.05, background);
    ASSERT_TRUE(zone);
    EXPECT_GT(zone->reach, before);
    before = zone->reach;
  }
  EXPECT_FALSE(zone_of(source, 0.05, 0.05));
}

// No stronger leak has a smaller zone: over pressure, hole and flow.
TEST(NearSource, StrongerLeaksReachFarther) {
  for (const double molar_mass : {hydrogen, methane, 0.0441}) {
    for (const double diameter : {2e-4, 1e-3, 2e-3, 6e-3, 2e-2}) {
      double before = 0.0;
      for (double over = 1.0; over < 2e7; over *= 1.3) {
        const auto zone = zone_of(jet(molar_mass, 1.3, diameter, standard_atmosphere + over), 0.03, 0.0);
        ASSERT_TRUE(zone);
        EXPECT_GE(zone->reach, before * (1.0 - 1e-12)) << molar_mass << ' ' << diameter << ' ' << over;
        EXPECT_GT(zone->keep_out, zone->reach);
        EXPECT_GT(zone->cloud, zone->volume);
        before = zone->reach;
      }
    }
    double before = 0.0;
    for (double flow = 1e-9; flow < 1.0; flow *= 1.7) {
      const auto zone = zone_of(plume(molar_mass, flow), 0.03, 0.0);
      ASSERT_TRUE(zone);
      EXPECT_GE(zone->reach, before);
      before = zone->reach;
    }
  }
}

TEST(NearSource, GasAsHeavyAsAirHasAZoneToo) {
  const auto zone = zone_of(plume(air, 1e-3), 0.1, 0.0);
  ASSERT_TRUE(zone);
  EXPECT_TRUE(std::isfinite(zone->reach));
}

TEST(NearSource, NothingToIgniteHasNoZone) {
  EXPECT_FALSE(zone_of(plume(methane, 0.0), 0.05, 0.0));
  EXPECT_FALSE(zone_of(plume(methane, 1e-3), 1.0, 0.0));  // the gas itself is below its limit
}

TEST(NearSource, ALaminarLeakBreaksUp) {
  EXPECT_DOUBLE_EQ(laminar_reach(1e-3, 1e-5, 1.5e-5, 0.05), laminar_length);
  const double small = laminar_reach(1e-8, 1e-5, 1.5e-5, 0.05);
  EXPECT_NEAR(small, 4.0 * 1e-8 / (8.0 * std::numbers::pi * 1.5e-5 * 0.05), 1e-12);
}

}  // namespace
