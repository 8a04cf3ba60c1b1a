// SPDX-License-Identifier: Apache-2.0
/// The return air of a system follows its supply.
#include <map>
#include <utility>

#include "leanside/advanced/fans.hpp"

namespace leanside {
namespace {

/// The supply of one system as events change it.
struct Supply {
  const Site& site;
  std::size_t system;
  Side duct;
  double share;
  std::map<std::size_t, std::pair<bool, double>> fans{};  ///< by AirwayIndex::value: on, flow

  Supply(const Site& of, std::size_t index) : site{of}, system{index}, share{of.systems[index].recirculation} {
    duct = second_side(of.airways[of.systems[index].return_fan->value]);
    for (std::size_t i = 0; i < of.airways.size(); ++i) {
      const auto* fan = std::get_if<Fan>(&of.airways[i].kind);
      if (fan && fan->from == duct) fans[i] = {of.airways[i].on, fan->flow};
    }
  }
  /// Whether the event changes what is supplied.
  bool note(const Event& event) {
    if (const auto* set = std::get_if<SetSystem>(&event.change); set && set->system.value == system) {
      if (set->recirculation) share = *set->recirculation;
      return set->recirculation.has_value();
    }
    if (const auto* on = std::get_if<SetAirwayOn>(&event.change); on && fans.contains(on->airway.value)) {
      fans[on->airway.value].first = on->on;
      return true;
    }
    if (const auto* flow = std::get_if<SetAirwayFlow>(&event.change); flow && fans.contains(flow->airway.value)) {
      fans[flow->airway.value].second = flow->flow;
      return true;
    }
    return false;
  }
  double returned() const {
    double sum = 0.0;
    for (const auto& [fan, now] : fans) sum += now.first ? now.second : 0.0;
    return share * sum;
  }
};

}  // namespace

void follow_recirculation(const Site& site, std::vector<Event>& events) {
  for (std::size_t s = 0; s < site.systems.size(); ++s) {
    if (!site.systems[s].return_fan) continue;
    Supply supply{site, s};
    std::vector<Event> out;
    bool changed = false;
    for (std::size_t k = 0; k < events.size(); ++k) {
      changed = supply.note(events[k]) || changed;
      out.push_back(events[k]);
      if (!changed || (k + 1 < events.size() && events[k + 1].at == events[k].at)) continue;
      Event follow;
      follow.at = events[k].at;
      follow.place = events[k].place;
      follow.follows = true;
      follow.change = SetAirwayFlow{*site.systems[s].return_fan, supply.returned()};
      out.push_back(std::move(follow));
      changed = false;
    }
    events = std::move(out);
  }
}

void set_return_air(Site& site) {
  for (std::size_t s = 0; s < site.systems.size(); ++s) {
    const auto fan = site.systems[s].return_fan;
    if (!fan) continue;
    std::get<Fan>(site.airways[fan->value].kind).flow = Supply{site, s}.returned();
    for (Case& each : site.cases) {
      std::erase_if(each.events, [&](const Event& event) {
        const auto* set = std::get_if<SetAirwayFlow>(&event.change);
        return set != nullptr && set->airway == *fan;
      });
    }
  }
  for (Case& each : site.cases) follow_recirculation(site, each.events);
}

}  // namespace leanside
