// SPDX-License-Identifier: Apache-2.0
// Purging: cycles and sweeping against each other, targets against the range itself.
#include "leanside/purge.hpp"

#include <cmath>

#include <gtest/gtest.h>

namespace leanside {
namespace {

const Fuel hydrogen{0.04, 0.75, 0.5, 0.046};
const Fuel methane{0.05, 0.15, 2.0, 0.107};
const Fuel propane{0.017, 0.109, 5.0, 0.107};

PurgeQuestion about(const Fuel& fuel) {
  PurgeQuestion question;
  question.fuel = fuel;
  return question;
}

/// Whether the mixture is inside the range anywhere on the way from (x, oxygen) to (x_end, oxygen_end), by plain looks.
bool touches(const Fuel& fuel, double x, double oxygen, double x_end, double oxygen_end) {
  constexpr int looks = 20000;
  for (int k = 0; k <= looks; ++k) {
    const double way = static_cast<double>(k) / looks;
    const double fraction[] = {x + way * (x_end - x)};
    if (range_of({&fuel, 1}, fraction, oxygen + way * (oxygen_end - oxygen)).inside >= 0.0) return true;
  }
  return false;
}

TEST(PurgeTargets, AreTheLastFromWhichTheWayOnMissesTheRange) {
  for (const Fuel& fuel : {hydrogen, methane, propane}) {
    const PurgeTargets targets = purge_targets(fuel);
    ASSERT_GT(targets.oxygen_before_fuel, 0.0);
    EXPECT_FALSE(touches(fuel, 0.0, 0.998 * targets.oxygen_before_fuel, 1.0, 0.0));
    EXPECT_TRUE(touches(fuel, 0.0, 1.002 * targets.oxygen_before_fuel, 1.0, 0.0));
    EXPECT_FALSE(touches(fuel, 0.998 * targets.fuel_before_air, 0.0, 0.0, 0.2095));
    EXPECT_TRUE(touches(fuel, 1.002 * targets.fuel_before_air, 0.0, 0.0, 0.2095));
    EXPECT_GE(targets.oxygen_before_fuel, *fuel.limiting_oxygen) << "fuel that comes in takes oxygen away with it";
    EXPECT_GE(targets.fuel_before_air, fuel.lower) << "air that comes in takes fuel away with it";
  }
}

TEST(PurgeTargets, OfAGasThatNeedsNoAirAreNone) {
  const PurgePlan plan = plan_purge(about({0.023, 1.0, 2.5, std::nullopt}));
  EXPECT_FALSE(plan.into_service.possible);
}

TEST(PurgeTargets, WithoutALimitingOxygenThereIsNoTarget) {
  const PurgePlan plan = plan_purge(about({0.05, 0.15, 2.0, std::nullopt}));
  EXPECT_FALSE(plan.into_service.possible);
}

TEST(Sweep, IsTheInverseOfWhatIsLeft) {
  for (const double in : {0.0, 0.001}) {
    const double n = sweep_volumes(0.2095, 0.02, in);
    EXPECT_NEAR(swept(0.2095, n, in), 0.02, 1e-15);
  }
  EXPECT_EQ(sweep_volumes(0.01, 0.02), 0.0);
}

TEST(Cycles, LeaveTheShareOfThePressureRatio) {
  const double n = purge_cycles(0.2095, 0.01, 4e5, 1e5);
  EXPECT_NEAR(0.2095 * std::pow(0.25, n), 0.01, 1e-15);
  EXPECT_NEAR(cycle_volumes(3.0, 4e5, 1e5, 1e5), 9.0, 1e-12);
}

TEST(Plan, HoldsWhatItPromises) {
  PurgeQuestion question = about(methane);
  question.volume = 0.2;
  question.flow = 0.2 / 60.0;
  question.high = 3e5;
  question.low = 1e4;
  question.oxygen_in_gas = 1e-4;
  const PurgePlan plan = plan_purge(question);
  const PurgeLeg& in = plan.into_service;
  ASSERT_TRUE(in.possible && in.pressure && in.vacuum);
  EXPECT_NEAR(in.to, 0.6 * purge_targets(methane).oxygen_before_fuel, 1e-12);
  EXPECT_NEAR(swept(0.2095, in.sweep, 1e-4), in.to, 1e-12);
  EXPECT_NEAR(*in.sweep_time, 60.0 * in.sweep, 1e-9);
  for (const auto& [cycles, ratio] : {std::pair{*in.pressure, 101325.0 / 3e5}, std::pair{*in.vacuum, 1e4 / 101325.0}}) {
    const auto left = [kept = ratio](double n) { return 1e-4 + (0.2095 - 1e-4) * std::pow(kept, n); };
    EXPECT_LE(left(cycles.cycles), in.to);
    EXPECT_GT(left(cycles.cycles - 1.0), in.to);
  }
}

// Two cycles that are just enough are two, whichever way the last digit falls.
TEST(Plan, CyclesThatComeOutEvenAreNotRoundedUp) {
  PurgeQuestion question = about(methane);
  question.volume = 0.2;
  const double to = plan_purge(question).into_service.to;
  for (const double cycles : {2.0, 3.0, 5.0}) {
    question.high = 101325.0 * std::pow(0.2095 / to, 1.0 / cycles);
    const PurgePlan plan = plan_purge(question);
    ASSERT_TRUE(plan.into_service.pressure);
    EXPECT_NEAR(plan.into_service.pressure->exact, cycles, 1e-12);
    EXPECT_EQ(plan.into_service.pressure->cycles, cycles);
  }
}

}  // namespace
}  // namespace leanside
