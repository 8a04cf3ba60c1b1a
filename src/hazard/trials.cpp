// SPDX-License-Identifier: Apache-2.0
#include "hazard/trials.hpp"

#include <algorithm>
#include <cmath>

#include "hazard/judge.hpp"

namespace leanside::hazard {
namespace {

/// Assessments of one case that its advice may take: some seconds at most.
constexpr std::size_t most_trials = 400, most_spaces_tried = 8000, largest_site = 200;

/// Whether two warnings are about the same: the gas, the oxygen or the pressure.
bool same_matter(Severity a, Severity b) {
  const auto matter = [](Severity s) { return s == Severity::oxygen ? 1 : s == Severity::pressure ? 2 : 0; };
  return matter(a) == matter(b);
}

double time_over_margin(const Site& site, const SpaceResult& result) {
  double time = 0.0;
  for (const Crossing& crossing : result.crossings) {
    if (crossing.threshold != Threshold::warn) continue;
    time += crossing.down.value_or(site.criteria.horizon) - crossing.up;
  }
  return time;
}

}  // namespace

Outcome outcome_of(const Site& site, CaseIndex which, const SpaceResult& result, const Warning& warning) {
  Outcome outcome;
  outcome.steady = result.sustained.reached;
  const Instant& steady = result.sustained.at;
  const double low = site.criteria.oxygen_low, high = site.criteria.oxygen_high;
  if (warning.severity == Severity::oxygen) {
    const bool is_low = warning.oxygen < site.conditions.oxygen_in_air;
    outcome.worst = is_low ? result.lowest_oxygen : result.highest_oxygen;
    if (outcome.steady) {
      outcome.worst = is_low ? std::min(outcome.worst, steady.oxygen) : std::max(outcome.worst, steady.oxygen);
      outcome.steady_over = steady.oxygen < low * (1.0 - 1e-9) || steady.oxygen > high * (1.0 + 1e-9);
    }
  } else if (warning.severity == Severity::pressure) {
    outcome.worst = result.pressure;
  } else {
    outcome.worst = result.peak.lfl_fraction;
    outcome.over_time = time_over_margin(site, result);
    if (outcome.steady) {
      outcome.worst = std::max(outcome.worst, steady.lfl_fraction);
      outcome.steady_over = steady.lfl_fraction >= site.criteria.warn_at * (1.0 - 1e-9);
    }
  }
  for (const Warning& left : warnings_of(site, which, warning.space, result)) {
    const bool counts = left.severity != Severity::note && same_matter(left.severity, warning.severity);
    outcome.over = outcome.over || counts;
  }
  return outcome;
}

Trials::Trials(const Site& asked, CaseIndex which, bool sustained_only)
    : asked_{asked}, which_{which}, sustained_only_{sustained_only} {
  const std::size_t spaces = std::max<std::size_t>(1, asked.spaces.size());
  left_ = spaces > largest_site ? 0 : std::min(most_trials, most_spaces_tried / spaces);
}

std::optional<Outcome> Trials::of(const Site& changed, const Warning& warning) {
  if (left_ == 0) return std::nullopt;
  --left_;
  AssessOptions options;
  options.only = which_;
  options.sustained_only = sustained_only_;
  options.explain = false;
  options.series_points = 2;
  const auto assessed = assess(changed, options);
  const auto* answer = std::get_if<Assessment>(&assessed);
  if (answer == nullptr) return std::nullopt;
  return outcome_of(changed, which_, answer->cases.front().spaces[warning.space.value], warning);
}

}  // namespace leanside::hazard
