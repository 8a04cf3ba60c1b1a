// SPDX-License-Identifier: Apache-2.0
/// What single openings and fans carry.
#include "airflow/openings.hpp"

#include <cmath>

#include <gtest/gtest.h>

#include "airflow/pressure.hpp"

namespace leanside {
namespace {

using airflow::CurvePoint;
using airflow::doorway_flow;
using airflow::gap_flow;

TEST(Gap, HasItsRatedFlowAtFourPascals) {
  // q = L sqrt(2 dp/rho) at the reference, whatever the exponent.
  for (const double n : {0.5, 0.65, 1.0}) {
    EXPECT_NEAR(gap_flow(0.01, n, 4.0, 1.2, 1.2).value, 0.01 * std::sqrt(8.0 / 1.2), 1e-15) << n;
    EXPECT_NEAR(gap_flow(0.01, n, 16.0, 1.2, 1.2).value, std::pow(4.0, n) * 0.01 * std::sqrt(8.0 / 1.2), 1e-14) << n;
  }
}

TEST(Gap, TakesTheDensityOfTheSideThatFlows) {
  EXPECT_NEAR(gap_flow(0.01, 0.5, 4.0, 0.3, 1.2).value, -2.0 * gap_flow(0.01, 0.5, -4.0, 0.3, 1.2).value, 1e-15);
}

TEST(Gap, IsOddMonotoneAndSmoothThroughZero) {
  double last = gap_flow(0.01, 0.65, -1.0, 1.2, 1.2).value;
  for (double dp = -1.0; dp <= 1.0; dp += 1e-3) {
    const auto flow = gap_flow(0.01, 0.65, dp, 1.2, 1.2);
    EXPECT_GE(flow.value, last);
    EXPECT_GT(flow.slope, 0.0);
    EXPECT_NEAR(flow.value, -gap_flow(0.01, 0.65, -dp, 1.2, 1.2).value, 1e-16);
    last = flow.value;
  }
  const double join = airflow::smooth_below;
  EXPECT_NEAR(gap_flow(1.0, 0.5, join * (1 - 1e-9), 1.2, 1.2).value,
              gap_flow(1.0, 0.5, join * (1 + 1e-9), 1.2, 1.2).value, 1e-10);
  EXPECT_NEAR(gap_flow(1.0, 0.5, join * (1 - 1e-9), 1.2, 1.2).slope,
              gap_flow(1.0, 0.5, join * (1 + 1e-9), 1.2, 1.2).slope, 1e-3);
}

/// The same by adding up thin slices with the plain square root.
airflow::TwoWayFlow by_slices(double w, double h, double cd, double bottom, double top, double rho_a, double rho_b) {
  airflow::TwoWayFlow sum;
  constexpr int slices = 200000;
  for (int k = 0; k < slices; ++k) {
    const double dp = bottom + (top - bottom) * (k + 0.5) / slices;
    const double q = cd * w * h / slices * std::sqrt(2.0 * std::abs(dp) / (dp > 0.0 ? rho_a : rho_b));
    (dp > 0.0 ? sum.forward : sum.backward).value += q;
  }
  return sum;
}

TEST(Doorway, AgreesWithTheIntegralOverItsHeight) {
  for (const auto& [bottom, top] : {std::pair{-0.4, 0.7}, {0.2, 0.9}, {-0.9, -0.1}, {1.5, -0.2}, {0.3, 0.3 + 1e-9}}) {
    const auto flow = doorway_flow(0.9, 2.0, 0.6, bottom, top, 1.1, 1.25);
    const auto slices = by_slices(0.9, 2.0, 0.6, bottom, top, 1.1, 1.25);
    EXPECT_NEAR(flow.forward.value, slices.forward.value, 1e-5);
    EXPECT_NEAR(flow.backward.value, slices.backward.value, 1e-5);
  }
}

TEST(Doorway, SlopesAreThoseOfDifferences) {
  for (const auto& [bottom, top] : {std::pair{-0.4, 0.7}, {0.2, 0.9}, {-1e-5, 3e-5}, {0.5, 0.5}, {-2e-4, 1e-3}}) {
    const double d = 1e-8;
    const auto flow = doorway_flow(0.9, 2.0, 0.6, bottom, top, 1.1, 1.25);
    const auto more = doorway_flow(0.9, 2.0, 0.6, bottom + d, top + d, 1.1, 1.25);
    const auto less = doorway_flow(0.9, 2.0, 0.6, bottom - d, top - d, 1.1, 1.25);
    const double scale = 1.0 + flow.forward.slope;
    EXPECT_NEAR(flow.forward.slope, (more.forward.value - less.forward.value) / (2 * d), 1e-3 * scale);
    EXPECT_NEAR(flow.backward.slope, (more.backward.value - less.backward.value) / (2 * d), 1e-3 * scale);
  }
}

// At no pressure and equal densities the slope is that of either side, or a lone doorway would look shut.
TEST(Doorway, SlopeIsSmoothThroughNothing) {
  const auto slope = [](double dp) {
    const auto flow = doorway_flow(0.9, 2.0, 0.6, dp, dp, 1.2, 1.2);
    return flow.forward.slope - flow.backward.slope;
  };
  EXPECT_NEAR(slope(0.0) / slope(1e-12), 1.0, 1e-9);
  EXPECT_NEAR(slope(0.0) / slope(-1e-12), 1.0, 1e-9);
}

TEST(Doorway, MirrorImageHasMirroredFlows) {
  const auto flow = doorway_flow(0.9, 2.0, 0.6, -0.4, 0.7, 1.1, 1.25);
  const auto mirrored = doorway_flow(0.9, 2.0, 0.6, 0.4, -0.7, 1.25, 1.1);
  EXPECT_DOUBLE_EQ(flow.forward.value, mirrored.backward.value);
  EXPECT_DOUBLE_EQ(flow.backward.value, mirrored.forward.value);
}

TEST(FanCurve, PassesThroughItsPointsAndNeverRises) {
  const std::vector<CurvePoint> curve{{0.0, 0.11}, {60.0, 0.1}, {90.0, 0.05}, {100.0, 0.0}};
  for (const auto& point : curve) EXPECT_NEAR(airflow::curve_flow(curve, point.pressure).value, point.flow, 1e-15);
  double last = 1.0;
  for (double p = -10.0; p < 110.0; p += 0.01) {
    const auto flow = airflow::curve_flow(curve, p);
    EXPECT_LE(flow.value, last + 1e-15);
    EXPECT_LE(flow.slope, 1e-15);
    last = flow.value;
  }
  EXPECT_EQ(airflow::curve_flow(curve, 200.0).value, 0.0);
  EXPECT_EQ(airflow::curve_flow(curve, -5.0).value, 0.11);
}

// By hand: secants -1/6000, -1/600, -1/200 m3/s/Pa, so slopes -1/3300 at 60 Pa and -1/400 at 90 Pa (harmonic means),
// and halfway the mean of the flows plus an eighth of the width times the difference of the slopes.
TEST(FanCurve, BetweenItsPointsIsTheCubicThatMeetsTheirSlopes) {
  const std::vector<CurvePoint> curve{{0.0, 0.11}, {60.0, 0.1}, {90.0, 0.05}, {100.0, 0.0}};
  const auto halfway = airflow::curve_flow(curve, 75.0);
  EXPECT_NEAR(halfway.value, 0.075 + 30.0 / 8.0 * (1.0 / 400.0 - 1.0 / 3300.0), 1e-15);
  EXPECT_NEAR(halfway.slope, -1.5 / 600.0 + 0.25 * (1.0 / 3300.0 + 1.0 / 400.0), 1e-15);
  EXPECT_NEAR(airflow::curve_flow(curve, 60.0 + 1e-9).slope, -1.0 / 3300.0, 1e-10);
  EXPECT_NEAR(airflow::curve_flow(curve, 90.0 - 1e-9).slope, -1.0 / 400.0, 1e-10);
  for (const double p : {10.0, 42.0, 61.0, 88.0, 97.0}) {
    constexpr double h = 1e-4;
    const double rise = airflow::curve_flow(curve, p + h).value - airflow::curve_flow(curve, p - h).value;
    EXPECT_NEAR(airflow::curve_flow(curve, p).slope, rise / (2.0 * h), 1e-9) << p;
  }
}

}  // namespace
}  // namespace leanside
