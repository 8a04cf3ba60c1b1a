// SPDX-License-Identifier: Apache-2.0
/// What may go wrong in a site, and the site in which it did.
#include <algorithm>
#include <cassert>

#include "leanside/study/failures.hpp"

namespace leanside {

std::string_view word_of(FailureKind kind) {
  switch (kind) {
    case FailureKind::fan_off:
      return "fan_off";
    case FailureKind::shut:
      return "shut";
    case FailureKind::opened:
      return "opened";
    case FailureKind::no_air_change:
      return "no_air_change";
    case FailureKind::system_off:
      return "system_off";
    case FailureKind::release_starts:
      break;
  }
  return "release_starts";
}

namespace {

/// Whether something is switched on at some time of the case; what is switched over at time 0 already counts as it is
/// after that.
template <class Set, class Matches>
bool ever_on(const std::vector<Event>& events, bool at_first, const Matches& matches) {
  bool on = at_first, ever = false;
  double now = 0.0;
  for (const Event& event : events) {
    const auto* set = std::get_if<Set>(&event.change);
    if (set == nullptr || !matches(*set)) continue;
    if (event.at > now) ever = ever || on;
    now = event.at;
    on = set->on;
  }
  return ever || on;
}

void list_opening(const Site& site, AirwayIndex i, bool on, std::vector<Failure>& out) {
  const Airway& airway = site.airways[i.value];
  const auto* door = std::get_if<Doorway>(&airway.kind);
  const bool shut = !on || (door != nullptr && door->open <= 0.0);
  const bool wide = !shut && (door == nullptr || door->open >= 1.0);
  if (!shut) out.push_back({FailureKind::shut, i, {}, {}});
  if (!wide) out.push_back({FailureKind::opened, i, {}, {}});
}

/// Whether an event is about something that has failed for good.
bool is_about(const Event& event, const Failure& failure) {
  return std::visit(
      [&](const auto& change) {
        if constexpr (requires { change.airway; }) {
          return failure.airway == change.airway;
        } else if constexpr (requires { change.release; }) {
          return failure.release == change.release;
        } else {
          return false;
        }
      },
      event.change);
}

void apply(Site& site, const Failure& failure, double starts) {
  switch (failure.kind) {
    case FailureKind::fan_off:
    case FailureKind::shut:
      site.airways[failure.airway->value].on = false;
      break;
    case FailureKind::opened: {
      Airway& airway = site.airways[failure.airway->value];
      airway.on = true;
      if (auto* door = std::get_if<Doorway>(&airway.kind)) door->open = 1.0;
      break;
    }
    case FailureKind::no_air_change:
      site.spaces[failure.space->value].air_changes = 0.0;
      break;
    case FailureKind::system_off:
      break;  // taken apart before
    case FailureKind::release_starts: {
      Release& release = site.releases[failure.release->value];
      release.on = true;
      release.start = starts;
      break;
    }
  }
}

/// Whether an airway runs, or is open, at some time of the case.
bool is_ever_on(const Site& site, const std::vector<Event>& events, AirwayIndex index) {
  return ever_on<SetAirwayOn>(events, site.airways[index.value].on,
                              [&](const SetAirwayOn& set) { return set.airway == index; });
}

bool is_fan(const Airway& airway) { return std::holds_alternative<Fan>(airway.kind); }

}  // namespace

std::vector<Failure> taken_apart(const Site& site, const std::vector<Failure>& failures) {
  std::vector<Failure> out;
  for (const Failure& failure : failures) {
    if (failure.kind != FailureKind::system_off) {
      out.push_back(failure);
      continue;
    }
    for (const AirwayIndex member : airways_of(site, *failure.system)) {
      const Airway& airway = site.airways[member.value];
      if (!is_fan(airway) && !airway.on) continue;
      out.push_back({is_fan(airway) ? FailureKind::fan_off : FailureKind::shut, member, {}, {}});
    }
  }
  return out;
}

std::vector<Failure> list_failures(const Site& site, CaseIndex case_index) {
  std::vector<Failure> out;
  const auto& events = site.cases[case_index.value].events;
  for (std::size_t s = 0; s < site.systems.size(); ++s) {
    const auto members = airways_of(site, SystemIndex{s});
    const bool runs = std::any_of(members.begin(), members.end(), [&](AirwayIndex i) {
      return is_fan(site.airways[i.value]) && is_ever_on(site, events, i);
    });
    if (runs) out.push_back({FailureKind::system_off, {}, {}, {}, SystemIndex{s}});
  }
  for (std::size_t i = 0; i < site.airways.size(); ++i) {
    const AirwayIndex index{i};
    const bool on = is_ever_on(site, events, index);
    if (!is_fan(site.airways[i])) {
      list_opening(site, index, on, out);
    } else if (on && !site.airways[i].system) {
      out.push_back({FailureKind::fan_off, index, {}, {}});
    }
  }
  for (std::size_t i = 0; i < site.spaces.size(); ++i) {
    if (site.spaces[i].air_changes > 0.0) out.push_back({FailureKind::no_air_change, {}, SpaceIndex{i}, {}});
  }
  for (std::size_t r = 0; r < site.releases.size(); ++r) {
    const ReleaseIndex index{r};
    const bool on = ever_on<SetReleaseOn>(events, site.releases[r].on,
                                          [&](const SetReleaseOn& set) { return set.release == index; });
    if (!on) out.push_back({FailureKind::release_starts, {}, {}, index});
  }
  return out;
}

Site with_failures(const Site& site, const std::vector<Failure>& failures, CaseIndex case_index, double starts) {
  Site changed = site;
  changed.cases = {site.cases[case_index.value]};
  auto& events = changed.cases.front().events;
  for (const Failure& failure : failures) {
    if (!failure.system) continue;
    std::erase_if(events, [&](const Event& event) {
      const auto* set = std::get_if<SetSystem>(&event.change);
      return set != nullptr && set->system == *failure.system;
    });
  }
  for (const Failure& failure : taken_apart(site, failures)) {
    std::erase_if(events, [&](const Event& event) { return is_about(event, failure); });
    apply(changed, failure, starts);
  }
  return changed;
}

}  // namespace leanside
