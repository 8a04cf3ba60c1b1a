// SPDX-License-Identifier: Apache-2.0
/// Limits, range and state of mixtures: what must hold of them whatever the fuel. Figures that are published are
/// compared in tests/published.
#include "leanside/advanced/flammability.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <limits>
#include <random>
#include <vector>

#include <gtest/gtest.h>

namespace leanside {
namespace {

// Invented fuels of the kinds that matter.
constexpr Fuel plain{0.044, 0.17, 2.0, 0.107};              // nose on the stoichiometric line
constexpr Fuel heavy{0.017, 0.109, 5.0, 0.105};             // the same, lower limits
constexpr Fuel wide{0.04, 0.77, 0.5, 0.046};                // nose far right of the lower limit
constexpr Fuel nose_at_lower_line{0.062, 0.16, 2.5, 0.11};  // LOC / nu = 0.044 lies left of the lower limit
constexpr Fuel no_oxygen_value{0.01, 0.08, 9.0, std::nullopt};
constexpr Fuel no_demand{0.012, 0.076, 0.0, 0.10};
constexpr Fuel hot{0.03, 0.80, 0.5, 0.046};     // LOC above the oxygen at the upper limit in air, 0.0419
constexpr Fuel strange{0.02, 0.05, 1.0, 0.15};  // LOC / nu = 0.15 lies beyond the upper limit
constexpr Fuel decomposing{0.023, 1.0, 2.5, std::nullopt};

const std::vector<Fuel> all_kinds{plain, heavy, wide, nose_at_lower_line, no_oxygen_value, no_demand, hot, strange};

MixtureRange range_of_one(const Fuel& fuel, double x, double oxygen) {
  return range_of(std::span{&fuel, 1}, std::span{&x, 1}, oxygen);
}

bool burns(const Fuel& fuel, double x, double oxygen) { return range_of_one(fuel, x, oxygen).inside >= 0; }

double oxygen_with_air(double fuel) { return oxygen_in_dry_air * (1.0 - fuel); }

// ---- limits ----

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
    EXPECT_EQ(upper_limit_at(0.17, 0.044, 802600.0, t), 0.17);
    EXPECT_EQ(lower_limit_at(0.044, {}, t), 0.044);
    EXPECT_EQ(upper_limit_at(0.17, 0.044, {}, t), 0.17);
  }
}

TEST(LimitsAndTemperature, WidenAsTheMixtureWarms) {
  for (const std::optional<double> heat : {std::optional<double>{}, std::optional{241800.0}, std::optional{5.1e6}}) {
    double lower = 0.044, upper = 0.17;
    for (double t = 303.15; t < 600; t += 5) {
      EXPECT_LT(lower_limit_at(0.044, heat, t), lower);
      EXPECT_GT(upper_limit_at(0.17, 0.044, heat, t), upper);
      lower = lower_limit_at(0.044, heat, t);
      upper = upper_limit_at(0.17, 0.044, heat, t);
    }
  }
}

TEST(LimitsAndTemperature, TakeTheSteepestOfTheLawsButNotBeyondHydrogen) {
  // Methane: 0.75 vol % kcal/(mol K) over 802.6/4.184 kcal/mol, 0.0039098 for 100 K, is flatter than 100/875 of 0.044.
  EXPECT_NEAR(lower_limit_at(0.044, 802600.0, 398.15), 0.044 * (1.0 - 100.0 / 875.0), 1e-12);
  // Hydrogen sulfide, 518 kJ/mol: 0.75 / 123.8 kcal/mol = 0.606 vol % for 100 K, steeper than 100/875 of 4 %.
  EXPECT_NEAR(lower_limit_at(0.04, 518000.0, 398.15), 0.04 - 0.0060579, 1e-6);
  EXPECT_NEAR(lower_limit_at(0.04, 241800.0, 398.15), 0.04 * (1.0 - 0.163), 1e-12);
}

TEST(LimitsAndTemperature, KeepTheProductOfTheTwoWhereThatLeavesAir) {
  const double lower = lower_limit_at(0.044, {}, 398.15);
  EXPECT_NEAR(upper_limit_at(0.17, 0.044, {}, 398.15) * lower, 0.17 * 0.044, 1e-12);
  // Hydrogen: 23 % of air at 25 degC shrink as the lower limit does.
  EXPECT_NEAR(upper_limit_at(0.77, 0.04, 241800.0, 398.15), 1.0 - 0.23 * (1.0 - 0.163), 1e-12);
}

