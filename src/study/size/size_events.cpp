// SPDX-License-Identifier: Apache-2.0
#include "study/size/size_events.hpp"

#include <algorithm>
#include <set>

namespace leanside::study {
namespace {

/// What an event does to one of the fans; empty: it is about something else.
std::optional<FanEvent> of_event(const Event& event, const std::vector<AirwayIndex>& fans) {
  const auto sized = [&](AirwayIndex airway) { return std::find(fans.begin(), fans.end(), airway) != fans.end(); };
  if (const auto* set = std::get_if<SetAirwayFlow>(&event.change); set != nullptr && sized(set->airway)) {
    return FanEvent{set->airway, {}, event.at, set->flow, false};
  }
  if (const auto* set = std::get_if<SetAirwayOn>(&event.change); set != nullptr && !set->on && sized(set->airway)) {
    return FanEvent{set->airway, {}, event.at, 0.0, true};
  }
  return std::nullopt;
}

bool same(const SourceLocation& a, const SourceLocation& b) {
  return a.line > 0 && a.file == b.file && a.line == b.line && a.column == b.column;
}

}  // namespace

std::vector<FanEvent> fan_events(const Site& site, const std::vector<AirwayIndex>& fans,
                                 const std::vector<Constraint>& warnings) {
  std::set<std::size_t> cases;
  for (const Constraint& c : warnings) cases.insert(c.case_index.value);
  std::vector<FanEvent> out;
  std::vector<SourceLocation> places;
  for (std::size_t case_index = 0; case_index < site.cases.size(); ++case_index) {
    for (std::size_t k = 0; k < site.cases[case_index].events.size(); ++k) {
      const Event& event = site.cases[case_index].events[k];
      auto found = of_event(event, fans);
      if (!found) continue;
      std::size_t known = 0;
      while (known < out.size() && !(same(places[known], event.place) && out[known].fan == found->fan &&
                                     out[known].switches_off == found->switches_off)) {
        ++known;
      }
      if (known == out.size()) {
        out.push_back(std::move(*found));
        places.push_back(event.place);
      }
      out[known].places.emplace_back(CaseIndex{case_index}, k);
    }
  }
  std::erase_if(out, [&](const FanEvent& event) {
    return std::none_of(event.places.begin(), event.places.end(),
                        [&](const auto& place) { return cases.contains(place.first.value); });
  });
  return out;
}

EventSize event_size(const FanEvent& event) {
  EventSize out{event.fan, {}, event.at, event.now, event.switches_off, std::nullopt};
  for (const auto& [case_index, place] : event.places) out.cases.push_back(case_index);
  return out;
}

Site with_event_flows(const Site& site, const std::vector<FanEvent>& events, const std::vector<double>& flows) {
  Site changed = site;
  for (std::size_t k = 0; k < events.size(); ++k) {
    if (!events[k].switches_off) set_events(changed, events[k].places, flows[k]);
  }
  return changed;
}

}  // namespace leanside::study
