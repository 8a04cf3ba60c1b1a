// SPDX-License-Identifier: Apache-2.0
#include "leanside/purge.hpp"

#include <algorithm>
#include <array>
#include <cassert>
#include <charconv>
#include <cmath>
#include <functional>

namespace leanside {
namespace {

/// A target this low is none: no purge gas is that clean.
constexpr double out_of_reach = 1e-5;

/// Figures of what is printed.
constexpr int figures = 3;

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

/// The largest start, up to `most`, from which the path misses the range; 0 where none does.
double largest_safe(double most, const std::function<double(double start, double way)>& inside) {
  const auto safe = [&](double start) { return largest_on_path([&](double way) { return inside(start, way); }) < 0.0; };
  if (safe(most)) return most;
  if (!safe(0.0)) return 0.0;
  double low = 0.0, high = most;
  for (int k = 0; k < 60; ++k) {
    const double middle = 0.5 * (low + high);
    (safe(middle) ? low : high) = middle;
  }
  return low;
}

double to_figures(double value, int digits) {
  std::array<char, 64> text{};
  const auto end =
      std::to_chars(text.data(), text.data() + text.size(), value, std::chars_format::scientific, digits - 1);
  double out = value;
  std::from_chars(text.data(), end.ptr, out);
  return out;
}

double step_of(double value, int digits) { return std::pow(10.0, std::floor(std::log10(value)) - (digits - 1)); }

PurgeCycles cycles_of(double from, double to, double high, double low, const PurgeQuestion& question, double in) {
  PurgeCycles result;
  result.exact = purge_cycles(from, to, high, low, in);
  result.cycles = std::ceil(result.exact - 1e-9);
  result.volumes = cycle_volumes(result.cycles, high, low, question.ambient);
  return result;
}

/// A leg down to a share of `limit`; `in` is the fraction in the purge gas of what is purged.
PurgeLeg leg_of(double from, double limit, double in, const PurgeQuestion& question) {
  PurgeLeg leg;
  leg.from = from;
  leg.limit = limit;
  leg.needed = limit < from;
  leg.to = leg.needed && limit > 0.0 ? rounded_down_to(question.margin * limit, figures) : limit;
  if (!leg.needed) return leg;
  if (!(limit > out_of_reach && leg.to > in)) {
    leg.possible = false;
    leg.refusal = PurgeRefusal::too_much_oxygen;
    return leg;
  }
  leg.sweep = rounded_up_to(sweep_volumes(from, leg.to, in), figures);
  if (question.flow) leg.sweep_time = leg.sweep * question.volume / *question.flow;
  if (question.high) leg.pressure = cycles_of(from, leg.to, *question.high, question.ambient, question, in);
  if (question.low) leg.vacuum = cycles_of(from, leg.to, question.ambient, *question.low, question, in);
  return leg;
}

/// How far inside the range the share x of the gas is, the rest holding `oxygen` mol a mol of the whole.
double inside_at(const VesselGas& gas, double x, double oxygen, double oxygen_in_air) {
  std::vector<double> fraction;
  for (const double share : gas.shares) fraction.push_back(x * share);
  return range_of(gas.fuels, fraction, oxygen + x * gas.oxygen, oxygen_in_air, x * gas.idle).inside;
}

/// Why a leg is refused that neither the margin nor another plan can save.
PurgeRefusal refusal_of(const PurgeQuestion& question, double oxygen_before_fuel) {
  if (inside_at(question.gas, 1.0, 0.0, question.oxygen_in_air) >= 0.0) return PurgeRefusal::decomposes;
  return oxygen_before_fuel > out_of_reach ? PurgeRefusal::too_much_oxygen : PurgeRefusal::oxygen_not_known;
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

double rounded_down_to(double value, int digits) {
  const double near = to_figures(value, digits);
  return near <= value ? near : to_figures(near - step_of(value, digits), digits);
}

double rounded_up_to(double value, int digits) {
  const double near = to_figures(value, digits);
  return near >= value ? near : to_figures(near + step_of(value, digits), digits);
}

PurgeTargets purge_targets(const VesselGas& gas, double oxygen_in_air, double oxygen_in_gas) {
  const auto to_fuel = [&](double oxygen, double way) {
    return inside_at(gas, way, oxygen * (1.0 - way), oxygen_in_air);
  };
  PurgeTargets targets;
  targets.oxygen_before_fuel = largest_safe(oxygen_in_air, to_fuel);
  if (largest_on_path([&](double way) { return to_fuel(oxygen_in_gas, way); }) >= 0.0) return targets;
  targets.fuel_before_air = largest_safe(1.0, [&](double x, double way) {
    return inside_at(gas, x * (1.0 - way), oxygen_in_gas * (1.0 - x) * (1.0 - way) + oxygen_in_air * way,
                     oxygen_in_air);
  });
  return targets;
}

PurgePlan plan_purge(const PurgeQuestion& question) {
  const PurgeTargets targets = purge_targets(question.gas, question.oxygen_in_air, question.oxygen_in_gas);
  const double most_oxygen = question.margin * targets.oxygen_before_fuel;
  PurgePlan plan{leg_of(question.oxygen_in_air, targets.oxygen_before_fuel, question.oxygen_in_gas, question),
                 leg_of(1.0, targets.fuel_before_air, 0.0, question), std::nullopt};
  if (targets.oxygen_before_fuel > out_of_reach && plan.into_service.needed) {
    plan.oxygen_below = rounded_down_to(most_oxygen, figures);
  }
  // The oxygen of the purge gas has to keep the margin on the way out too: it counts from the first volume.
  const bool way_out_is_clean = !plan.into_service.needed || question.oxygen_in_gas <= most_oxygen;
  if (plan.out_of_service.needed && !way_out_is_clean) {
    plan.out_of_service.possible = false;
    plan.out_of_service.sweep = 0.0;
    plan.out_of_service.sweep_time.reset();
    plan.out_of_service.pressure.reset();
    plan.out_of_service.vacuum.reset();
  }
  for (PurgeLeg* leg : {&plan.into_service, &plan.out_of_service}) {
    if (!leg->possible) leg->refusal = refusal_of(question, targets.oxygen_before_fuel);
  }
  return plan;
}

}  // namespace leanside