TEST(LimitsAndTemperature, LessOxygenIsEnoughWhereItIsHot) {
  EXPECT_EQ(limiting_oxygen_at(0.107, 0.044, 802600.0, 290.0), 0.107);
  EXPECT_NEAR(limiting_oxygen_at(0.107, 0.044, 802600.0, 398.15), 0.107 * (1.0 - 100.0 / 875.0), 1e-12);
}

TEST(LimitsAndTemperature, NeverLeaveTheirBounds) {
  EXPECT_NEAR(lower_limit_at(0.04, 241800.0, 2000.0), 0.0004, 1e-15);
  EXPECT_NEAR(lower_limit_at(0.04, {}, 5000.0), 0.0004, 1e-15);
  EXPECT_LT(upper_limit_at(0.77, 0.04, 241800.0, 5000.0), 1.0);
  EXPECT_EQ(upper_limit_at(1.0, 0.025, {}, 350.0), 1.0);
}

TEST(LimitsAndTemperature, AHeatOfCombustionThatIsNoneTakesTheGeneralSlope) {
  EXPECT_EQ(lower_limit_at(0.05, 0.0, 398.15), lower_limit_at(0.05, {}, 398.15));
}

TEST(LeChatelier, OfOneFuelIsItsLimit) {
  const double share = 1.0, limit = 0.044;
  EXPECT_DOUBLE_EQ(le_chatelier({&share, 1}, {&limit, 1}), 0.044);
}

TEST(LeChatelier, LiesBetweenTheLimitsAndForgetsTheOrder) {
  const std::array share{0.2, 0.5, 0.3}, limit{0.04, 0.017, 0.11};
  const double mixed = le_chatelier(share, limit);
  EXPECT_GT(mixed, 0.017);
  EXPECT_LT(mixed, 0.11);
  const std::array share_turned{0.3, 0.2, 0.5}, limit_turned{0.11, 0.04, 0.017};
  EXPECT_DOUBLE_EQ(le_chatelier(share_turned, limit_turned), mixed);
}

TEST(LimitingOxygenEstimate, IsTheOxygenThatTheLowerLimitBurns) {
  EXPECT_DOUBLE_EQ(limiting_oxygen_estimate(0.05, 2.0), 0.1);
}

// ---- range of one fuel ----

TEST(Range, WithoutFuelIsClearOfEverything) {
  const MixtureRange none = range_of({}, {}, 0.2095);
  EXPECT_EQ(none.lfl_fraction, 0.0);
  EXPECT_EQ(none.ufl_fraction, 0.0);
  EXPECT_EQ(none.inside, -1.0);
  for (const double x : {0.0, -1e-18, std::numeric_limits<double>::quiet_NaN()}) {
    EXPECT_EQ(range_of_one(plain, x, 0.2).inside, -1.0);
  }
}

TEST(Range, WithAirAloneIsExactlyFromTheLowerToTheUpperLimit) {
  for (const Fuel& fuel : all_kinds) {
    for (int i = 1; i <= 2000; ++i) {
      const double x = i / 2000.0;
      EXPECT_EQ(burns(fuel, x, oxygen_with_air(x)), x >= fuel.lower && x <= fuel.upper)
          << "fuel with LFL " << fuel.lower << " at " << x;
    }
    EXPECT_TRUE(burns(fuel, fuel.lower, oxygen_with_air(fuel.lower)));
    EXPECT_TRUE(burns(fuel, fuel.upper, oxygen_with_air(fuel.upper)));
    const double under = std::nextafter(fuel.lower, 0.0), over = fuel.upper * (1 + 1e-12);
    EXPECT_FALSE(burns(fuel, under, oxygen_with_air(under)));
    EXPECT_FALSE(burns(fuel, over, oxygen_with_air(over)));
  }
}

TEST(Range, CountsSharesOfTheLimits) {
  const MixtureRange range = range_of_one(plain, 0.022, 0.2);
  EXPECT_DOUBLE_EQ(range.lfl_fraction, 0.5);
  EXPECT_DOUBLE_EQ(range.ufl_fraction, 0.022 / 0.17);
}

