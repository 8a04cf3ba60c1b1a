// SPDX-License-Identifier: Apache-2.0
#include "leanside/purge.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <functional>

namespace leanside {
namespace {

/// A target this low is none: what purges never gets cleaner.
constexpr double out_of_reach = 1e-5;

/// The largest value of `f` on [0, 1]: the best of a grid, refined by golden sections around it.
double largest_on_path(const std::function<double(double)>& f) {
  constexpr int looks = 400;
  int best = 0;
  double most = f(0.0);
  for (int k = 1; k <= looks; ++k) {
    const double value = f(static_cast<double>(k) / looks);
    if (value > most) {
      most = value;
      best = k;
    }
  }
  double low = std::max(0.0, static_cast<double>(best - 1) / looks);
  double high = std::min(1.0, static_cast<double>(best + 1) / looks);
  const double golden = 0.5 * (std::sqrt(5.0) - 1.0);
  for (int k = 0; k < 60; ++k) {
    const double a = high - golden * (high - low), b = low + golden * (high - low);
    (f(a) < f(b) ? low : high) = f(a) < f(b) ? a : b;
  }
  return std::max(most, f(0.5 * (low + high)));
}

/// The largest start, up to `most`, from which the path misses the range.
double largest_safe(double most, const std::function<double(double start, double way)>& inside) {
  const auto safe = [&](double start) { return largest_on_path([&](double way) { return inside(start, way); }) < 0.0; };
  if (safe(most)) return most;
  double low = 0.0, high = most;
  for (int k = 0; k < 60; ++k) {
    const double middle = 0.5 * (low + high);
    (safe(middle) ? low : high) = middle;
  }
  return low;
}

PurgeCycles cycles_of(double from, double to, double high, double low, const PurgeQuestion& question, double in) {
  PurgeCycles result;
  result.exact = purge_cycles(from, to, high, low, in);
  result.cycles = std::ceil(result.exact - 1e-9);
  result.volumes = cycle_volumes(result.cycles, high, low, question.ambient);
  return result;
}

PurgeLeg leg_of(double from, double limit, double in, const PurgeQuestion& question) {
  PurgeLeg leg;
  leg.from = from;
  leg.limit = limit;
  leg.to = question.margin * limit;
  leg.possible = limit > out_of_reach && leg.to > in;
  if (!leg.possible) return leg;
  leg.sweep = sweep_volumes(from, leg.to, in);
  if (question.flow) leg.sweep_time = leg.sweep * question.volume / *question.flow;
  if (question.high) leg.pressure = cycles_of(from, leg.to, *question.high, question.ambient, question, in);
  if (question.low) leg.vacuum = cycles_of(from, leg.to, question.ambient, *question.low, question, in);
  return leg;
}

}  // namespace

double sweep_volumes(double from, double to, double in) {
  assert(to > in);
  return from > to ? std::log((from - in) / (to - in)) : 0.0;
}

double swept(double from, double volumes, double in) { return in + (from - in) * std::exp(-volumes); }

double purge_cycles(double from, double to, double high, double low, double in) {
  assert(high > low && low > 0.0);
  return sweep_volumes(from, to, in) / std::log(high / low);
}

double cycle_volumes(double cycles, double high, double low, double ambient) { return cycles * (high - low) / ambient; }

PurgeTargets purge_targets(const Fuel& fuel, double oxygen_in_air) {
  const auto inside = [&](double x, double oxygen) {
    const double fraction[] = {x};
    return range_of({&fuel, 1}, fraction, oxygen, oxygen_in_air).inside;
  };
  PurgeTargets targets;
  targets.oxygen_before_fuel =
      largest_safe(oxygen_in_air, [&](double oxygen, double way) { return inside(way, oxygen * (1.0 - way)); });
  targets.fuel_before_air =
      largest_safe(1.0, [&](double x, double way) { return inside(x * (1.0 - way), oxygen_in_air * way); });
  // Fuel above the limit with no oxygen at all would burn by itself: nothing to purge to on the way in.
  if (fuel.upper >= 1.0 - 1e-6) targets.oxygen_before_fuel = 0.0;
  return targets;
}

PurgePlan plan_purge(const PurgeQuestion& question) {
  const PurgeTargets targets = purge_targets(question.fuel, question.oxygen_in_air);
  return {leg_of(question.oxygen_in_air, targets.oxygen_before_fuel, question.oxygen_in_gas, question),
          leg_of(1.0, targets.fuel_before_air, 0.0, question)};
}

}  // namespace leanside
