// SPDX-License-Identifier: Apache-2.0
#include "study/size/size_check.hpp"

#include <algorithm>
#include <utility>

namespace leanside::study {
namespace {

bool is_about_fuel(Severity severity) {
  return severity == Severity::flammable || severity == Severity::rich || severity == Severity::margin;
}

/// s at or over warn_at within the horizon.
double time_over(const SpaceResult& space, double horizon) {
  double time = 0.0;
  for (const Crossing& crossing : space.crossings) {
    if (crossing.threshold != Threshold::warn) continue;
    time += std::max(0.0, std::min(horizon, crossing.down.value_or(horizon)) - crossing.up);
  }
  return time;
}

Constraint of_warning(const Site& site, const Warning& warning, const SpaceResult& space) {
  Constraint out{warning.which, warning.space, warning.severity, warning.lfl_fraction};
  out.is_sustained = warning.worst_is_sustained;
  out.oxygen = warning.oxygen;
  out.pressure = warning.pressure;
  if (is_about_fuel(warning.severity)) out.over_for = time_over(space, site.criteria.horizon);
  return out;
}

/// How near a space comes to the margin of its fuel, and to the nearer end of the criteria of oxygen.
std::vector<Constraint> of_space(const Site& site, CaseIndex which, SpaceIndex index, const SpaceResult& space) {
  const Criteria& criteria = site.criteria;
  Constraint fuel{which, index, Severity::margin, space.worst.lfl_fraction};
  fuel.is_sustained = space.worst.is_steady;
  Constraint oxygen{which, index, Severity::oxygen, space.peak.lfl_fraction};
  const double air = site.conditions.oxygen_in_air;
  const auto part = [&](double value) {
    const double way = value < air ? air - criteria.oxygen_low : criteria.oxygen_high - air;
    return way > 0.0 ? std::abs(value - air) / way : 1.0;
  };
  const auto take = [&](double value, bool is_sustained) {
    if (part(value) <= oxygen.closeness) return;
    oxygen.oxygen = value;
    oxygen.closeness = part(value);
    oxygen.is_sustained = is_sustained;
  };
  oxygen.closeness = 0.0;
  take(space.lowest_oxygen, false);
  take(space.highest_oxygen, false);
  if (space.sustained.reached) take(space.sustained.at.oxygen, true);
  fuel.closeness = fuel.lfl_fraction / criteria.warn_at;
  return {fuel, oxygen};
}

}  // namespace

WarningKey key_of(const Constraint& c) {
  return {c.which.value, c.space.value, is_about_fuel(c.severity) ? 0 : 1 + static_cast<int>(c.severity)};
}

WarningKeys keys_of(const std::vector<Constraint>& constraints) {
  WarningKeys out;
  for (const Constraint& c : constraints) out.insert(key_of(c));
  return out;
}

WarningKeys common(const WarningKeys& a, const WarningKeys& b) {
  WarningKeys out;
  std::set_intersection(a.begin(), a.end(), b.begin(), b.end(), std::inserter(out, out.end()));
  return out;
}

bool Checked::holds(const WarningKeys& left_out) const {
  return fault.empty() &&
         std::all_of(over.begin(), over.end(), [&](const Constraint& c) { return left_out.contains(key_of(c)); });
}

Checked checked(const Site& site, const Assessment& assessment) {
  Checked out;
  std::vector<const CaseResult*> of_case(site.cases.size(), nullptr);
  for (const CaseResult& result : assessment.cases) of_case[result.which.value] = &result;
  for (const Warning& warning : assessment.warnings) {
    if (warning.severity == Severity::note) continue;
    out.over.push_back(of_warning(site, warning, of_case[warning.which.value]->spaces[warning.space.value]));
  }
  const WarningKeys over = keys_of(out.over);
  for (const CaseResult& result : assessment.cases) {
    for (std::size_t i = 0; i < result.spaces.size(); ++i) {
      for (Constraint& c : of_space(site, result.which, SpaceIndex{i}, result.spaces[i])) {
        if (c.closeness > 1e-9 && !over.contains(key_of(c))) out.nearest.push_back(std::move(c));
      }
    }
  }
  std::stable_sort(out.nearest.begin(), out.nearest.end(),
                   [](const Constraint& a, const Constraint& b) { return a.closeness > b.closeness; });
  return out;
}

Checked SizeCheck::operator()(const Site& site, bool in_time) {
  AssessOptions how;
  how.explain = false;
  how.sustained_only = !in_time;
  ++runs_;
  const auto outcome = assess(site, how);
  if (const auto* fault = std::get_if<SolveFault>(&outcome)) return {{}, {}, fault->message};
  return checked(site, std::get<Assessment>(outcome));
}

}  // namespace leanside::study
