// SPDX-License-Identifier: Apache-2.0
#include "study/size/size_check.hpp"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <utility>

namespace leanside::study {
namespace {

/// Larger sites are not computed beyond the horizon that their file gives: it would take too long.
constexpr std::size_t most_spaces_until_settled = 200;

/// s at or over warn_at within the horizon.
double time_over(const SpaceResult& space, double horizon) {
  double time = 0.0;
  for (const Crossing& crossing : space.crossings) {
    if (crossing.threshold != Threshold::warn) continue;
    time += std::max(0.0, std::min(horizon, crossing.down.value_or(horizon)) - crossing.up);
  }
  return time;
}

/// Of the way from air outside to the nearer end of the criteria of oxygen.
double oxygen_closeness(const Site& site, double oxygen) {
  const Criteria& criteria = site.criteria;
  const double air = site.conditions.oxygen_in_air;
  const double way = oxygen < air ? air - criteria.oxygen_low : criteria.oxygen_high - air;
  return way > 0.0 ? std::abs(oxygen - air) / way : 1.0;
}

/// At least 1, since it is a warning; 1 where it has no measure.
double closeness_of(const Site& site, const Warning& warning) {
  switch (subject_of(warning)) {
    case Subject::fuel:
      return std::max(1.0, warning.lfl_fraction / site.criteria.warn_at);
    case Subject::oxygen:
      return std::max(1.0, oxygen_closeness(site, warning.oxygen));
    case Subject::toxic:
      return warning.toxic->idlh > 0.0 ? std::max(1.0, warning.toxic->worst / warning.toxic->idlh) : 1.0;
    default:
      return 1.0;
  }
}

Constraint of_warning(const Site& site, const Warning& warning, const SpaceResult& space, double horizon) {
  Constraint out{warning.case_index, warning.space, warning.severity, warning.lfl_fraction};
  out.is_steady = warning.worst_is_steady;
  out.oxygen = warning.oxygen;
  out.pressure = warning.pressure;
  out.subject = subject_of(warning);
  out.closeness = closeness_of(site, warning);
  if (out.subject == Subject::fuel) out.over_for = time_over(space, horizon);
  if (warning.toxic) {
    out.gas = warning.toxic->gas;
    out.gas_fraction = warning.toxic->worst;
  }
  if (warning.source) out.release = warning.source->release;
  return out;
}

/// How near a room comes to the IDLH of each gas that has one.
void add_toxic(const Site& site, CaseIndex case_index, SpaceIndex index, const SpaceResult& space,
               std::vector<Constraint>& out) {
  if (site.spaces[index.value].kind != SpaceKind::room) return;
  for (const Exposure& exposure : space.exposures) {
    Constraint c{case_index, index, Severity::toxic, space.peak.lfl_fraction};
    c.subject = Subject::toxic;
    c.gas = exposure.gas;
    c.gas_fraction = exposure.worst;
    const auto& steady = space.steady.at.fraction;
    if (space.steady.reached && exposure.gas.value < steady.size() && steady[exposure.gas.value] > c.gas_fraction) {
      c.gas_fraction = steady[exposure.gas.value];
      c.is_steady = true;
    }
    c.closeness = exposure.idlh > 0.0 ? c.gas_fraction / exposure.idlh : 0.0;
    out.push_back(std::move(c));
  }
}

/// How near a space comes to the margin of its fuel, to the nearer end of the criteria of oxygen, and to IDLHs.
std::vector<Constraint> of_space(const Site& site, CaseIndex case_index, SpaceIndex index, const SpaceResult& space) {
  const Criteria& criteria = site.criteria;
  Constraint fuel{case_index, index, Severity::margin, space.worst.lfl_fraction};
  fuel.is_steady = space.worst.is_steady;
  Constraint oxygen{case_index, index, Severity::oxygen, space.peak.lfl_fraction};
  const auto take = [&](double value, bool is_steady) {
    const double closeness = oxygen_closeness(site, value);
    if (closeness <= oxygen.closeness) return;
    oxygen.oxygen = value;
    oxygen.closeness = closeness;
    oxygen.is_steady = is_steady;
  };
  oxygen.closeness = 0.0;
  oxygen.subject = Subject::oxygen;
  take(space.lowest_oxygen, false);
  take(space.highest_oxygen, false);
  if (space.steady.reached) take(space.steady.at.oxygen, true);
  fuel.closeness = fuel.lfl_fraction / criteria.warn_at;
  std::vector<Constraint> out{fuel, oxygen};
  add_toxic(site, case_index, index, space, out);
  return out;
}

}  // namespace

WarningKey key_of(const Constraint& c) {
  constexpr int of_a_fan = -1;
  if (c.starved) return {c.case_index.value, c.space.value, of_a_fan, c.starved->value};
  const std::size_t index = c.gas ? c.gas->value : c.release ? c.release->value : 0;
  return {c.case_index.value, c.space.value, static_cast<int>(c.subject), index};
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

std::optional<double> Checked::excess(const WarningKeys& left_out) const {
  if (!fault.empty()) return {};
  std::optional<double> most;
  for (const Constraint& c : over) {
    if (left_out.contains(key_of(c))) continue;
    const bool measured = c.subject == Subject::fuel || c.subject == Subject::oxygen || c.subject == Subject::toxic;
    if (c.starved || !measured) return {};
    most = std::max(most.value_or(0.0), std::log(c.closeness));
  }
  if (most || nearest.empty()) return most;
  return std::min(0.0, std::log(nearest.front().closeness));
}

Checked checked(const Site& site, const Assessment& assessment) {
  Checked out;
  std::vector<const CaseResult*> of_case(site.cases.size(), nullptr);
  for (const CaseResult& result : assessment.cases) of_case[result.case_index.value] = &result;
  for (const Warning& warning : assessment.warnings) {
    if (warning.severity == Severity::note) continue;
    const bool local = warning.source && warning.source->hazard == SourceHazard::zone;
    (local ? out.local : out.over)
        .push_back(of_warning(site, warning, of_case[warning.case_index.value]->spaces[warning.space.value],
                              assessment.horizon));
  }
  for (const CaseResult& result : assessment.cases) {
    for (const StarvedFan& fan : result.starved) {
      Constraint c{result.case_index, fan.space};
      c.starved = fan.fan;
      out.over.push_back(std::move(c));
    }
  }
  const WarningKeys over = keys_of(out.over);
  for (const CaseResult& result : assessment.cases) {
    for (std::size_t i = 0; i < result.spaces.size(); ++i) {
      for (Constraint& c : of_space(site, result.case_index, SpaceIndex{i}, result.spaces[i])) {
        if (c.closeness > 1e-9 && !over.contains(key_of(c))) out.nearest.push_back(std::move(c));
      }
    }
  }
  std::stable_sort(out.nearest.begin(), out.nearest.end(),
                   [](const Constraint& a, const Constraint& b) { return a.closeness > b.closeness; });
  return out;
}

Site until_settled(const Site& site) {
  Site changed = site;
  if (site.spaces.size() <= most_spaces_until_settled) changed.criteria.open_ended = true;
  return changed;
}

Checked SizeCheck::operator()(const Site& site, bool in_time) {
  AssessOptions options;
  options.explain = false;
  options.steady_only = !in_time;
  ++runs_;
  Site longer = until_settled(site);
  if (longer.criteria.open_ended) longer.criteria.horizon = std::max(longer.criteria.horizon, time_);
  const auto outcome = assess(longer, options);
  if (const auto* fault = std::get_if<Fault>(&outcome)) return {{}, {}, {}, fault->message};
  return checked(site, std::get<Assessment>(outcome));
}

}  // namespace leanside::study
