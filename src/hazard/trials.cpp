// SPDX-License-Identifier: Apache-2.0
#include "hazard/trials.hpp"

#include <algorithm>
#include <cmath>

#include "hazard/case_solver.hpp"
#include "hazard/judge.hpp"
#include "hazard/room_models.hpp"

namespace leanside::hazard {
namespace {

/// Assessments of one case that its advice may take: some seconds at most.
constexpr std::size_t most_trials = 400, most_spaces_tried = 8000, largest_site = 200;

enum class Matter { fuel, oxygen, pressure, toxic };

Matter matter_of(Severity severity) {
  switch (severity) {
    case Severity::oxygen:
      return Matter::oxygen;
    case Severity::pressure:
      return Matter::pressure;
    case Severity::toxic:
      return Matter::toxic;
    default:
      return Matter::fuel;
  }
}

double time_over_margin(const Site& site, const SpaceResult& result) {
  double time = 0.0;
  for (const Crossing& crossing : result.crossings) {
    if (crossing.threshold != Threshold::warn) continue;
    time += crossing.down.value_or(site.criteria.horizon) - crossing.up;
  }
  return time;
}

/// The gas that is farthest above its IDLH.
void keep_worst(std::optional<ToxicGas>& worst, const ToxicGas& gas) {
  if (!worst || gas.worst / gas.idlh > worst->worst / worst->idlh) worst = gas;
}

}  // namespace

Outcome outcome_of(const Site& site, CaseIndex case_index, const SpaceResult& result, const Warning& warning) {
  Outcome outcome;
  outcome.steady = result.steady.reached;
  const Instant& steady = result.steady.at;
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
  for (const Warning& left : warnings_of(site, case_index, warning.space, result)) {
    if (left.severity == Severity::note) continue;
    const Matter about = matter_of(left.severity), asked = matter_of(warning.severity);
    outcome.over = outcome.over || about == asked;
    if (about == Matter::fuel && asked == Matter::oxygen) outcome.fuel = left.lfl_fraction;
    if (about == Matter::oxygen && asked == Matter::fuel) outcome.oxygen = left.oxygen;
    if (left.toxic) keep_worst(outcome.toxic, *left.toxic);
  }
  return outcome;
}

Trials::Trials(const Site& asked, const Site& shown, CaseIndex case_index, bool steady_only)
    : asked_{asked},
      shown_{shown},
      has_other_models_{models_to_solve(asked, case_index).sites.size() > 1},
      has_rough_runs_{has_other_models_ || has_layers(asked)},
      which_{case_index},
      steady_only_{steady_only} {
  asked_.criteria.open_ended = false;
  shown_.criteria.open_ended = false;
  const std::size_t spaces = std::max<std::size_t>(1, asked.spaces.size());
  left_ = spaces > largest_site ? 0 : std::min(most_trials, most_spaces_tried / spaces);
}

// What is found quickly is held against all models, which are followed closely. Until then a rough run does, with some
// margin for its error.
std::optional<CaseResult> Trials::run(Site changed) {
  if (left_ == 0) return std::nullopt;
  --left_;
  const bool roughly = depth_ != Depth::closely;
  constexpr double margin = 1e-3;
  if (roughly) {
    changed.criteria.warn_at *= 1.0 - margin;
    changed.criteria.oxygen_low *= 1.0 + 0.1 * margin;
    changed.criteria.oxygen_high *= 1.0 - 0.1 * margin;
  }
  AssessOptions options;
  options.only = which_;
  options.steady_only = steady_only_;
  options.explain = false;
  options.series_points = 2;
  auto assessed = roughly ? assess_roughly(changed, options) : assess(changed, options);
  auto* answer = std::get_if<Assessment>(&assessed);
  if (answer == nullptr) return std::nullopt;
  return std::move(answer->cases.front());
}

std::optional<Outcome> Trials::of(const Site& changed, const Warning& warning) {
  const auto result = run(changed);
  if (!result) return std::nullopt;
  return outcome_of(changed, which_, result->spaces[warning.space.value], warning);
}

std::optional<Outcome> Trials::without(const std::vector<ReleaseIndex>& releases, const Warning& warning) {
  const auto key = std::pair(depth_, releases);
  auto known = stopped_.find(key);
  if (known == stopped_.end()) known = stopped_.emplace(key, run(with_stopped(base(), releases))).first;
  if (!known->second) return std::nullopt;
  return outcome_of(base(), which_, known->second->spaces[warning.space.value], warning);
}

}  // namespace leanside::hazard