TEST(Range, HasItsNoseOnTheStoichiometricLineAtTheLimitingOxygen) {
  const double nose = 0.107 / 2.0;
  EXPECT_NEAR(range_of_one(plain, nose, 0.107).inside, 0.0, 1e-15);
  EXPECT_TRUE(burns(plain, nose - 1e-6, 0.107));   // along the least oxygen, towards the lower line
  EXPECT_FALSE(burns(plain, nose + 1e-6, 0.107));  // beyond the nose more oxygen is needed
  EXPECT_FALSE(burns(plain, nose, 0.107 - 1e-6));
}

TEST(Range, BurnsAtTheLimitingOxygenSomewhereAndNeverBelowIt) {
  for (const Fuel& fuel : {plain, heavy, wide, nose_at_lower_line, no_demand}) {
    const double loc = *fuel.limiting_oxygen;
    bool at = false, below = false;
    for (int i = 1; i < 5000; ++i) {
      const double x = i / 5000.0;
      at = at || burns(fuel, x, loc + 1e-12);
      below = below || burns(fuel, x, loc - 1e-9);
    }
    EXPECT_TRUE(at) << fuel.lower;
    EXPECT_FALSE(below) << fuel.lower;
  }
}

TEST(Range, OfAFuelWithoutADemandAsksForTheLimitingOxygenAlone) {
  for (const double x : {0.013, 0.04, 0.075}) {
    EXPECT_TRUE(burns(no_demand, x, 0.1001));
    EXPECT_FALSE(burns(no_demand, x, 0.0999));
  }
  EXPECT_FALSE(burns(no_demand, 0.09, 0.15));
}

TEST(Range, OfAFuelWithoutALimitingOxygenAsksForAnyOxygen) {
  for (const double x : {0.01, 0.04, 0.08}) {
    EXPECT_TRUE(burns(no_oxygen_value, x, 0.01));
    EXPECT_TRUE(burns(no_oxygen_value, x, 1e-5));
    EXPECT_FALSE(burns(no_oxygen_value, x, 0.0));
    EXPECT_FALSE(burns(no_oxygen_value, x, -1e-17));  // what rounding may leave of a vessel without air
  }
  EXPECT_FALSE(burns(no_oxygen_value, 0.0801, 0.01));
  EXPECT_FALSE(burns(no_oxygen_value, 0.0801, oxygen_with_air(0.0801)));
}

TEST(Range, ReachesFurtherIntoFuelWhereThereIsMoreOxygenThanAirBrings) {
  for (const Fuel& fuel : all_kinds) {
    const double x = fuel.upper + 0.05;
    EXPECT_FALSE(burns(fuel, x, oxygen_with_air(x)));
    EXPECT_TRUE(burns(fuel, x, 1.0 - x));
  }
}

TEST(Range, OfASelfDecomposingFuelNeedsNoOxygen) {
  for (const double oxygen : {0.0, 0.02, 0.2}) {
    EXPECT_TRUE(burns(decomposing, 0.023, oxygen));
    EXPECT_TRUE(burns(decomposing, 0.9, oxygen));
    EXPECT_FALSE(burns(decomposing, 0.0229, oxygen));
  }
  EXPECT_TRUE(burns(decomposing, 1.0, 0.0));
}

TEST(Range, NeverLosesAMixtureThatGainsOxygen) {
  std::mt19937 random{7};
  std::uniform_real_distribution<double> uniform{0.0, 1.0};
  for (const Fuel& fuel : all_kinds) {
    for (int i = 0; i < 2000; ++i) {
      const double x = uniform(random), oxygen = uniform(random) * (1 - x), more = oxygen + uniform(random) * 0.1;
      EXPECT_GE(range_of_one(fuel, x, more).inside, range_of_one(fuel, x, oxygen).inside);
    }
  }
}

