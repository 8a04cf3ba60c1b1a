// SPDX-License-Identifier: Apache-2.0
// Purging: cycles and sweeping against each other, targets against the range itself and against closed forms.
#include "leanside/purge.hpp"

#include <algorithm>
#include <cmath>

#include <gtest/gtest.h>

namespace leanside {
namespace {

const Fuel hydrogen{0.04, 0.75, 0.5, 0.046};
const Fuel methane{0.05, 0.15, 2.0, 0.107};
const Fuel propane{0.017, 0.109, 5.0, 0.107};

PurgeQuestion about(const VesselGas& fuel) {
  PurgeQuestion question;
  question.gas = fuel;
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

TEST(PurgeTargets, AreTheLargestWhoseWayOnMissesTheRange) {
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

// The corner of the range at the lower limit and the least oxygen decides: the lines through it, solved by hand.
TEST(PurgeTargets, AreTheLinesThroughTheLowestCornerOfTheRange) {
  const double air = oxygen_in_dry_air;
  for (const Fuel& fuel : {hydrogen, methane, propane}) {
    for (const double in : {0.0, 1e-4, 0.01, 0.03}) {
      const PurgeTargets targets = purge_targets(fuel, air, in);
      EXPECT_NEAR(targets.oxygen_before_fuel, *fuel.limiting_oxygen / (1.0 - fuel.lower), 1e-6);
      const double out = fuel.lower * (air - in) / (air - in * fuel.lower - *fuel.limiting_oxygen);
      EXPECT_NEAR(targets.fuel_before_air, out, 1e-6);
    }
  }
}

TEST(PurgeTargets, MissTheRangeOnBothPartsOfTheWayOut) {
  for (const Fuel& fuel : {hydrogen, methane, propane}) {
    const double most = purge_targets(fuel).oxygen_before_fuel;
    for (const double share : {0.0, 0.3, 0.9, 0.998}) {
      const double in = share * most;
      const PurgeTargets targets = purge_targets(fuel, oxygen_in_dry_air, in);
      const double x = 0.998 * targets.fuel_before_air;
      ASSERT_GT(x, 0.0);
      EXPECT_FALSE(touches(fuel, 1.0, 0.0, x, in * (1.0 - x)));
      EXPECT_FALSE(touches(fuel, x, in * (1.0 - x), 0.0, oxygen_in_dry_air));
      const double more = 1.002 * targets.fuel_before_air;
      EXPECT_TRUE(touches(fuel, more, in * (1.0 - more), 0.0, oxygen_in_dry_air));
    }
    EXPECT_TRUE(touches(fuel, 1.0, 0.0, 0.0, 1.002 * most));
    EXPECT_EQ(purge_targets(fuel, oxygen_in_dry_air, 1.002 * most).fuel_before_air, 0.0);
  }
}

TEST(PurgeTargets, DoNotExistForAGasThatNeedsNoAir) {
  const PurgePlan plan = plan_purge(about(Fuel{0.023, 1.0, 2.5, std::nullopt}));
  for (const PurgeLeg* leg : {&plan.into_service, &plan.out_of_service}) {
    EXPECT_FALSE(leg->possible);
    EXPECT_EQ(leg->refusal, PurgeRefusal::decomposes);
  }
  EXPECT_FALSE(plan.oxygen_below);
}

TEST(PurgeTargets, WithoutALimitingOxygenExistOnlyForTheWayOut) {
  PurgeQuestion question = about(Fuel{0.05, 0.15, 2.0, std::nullopt});
  const PurgePlan plan = plan_purge(question);
  EXPECT_FALSE(plan.into_service.possible);
  EXPECT_EQ(plan.into_service.refusal, PurgeRefusal::oxygen_not_known);
  EXPECT_TRUE(plan.out_of_service.possible);
  // Not quite the lower limit: less than a millionth of oxygen counts as none.
  EXPECT_NEAR(plan.out_of_service.limit, 0.05, 1e-6);
  question.oxygen_in_gas = 1e-4;
  EXPECT_EQ(plan_purge(question).out_of_service.refusal, PurgeRefusal::oxygen_not_known);
}

TEST(PurgeTargets, OfAMixtureAreThoseOfItsRange) {
  VesselGas gas;
  gas.fuels = {methane, propane};
  gas.shares = {0.8, 0.1};  // the rest is nitrogen
  const PurgeTargets targets = purge_targets(gas);
  const auto inside = [&](double x, double oxygen) {
    const double fraction[] = {0.8 * x, 0.1 * x};
    return range_of(gas.fuels, fraction, oxygen).inside;
  };
  const auto largest = [&](auto&& at) {
    double most = -1.0;
    for (int k = 0; k <= 20000; ++k) most = std::max(most, at(k / 20000.0));
    return most;
  };
  const auto in = [&](double oxygen) { return largest([&](double w) { return inside(w, oxygen * (1.0 - w)); }); };
  EXPECT_LT(in(0.998 * targets.oxygen_before_fuel), 0.0);
  EXPECT_GE(in(1.002 * targets.oxygen_before_fuel), 0.0);
  const auto out = [&](double x) {
    return largest([&](double w) { return inside(x * (1.0 - w), oxygen_in_dry_air * w); });
  };
  EXPECT_LT(out(0.998 * targets.fuel_before_air), 0.0);
  EXPECT_GE(out(1.002 * targets.fuel_before_air), 0.0);
}

TEST(Rounding, NeverCrossesTheValue) {
  EXPECT_EQ(rounded_down_to(0.02889, 3), 0.0288);
  EXPECT_EQ(rounded_up_to(0.02881, 3), 0.0289);
  EXPECT_EQ(rounded_down_to(0.0288, 3), 0.0288);
  EXPECT_EQ(rounded_up_to(0.0288, 3), 0.0288);
  EXPECT_EQ(rounded_up_to(9.999, 3), 10.0);
  EXPECT_EQ(rounded_down_to(1.0004e5, 4), 1e5);
  for (double value = 1.0; value < 1e4; value *= 1.00137) {
    EXPECT_LE(rounded_down_to(value, 3), value);
    EXPECT_GE(rounded_up_to(value, 3), value);
    EXPECT_GT(rounded_down_to(value, 3), 0.99 * value);
    EXPECT_LT(rounded_up_to(value, 3), 1.01 * value);
  }
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

TEST(Plan, ReachesItsTargets) {
  PurgeQuestion question = about(methane);
  question.volume = 0.2;
  question.flow = 0.2 / 60.0;
  question.high = 3e5;
  question.low = 1e4;
  question.oxygen_in_gas = 1e-4;
  const PurgePlan plan = plan_purge(question);
  const PurgeLeg& in = plan.into_service;
  ASSERT_TRUE(in.possible && in.pressure && in.vacuum);
  EXPECT_EQ(in.to, rounded_down_to(0.6 * purge_targets(methane).oxygen_before_fuel, 3));
  EXPECT_LE(swept(0.2095, in.sweep, 1e-4), in.to);
  EXPECT_GT(swept(0.2095, 0.99 * in.sweep, 1e-4), in.to);
  EXPECT_NEAR(*in.sweep_time, 60.0 * in.sweep, 1e-9);
  const PurgeLeg& out = plan.out_of_service;
  ASSERT_TRUE(out.possible && out.pressure && out.vacuum);
  EXPECT_LE(swept(1.0, out.sweep), out.to);
  for (const auto& [cycles, ratio] : {std::pair{*in.pressure, 101325.0 / 3e5}, std::pair{*in.vacuum, 1e4 / 101325.0}}) {
    const auto left = [kept = ratio](double n) { return 1e-4 + (0.2095 - 1e-4) * std::pow(kept, n); };
    EXPECT_LE(left(cycles.cycles), in.to);
    EXPECT_GT(left(cycles.cycles - 1.0), in.to);
  }
}

// Two cycles that are just enough are two, whichever way the last digit falls.
TEST(Plan, DoesNotRoundUpAWholeNumberOfCycles) {
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

TEST(Plan, RefusesAPurgeGasWithTooMuchOxygenBothWays) {
  for (const auto& [fuel, oxygen] : {std::pair{hydrogen, oxygen_in_dry_air}, {methane, 0.10}, {propane, 0.08}}) {
    PurgeQuestion question = about(fuel);
    question.oxygen_in_gas = oxygen;
    const PurgePlan plan = plan_purge(question);
    for (const PurgeLeg* leg : {&plan.into_service, &plan.out_of_service}) {
      EXPECT_FALSE(leg->possible);
      EXPECT_EQ(leg->refusal, PurgeRefusal::too_much_oxygen);
    }
    // What the refusal offers works, and a little more does not.
    ASSERT_TRUE(plan.oxygen_below);
    question.oxygen_in_gas = 0.999 * *plan.oxygen_below;
    const PurgePlan better = plan_purge(question);
    EXPECT_TRUE(better.into_service.possible && better.out_of_service.possible);
    question.oxygen_in_gas = 1.01 * *plan.oxygen_below;
    const PurgePlan worse = plan_purge(question);
    EXPECT_FALSE(worse.into_service.possible || worse.out_of_service.possible);
  }
}

TEST(Plan, IsNotNeededForAGasThatBurnsInNoMixtureWithAir) {
  VesselGas gas = hydrogen;
  gas.shares = {0.03};  // in nitrogen
  const PurgePlan plan = plan_purge(about(gas));
  EXPECT_FALSE(plan.into_service.needed || plan.out_of_service.needed);
  EXPECT_TRUE(plan.into_service.possible && plan.out_of_service.possible);
}

}  // namespace
}  // namespace leanside
