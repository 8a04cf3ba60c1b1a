// SPDX-License-Identifier: Apache-2.0
#include "report/words/site_groups.hpp"

#include <cmath>
#include <map>
#include <optional>
#include <set>
#include <utility>

#include "report/words/words.hpp"

namespace leanside::report {
namespace {

/// Tenths of a metre; the system whose fan serves the space first in the file.
using Key = std::pair<long, std::optional<std::size_t>>;

/// The space itself, or the one that it stands in.
std::size_t stands_for(Told site, std::size_t space) {
  const auto& stands = site->spaces[space].stands_in;
  return stands && stands->place ? stands->place->value : space;
}

std::vector<Key> keys_of(Told site) {
  std::vector<Key> out;
  for (const Space& space : site->spaces) out.push_back({std::lround(10.0 * space.elevation), std::nullopt});
  for (const Airway& airway : site->airways) {
    if (!airway.system) continue;
    for (const Side& side : {first_side(airway), second_side(airway)}) {
      if (side && !out[side->value].second) out[side->value].second = airway.system->value;
    }
  }
  for (std::size_t i = 0; i < out.size(); ++i) out[i] = out[stands_for(site, i)];
  return out;
}

}  // namespace

SiteGroups site_groups(Told site) {
  const std::vector<Key> keys = keys_of(site);
  std::set<long> floors;
  std::set<std::optional<std::size_t>> systems;
  for (std::size_t i = 0; i < keys.size(); ++i) {
    if (site->spaces[i].kind == SpaceKind::junction) continue;
    floors.insert(keys[i].first);
    systems.insert(keys[i].second);
  }
  const bool by_floor = floors.size() > 1, by_system = systems.size() > 1;
  SiteGroups out;
  std::map<Key, std::size_t> known;
  for (const Key& key : keys) {
    const Key kept{by_floor ? key.first : 0, by_system ? key.second : std::nullopt};
    const auto [place, is_new] = known.try_emplace(kept, out.names.size());
    out.of_space.push_back(place->second);
    if (!is_new) continue;
    std::string name;
    if (by_floor) {
      name = site.tell(
          Phrase::floor_at,
          {{"height", format_quantity(0.1 * static_cast<double>(key.first), "m", 3, site->conditions.units)}});
    }
    if (by_system) {
      name += name.empty() ? "" : ", ";
      name += key.second ? label(site, SystemIndex{*key.second}) : site.tell(Phrase::no_system);
    }
    out.names.push_back(std::move(name));
  }
  return out;
}

}  // namespace leanside::report
