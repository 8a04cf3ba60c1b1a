// SPDX-License-Identifier: Apache-2.0
/// [[system]]: air handling units, and several fans on one shaft.
#include <algorithm>
#include <iterator>
#include <utility>

#include <fmt/format.h>

#include "input/site/site_draft.hpp"
#include "leanside/advanced/fans.hpp"

namespace leanside::input {
namespace {

constexpr std::string_view system_keys[] = {"id", "name", "on", "flow_factor", "recirculation"};

void read_system(const toml::table& row, Draft& draft) {
  const TableReader table{row, "system", id_text(row), draft.faults};
  table.refuse_unknown(system_keys);
  System system;
  system.place = draft.faults.place(table.location());
  const auto id = read_id(table, "\"ahu-1\"");
  system.id = id;
  take_id(table, id, draft.site.systems.size(), draft.systems);
  system.name = table.text("name").value_or("");
  system.on = table.flag("on").value_or(true);
  system.flow_factor = read_factor(table, "flow_factor").value_or(1.0);
  system.recirculation = table.fraction("recirculation").value_or(0.0);
  // An index for now: apply_systems() puts the real one there.
  if (table.has("recirculation")) system.return_fan = AirwayIndex{};
  draft.site.systems.push_back(std::move(system));
}

/// Its given flow at the factor, or its curve at that speed.
void scale(AirwayKind& kind, double factor) {
  if (auto* exchange = std::get_if<Exchange>(&kind)) exchange->flow *= factor;
  if (auto* fan = std::get_if<Fan>(&kind)) {
    fan->flow *= factor;
    fan->curve = curve_at_speed(std::move(fan->curve), factor);
  }
}

std::string free_id(const std::string& wanted, const auto& things) {
  std::string id = wanted;
  for (int k = 2; std::ranges::any_of(things, [&](const auto& thing) { return thing.id == id; }); ++k) {
    id = fmt::format("{}-{}", wanted, k);
  }
  return id;
}

SpaceIndex add_duct(const System& system, std::string_view what, Draft& draft) {
  Space duct;
  duct.id = free_id(fmt::format("{}.{}-air", system.id, what), draft.site.spaces);
  duct.name = fmt::format("{} air of {}", what, system.name.empty() ? system.id : system.name);
  duct.kind = SpaceKind::junction;
  duct.temperature = draft.site.conditions.temperature;
  duct.place = system.place;
  draft.site.spaces.push_back(std::move(duct));
  return SpaceIndex{draft.site.spaces.size() - 1};
}

AirwayIndex add_airway(const System& system, std::string_view what, AirwayKind kind, Draft& draft) {
  Airway airway;
  airway.id = free_id(fmt::format("{}.{}", system.id, what), draft.site.airways);
  airway.kind = std::move(kind);
  airway.place = system.place;
  draft.site.airways.push_back(std::move(airway));
  draft.airway_sound.push_back(true);
  return AirwayIndex{draft.site.airways.size() - 1};
}

/// Extract fans blow into one duct and supply fans draw from another; return air goes from the first to the second,
/// what is left goes outside, and what is missing comes from there.
void join_ducts(SystemIndex index, const std::vector<AirwayIndex>& members, Draft& draft) {
  std::vector<Fan*> supplies, extracts;
  double supply = 0.0;
  for (const AirwayIndex member : members) {
    Airway& airway = draft.site.airways[member.value];
    auto* fan = std::get_if<Fan>(&airway.kind);
    if (!fan) continue;
    if (!fan->curve.empty()) {
      draft.faults.error(airway.place, fmt::format("airway {}: a fan with a 'curve' cannot belong to a system with "
                                                   "'recirculation'; give its 'flow'",
                                                   shown(airway.id)));
      return;
    }
    if (!fan->from) supplies.push_back(fan);
    if (!fan->to) extracts.push_back(fan);
    if (!fan->from && airway.on) supply += fan->flow;
  }
  const System system = draft.site.systems[index.value];
  if (supplies.empty() || extracts.empty()) {
    draft.faults.error(system.place,
                       fmt::format("system {}: recirculation needs fans of the system from outside (supply) and to "
                                   "outside (extract); it has {} of the first and {} of the second. Write system = {} "
                                   "into the airways that belong to it",
                                   shown(system.id), supplies.size(), extracts.size(), shown(system.id)));
    return;
  }
  const SpaceIndex returned = add_duct(system, "return", draft), supplied = add_duct(system, "supply", draft);
  for (Fan* fan : supplies) fan->from = supplied;
  for (Fan* fan : extracts) fan->to = returned;
  const AirwayIndex fan =
      add_airway(system, "recirculation", Fan{returned, supplied, system.recirculation * supply, {}}, draft);
  draft.site.airways[fan.value].on = system.on;
  draft.site.airways[fan.value].system = index;
  add_airway(system, "exhaust", Opening{returned, {}}, draft);
  add_airway(system, "fresh-air", Opening{{}, supplied}, draft);
  draft.site.systems[index.value].return_fan = fan;
  if (system.recirculation > 0.0) {
    draft.fitted.push_back({AssumptionKind::recirculation, {}, {}, {}, {system.id}, {system.recirculation}});
  }
}

}  // namespace

std::optional<double> read_factor(const TableReader& table, std::string_view key) {
  constexpr double most = 10.0;
  const auto* node = table.find(key);
  if (!node) return {};
  const auto factor =
      node->is_number() ? table.number(key, Sign::positive) : table.quantity(key, Dimension::fraction, Sign::positive);
  if (factor && *factor > most) {
    table.value_error(key, fmt::format("found {}; expected a share of what the file gives, such as 0.5 or \"50 %\"",
                                       format_number(*factor)));
  }
  return factor;
}

void read_systems(const TableReader& file, Draft& draft) {
  draft.faults.enter(Part::top);
  for_each_table(file, "system", [&](const toml::table& row) { read_system(row, draft); });
}

void apply_systems(Draft& draft) {
  Site& site = draft.site;
  for (std::size_t s = 0; s < site.systems.size(); ++s) {
    const auto members = airways_of(site, SystemIndex{s});
    const System& system = site.systems[s];
    if (members.empty() && !draft.faults.damaged()) {
      draft.faults.notice(system.place, fmt::format("system {}: no airway belongs to it; write system = {} into those "
                                                    "that do",
                                                    shown(system.id), shown(system.id)));
    }
    for (const AirwayIndex member : members) {
      Airway& airway = site.airways[member.value];
      draft.written[member.value] = airway;
      airway.on = airway.on && system.on;
      scale(airway.kind, system.flow_factor);
    }
    if (!system.return_fan) continue;
    site.systems[s].return_fan.reset();
    const bool sound = std::ranges::all_of(members, [&](AirwayIndex i) { return bool{draft.airway_sound[i.value]}; });
    if (sound) join_ducts(SystemIndex{s}, members, draft);
    for (const AirwayIndex member : members) {
      // Its sides may have changed, its numbers not.
      AirwayKind kind = site.airways[member.value].kind;
      scale(kind, 1.0 / site.systems[s].flow_factor);
      draft.written[member.value].kind = std::move(kind);
    }
  }
}

std::vector<Event> system_events(const SetSystem& set, const Draft& draft) {
  std::vector<Event> out(1);
  out.front().change = set;
  const auto add = [&](auto change) {
    Event event;
    event.change = std::move(change);
    event.follows = true;
    out.push_back(std::move(event));
  };
  const System& system = draft.site.systems[set.system.value];
  if (set.on && system.return_fan) add(SetAirwayOn{*system.return_fan, *set.on});
  for (const auto& [place, written] : draft.written) {
    if (written.system != set.system) continue;
    const AirwayIndex index{place};
    if (set.on && written.on) add(SetAirwayOn{index, *set.on});
    if (!set.flow_factor) continue;
    AirwayKind kind = written.kind;
    scale(kind, *set.flow_factor);
    if (const auto* fan = std::get_if<Fan>(&kind); fan && fan->curve.empty()) {
      add(SetAirwayFlow{index, fan->flow});
    } else if (fan) {
      add(SetAirwayKind{index, std::make_shared<const AirwayKind>(kind), "speed"});
    } else if (const auto* exchange = std::get_if<Exchange>(&kind)) {
      add(SetAirwayFlow{index, exchange->flow});
    }
  }
  return out;
}

}  // namespace leanside::input
