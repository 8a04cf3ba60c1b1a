// SPDX-License-Identifier: Apache-2.0
#include "study/size_settings.hpp"

#include <cmath>
#include <string>
#include <utility>

namespace leanside::study {

Site with_flows(const Site& site, const std::vector<AirwayIndex>& fans, const std::vector<double>& factor) {
  Site changed = site;
  for (std::size_t k = 0; k < fans.size(); ++k) {
    std::get<Fan>(changed.airways[fans[k].value].kind).flow *= factor[k];
    for (Case& c : changed.cases) {
      for (Event& event : c.events) {
        auto* set = std::get_if<SetAirwayFlow>(&event.change);
        if (set != nullptr && set->airway == fans[k]) set->flow *= factor[k];
      }
    }
  }
  return changed;
}

Site with_release(const Site& site, ReleaseIndex which, double factor) {
  Site changed = site;
  Release& release = changed.releases[which.value];
  release.on = true;
  if (factor <= 0.0) {
    release.on = false;
    for (Case& c : changed.cases) {
      std::erase_if(c.events, [&](const Event& event) {
        const auto* set = std::get_if<SetReleaseOn>(&event.change);
        return set != nullptr && set->release == which;
      });
    }
    return changed;
  }
  if (auto* steady = std::get_if<SteadyRelease>(&release.kind)) {
    steady->rate *= factor;
  } else if (auto* dump = std::get_if<DumpRelease>(&release.kind)) {
    dump->amount *= factor;
  } else if (auto* fittings = std::get_if<FittingsRelease>(&release.kind)) {
    fittings->each *= factor;
  } else {
    const auto copies = static_cast<std::size_t>(std::ceil(factor - 1e-9));
    for (std::size_t k = 1; k < copies; ++k) {
      Release copy = changed.releases[which.value];
      copy.id += "#" + std::to_string(k + 1);
      const ReleaseIndex index{changed.releases.size()};
      changed.releases.push_back(std::move(copy));
      for (Case& c : changed.cases) {
        std::vector<Event> events;
        for (const Event& event : c.events) {
          events.push_back(event);
          const auto* set = std::get_if<SetReleaseOn>(&event.change);
          if (set == nullptr || set->release != which) continue;
          Event same = event;
          same.change = SetReleaseOn{index, set->on};
          events.push_back(same);
        }
        c.events = std::move(events);
      }
    }
  }
  return changed;
}

}  // namespace leanside::study
