// SPDX-License-Identifier: Apache-2.0
/// What layered rooms ask of the rest of a file.
#include <algorithm>
#include <array>
#include <cmath>
#include <set>
#include <utility>
#include <variant>
#include <vector>

#include <fmt/format.h>

#include "input/site/site_draft.hpp"

namespace leanside::input {
namespace {

/// Gas that differs by this share of the density of air, or more, gets a notice where its room is left mixed.
constexpr double much_lighter_or_heavier = 0.1;

/// Density of a gas over that of air at the same temperature, less 1.
double heavier_than_air(const Composition& gas, const Site& site) {
  return molar_mass(gas, site.gases) / molar_mass_of_air - 1.0;
}

bool known(const Release& release, const Site& site) {
  return release.into.value < site.spaces.size() && !release.gas.shares.empty();
}

/// What both layers of a warmed room would push out at once is not followed.
void refuse_warming(Draft& draft) {
  std::set<std::pair<int, int>> told;  // events of the file belong to every case
  for (const Case& each : draft.site.cases) {
    for (const Event& event : each.events) {
      const auto* warmth = std::get_if<SetSpaceTemperature>(&event.change);
      if (warmth == nullptr || warmth->space.value >= draft.site.spaces.size()) continue;
      if (!in_layers(warmth->space, draft.site) || !told.emplace(event.place.line, event.place.column).second) continue;
      draft.faults.error(
          event.place,
          fmt::format("event: temperature: {} is in layers, and a change of its temperature is not "
                      "supported yet: take stratification = \"mixed\", or a site file for each temperature",
                      shown(draft.site.spaces[warmth->space.value].id)));
    }
  }
}

/// How much a gas differs from air, either way.
double difference_from_air(const Release& release, const Site& site) {
  return std::abs(heavier_than_air(release.gas, site));
}

/// The height of a room that gives none, m, at least: that of a usual room, or of a cube if it is small. Common
/// practice, no source.
double usual_height(double volume) {
  constexpr double usual = 2.5, small = 15.0;  // m, m3
  return volume < small ? std::cbrt(volume) : usual;
}

struct Reach {
  double low = 0.0, high = 0.0;  ///< m above the floor of the space
};

/// From where to where an airway opens into a space; empty where it has no height.
std::optional<Reach> reach_of(const Site& site, const Airway& airway, const Space& space) {
  const Side first = first_side(airway), second = second_side(airway);
  const double datum = site.spaces[(first ? first : second)->value].elevation - space.elevation;
  if (const auto* gap = std::get_if<Gap>(&airway.kind)) return Reach{datum + gap->height, datum + gap->height};
  if (const auto* door = std::get_if<Doorway>(&airway.kind)) {
    return Reach{datum + door->sill, datum + door->sill + door->height};
  }
  std::optional<double> height;
  if (const auto* fan = std::get_if<Fan>(&airway.kind)) height = fan->height;
  if (const auto* exchange = std::get_if<Exchange>(&airway.kind)) height = exchange->height;
  return height ? std::optional{Reach{datum + *height, datum + *height}} : std::nullopt;
}

/// The height of a room that gives none: the usual one, or more where something in it is higher up.
double assumed_height(const Site& site, SpaceIndex index) {
  const Space& space = site.spaces[index.value];
  double height = usual_height(space.volume);
  for (const Airway& airway : site.airways) {
    if (first_side(airway) != Side{index} && second_side(airway) != Side{index}) continue;
    if (const auto reach = reach_of(site, airway, space)) height = std::max(height, reach->high);
  }
  for (const Release& release : site.releases) {
    if (release.into == index) height = std::max(height, release.height.value_or(0.0));
  }
  return height;
}

/// Releases without a height: at half of that of the room, spills on the floor.
void place_at_half_height(Draft& draft, SpaceIndex index, std::vector<std::string>& placed) {
  Site& site = draft.site;
  const double half = 0.5 * *site.spaces[index.value].height;
  for (Release& release : site.releases) {
    if (release.into != index || release.height) continue;
    const bool spill = std::holds_alternative<SpillRelease>(release.kind);
    release.height = spill ? 0.0 : half;
    if (!spill) placed.emplace_back(release.id);
  }
}

/// Whether a fan or an exchange of a room in layers has no height.
bool drawn_from_all_heights(const Site& site) {
  return std::ranges::any_of(site.airways, [&](const Airway& airway) {
    if (!in_layers(first_side(airway), site) && !in_layers(second_side(airway), site)) return false;
    const auto* fan = std::get_if<Fan>(&airway.kind);
    const auto* exchange = std::get_if<Exchange>(&airway.kind);
    return (fan != nullptr && !fan->height) || (exchange != nullptr && !exchange->height);
  });
}

/// Rooms left mixed whose gas differs from air by much: the first ones each, with the gas that differs most.
void notice_left_mixed(Draft& draft) {
  const Site& site = draft.site;
  std::vector<const Release*> most(site.spaces.size(), nullptr);
  for (const Release& release : site.releases) {
    if (!known(release, site)) continue;
    const double difference = difference_from_air(release, site);
    const Release*& so_far = most[release.into.value];
    if (difference > (so_far ? difference_from_air(*so_far, site) : much_lighter_or_heavier)) so_far = &release;
  }
  constexpr std::size_t most_told = 10;
  std::size_t told = 0, untold = 0;
  for (const SpaceIndex space : draft.left_mixed) {
    const Release* const release = most[space.value];
    if (release == nullptr) continue;
    if (told == most_told) {
      ++untold;
      continue;
    }
    ++told;
    const double heavier = heavier_than_air(release->gas, site);
    const SourceLocation& place = site.spaces[space.value].place;
    draft.faults.notice(
        place, fmt::format("space {}: {} ({} times the density of air) may gather {}, but is computed as mixed; "
                           "stratification = \"worse of both\" computes the layer too",
                           shown(site.spaces[space.value].id), release->gas.name, format_number(1.0 + heavier, 2),
                           heavier > 0.0 ? "on the floor" : "under the ceiling"));
  }
  if (untold > 0) {
    draft.faults.notice(
        {}, fmt::format("the same holds for {} more spaces: gas much lighter or heavier than air is computed "
                        "as mixed there",
                        untold));
  }
}

/// Gives rooms in layers the heights that the file leaves out.
void assume_heights(Draft& draft) {
  Site& site = draft.site;
  std::vector<std::string> heights, placed;
  for (std::size_t i = 0; i < site.spaces.size(); ++i) {
    const SpaceIndex index{i};
    Space& space = site.spaces[i];
    if (!in_layers(index, site) || !(space.volume > 0.0)) continue;
    if (!space.height) {
      space.height = assumed_height(site, index);
      heights.push_back(fmt::format("{} {}", shown(space.id), format_quantity(*space.height, "m", 2)));
    }
    if (!space.floor_area) space.floor_area = space.volume / *space.height;
    place_at_half_height(draft, index, placed);
  }
  if (drawn_from_all_heights(site)) {
    draft.stratified.push_back("a fan or exchange without a height serves both layers of a room, by their volumes");
  }
  if (!heights.empty()) {
    draft.stratified.push_back(
        "height of a room that gives none: 2.5 m, or of a cube below 15 m3, or up to its highest opening: " +
        listed(heights));
  }
  if (!placed.empty()) {
    draft.stratified.push_back("gas gets out at half the height of the room where the file gives no height: " +
                               some_of(placed));
  }
}

}  // namespace

bool in_layers(const Side& side, const Site& site) {
  return side && site.spaces[side->value].stratification != Stratification::mixed;
}

void check_opening(const TableReader& table, std::string_view key, Side first, Side second, double low, double high,
                   const Draft& draft) {
  const Side& counted_from = first ? first : second;
  if (!counted_from) return;
  const double datum = draft.site.spaces[counted_from->value].elevation;
  for (const Side& side : {first, second}) {
    if (!in_layers(side, draft.site)) continue;
    const Space& space = draft.site.spaces[side->value];
    if (!space.height) continue;
    const double from = datum + low - space.elevation, to = datum + high - space.elevation;
    constexpr double slack = 1e-9;
    if (from >= -slack && to <= *space.height + slack) continue;
    const std::string where = from == to
                                  ? table.faults().amount(from, "m", 4)
                                  : table.faults().amount(from, "m", 4) + " to " + table.faults().amount(to, "m", 4);
    table.value_error(key, fmt::format("the airway opens outside the layered room {}: {} above its floor, and its "
                                       "ceiling is at {}",
                                       shown(space.id), where, table.faults().amount(*space.height, "m", 4)));
    return;
  }
}

std::optional<Stratification> read_stratification(const TableReader& table) {
  const auto* word = table.text_at("stratification");
  if (!word) return std::nullopt;
  constexpr std::array words{Stratification::mixed, Stratification::layered, Stratification::worse_of_both};
  const auto found = std::ranges::find(words, std::string_view{*word}, [](auto s) { return word_of(s); });
  if (found != words.end()) return *found;
  table.value_error("stratification",
                    fmt::format("found {}; expected \"mixed\", \"layered\" or \"worse of both\"", shown(*word)));
  return std::nullopt;
}

void read_release_place(const TableReader& table, Release& release, Draft& draft) {
  release.height = table.quantity("height", Dimension::length, Sign::not_negative);
  release.momentum = table.quantity("momentum", Dimension::force, Sign::not_negative);
  if (release.into.value >= draft.site.spaces.size()) return;  // has a fault
  const Space& space = draft.site.spaces[release.into.value];
  if (release.height && space.height && *release.height > *space.height) {
    table.value_error("height",
                      fmt::format("{} is above the ceiling of {}, {}", table.faults().amount(*release.height, "m", 4),
                                  shown(space.id), table.faults().amount(*space.height, "m", 4)));
  }
  if (!in_layers(release.into, draft.site)) {
    for (const auto* key : {"height", "momentum"}) {
      if (table.has(key))
        table.value_notice(key, fmt::format("has no effect: {} is computed as mixed", shown(space.id)));
    }
    return;
  }
}

void check_layers(Draft& draft) {
  refuse_warming(draft);
  assume_heights(draft);
  notice_left_mixed(draft);
}

}  // namespace leanside::input