TEST(Range, GrowsWhenALimitIsWidened) {
  std::mt19937 random{11};
  std::uniform_real_distribution<double> uniform{0.0, 1.0};
  for (const Fuel& fuel : {plain, heavy, wide, nose_at_lower_line}) {
    Fuel wider_below = fuel, wider_above = fuel, thriftier = fuel, unknown = fuel;
    wider_below.lower *= 0.8;
    wider_above.upper *= 1.1;
    thriftier.limiting_oxygen = 0.9 * *fuel.limiting_oxygen;
    unknown.limiting_oxygen.reset();
    for (int i = 0; i < 4000; ++i) {
      const double x = 1.5 * fuel.upper * uniform(random), oxygen = 0.25 * uniform(random);
      if (!burns(fuel, x, oxygen)) continue;
      // A nose that the lower line holds moves with it, and with the nose the foot of the upper line.
      if (fuel.lower < *fuel.limiting_oxygen / fuel.oxygen_demand) {
        EXPECT_TRUE(burns(wider_below, x, oxygen)) << x << ' ' << oxygen;
      }
      EXPECT_TRUE(burns(wider_above, x, oxygen)) << x << ' ' << oxygen;
      EXPECT_TRUE(burns(thriftier, x, oxygen)) << x << ' ' << oxygen;
      EXPECT_TRUE(burns(unknown, x, oxygen)) << x << ' ' << oxygen;
    }
  }
}

// ---- the range drawn by hand, as a polygon ----

struct Point {
  double fuel, oxygen;
};

/// Corners of the range of one fuel in the triangle of fuel, oxygen and nitrogen, from the same words as the header but
/// with nothing of its formulas.
std::vector<Point> corners(const Fuel& fuel) {
  const double at_upper = oxygen_in_dry_air * (1.0 - fuel.upper);
  const double least = std::min(*fuel.limiting_oxygen, at_upper);
  const double nose = std::clamp(*fuel.limiting_oxygen / fuel.oxygen_demand, fuel.lower, fuel.upper);
  return {{fuel.lower, 1.0 - fuel.lower},
          {fuel.lower, least},
          {nose, least},
          {fuel.upper, at_upper},
          {1.0 - at_upper, at_upper}};
}

/// How often the corners wind round a point: 0 outside.
int windings(const std::vector<Point>& polygon, const Point& p) {
  int count = 0;
  for (std::size_t i = 0; i < polygon.size(); ++i) {
    const Point& a = polygon[i];
    const Point& b = polygon[(i + 1) % polygon.size()];
    const double side = (b.fuel - a.fuel) * (p.oxygen - a.oxygen) - (p.fuel - a.fuel) * (b.oxygen - a.oxygen);
    if (a.oxygen <= p.oxygen && b.oxygen > p.oxygen && side > 0) ++count;
    if (a.oxygen > p.oxygen && b.oxygen <= p.oxygen && side < 0) --count;
  }
  return count;
}

TEST(Range, IsThePolygonDrawnThroughItsCorners) {
  std::mt19937 random{3};
  std::uniform_real_distribution<double> uniform{0.0, 1.0};
  for (const Fuel& fuel : {plain, heavy, wide, nose_at_lower_line, hot}) {
    const auto polygon = corners(fuel);
    int inside = 0;
    for (int i = 0; i < 40000; ++i) {
      // Half of the points anywhere in the triangle, half about the corners, where the edges meet.
      Point p{uniform(random), 0.0};
      p.oxygen = uniform(random) * (1 - p.fuel);
      if (i % 2 == 0) {
        const Point& corner = polygon[static_cast<std::size_t>(i / 2) % polygon.size()];
        p = {corner.fuel + 0.02 * (uniform(random) - 0.5), corner.oxygen + 0.02 * (uniform(random) - 0.5)};
        if (p.fuel <= 0 || p.oxygen <= 0 || p.fuel + p.oxygen >= 1) continue;
      }
      const bool drawn = windings(polygon, p) != 0;
      inside += drawn;
      if (std::abs(range_of_one(fuel, p.fuel, p.oxygen).inside) < 1e-12) continue;  // on the line itself
      ASSERT_EQ(burns(fuel, p.fuel, p.oxygen), drawn) << fuel.lower << ": " << p.fuel << ' ' << p.oxygen;
    }
    EXPECT_GT(inside, 5000);
  }
}

// ---- several fuels ----

