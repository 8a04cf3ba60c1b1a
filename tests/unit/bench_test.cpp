// SPDX-License-Identifier: Apache-2.0
// Small vessels: exchange, draining, the window of a flame, what a jar collects; by closed forms, limits and other
// methods.
#include "leanside/advanced/bench.hpp"

#include <array>
#include <cmath>
#include <numbers>

#include <gtest/gtest.h>

#include "leanside/advanced/bench_feed.hpp"
#include "leanside/advanced/sources.hpp"
#include "leanside/units.hpp"

namespace leanside {
namespace {

constexpr double pi = std::numbers::pi;
constexpr double air = 1.204;
const BenchGas methane{0.667, air, 2.2e-5}, hydrogen{0.0838, air, 7.58e-5}, propane{1.833, air, 1.1e-5};

BenchVessel tin(double top, double bottom) {
  const double d = 0.1, h = 0.25;
  return {pi / 4.0 * d * d * h, h, d, {{top, h, 0.001, Facing::up}, {bottom, 0.0, 0.001, Facing::down}}, false};
}

BenchVessel jar(Facing mouth) {
  const double d = 0.05, h = 0.2;
  return {pi / 4.0 * d * d * h, h, d, {{d, mouth == Facing::up ? h : 0.0, 0.0, mouth}}, false};
}

TEST(Draining, EmptiesATinWithinOnePercentOfTheIntegratedFlow) {
  for (const BenchGas& gas : {methane, hydrogen}) {
    const BenchVessel vessel = tin(0.008, 0.012);
    const double section = vessel.volume / vessel.height;
    const Drain drain{pi / 4.0 * 0.008 * 0.008, pi / 4.0 * 0.012 * 0.012, 0.6};
    // S dh/dt = -q(h), by small steps of the root of the depth, in which it is linear.
    double time = 0.0;
    constexpr int steps = 20000;
    for (int k = 0; k < steps; ++k) {
      const double high = vessel.height * (steps - k) / steps, low = vessel.height * (steps - k - 1) / steps;
      time += section * (high - low) / draining_flow(drain, 0.5 * (high + low), gas.inside, gas.outside);
    }
    const double closed = emptying_time(vessel.volume, draining_flow(drain, vessel.height, gas.inside, gas.outside));
    EXPECT_NEAR(closed / time, 1.0, 0.01);
    EXPECT_NEAR(unmixed_time(vessel, gas, Bound::usual) / closed, 1.0, 1e-12);
    EXPECT_NEAR(unmixed_level(vessel, gas, 0.5 * closed, Bound::usual), 0.25, 1e-9);
  }
}

TEST(Draining, WithEqualDensitiesInTheResistanceIsThatOfLinden) {
  // q = A* (g' h)^(1/2) with A* = C (2)^(1/2) a_e, a_e = (1/a_t^2 + 1/a_b^2)^(-1/2).
  const double top = 1e-4, bottom = 2e-4, depth = 0.3, g = standard_gravity * 1e-4;
  const double area = 1.0 / std::sqrt(1.0 / (top * top) + 1.0 / (bottom * bottom));
  const double flow = draining_flow({top, bottom, 0.6}, depth, 1.2 * (1.0 - 1e-4), 1.2);
  EXPECT_NEAR(flow / (0.6 * area * std::sqrt(2.0 * g * depth)), 1.0, 1e-3);
}

TEST(Draining, MixedContentFallsAsTheSquareWhereDensitiesHardlyDiffer) {
  BenchGas gas = methane;
  gas.inside = air * (1.0 - 1e-3);
  const BenchVessel vessel = tin(0.008, 0.012);
  const double whole = emptying_time(vessel.volume, air_flow(vessel, gas, 1.0, Bound::usual));
  for (const double share : {0.5, 0.15, 0.05}) {
    const double closed = whole * (1.0 / std::sqrt(share) - 1.0);
    EXPECT_NEAR(mixed_time(vessel, gas, share, Bound::usual) / closed, 1.0, 1e-3);
    const std::array<double, 1> at{closed};
    EXPECT_NEAR(mixed_shares(vessel, gas, at)[0] / share, 1.0, 2e-3);
  }
}

TEST(Draining, OfAHeavyGasIsTheMirrorImage) {
  BenchVessel vessel = tin(0.008, 0.012);
  BenchGas heavy = propane;
  BenchVessel mirrored = vessel;
  for (BenchOpening& hole : mirrored.openings) {
    hole.height = vessel.height - hole.height;
    hole.facing = hole.facing == Facing::up ? Facing::down : Facing::up;
  }
  // The same difference of densities the other way round, the resistance being that of the densities themselves.
  const Drain drain{pi / 4.0 * 0.008 * 0.008, pi / 4.0 * 0.012 * 0.012, 0.6};
  EXPECT_NEAR(
      air_flow(mirrored, heavy, 1.0, Bound::usual) / draining_flow(drain, vessel.height, heavy.inside, heavy.outside),
      1.0, 1e-12);
}

TEST(Draining, LeavesGasAboveTheUpperOpening) {
  BenchVessel vessel = tin(0.008, 0.012);
  vessel.openings[0] = {0.008, 0.2, 0.0, Facing::sideways};
  EXPECT_NEAR(trapped_volume(vessel, methane) / vessel.volume, 0.2, 1e-12);
  EXPECT_NEAR(unmixed_level(vessel, methane, 1e6, Bound::usual), 0.2, 1e-12);
}

TEST(OneOpening, MixedContentFallsAsTheSquareOfATimeConstant) {
  BenchVessel vessel = tin(0.02, 0.012);
  vessel.openings.pop_back();
  ASSERT_EQ(way_in(vessel, methane), WayIn::narrow_mouth);
  BenchGas gas = methane;
  gas.diffusivity = 1e-12;
  gas.inside = air * (1.0 - 1e-3);  // where the mean density stays the same, Q goes with the root of x
  const double scale = 2.0 * vessel.volume / air_flow(vessel, gas, 1.0, Bound::usual);
  for (const double share : {0.5, 0.1}) {
    EXPECT_NEAR(mixed_time(vessel, gas, share, Bound::usual) / (scale * (1.0 / std::sqrt(share) - 1.0)), 1.0, 1e-3);
  }
}

TEST(OneOpening, LosesHydrogenInSecondsUpwardsAndInMinutesDownwards) {
  EXPECT_EQ(way_in(jar(Facing::up), hydrogen), WayIn::wide_mouth);
  EXPECT_EQ(way_in(jar(Facing::down), hydrogen), WayIn::diffusion);
  EXPECT_EQ(way_in(jar(Facing::up), propane), WayIn::diffusion);
  EXPECT_LT(unmixed_time(jar(Facing::up), hydrogen, Bound::slow), 5.0);
  // Half is left after 0.19673 H^2/D: 103.8 s for 0.2 m and 7.58e-5 m2/s.
  EXPECT_NEAR(mixed_time(jar(Facing::down), hydrogen, 0.5, Bound::usual), 103.8, 0.1);
}

TEST(OneOpening, DiffusionAgreesWithSmallSteps) {
  // Explicit differences over a closed tube that is open at its far end.
  constexpr int cells = 100;
  std::array<double, cells> x{};
  x.fill(1.0);
  const double length = 0.2, diffusivity = 7.58e-5, h = length / cells, dt = 0.4 * h * h / diffusivity;
  double time = 0.0;
  while (time < 100.0) {
    auto next = x;
    for (std::size_t i = 0; i < cells; ++i) {
      const double left = i > 0 ? x[i - 1] : x[i], right = i + 1 < cells ? x[i + 1] : -x[i];
      next[i] += 0.4 * (left - 2.0 * x[i] + right);
    }
    x = next;
    time += dt;
  }
  double mean = 0.0;
  for (const double value : x) mean += value / cells;
  EXPECT_NEAR(mean_left_by_diffusion(diffusivity, length, time), mean, 1e-3);
  EXPECT_NEAR(end_left_by_diffusion(diffusivity, length, time), x[0], 1e-3);
}

TEST(FlameWindow, ContainsBothBoundsForManyVessels) {
  int seen = 0;
  for (const BenchGas& gas : {methane, hydrogen, propane}) {
    for (const double top : {0.002, 0.006, 0.02, 0.08}) {
      for (const double bottom : {0.0, 0.003, 0.01, 0.04}) {
        for (const double rich : {0.1, 0.17, 0.77, 0.95}) {
          BenchVessel vessel = tin(top, bottom);
          if (bottom == 0.0) vessel.openings.pop_back();
          const auto window = flame_window(vessel, gas, rich, 0.04);
          ASSERT_TRUE(window);
          ++seen;
          EXPECT_LE(window->from, window->mixed_from);
          EXPECT_LE(window->from, window->unmixed);
          EXPECT_GE(window->at_latest, window->mixed_from);
          EXPECT_GE(window->at_latest, window->unmixed);
          EXPECT_GE(window->until, window->mixed_until);
          EXPECT_GE(window->until, window->at_latest);
          EXPECT_LT(window->mixed_from, window->mixed_until);
        }
      }
    }
  }
  EXPECT_EQ(seen, 3 * 4 * 4 * 4);
}

TEST(FlameWindow, ShrinksToTheExactInstantWhereTheContentIsStirred) {
  BenchVessel vessel = tin(0.008, 0.012);
  vessel.stirred = true;
  BenchGas gas = methane;
  gas.inside = air * (1.0 - 1e-3);
  const auto window = flame_window(vessel, gas, 0.17, 0.05);
  ASSERT_TRUE(window);
  EXPECT_EQ(window->from, window->at_latest);
  const double whole = emptying_time(vessel.volume, air_flow(vessel, gas, 1.0, Bound::usual));
  EXPECT_NEAR(window->from / (whole * (1.0 / std::sqrt(0.17) - 1.0)), 1.0, 1e-3);
  EXPECT_NEAR(window->until / (whole * (1.0 / std::sqrt(0.05) - 1.0)), 1.0, 1e-3);
}

TEST(FlameWindow, IsNoneInAClosedVessel) {
  BenchVessel vessel = tin(0.008, 0.012);
  vessel.openings.clear();
  EXPECT_FALSE(flame_window(vessel, methane, 0.17, 0.05));
  EXPECT_EQ(air_flow(vessel, methane, 1.0, Bound::usual), 0.0);
}

TEST(FlameWindow, AFlowThatKeepsAirOutBalancesWhatGetsIn) {
  const BenchVessel vessel = tin(0.008, 0.012);
  const double flow = flow_that_keeps(vessel, methane, 0.17);
  EXPECT_NEAR(flow * (1.0 - 0.17), air_flow(vessel, methane, 0.17, Bound::quick) * 0.17, 1e-15);
}

TEST(Collecting, SharesAreTheMeanOfTheBuildUp) {
  for (const auto& [from, to] : {std::pair{0.0, 0.5}, std::pair{0.5, 2.0}, std::pair{1.0, 1.01}}) {
    double mean = 0.0;
    constexpr int steps = 10000;
    for (int k = 0; k < steps; ++k) mean += (1.0 - std::exp(-(from + (to - from) * (k + 0.5) / steps))) / steps;
    EXPECT_NEAR(collected_share(from, to), mean, 1e-8);
  }
  EXPECT_NEAR(collected_share(1.5, 1.5), 1.0 - std::exp(-1.5), 1e-12);
}

TEST(Electrolysis, GivesTwoPartsOfHydrogenToOneOfOxygen) {
  for (const double current : {0.1, 2.0, 50.0}) {
    EXPECT_NEAR(electrolysis_hydrogen(current) / electrolysis_oxygen(current), 2.0, 1e-12);
    EXPECT_NEAR(electrolysis_hydrogen(current) * 2.0 * faraday, current, 1e-9);
  }
}

TEST(AgainstOutflow, WithoutOutflowIsWhatGetsInByItself) {
  for (const BenchGas& gas : {methane, hydrogen, propane}) {
    for (const BenchVessel& vessel : {tin(0.008, 0.012), jar(Facing::up), jar(Facing::down)}) {
      for (const Bound bound : {Bound::quick, Bound::usual, Bound::slow}) {
        const double alone = air_flow(vessel, gas, 1.0, bound);
        EXPECT_NEAR(air_against(vessel, gas, 0.0, bound) / alone, 1.0, 1e-12);
        EXPECT_GT(outflow_against_air(vessel, gas, bound), 0.0);
      }
    }
  }
}

TEST(AgainstOutflow, ThroughTwoOpeningsBothPressureDropsTakeUpTheHead) {
  const BenchVessel vessel = tin(0.008, 0.012);
  const double top = 0.6 * pi / 4.0 * 0.008 * 0.008, bottom = 0.6 * pi / 4.0 * 0.012 * 0.012;
  for (const BenchGas& gas : {methane, hydrogen}) {
    const double head = 2.0 * (gas.outside - gas.inside) * standard_gravity * vessel.height;
    const double most = outflow_against_air(vessel, gas, Bound::usual);
    EXPECT_NEAR(gas.inside * most * most / (top * top) / head, 1.0, 1e-12);
    for (const double part : {0.01, 0.5, 0.99}) {
      const double out = part * most, in = air_against(vessel, gas, out, Bound::usual);
      const double taken =
          gas.inside * (in + out) * (in + out) / (top * top) + gas.outside * in * in / (bottom * bottom);
      EXPECT_NEAR(taken / head, 1.0, 1e-9) << part;
    }
    EXPECT_EQ(air_against(vessel, gas, 1.001 * most, Bound::usual), 0.0);
  }
}

TEST(AgainstOutflow, OneOpeningIsKeptByTwoToThreeTimesItsExchange) {
  BenchVessel vessel = tin(0.02, 0.012);
  vessel.openings.pop_back();
  BenchGas gas = methane;
  gas.diffusivity = 1e-12;
  const double exchange = air_flow(vessel, gas, 1.0, Bound::usual);
  EXPECT_NEAR(outflow_against_air(vessel, gas, Bound::usual) / exchange, 2.5, 1e-6);
  EXPECT_NEAR(outflow_against_air(vessel, gas, Bound::quick) / air_flow(vessel, gas, 1.0, Bound::quick), 3.0, 1e-6);
  EXPECT_NEAR(air_against(vessel, gas, 1.25 * exchange, Bound::usual) / exchange, 0.5, 1e-6);
  for (const double times : {0.1, 1.0, 1.9, 2.9}) {
    const double out = times * exchange;
    EXPECT_GE(air_against(vessel, gas, out, Bound::quick), air_against(vessel, gas, out, Bound::usual));
    EXPECT_GE(air_against(vessel, gas, out, Bound::usual), air_against(vessel, gas, out, Bound::slow));
  }
}

TEST(AgainstOutflow, DiffusionFallsWithThePecletNumberAsInATubeThatIsSwept) {
  // Steady diffusion against a flow in a tube, by differences: u c - D dc/dx is the same everywhere, c 1 at the mouth
  // and 0 at the inner end. The share that gets in is Pe/(e^Pe - 1) of the diffusion without the flow.
  BenchVessel vessel = jar(Facing::down);
  const double alone = air_against(vessel, hydrogen, 0.0, Bound::usual);
  for (const double peclet : {0.5, 2.0, 5.0}) {
    constexpr int cells = 20000;
    // Marching from the inner end with a flux of 1: D dc/dx = 1 + u c, so c ends at (e^Pe - 1)/Pe times that of Pe 0.
    double c = 0.0;
    for (int k = 0; k < cells; ++k) {
      const double half = c + 0.5 / cells * (1.0 + peclet * c);
      c += 1.0 / cells * (1.0 + peclet * half);
    }
    EXPECT_NEAR(air_against(vessel, hydrogen, peclet * alone, Bound::usual) / alone, 1.0 / c, 1e-4);
  }
}

}  // namespace
}  // namespace leanside
