// SPDX-License-Identifier: Apache-2.0
#include "hazard/air_search.hpp"

#include <algorithm>
#include <cmath>

namespace leanside::hazard {
namespace {

/// A remedy is solved again on the changed site where that is quick; above, its equations are the exact ones all the
/// same.
constexpr std::size_t spaces_to_solve_again = 2000;
/// Where the other flows answer to the air, finding it takes some twenty solutions of the whole site.
constexpr std::size_t spaces_for_search = 200;
/// No advice is finer than this share of an air change an hour, or than such a hole, m2: where any opening at all gives
/// air another way, however little would do.
constexpr double least_air_changes = 0.01;
constexpr double least_vent = 1e-6;
/// Advice just at the threshold is reached by no room: rounding decides.
constexpr double just_under = 1.0 - 1e-6;

/// The measure of a warning in the steady state of a changed site.
std::optional<double> steady_value(const Site& changed, const Warning& warning, const std::vector<double>& weights) {
  const auto solved = solve_steady(changed, warning.case_index, gas_tracers(changed));
  const auto* fractions = std::get_if<SteadyFractions>(&solved);
  if (fractions == nullptr) return std::nullopt;
  double value = 0.0;
  for (std::size_t k = 0; k < weights.size(); ++k) value += weights[k] * fractions->fractions(warning.space, k);
  return value;
}

/// Fresh air, m3/s, and the measure that it leads to.
struct SteadyAir {
  double flow = 0.0, value = 0.0;
};

/// Where the other flows answer to the air: by halving, each time with the whole site solved again.
std::optional<SteadyAir> air_with_moving_flows(const SolvedCase& solved, const Warning& warning,
                                               const std::vector<double>& weights, double target, double guess) {
  if (solved.site.spaces.size() > spaces_for_search) return std::nullopt;
  const auto with = [&](double flow) {
    return steady_value(with_extra_air(solved.site, warning.space, flow), warning, weights);
  };
  double low = 0.0, high = guess;
  auto value = with(high);
  for (int k = 0; k < 40 && value && *value > target; ++k) {
    low = high;
    high *= 2.0;
    value = with(high);
  }
  if (!value || *value > target) return std::nullopt;
  const double enough = 1e-4 * guess;
  while (high > enough && high - low > 1e-4 * high) {
    const double middle = 0.5 * (low + high);
    const auto there = with(middle);
    if (!there) return std::nullopt;
    if (*there > target) {
      low = middle;
    } else {
      high = middle;
      value = there;
    }
  }
  return SteadyAir{high, *value};
}

/// Least fresh air that brings the measure in the steady state to `target`; empty where there is none or it does not
/// hold when solved again.
std::optional<SteadyAir> steady_air(const SolvedCase& solved, const Warning& warning, double target) {
  const Site& site = solved.site;
  const Space& space = site.spaces[warning.space.value];
  const std::vector<double> weights = measure_of(warning, solved.models.of(warning.space));
  if (solved.system.in_layers()) {       // the layers move with the air: an air change an hour to begin with
    constexpr double least_guess = 1.0;  // m3
    return air_with_moving_flows(solved, warning, weights, target, std::max(space.volume, least_guess) / 3600.0);
  }
  const auto air = solved.system.extra_air(warning.space, weights, target);
  if (!air) return std::nullopt;
  SteadyAir found{air->rate * gas_constant * space.temperature / site.conditions.pressure, air->value};
  if (std::any_of(site.airways.begin(), site.airways.end(), follows_pressure)) {
    return air_with_moving_flows(solved, warning, weights, target, found.flow);
  }
  if (site.spaces.size() <= spaces_to_solve_again) {
    const auto again = steady_value(with_extra_air(site, warning.space, found.flow), warning, weights);
    if (!again) return std::nullopt;
    if (*again > target * (1.0 + 0.5e-6)) return air_with_moving_flows(solved, warning, weights, target, found.flow);
    found.value = *again;
  }
  return found;
}

/// Air, m3/s, that goes through a space at the start.
double air_of_today(const SolvedCase& solved, SpaceIndex space) {
  double into = 0.0;
  for (const MolarFlow& flow : solved.result.flows.flows) {
    if (flow.to == Side{space}) into += flow.rate;
  }
  return into * gas_constant * solved.site.spaces[space.value].temperature / solved.site.conditions.pressure;
}

/// Between two flows, the first too little and the second enough, the one at which a power law through both comes just
/// under the target; kept off the ends, since the law is only a guess.
double flow_between(std::pair<double, double> low, std::pair<double, double> high, double target) {
  const auto [q0, m0] = low;
  const auto [q1, m1] = high;
  const double middle = q0 > 0.0 ? std::sqrt(q0 * q1) : 0.5 * q1;
  if (!(q0 > 0.0) || !(m1 > 0.0) || !(m0 > m1)) return middle;
  const double wanted = std::log(q0) + std::log(q1 / q0) * std::log(m0 / (0.9985 * target)) / std::log(m0 / m1);
  const double guess = std::exp(wanted);
  constexpr double off = 0.02;
  return std::clamp(guess, q0 * std::pow(q1 / q0, off), q1 * std::pow(q1 / q0, -off));
}

/// The fresh air between `base` and `most` that keeps the whole course within the criteria, to some thousandths (to a
/// fiftieth with layers).
bool find_air_for_course(const SolvedCase& solved, const Aim& aim, double base, double most, Warning& warning) {
  const double change = solved.site.spaces[warning.space.value].volume / 3600.0;  // m3/s of an air change an hour
  const double today = air_of_today(solved, warning.space);
  const double air = solved.site.conditions.oxygen_in_air;
  const auto with = [&](double flow) {
    return solved.trials.of(with_extra_air(solved.trials.base(), warning.space, flow), warning);
  };
  const auto measure = [&](const Outcome& outcome) {
    return warning.severity == Severity::oxygen ? std::abs(air - outcome.worst) : outcome.worst;
  };
  double low = base, high = std::min(most, std::max(2.0 * base, change));
  double low_measure = warning.severity == Severity::oxygen ? std::abs(air - warning.oxygen) : warning.lfl_fraction;
  auto outcome = with(high);
  while (outcome && outcome->over && high < most) {
    low = high;
    low_measure = measure(*outcome);
    high = std::min(most, 4.0 * high);
    outcome = with(high);
  }
  if (!outcome) return false;
  Remedy& remedy = warning.remedy;
  if (outcome->over) {
    remedy.air_limit = AirLimit::too_much;
    remedy.after_air = outcome;
    return false;
  }
  constexpr int most_steps = 20;
  // A run with layers takes long, and they are not known to a thousandth.
  const bool layered = has_layers(solved.site);
  const double near_enough = layered ? 0.98 : 0.997, finely = layered ? 2e-2 : 1e-3;
  for (int k = 0; k < most_steps && high > least_air_changes * change && high - low > finely * high; ++k) {
    if (measure(*outcome) >= near_enough * aim.target) break;
    double flow = flow_between({today + low, low_measure}, {today + high, measure(*outcome)}, aim.target) - today;
    if (k % 4 == 3 || !(flow > low && flow < high)) flow = 0.5 * (low + high);
    const auto there = with(flow);
    if (!there) break;  // what was found holds, if not to a thousandth
    if (there->over) {
      low = flow;
      low_measure = measure(*there);
    } else {
      high = flow;
      outcome = there;
    }
  }
  remedy.extra_air = high;
  remedy.value_after = outcome->worst;
  remedy.after_air = outcome;
  return true;
}

/// The least area, m2, with which a value that falls with it is at most `target`; empty where none up to 4 m2 is
/// enough.
template <class ValueWith>
std::optional<double> least_area(const ValueWith& value_with, double target) {
  constexpr double first_area = 1e-4, most_area = 4.0, finely = 5e-3;
  const auto enough = [&](double area) -> std::optional<bool> {
    const auto value = value_with(area);
    return value ? std::optional{*value <= target} : std::nullopt;
  };
  double low = 0.0, high = first_area;
  auto reached = enough(high);
  while (reached && !*reached && high < most_area) {
    low = high;
    high *= 2.0;
    reached = enough(high);
  }
  if (!reached || !*reached) return std::nullopt;
  while (high > least_vent && high - low > finely * high) {
    const double middle = 0.5 * (low + high);
    reached = enough(middle);
    if (!reached) return std::nullopt;
    (*reached ? high : low) = middle;
  }
  return high;
}

}  // namespace

double most_extra_air(const SolvedCase& solved, SpaceIndex space) {
  const double volume = solved.site.spaces[space.value].volume;
  return std::max(0.0, most_air_changes / 3600.0 * volume - air_of_today(solved, space));
}

AirFor find_air(const SolvedCase& solved, const Aim& aim, Warning& warning) {
  Remedy& remedy = warning.remedy;
  const double most = most_extra_air(solved, warning.space);
  std::optional<SteadyAir> steady;
  if (aim.steady_over) {
    steady = steady_air(solved, warning, aim.target);
    if (!steady) return AirFor::nothing;
  }
  if (most <= 0.0 || (steady && steady->flow > most)) {
    remedy.air_limit = AirLimit::too_much;
    if (most > 0.0) {
      remedy.after_air = solved.trials.of(with_extra_air(solved.trials.base(), warning.space, most), warning);
    }
    return AirFor::nothing;
  }
  if (steady) {
    const auto outcome = solved.trials.of(with_extra_air(solved.trials.base(), warning.space, steady->flow), warning);
    if (!outcome || !outcome->over || aim.start_over) {
      remedy.extra_air = steady->flow;
      remedy.value_after = steady->value;
      remedy.after_air = outcome;
      return AirFor::steady_state;
    }
  }
  if (aim.start_over) {
    remedy.air_limit = AirLimit::at_start;
    return AirFor::nothing;
  }
  const bool found = find_air_for_course(solved, aim, steady ? steady->flow : 0.0, most, warning);
  return found ? AirFor::course : AirFor::nothing;
}

bool find_vents(const SolvedCase& solved, const Aim& aim, Warning& warning) {
  if (solved.site.spaces.size() > spaces_for_search) return false;
  const std::vector<double> weights = measure_of(warning, solved.models.of(warning.space));
  const auto value_with = [&](double area) {
    return steady_value(with_vents(solved.site, warning.space, area), warning, weights);
  };
  const auto before = value_with(0.0);
  if (!before || *before <= aim.target)
    return false;  // only a passing peak is over the margin, which the steady state does not show
  auto area = least_area(value_with, aim.target);
  // Right over a leak even the thinnest layer may be over the margin: then at least under the limit.
  if (!area && warning.severity != Severity::oxygen && *before > 1.0) area = least_area(value_with, just_under);
  if (!area) return false;
  // A layer may pass its steady state on the way there: openings a little wider keep the course under it too.
  constexpr double wider = 1.15;
  constexpr int most_steps = 5;
  std::optional<Outcome> outcome;
  double wide = *area;
  for (int k = 0; k < most_steps; ++k, wide *= wider) {
    auto after = solved.trials.of(with_vents(solved.trials.base(), warning.space, wide), warning);
    const bool holds = after && !after->over;
    if (k == 0 || holds) outcome = std::move(after);
    if (holds) area = wide;
    if (!outcome || holds || outcome->steady_over) break;
  }
  const auto value = value_with(*area);
  if (!value) return false;
  warning.remedy.vent_area = *area;
  warning.remedy.value_after = *value;
  warning.remedy.after_air = outcome;
  return true;
}

bool find_opening(const SolvedCase& solved, Warning& warning) {
  const auto& starved = solved.result.starved;
  const auto fan =
      std::find_if(starved.begin(), starved.end(), [&](const StarvedFan& f) { return f.space == warning.space; });
  if (fan == starved.end()) return false;
  const Site& site = solved.site;
  const Side from = first_side(site.airways[fan->fan.value]);
  const double temperature = from ? site.spaces[from->value].temperature : site.conditions.outside_temperature;
  const double area = free_area_for(fan->given * gas_constant * temperature / site.conditions.pressure);
  const auto after = solved.trials.of(with_opening(solved.trials.base(), warning.space, area), warning);
  if (!after) return false;
  warning.remedy.opening = OpeningAdvice{fan->fan, fan->inlet, area, *after};
  return !after->over;
}

}  // namespace leanside::hazard