TEST(RangeOfSeveralFuels, OfTheSameFuelTwiceIsThatOfTheFuel) {
  std::mt19937 random{5};
  std::uniform_real_distribution<double> uniform{0.0, 1.0};
  for (const Fuel& fuel : all_kinds) {
    const std::array twice{fuel, fuel};
    for (int i = 0; i < 500; ++i) {
      const double x = uniform(random), share = uniform(random), oxygen = uniform(random) * (1 - x);
      const std::array parts{share * x, (1 - share) * x};
      const MixtureRange one = range_of_one(fuel, x, oxygen), two = range_of(twice, parts, oxygen);
      EXPECT_NEAR(two.lfl_fraction, one.lfl_fraction, 1e-12 * one.lfl_fraction);
      EXPECT_NEAR(two.ufl_fraction, one.ufl_fraction, 1e-12 * one.ufl_fraction);
      EXPECT_NEAR(two.inside, one.inside, 1e-12);
    }
  }
}

TEST(RangeOfSeveralFuels, ForgetsTheOrderAndThoseThatAreAbsent) {
  const std::array fuels{plain, heavy, no_oxygen_value, wide}, turned{wide, no_oxygen_value, plain, heavy};
  const std::array parts{0.02, 0.01, 0.0, 0.03}, parts_turned{0.03, 0.0, 0.02, 0.01};
  const std::array present{plain, heavy, wide};
  const std::array parts_present{0.02, 0.01, 0.03};
  const MixtureRange range = range_of(fuels, parts, 0.15);
  EXPECT_NEAR(range_of(turned, parts_turned, 0.15).inside, range.inside, 1e-15);
  EXPECT_EQ(range_of(present, parts_present, 0.15).inside, range.inside);
}

TEST(RangeOfSeveralFuels, FollowsLeChatelierInAir) {
  const std::array fuels{plain, heavy, wide};
  const std::array share{0.5, 0.3, 0.2};
  const std::array lower{plain.lower, heavy.lower, wide.lower}, upper{plain.upper, heavy.upper, wide.upper};
  const double from = le_chatelier(share, lower), to = le_chatelier(share, upper);
  for (const double x : {from * 0.999, from * 1.001, 0.5 * (from + to), to * 0.999, to * 1.001}) {
    const std::array parts{share[0] * x, share[1] * x, share[2] * x};
    const MixtureRange range = range_of(fuels, parts, oxygen_with_air(x));
    EXPECT_NEAR(range.lfl_fraction, x / from, 1e-12);
    EXPECT_NEAR(range.ufl_fraction, x / to, 1e-12);
    EXPECT_EQ(range.inside >= 0, x > from && x < to) << x;
  }
}

TEST(RangeOfSeveralFuels, HasALimitingOxygenBetweenTheirs) {
  const std::array fuels{plain, wide};
  const std::array parts{0.04, 0.04};
  EXPECT_LT(range_of(fuels, parts, *wide.limiting_oxygen).inside, 0);
  EXPECT_GE(range_of(fuels, parts, *plain.limiting_oxygen).inside, 0);
}

TEST(RangeOfSeveralFuels, HasNoLimitingOxygenWhereOneLacksIt) {
  const std::array fuels{plain, no_oxygen_value};
  const std::array parts{0.06, 0.001};  // 7 % of the lower limit is of the second
  EXPECT_GE(range_of(fuels, parts, 1e-4).inside, 0);
}

TEST(RangeOfSeveralFuels, IsNotSwitchedByATraceOfAFuelWithoutALimitingOxygen) {
  const std::array fuels{plain, no_oxygen_value};
  const double pure = range_of_one(plain, 0.06, 0.05).inside;
  ASSERT_LT(pure, 0);
  for (const double trace : {1e-20, 1e-12, 1e-8}) {
    const std::array parts{0.06, trace};
    EXPECT_NEAR(range_of(fuels, parts, 0.05).inside, pure, 1e3 * trace + 1e-15);
  }
}

// ---- inert gas that quenches less than nitrogen ----

