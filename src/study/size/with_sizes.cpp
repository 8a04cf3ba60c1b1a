// SPDX-License-Identifier: Apache-2.0
#include "leanside/advanced/fans.hpp"
#include "leanside/study/size.hpp"
#include "study/size/size_settings.hpp"

namespace leanside {

Site with_sizes(const Site& site, const Sizing& sizing) {
  Site changed = site;
  if (!sizing.found) return changed;
  std::vector<AirwayIndex> airways;
  std::vector<double> sizes;
  for (const FanSize& fan : sizing.fans) {
    airways.push_back(fan.fan);
    sizes.push_back(fan.flow);
  }
  for (const OpeningSize& opening : sizing.openings) {
    airways.push_back(opening.opening);
    sizes.push_back(opening.area);
  }
  changed = study::with_flows(changed, airways, sizes);
  for (const EventSize& event : sizing.events) {
    if (!event.flow) continue;
    for (const CaseIndex case_index : event.cases) {
      for (Event& one : changed.cases[case_index.value].events) {
        auto* set = std::get_if<SetAirwayFlow>(&one.change);
        const bool same = set != nullptr && set->airway == event.fan && one.at == event.at && set->flow == event.now;
        if (same) set->flow = *event.flow;
      }
    }
  }
  set_return_air(changed);
  return changed;
}

}  // namespace leanside
