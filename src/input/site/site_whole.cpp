// SPDX-License-Identifier: Apache-2.0
/// What is judged of the site as a whole: junctions that lead nowhere, and where cabinets stand.
#include <algorithm>
#include <functional>

#include <fmt/format.h>

#include "input/site/site_draft.hpp"

namespace leanside::input {

/// A junction holds nothing: what enters must be able to leave.
void check_junctions(Draft& draft) {
  const auto& site = draft.site;
  // An airway with faults may be the one that is missed.
  if (draft.faults.damaged() || !std::ranges::all_of(draft.airway_sound, std::identity{})) return;
  std::vector<int> ways(site.spaces.size(), 0);
  for (const auto& airway : site.airways) {
    for (const auto& side : {first_side(airway), second_side(airway)}) {
      if (side) ++ways[side->value];
    }
  }
  for (const auto& release : site.releases) {
    if (release.into.value < ways.size()) ++ways[release.into.value];
  }
  for (std::size_t i = 0; i < site.spaces.size(); ++i) {
    const auto& space = site.spaces[i];
    if (space.kind != SpaceKind::junction || ways[i] >= 2) continue;
    draft.faults.error(space.place,
                       fmt::format("space {}: a junction joins airways and holds nothing, but {} it; give it at least "
                                   "two, or make it a room, cabinet or vessel",
                                   shown(space.id), ways[i] == 0 ? "no airway names" : "only one airway names"));
  }
}

namespace {

/// By space: whether an opening of its own, open or shut, or an exchange leads out of it.
std::vector<bool> with_openings(const Site& site) {
  std::vector<bool> out(site.spaces.size(), false);
  for (std::size_t i = 0; i < out.size(); ++i) out[i] = site.spaces[i].air_changes > 0.0;
  for (const Airway& airway : site.airways) {
    if (std::holds_alternative<Fan>(airway.kind)) continue;
    for (const auto& side : {first_side(airway), second_side(airway)}) {
      if (side) out[side->value] = true;
    }
  }
  return out;
}

}  // namespace

void find_rooms_of_cabinets(Draft& draft) {
  Site& site = draft.site;
  std::vector<std::optional<SpaceIndex>> room(site.spaces.size());
  std::vector<bool> several(site.spaces.size(), false), used(site.spaces.size(), false);
  const auto join = [&](const Side& side, const Side& other) {
    if (!side || !other || site.spaces[other->value].kind != SpaceKind::room) return;
    if (room[side->value] && *room[side->value] != *other) several[side->value] = true;
    room[side->value] = *other;
  };
  for (const Airway& airway : site.airways) {
    const Side first = first_side(airway), second = second_side(airway);
    join(first, second);
    join(second, first);
    for (const auto& side : {first, second}) {
      if (side) used[side->value] = true;
    }
  }
  for (const Release& release : site.releases) {
    if (release.into.value < used.size()) used[release.into.value] = true;
  }
  const std::vector<bool> open = with_openings(site);
  const bool sound = !draft.faults.damaged() && std::ranges::all_of(draft.airway_sound, std::identity{});
  for (std::size_t i = 0; i < site.spaces.size(); ++i) {
    Space& space = site.spaces[i];
    if (space.kind != SpaceKind::cabinet || space.stands_in) continue;
    if (room[i] && !several[i]) {
      space.stands_in = StandsIn{room[i], true};
    } else if (sound && used[i] && !open[i]) {
      draft.faults.error(
          space.place,
          fmt::format("space {}: no opening is given to this cabinet, and the file does not say which room it stands "
                      "in; add stands_in = \"ID\" with the id of that room (or \"outside\"), or the opening itself",
                      shown(space.id)));
    }
  }
}

}  // namespace leanside::input
