// SPDX-License-Identifier: Apache-2.0
// Properties of flammable ranges of any fuels.
#include <algorithm>
#include <cmath>
#include <numeric>

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include "leanside/advanced/flammability.hpp"
#include "leanside/purge.hpp"
#include "leanside/units.hpp"

namespace {

using leanside::Fuel;

double between(double low, double high) { return low + (high - low) * 1e-6 * *rc::gen::inRange(0, 1000001); }

Fuel draw_fuel() {
  Fuel fuel;
  fuel.lower = between(0.005, 0.15);
  fuel.upper = between(fuel.lower + 0.02, 0.95);
  fuel.oxygen_demand = between(0.5, 8.0);
  if (*rc::gen::arbitrary<bool>()) fuel.limiting_oxygen = between(0.03, 0.14);
  return fuel;
}

std::vector<double> draw_shares(std::size_t count) {
  std::vector<double> shares(count);
  for (double& share : shares) share = between(0.01, 1.0);
  const double sum = std::accumulate(shares.begin(), shares.end(), 0.0);
  for (double& share : shares) share /= sum;
  return shares;
}

RC_GTEST_PROP(Limits, OfAMixtureLieBetweenThoseOfItsFuels, ()) {
  const auto count = *rc::gen::inRange<std::size_t>(1, 6);
  std::vector<double> limits(count);
  for (double& limit : limits) limit = between(0.005, 0.9);
  const double limit = leanside::le_chatelier(draw_shares(count), limits);
  RC_ASSERT(limit >= *std::min_element(limits.begin(), limits.end()) * (1.0 - 1e-12));
  RC_ASSERT(limit <= *std::max_element(limits.begin(), limits.end()) * (1.0 + 1e-12));
}

RC_GTEST_PROP(Limits, WidenWithTemperature, ()) {
  const double lower = between(0.005, 0.15), upper = between(0.2, 1.0), heat = between(1e5, 5e6);
  const double cool = between(200.0, 600.0), warm = between(cool, 700.0);
  const auto known = *rc::gen::arbitrary<bool>() ? std::optional<double>{heat} : std::nullopt;
  RC_ASSERT(leanside::lower_limit_at(lower, known, warm) <= leanside::lower_limit_at(lower, known, cool));
  RC_ASSERT(leanside::upper_limit_at(upper, lower, known, warm) >= leanside::upper_limit_at(upper, lower, known, cool));
  RC_ASSERT(leanside::lower_limit_at(lower, known, warm) > 0.0);
  RC_ASSERT(leanside::upper_limit_at(upper, lower, known, warm) <= 1.0);
}

RC_GTEST_PROP(Ranges, InAirExtendFromLowerToUpperLimit, ()) {
  Fuel fuel = draw_fuel();
  const double x = between(0.0, 1.0);
  RC_PRE(std::abs(x - fuel.lower) > 1e-9 && std::abs(x - fuel.upper) > 1e-9);
  const double oxygen = leanside::oxygen_in_dry_air * (1.0 - x);
  // A limiting oxygen concentration above the oxygen at the upper limit is lowered to it, so that the range in air is
  // complete.
  const auto range = leanside::range_of(std::span{&fuel, 1}, std::span{&x, 1}, oxygen);
  RC_ASSERT((range.inside >= 0.0) == (x > fuel.lower && x < fuel.upper));
}

RC_GTEST_PROP(Ranges, ShrinkWithInertGas, ()) {
  // Adding nitrogen to a mixture that lacks fuel or oxygen does not make it flammable.
  const Fuel fuel = draw_fuel();
  const double x = between(0.0, fuel.upper);
  const double oxygen = between(0.0, leanside::oxygen_in_dry_air * (1.0 - x));
  const double keep = between(0.05, 1.0);
  const double thin = x * keep, thin_oxygen = oxygen * keep;
  const auto before = leanside::range_of(std::span{&fuel, 1}, std::span{&x, 1}, oxygen);
  const auto after = leanside::range_of(std::span{&fuel, 1}, std::span{&thin, 1}, thin_oxygen);
  RC_ASSERT(after.lfl_fraction <= before.lfl_fraction * (1.0 + 1e-12));
  const double least = fuel.limiting_oxygen.value_or(0.0);
  if (x < fuel.lower || oxygen < std::min(least, leanside::oxygen_in_dry_air * (1.0 - fuel.upper)))
    RC_ASSERT(after.inside < 0.0);
}

RC_GTEST_PROP(Ranges, AreTheSameForAFuelSplitIntoTwo, ()) {
  const Fuel fuel = draw_fuel();
  const double x = between(0.0, 1.0), share = between(0.0, 1.0);
  const double oxygen = between(0.0, 1.0 - x);
  const std::vector<Fuel> twice{fuel, fuel};
  const std::vector<double> parts{share * x, (1.0 - share) * x};
  const auto one = leanside::range_of(std::span{&fuel, 1}, std::span{&x, 1}, oxygen);
  const auto two = leanside::range_of(twice, parts, oxygen);
  RC_ASSERT(std::abs(one.lfl_fraction - two.lfl_fraction) <= 1e-9 * one.lfl_fraction + 1e-12);
  RC_ASSERT(std::abs(one.inside - two.inside) <= 1e-9 + 1e-9 * std::abs(one.inside));
}

RC_GTEST_PROP(Ranges, HaveAStateThatFollowsFromTheirMeasures, ()) {
  const std::vector<Fuel> fuels{draw_fuel(), draw_fuel()};
  const double sum = between(0.0, 1.0), share = between(0.0, 1.0);
  const std::vector<double> x{share * sum, (1.0 - share) * sum};
  const double oxygen = between(0.0, 1.0 - sum);
  const auto range = leanside::range_of(fuels, x, oxygen);
  const leanside::StateThresholds thresholds{0.1, 0.25};
  switch (leanside::state_of(range, thresholds)) {
    case leanside::MixtureState::clear:
      RC_ASSERT(range.lfl_fraction < 0.1);
      break;
    case leanside::MixtureState::note:
      RC_ASSERT(range.lfl_fraction >= 0.1 && range.lfl_fraction < 0.25);
      break;
    case leanside::MixtureState::margin:
      RC_ASSERT(range.lfl_fraction >= 0.25 && range.lfl_fraction < 1.0);
      break;
    case leanside::MixtureState::flammable:
      RC_ASSERT(range.inside >= 0.0 && range.lfl_fraction >= 1.0);
      break;
    case leanside::MixtureState::rich:
      RC_ASSERT(range.inside < 0.0 && range.ufl_fraction >= 1.0);
      break;
    case leanside::MixtureState::inerted:
      RC_ASSERT(range.inside < 0.0 && range.lfl_fraction >= 1.0 && range.ufl_fraction < 1.0);
      break;
  }
}

RC_GTEST_PROP(Purging, ToItsTargetsAvoidsTheFlammableRange, ()) {
  const Fuel fuel = draw_fuel();
  const auto targets = leanside::purge_targets(fuel);
  const double share = between(0.0, 0.999), way = between(0.0, 1.0);
  // Inert gas with a little less oxygen than the target, then fuel is admitted.
  const double x = way, oxygen = share * targets.oxygen_before_fuel * (1.0 - way);
  RC_ASSERT(leanside::range_of(std::span{&fuel, 1}, std::span{&x, 1}, oxygen).inside < 0.0);
  // Inert gas with a little less fuel than the target, then air is admitted.
  const double left = share * targets.fuel_before_air * (1.0 - way), air = leanside::oxygen_in_dry_air * way;
  RC_ASSERT(leanside::range_of(std::span{&fuel, 1}, std::span{&left, 1}, air).inside < 0.0);
}

RC_GTEST_PROP(Purging, WithOxygenInThePurgeGasMissesTheRangeOnTheWholeWay, ()) {
  const Fuel fuel = draw_fuel();
  const double way = between(0.0, 1.0);
  const double in = between(0.0, 0.999) * leanside::purge_targets(fuel).oxygen_before_fuel;
  const auto targets = leanside::purge_targets(fuel, leanside::oxygen_in_dry_air, in);
  RC_ASSERT(targets.fuel_before_air > 0.0);
  const double end = between(0.0, 0.999) * targets.fuel_before_air;
  // From the fuel to the purge gas, as far as the sweep goes.
  const double sweeping = 1.0 - way * (1.0 - end);
  RC_ASSERT(leanside::range_of(std::span{&fuel, 1}, std::span{&sweeping, 1}, in * (1.0 - sweeping)).inside < 0.0);
  // From there to air.
  const double left = end * (1.0 - way), oxygen = in * (1.0 - end) * (1.0 - way) + leanside::oxygen_in_dry_air * way;
  RC_ASSERT(leanside::range_of(std::span{&fuel, 1}, std::span{&left, 1}, oxygen).inside < 0.0);
}

RC_GTEST_PROP(Quantities, MeanTheSameInEveryUnit, ()) {
  const auto all = leanside::units();
  const auto& unit = all[*rc::gen::inRange<std::size_t>(0, all.size())];
  const double number = between(0.001, 1.0) * std::pow(10.0, *rc::gen::inRange(-3, 4));
  for (const char* gap : {" ", ""}) {
    const auto read =
        leanside::parse_quantity(leanside::format_exact(number) + gap + std::string{unit.symbol}, unit.dimension);
    RC_ASSERT(std::holds_alternative<leanside::Quantity>(read));
    const double expected = number * unit.factor + unit.offset;
    RC_ASSERT(std::abs(std::get<leanside::Quantity>(read).si - expected) <= 1e-14 * std::abs(expected));
  }
  // A value written in any unit of its dimension and read again is the same within its digits.
  const double si = number * unit.factor + unit.offset;
  for (const auto& other : all) {
    if (other.dimension != unit.dimension || other.gauge || unit.gauge) continue;
    const auto read = leanside::parse_quantity(leanside::format_quantity(si, other.symbol, 9), unit.dimension);
    RC_ASSERT(std::holds_alternative<leanside::Quantity>(read));
    const double scale = std::max(std::abs(si), std::abs(other.offset));
    RC_ASSERT(std::abs(std::get<leanside::Quantity>(read).si - si) <= 1e-8 * scale);
  }
}

}  // namespace
