// SPDX-License-Identifier: Apache-2.0
#include "hazard/worse_model.hpp"

#include <algorithm>
#include <utility>

#include "hazard/judge.hpp"
#include "hazard/layer_watch.hpp"

namespace leanside::hazard {
namespace {

/// The larger zone of each release; warnings of zones that only the mixed model has, but for spaces that burn.
void take_sources(const Site& site, Solved& layered, Solved& mixed) {
  for (const SourceZone& zone : mixed.result.zones) {
    auto& zones = layered.result.zones;
    const auto known =
        std::find_if(zones.begin(), zones.end(), [&](const SourceZone& z) { return z.release == zone.release; });
    if (known == zones.end()) {
      zones.push_back(zone);
    } else if (zone.zone.cloud > known->zone.cloud) {
      *known = zone;
    }
  }
  std::sort(layered.result.zones.begin(), layered.result.zones.end(),
            [](const SourceZone& a, const SourceZone& b) { return a.release < b.release; });
  for (const Warning& warning : near_source_warnings(site, layered.result, layered.warnings)) {
    const bool known = std::any_of(layered.warnings.begin(), layered.warnings.end(), [&](const Warning& w) {
      return w.source && w.source->release == warning.source->release;
    });
    if (known) continue;
    layered.warnings.push_back(warning);
    layered.warnings.back().remedy.kind = RemedyKind::remove_source;
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

std::vector<SpaceIndex> take_the_worse(const Site& site, Solved& first, Solved& second, RoomModel room_model) {
  std::vector<SpaceIndex> taken;
  CaseResult &result = first.result, &other = second.result;
  const auto take = [&](auto& into, auto& from, SpaceIndex space) {
    std::erase_if(into, [&](const auto& entry) { return entry.space == space; });
    for (auto& entry : from) {
      if (entry.space == space) into.push_back(std::move(entry));
    }
  };
  for (std::size_t i = 0; i < site.spaces.size(); ++i) {
    const SpaceIndex space{i};
    if (!is_worse(site, space, other.spaces[i], result.spaces[i])) continue;
    taken.push_back(space);
    if (!result.room_model.empty()) result.room_model[i] = room_model;
    result.spaces[i] = std::move(other.spaces[i]);
    take(result.layered, other.layered, space);
    take(first.warnings, second.warnings, space);
    take(first.rising, second.rising, space);
    if (first.grid && second.grid) first.grid->take(space, *second.grid);
  }
  take_sources(site, first, second);
  add_starved(result.starved, other.starved);
  result.balance_error = std::max(result.balance_error, other.balance_error);
  return taken;
}

}  // namespace leanside::hazard
