// SPDX-License-Identifier: Apache-2.0
#include "leanside/advanced/transport.hpp"

namespace leanside {

std::vector<Tracer> gas_tracers(const Site& site) {
  std::vector<Tracer> tracers(site.gases.size());
  for (std::size_t r = 0; r < site.releases.size(); ++r) {
    for (const GasShare& share : site.releases[r].gas.shares) {
      tracers[share.gas.value].sources.push_back({ReleaseIndex{r}, share.fraction});
    }
  }
  for (std::size_t i = 0; i < site.spaces.size(); ++i) {
    for (const GasShare& share : site.spaces[i].initial) {
      tracers[share.gas.value].initial.push_back({SpaceIndex{i}, share.fraction});
    }
  }
  return tracers;
}

CauseTracers cause_tracers(const Site& site) {
  CauseTracers causes;
  for (std::size_t r = 0; r < site.releases.size(); ++r) {
    causes.tracers.push_back(Tracer{{{ReleaseIndex{r}, 1.0}}, {}});
  }
  for (std::size_t i = 0; i < site.spaces.size(); ++i) {
    if (site.spaces[i].initial.empty()) continue;
    causes.initial_of.push_back(SpaceIndex{i});
    causes.tracers.push_back(Tracer{{}, {{SpaceIndex{i}, 1.0}}});
  }
  return causes;
}

}  // namespace leanside
