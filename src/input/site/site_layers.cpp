// SPDX-License-Identifier: Apache-2.0
/// What layered rooms ask of the rest of a file.
#include <algorithm>
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
                           "stratification = \"layered\" shows the layer",
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

void read_release_place(const TableReader& table, bool is_spill, Release& release, Draft& draft) {
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
  if (is_spill) {
    release.height = release.height.value_or(0.0);  // on the floor
  } else {
    table.require("height", "\"0.5 m\" (the room is in layers: it decides how much air the gas draws in on its way)");
  }
}

void check_layers(Draft& draft) {
  refuse_warming(draft);
  notice_left_mixed(draft);
}

}  // namespace leanside::input
