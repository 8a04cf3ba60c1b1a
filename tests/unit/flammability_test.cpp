// SPDX-License-Identifier: Apache-2.0
/// Limits and how they change; what a mixture is called.
#include "leanside/advanced/flammability.hpp"

#include <array>
#include <cmath>
#include <limits>

#include <gtest/gtest.h>

namespace leanside {
namespace {

// Invented fuels of the kinds that matter.
constexpr Fuel plain{0.044, 0.17, 2.0, 0.107};  // nose on the stoichiometric line

MixtureRange range_of_one(const Fuel& fuel, double x, double oxygen) {
  return range_of(std::span{&fuel, 1}, std::span{&x, 1}, oxygen);
}

double oxygen_with_air(double fuel) { return oxygen_in_dry_air * (1.0 - fuel); }

TEST(StoichiometricFraction, UsesUpTheOxygenExactly) {
  for (const double demand : {0.5, 1.0, 2.0, 5.0, 12.5}) {
    const double x = stoichiometric_fraction(demand);
    EXPECT_NEAR(demand * x, oxygen_with_air(x), 1e-15);
    const double enriched = stoichiometric_fraction(demand, 0.30);
    EXPECT_NEAR(demand * enriched, 0.30 * (1 - enriched), 1e-15);
    EXPECT_GT(enriched, x);
  }
}

TEST(LimitsAndTemperature, StayAtAndBelow25Degrees) {
  for (const double t : {200.0, 273.15, 298.15}) {
    EXPECT_EQ(lower_limit_at(0.044, 802600.0, t), 0.044);
    EXPECT_EQ(upper_limit_at(0.17, 802600.0, t), 0.17);
    EXPECT_EQ(lower_limit_at(0.044, {}, t), 0.044);
    EXPECT_EQ(upper_limit_at(0.17, {}, t), 0.17);
  }
}

TEST(LimitsAndTemperature, WidenAsTheMixtureWarms) {
  for (const std::optional<double> heat : {std::optional<double>{}, std::optional{241800.0}, std::optional{5.1e6}}) {
    double lower = 0.044, upper = 0.17;
    for (double t = 303.15; t < 600; t += 5) {
      EXPECT_LT(lower_limit_at(0.044, heat, t), lower);
      EXPECT_GT(upper_limit_at(0.17, heat, t), upper);
      lower = lower_limit_at(0.044, heat, t);
      upper = upper_limit_at(0.17, heat, t);
    }
  }
}

TEST(LimitsAndTemperature, MoveSymmetricallyIfTheHeatIsKnown) {
  const double down = 0.044 - lower_limit_at(0.044, 802600.0, 398.15);
  const double up = upper_limit_at(0.17, 802600.0, 398.15) - 0.17;
  EXPECT_NEAR(down, up, 1e-16);
  // 0.75 vol % kcal/(mol K) * 100 K / (802.6/4.184 kcal/mol), by hand: 0.39098 vol %.
  EXPECT_NEAR(down, 0.0039098, 1e-7);
}

TEST(LimitsAndTemperature, NeverLeaveTheirBounds) {
  EXPECT_EQ(lower_limit_at(0.04, 241800.0, 2000.0), 0.0004);
  EXPECT_EQ(lower_limit_at(0.04, {}, 5000.0), 0.0004);
  EXPECT_EQ(upper_limit_at(0.77, 241800.0, 5000.0), 1.0);
  EXPECT_EQ(upper_limit_at(1.0, {}, 350.0), 1.0);
}

TEST(LimitsAndTemperature, UseTheGeneralSlopeWithoutAHeat) {
  EXPECT_EQ(lower_limit_at(0.05, 0.0, 398.15), lower_limit_at(0.05, {}, 398.15));
}

TEST(LeChatelier, OneFuelGivesItsOwnLimit) {
  const double share = 1.0, limit = 0.044;
  EXPECT_DOUBLE_EQ(le_chatelier({&share, 1}, {&limit, 1}), 0.044);
}

TEST(LeChatelier, LiesBetweenTheLimitsInAnyOrder) {
  const std::array share{0.2, 0.5, 0.3}, limit{0.04, 0.017, 0.11};
  const double mixed = le_chatelier(share, limit);
  EXPECT_GT(mixed, 0.017);
  EXPECT_LT(mixed, 0.11);
  const std::array share_turned{0.3, 0.2, 0.5}, limit_turned{0.11, 0.04, 0.017};
  EXPECT_DOUBLE_EQ(le_chatelier(share_turned, limit_turned), mixed);
}

TEST(LimitingOxygenEstimate, EqualsTheOxygenBurntAtTheLowerLimit) {
  EXPECT_DOUBLE_EQ(limiting_oxygen_estimate(0.05, 2.0), 0.1);
}

TEST(State, CountsAThresholdAsReachedAtItsValue) {
  const StateThresholds at;
  const auto state = [&](double lfl_fraction) { return state_of({lfl_fraction, 0.0, lfl_fraction - 1}, at); };
  EXPECT_EQ(state(0.0), MixtureState::clear);
  EXPECT_EQ(state(std::nextafter(0.10, 0.0)), MixtureState::clear);
  EXPECT_EQ(state(0.10), MixtureState::note);
  EXPECT_EQ(state(std::nextafter(0.25, 0.0)), MixtureState::note);
  EXPECT_EQ(state(0.25), MixtureState::margin);
  EXPECT_EQ(state(std::nextafter(1.0, 0.0)), MixtureState::margin);
  EXPECT_EQ(state(1.0), MixtureState::flammable);
}

TEST(State, OfFuelOverItsLowerLimitThatCannotBurnIsRichOrInerted) {
  const StateThresholds at;
  const auto state = [&](double x, double oxygen) { return state_of(range_of_one(plain, x, oxygen), at); };
  EXPECT_EQ(state(0.10, oxygen_with_air(0.10)), MixtureState::flammable);
  EXPECT_EQ(state(0.30, oxygen_with_air(0.30)), MixtureState::rich);
  EXPECT_EQ(state(1.00, 0.0), MixtureState::rich);
  EXPECT_EQ(state(0.10, 0.05), MixtureState::inerted);
  EXPECT_EQ(state(0.10, 0.0), MixtureState::inerted);
}

TEST(State, IsNeverClearForNaN) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  EXPECT_EQ(state_of({nan, nan, nan}, {}), MixtureState::flammable);
}

TEST(State, TakesTheWorseStateIfThresholdsAreSwapped) {
  EXPECT_EQ(state_of({0.3, 0.0, -0.7}, {0.4, 0.25}), MixtureState::margin);
}

TEST(State, EveryStateHasAWord) {
  EXPECT_EQ(word_of(MixtureState::clear), "clear");
  EXPECT_EQ(word_of(MixtureState::note), "note");
  EXPECT_EQ(word_of(MixtureState::margin), "margin");
  EXPECT_EQ(word_of(MixtureState::flammable), "flammable");
  EXPECT_EQ(word_of(MixtureState::rich), "rich");
  EXPECT_EQ(word_of(MixtureState::inerted), "inerted");
}

}  // namespace
}  // namespace leanside
