// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <limits>
#include <tuple>

#include "hazard/judge.hpp"
#include "hazard/watch.hpp"

namespace leanside {

std::string_view word_of(Severity severity) {
  switch (severity) {
    case Severity::flammable:
      return "flammable";
    case Severity::rich:
      return "rich";
    case Severity::margin:
      return "margin";
    case Severity::oxygen:
      return "oxygen";
    case Severity::pressure:
      return "pressure";
    case Severity::note:
      break;
  }
  return "note";
}

std::string_view word_of(Threshold threshold) {
  switch (threshold) {
    case Threshold::note:
      return "note";
    case Threshold::warn:
      return "warn";
    case Threshold::lfl:
      return "lfl";
    case Threshold::ufl:
      return "ufl";
    case Threshold::stoichiometric:
      break;
  }
  return "stoichiometric";
}

std::string_view word_of(Picture picture) {
  switch (picture) {
    case Picture::mixed:
      return "mixed";
    case Picture::layered:
      return "layered";
    case Picture::only:
      break;
  }
  return "only";
}

namespace hazard {
namespace {

bool too_rich_to_burn(MixtureState state) { return state == MixtureState::rich || state == MixtureState::inerted; }

/// When a space first passed a threshold.
std::optional<double> first_passage(const SpaceResult& result, Threshold threshold) {
  std::optional<double> first;
  for (const Crossing& crossing : result.crossings) {
    if (crossing.threshold == threshold && (!first || crossing.up < *first)) first = crossing.up;
  }
  return first;
}

/// When a space first had just the oxygen that burns its fuel, from below or, where it starts richer, from above.
std::optional<double> first_stoichiometric(const SpaceResult& result) {
  for (const Crossing& crossing : result.crossings) {
    if (crossing.threshold == Threshold::stoichiometric) {
      return crossing.up > 0.0 ? std::optional{crossing.up} : crossing.down;
    }
  }
  return std::nullopt;
}

/// The warning about what may burn in a space, if there is one: the worst that holds.
std::optional<Warning> fuel_warning(const Site& site, const SpaceResult& result) {
  const Instant& peak = result.peak;
  const Instant* const sustained = result.sustained.reached ? &result.sustained.at : nullptr;
  Warning warning;
  // Where the sustained value is approached from below without end, the two are equal but for round-off.
  warning.worst_is_sustained = sustained != nullptr && sustained->lfl_fraction > peak.lfl_fraction * (1.0 + 1e-9);
  const Instant& worst = warning.worst_is_sustained ? *sustained : peak;
  warning.lfl_fraction = worst.lfl_fraction;
  warning.worst_state = worst.state;
  if (result.flammable_from || (sustained != nullptr && sustained->state == MixtureState::flammable)) {
    warning.severity = Severity::flammable;
    warning.time = result.flammable_from;
    warning.flammable_time = result.flammable_time;
    warning.stoichiometric = first_stoichiometric(result);
  } else if (too_rich_to_burn(worst.state)) {
    warning.severity = Severity::rich;
    warning.time = first_passage(result, Threshold::lfl);
  } else if (reached(warning.lfl_fraction, site.criteria.warn_at)) {
    warning.severity = Severity::margin;
    warning.time = first_passage(result, Threshold::warn);
  } else if (reached(warning.lfl_fraction, site.criteria.note_at)) {
    warning.severity = Severity::note;
    warning.time = first_passage(result, Threshold::note);
  } else {
    return std::nullopt;
  }
  return warning;
}

std::optional<Warning> oxygen_warning(const Site& site, const SpaceResult& result) {
  const double low = site.criteria.oxygen_low, high = site.criteria.oxygen_high;
  const auto beyond = [&](double oxygen) { return std::max(low - oxygen, oxygen - high); };
  double worst =
      beyond(result.lowest_oxygen) > beyond(result.highest_oxygen) ? result.lowest_oxygen : result.highest_oxygen;
  bool is_sustained = false;
  if (result.sustained.reached && beyond(result.sustained.at.oxygen) > beyond(worst) + 1e-12) {
    worst = result.sustained.at.oxygen;
    is_sustained = true;
  }
  if (beyond(worst) <= 1e-12) return std::nullopt;
  Warning warning;
  warning.severity = Severity::oxygen;
  warning.oxygen = worst;
  warning.worst_is_sustained = is_sustained;
  warning.time = result.oxygen_left_criteria;
  warning.lfl_fraction = result.peak.lfl_fraction;
  warning.worst_state = result.peak.state;
  return warning;
}

std::optional<Warning> pressure_warning(const SpaceResult& result) {
  if (!result.pressure_110) return std::nullopt;
  Warning warning;
  warning.severity = Severity::pressure;
  warning.pressure = result.pressure;
  warning.time = result.pressure_110;
  warning.pressure_twice = result.pressure_200;
  warning.lfl_fraction = result.peak.lfl_fraction;
  warning.worst_state = result.peak.state;
  return warning;
}

/// Where the layer is that a warning is about, when that of the gas is deepest, the long run included.
HeightRange layer_of(const Site& site, const LayeredRoom& room, const SpaceResult& told) {
  const double height = *site.spaces[room.space.value].height;
  const double in_the_long_run = room.sustained_interface.value_or(room.deepest_interface);
  const double deepest = room.gas_above ? std::min(room.deepest_interface, in_the_long_run)
                                        : std::max(room.deepest_interface, in_the_long_run);
  const bool of_upper = told.peak.lfl_fraction == room.upper.peak.lfl_fraction &&
                        (room.gas_above || told.peak.lfl_fraction != room.lower.peak.lfl_fraction);
  return of_upper ? HeightRange{deepest, height} : HeightRange{0.0, deepest};
}

}  // namespace

std::vector<Warning> warnings_of(const Site& site, CaseIndex which, SpaceIndex space, const SpaceResult& result) {
  std::vector<Warning> warnings;
  for (auto warning : {fuel_warning(site, result), oxygen_warning(site, result), pressure_warning(result)}) {
    if (!warning) continue;
    warning->which = which;
    warning->space = space;
    warnings.push_back(std::move(*warning));
  }
  return warnings;
}

std::vector<Warning> find_warnings(const Site& site, const CaseResult& result) {
  std::vector<Warning> warnings;
  for (std::size_t i = 0; i < result.spaces.size(); ++i) {
    const auto layered = std::find_if(result.layered.begin(), result.layered.end(),
                                      [&](const LayeredRoom& room) { return room.space == SpaceIndex{i}; });
    for (Warning& warning : warnings_of(site, result.which, SpaceIndex{i}, result.spaces[i])) {
      if (layered != result.layered.end()) warning.layer = layer_of(site, *layered, result.spaces[i]);
      warnings.push_back(std::move(warning));
    }
  }
  return warnings;
}

void rank(const Site& site, std::vector<Warning>& warnings) {
  const auto key = [&](const Warning& w) {
    return std::tuple(w.severity, w.which.value != 0, w.time.value_or(std::numeric_limits<double>::infinity()),
                      -w.lfl_fraction, std::string_view(site.spaces[w.space.value].id), w.which.value);
  };
  std::stable_sort(warnings.begin(), warnings.end(),
                   [&](const Warning& a, const Warning& b) { return key(a) < key(b); });
}

std::vector<double> measure_of(const Warning& warning, const MixtureModel& model) {
  if (warning.severity != Severity::oxygen) return model.lower;
  std::vector<double> weights = model.oxygen;
  if (warning.oxygen < model.oxygen_in_air) {
    for (double& w : weights) w = -w;
  }
  return weights;
}

}  // namespace hazard
}  // namespace leanside
