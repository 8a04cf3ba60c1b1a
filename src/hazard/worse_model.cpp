// SPDX-License-Identifier: Apache-2.0
#include "hazard/worse_model.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <tuple>
#include <utility>

#include "hazard/judge.hpp"
#include "hazard/layer_watch.hpp"

namespace leanside::hazard {
namespace {

/// What tells two warnings of the same case apart.
using About = std::tuple<SpaceIndex, Subject, std::size_t>;

About about(const Warning& warning) {
  std::size_t which = 0;
  if (warning.toxic) which = warning.toxic->gas.value;
  if (warning.source) which = warning.source->release.value;
  return {warning.space, subject_of(warning), which};
}

double time_of(const Warning& warning) { return warning.time.value_or(std::numeric_limits<double>::infinity()); }

bool is_worse(const Site& site, const Warning& a, const Warning& b) {
  const double air = site.conditions.oxygen_in_air;
  const auto key = [&](const Warning& w) {
    double level = w.lfl_fraction;
    if (w.toxic) level = w.toxic->worst;
    if (subject_of(w) == Subject::oxygen) level = std::abs(w.oxygen - air);
    if (w.severity == Severity::pressure) level = w.pressure;
    return std::tuple(w.severity, -level, time_of(w));
  };
  return key(a) < key(b);
}

/// Two warnings about the same in one: the worse, from the earlier of both times if both are as severe.
void take_worse_warning(const Site& site, Warning& known, std::size_t& shown_by, Warning other, std::size_t number) {
  const bool as_severe = known.severity == other.severity;
  const auto time = time_of(other) < time_of(known) ? other.time : known.time;
  const double in_range = std::max(known.flammable_time, other.flammable_time);
  if (is_worse(site, other, known)) {
    known = std::move(other);
    shown_by = number;
  }
  if (!as_severe) return;
  known.time = time;
  if (known.severity == Severity::flammable) known.flammable_time = in_range;
}

/// The worse of both models about each thing that is warned of.
void take_warnings(const Site& site, Solved& first, Solved& second, std::size_t number) {
  first.shown_by.resize(first.warnings.size(), 0);
  for (Warning& other : second.warnings) {
    const auto known = std::find_if(first.warnings.begin(), first.warnings.end(),
                                    [&](const Warning& w) { return about(w) == about(other); });
    if (known == first.warnings.end()) {
      first.warnings.push_back(std::move(other));
      first.shown_by.push_back(number);
    } else {
      const auto place = static_cast<std::size_t>(known - first.warnings.begin());
      take_worse_warning(site, *known, first.shown_by[place], std::move(other), number);
    }
  }
  second.warnings.clear();
}

/// What the mixed rooms reach, beside what their layers do.
void note_mixed(const CaseResult& mixed, std::vector<Warning>& warnings) {
  for (Warning& warning : warnings) {
    if (!warning.layer || subject_of(warning) != Subject::fuel) continue;
    warning.mixed_lfl_fraction = mixed.spaces[warning.space.value].worst.lfl_fraction;
  }
}

/// The larger zone of each release.
void take_zones(std::vector<SourceZone>& zones, const std::vector<SourceZone>& others) {
  for (const SourceZone& zone : others) {
    const auto known =
        std::find_if(zones.begin(), zones.end(), [&](const SourceZone& z) { return z.release == zone.release; });
    if (known == zones.end()) {
      zones.push_back(zone);
    } else if (zone.zone.cloud > known->zone.cloud) {
      *known = zone;
    }
  }
  std::sort(zones.begin(), zones.end(), [](const SourceZone& a, const SourceZone& b) { return a.release < b.release; });
}

/// A space that burns as a whole needs no warning of a zone in it.
void drop_zones_in_burning_spaces(Solved& solved) {
  const auto burns = [&](SpaceIndex space) {
    return std::any_of(solved.warnings.begin(), solved.warnings.end(), [&](const Warning& w) {
      return w.space == space && (w.severity == Severity::flammable || w.severity == Severity::rich);
    });
  };
  for (std::size_t k = solved.warnings.size(); k-- > 0;) {
    const Warning& warning = solved.warnings[k];
    if (!warning.source || warning.source->hazard != SourceHazard::zone || !burns(warning.space)) continue;
    solved.warnings.erase(solved.warnings.begin() + static_cast<std::ptrdiff_t>(k));
    solved.shown_by.erase(solved.shown_by.begin() + static_cast<std::ptrdiff_t>(k));
  }
}

}  // namespace

void add_starved(std::vector<StarvedFan>& known, const std::vector<StarvedFan>& more) {
  for (const StarvedFan& fan : more) {
    const auto same = std::find_if(known.begin(), known.end(), [&](const auto& other) { return other.fan == fan.fan; });
    std::optional<StarvedFan> worst;
    if (same != known.end()) worst = *same;
    keep_worst(worst, fan);
    if (same == known.end()) {
      known.push_back(*worst);
    } else {
      *same = *worst;
    }
  }
}

void take_the_worse(const Site& site, Solved& first, Solved& second, RoomModel room_model, std::size_t number) {
  CaseResult &result = first.result, &other = second.result;
  if (room_model == RoomModel::mixed) note_mixed(other, first.warnings);
  take_zones(result.zones, other.zones);
  take_warnings(site, first, second, number);
  drop_zones_in_burning_spaces(first);
  const auto take = [&](auto& into, auto& from, SpaceIndex space) {
    std::erase_if(into, [&](const auto& entry) { return entry.space == space; });
    for (auto& entry : from) {
      if (entry.space == space) into.push_back(std::move(entry));
    }
  };
  for (std::size_t i = 0; i < site.spaces.size(); ++i) {
    const SpaceIndex space{i};
    const auto &from = result.spaces[i].flammable_from, &other_from = other.spaces[i].flammable_from;
    const auto earliest = from && other_from ? std::min(from, other_from) : from ? from : other_from;
    if (is_worse(site, space, other.spaces[i], result.spaces[i])) {
      if (!result.room_model.empty()) result.room_model[i] = room_model;
      result.spaces[i] = std::move(other.spaces[i]);
      take(result.layered, other.layered, space);
      take(first.rising, second.rising, space);
      if (first.grid && second.grid) first.grid->take(space, *second.grid);
    }
    result.spaces[i].flammable_from = earliest;
  }
  add_starved(result.starved, other.starved);
  result.balance_error = std::max(result.balance_error, other.balance_error);
}

}  // namespace leanside::hazard