TEST(RangeUnderWeakInertGas, IsThatOfTheMixtureWithoutItsIdlePart) {
  std::mt19937 random{11};
  std::uniform_real_distribution<double> uniform{0.0, 1.0};
  int wider = 0;
  for (const Fuel& fuel : all_kinds) {
    for (int i = 0; i < 2000; ++i) {
      const double x = uniform(random), oxygen = 0.25 * uniform(random) * (1 - x), idle = uniform(random) * (1 - x);
      const MixtureRange weak = range_of(std::span{&fuel, 1}, std::span{&x, 1}, oxygen, oxygen_in_dry_air, idle);
      const MixtureRange with_nitrogen = range_of_one(fuel, x, oxygen);
      const MixtureRange equivalent = range_of_one(fuel, x / (1 - idle), oxygen / (1 - idle));
      EXPECT_EQ(weak.lfl_fraction, with_nitrogen.lfl_fraction) << "limits are those in air";
      EXPECT_EQ(weak.ufl_fraction, with_nitrogen.ufl_fraction);
      const bool enough = with_nitrogen.inside >= 0 || (x >= fuel.lower && equivalent.inside >= 0);
      EXPECT_EQ(weak.inside >= 0, enough) << fuel.lower << ": " << x << ' ' << oxygen << ' ' << idle;
      EXPECT_GE(weak.inside, with_nitrogen.inside);
      wider += weak.inside >= 0 && with_nitrogen.inside < 0 ? 1 : 0;
    }
  }
  EXPECT_GT(wider, 100);
}

TEST(RangeUnderWeakInertGas, NeedsLessOxygenByTheIdlePart) {
  const double x = 0.046, idle = 0.1, least = *plain.limiting_oxygen * (1 - idle);
  const auto inside = [&](double oxygen) {
    return range_of(std::span{&plain, 1}, std::span{&x, 1}, oxygen, oxygen_in_dry_air, idle).inside;
  };
  EXPECT_GE(inside(least + 1e-9), 0);
  EXPECT_LT(inside(least - 1e-9), 0);
}

// ---- continuity ----

/// The largest jump of `f` on [0, 1], found by narrowing down on the largest step again and again.
double jump_of(const std::function<double(double)>& f) {
  constexpr int steps = 400;
  double from = 0.0, to = 1.0, largest = 0.0;
  for (int round = 0; round < 5; ++round) {
    largest = 0.0;
    double at = from;
    const double width = (to - from) / steps;
    double before = f(from);
    for (int i = 1; i <= steps; ++i) {
      const double t = from + i * width;
      const double now = f(t);
      if (std::abs(now - before) > largest) {
        largest = std::abs(now - before);
        at = t - width;
      }
      before = now;
    }
    from = at;
    to = at + width;
  }
  return largest;
}

TEST(Range, IsContinuousInTheComposition) {
  const std::array fuels{plain, wide, no_oxygen_value, no_demand, nose_at_lower_line};
  std::mt19937 random{17};
  std::uniform_real_distribution<double> uniform{0.0, 1.0};
  for (int walk = 0; walk < 60; ++walk) {
    std::array<double, 5> begin{}, end{};
    for (std::size_t k = 0; k < 5; ++k) {
      begin[k] = uniform(random) < 0.4 ? 0.0 : 0.05 * uniform(random);
      end[k] = uniform(random) < 0.4 ? 0.0 : 0.05 * uniform(random);
    }
    const double oxygen_begin = 0.3 * uniform(random), oxygen_end = 0.3 * uniform(random);
    const auto along = [&](double t) {
      std::array<double, 5> x{};
      for (std::size_t k = 0; k < 5; ++k) x[k] = begin[k] + t * (end[k] - begin[k]);
      return range_of(fuels, x, oxygen_begin + t * (oxygen_end - oxygen_begin)).inside;
    };
    EXPECT_LT(jump_of(along), 1e-8) << "walk " << walk;
  }
}

TEST(Range, ContinuityCheckFindsAJump) {
  EXPECT_GT(jump_of([](double t) { return t < 0.123456 ? 0.0 : 1e-3; }), 0.9e-3);
}

// ---- states ----

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

TEST(State, IsNeverHarmlessWhereItIsNotANumber) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  EXPECT_EQ(state_of({nan, nan, nan}, {}), MixtureState::flammable);
}

TEST(State, TakesTheGraverWordWhereThresholdsAreCrossed) {
  EXPECT_EQ(state_of({0.3, 0.0, -0.7}, {0.4, 0.25}), MixtureState::margin);
}

TEST(State, HasAWordEach) {
  EXPECT_EQ(word_of(MixtureState::clear), "clear");
  EXPECT_EQ(word_of(MixtureState::note), "note");
  EXPECT_EQ(word_of(MixtureState::margin), "margin");
  EXPECT_EQ(word_of(MixtureState::flammable), "flammable");
  EXPECT_EQ(word_of(MixtureState::rich), "rich");
  EXPECT_EQ(word_of(MixtureState::inerted), "inerted");
}

}  // namespace
}  // namespace leanside
