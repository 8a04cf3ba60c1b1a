// SPDX-License-Identifier: Apache-2.0
/// [[airway]].
#include <algorithm>

#include <fmt/format.h>

#include "input/site/site_draft.hpp"
#include "input/site/site_openings.hpp"

namespace leanside::input {
namespace {

constexpr Names common_keys = {"id", "kind", "on", "system"};
constexpr auto kinds = std::to_array<Kind>({
    {.word = "fan", .keys = {"from", "to", "flow", "curve", "height", "momentum"}},
    {.word = "exchange", .keys = {"between", "flow", "height"}},
    {.word = "opening", .keys = {"between"}, .earlier = "relief"},
    {.word = "tube", .keys = {"between"}},
    {.word = "gap", .keys = {"between", "leakage_area", "exponent", "height", "wind_coefficient"}},
    {.word = "doorway", .keys = {"between", "width", "height", "sill", "open", "discharge", "wind_coefficient"}},
    {.word = "louvre",
     .keys = {"between", "width", "height", "free_area", "free_share", "sill", "open", "discharge",
              "wind_coefficient"}},
    {.word = "window",
     .keys = {"between", "width", "height", "hinge", "angle", "gap", "sill", "open", "discharge", "wind_coefficient"}},
    {.word = "undercut", .keys = {"between", "width", "height", "sill", "open", "discharge", "wind_coefficient"}},
});

/// Both sides of an airway.
using Sides = std::pair<Side, Side>;

std::optional<Sides> checked(const TableReader& table, SourceLocation location, std::optional<Side> first,
                             std::optional<Side> second, const Draft& draft) {
  if (!first || !second) return {};
  if (*first == *second) {
    table.error(location, *first ? fmt::format("both sides are {}; an airway joins two different places",
                                               shown(draft.site.spaces[(*first)->value].id))
                                 : "both sides are outside; an airway joins a space to another, or to outside");
    return {};
  }
  return Sides{*first, *second};
}

/// `from` and `to` of a fan.
std::optional<Sides> read_from_to(const TableReader& table, bool needed, const Draft& draft) {
  const auto side = [&](std::string_view key, std::string_view example) -> std::optional<Side> {
    const auto* node = table.find(key);
    if (!node && needed) table.require(key, example);
    return node ? read_side(table, key, *node, draft) : std::nullopt;
  };
  const auto from = side("from", "\"store\""), to = side("to", "\"outside\"");
  return checked(table, table.value_location("to"), from, to, draft);
}

/// `between` of all other kinds.
std::optional<Sides> read_between(const TableReader& table, const Draft& draft) {
  const auto* node = table.find("between");
  if (!node) {
    table.require("between", "[\"store\", \"outside\"]");
    return {};
  }
  const auto* list = node->as_array();
  if (!list || list->size() != 2) {
    table.value_error("between", fmt::format("found {}; expected two names, such as [\"store\", \"outside\"]",
                                             list ? fmt::format("a list of {}", list->size()) : shown_value(*node)));
    return {};
  }
  const auto first = read_side(table, "between", (*list)[0], draft),
             second = read_side(table, "between", (*list)[1], draft);
  return checked(table, location_of(*node), first, second, draft);
}

double read_flow(const TableReader& table, bool needed, Side from, const Draft& draft) {
  if (needed && !table.require("flow", "\"150 m3/h\"")) return 0.0;
  const auto flow = read_volume_flow(table, "flow", from, draft).value_or(0.0);
  if (flow > 100.0) {
    table.value_notice("flow", fmt::format("{} is very much; is the unit right?", table.faults().amount(flow, "m3/s")));
  }
  return flow;
}

/// At which height a fan or an exchange opens, which decides which layer of a room it joins.
std::optional<double> read_height(const TableReader& table, Side first, Side second, const Draft& draft) {
  const auto height = table.quantity("height", Dimension::length, Sign::not_negative);
  if (height) check_opening(table, "height", first, second, *height, *height, draft);
  return height;
}

/// The air handling unit that the airway belongs to.
std::optional<SystemIndex> read_membership(const TableReader& table, const Draft& draft) {
  const auto* id = table.text_at("system");
  if (!id) return {};
  if (const auto index = draft.systems.find(*id)) return SystemIndex{*index};
  if (!draft.faults.damaged()) {
    table.value_error("system", fmt::format("there is no system {}{}", shown(*id),
                                            suggestion(*id, draft.systems.names(), draft.faults)));
  }
  return {};
}

Fan read_fan(const TableReader& table, const Sides& sides, bool both, double flow, const Draft& draft) {
  const auto& [first, second] = sides;
  if (table.has("curve") && table.has("flow")) {
    table.error(table.key_location("flow"), "a fan has a 'flow' or a 'curve', not both");
  }
  Fan fan{first, second, flow, table.has("curve") ? read_curve(table) : std::vector<FanPoint>{}};
  fan.height = read_height(table, first, second, draft);
  fan.momentum = table.quantity("momentum", Dimension::force, Sign::not_negative);
  if (fan.momentum && both && !in_layers(second, draft.site)) {
    table.value_notice("momentum", "has no effect: the fan does not blow into a layered room");
  }
  return fan;
}

/// A tube leads out of a vessel: into another vessel, a cabinet, a room or outside.
void check_tube(const TableReader& table, const std::optional<Sides>& sides, const Draft& draft) {
  if (!sides) return;
  const auto vessel = [&](const Side& side) {
    return side && draft.site.spaces[side->value].kind == SpaceKind::vessel;
  };
  if (vessel(sides->first) || vessel(sides->second)) return;
  table.value_error("between",
                    "a tube leads out of a vessel, and neither side is one; expected such as between = [\"flask\", "
                    "\"bottle\"], or kind = \"opening\" between rooms");
}

}  // namespace

std::optional<double> read_volume_flow(const TableReader& table, std::string_view key, Side from, const Draft& draft) {
  constexpr Dimension dimensions[] = {Dimension::volume_flow, Dimension::amount_flow};
  const auto flow = table.quantity(key, dimensions, Sign::not_negative);
  if (!flow) return {};
  if (flow->dimension == Dimension::volume_flow) return flow->si;
  const Conditions& conditions = draft.site.conditions;
  const double temperature = from ? draft.site.spaces[from->value].temperature : conditions.outside_temperature;
  return flow->si * gas_constant * temperature / conditions.pressure;
}

std::pair<Airway, bool> read_airway(const toml::table& row, AirwayIndex index, Draft& draft) {
  draft.faults.enter(Part::airway, index.value);
  const TableReader table{row, "airway", id_text(row), draft.faults};
  Airway airway;
  airway.place = draft.faults.place(table.location());
  const auto* kind = read_kind(table, kinds);
  refuse_foreign_keys(table, kind, kinds, common_keys);
  const auto id = read_id(table, "\"extract\"");
  airway.id = id;
  airway.on = table.flag("on").value_or(true);
  airway.system = read_membership(table, draft);
  const auto word = kind ? kind->word : std::string_view{};
  // Where the kind is not known, what is there is checked all the same.
  const bool one_way = word == "fan" || (!kind && !table.has("between"));
  const auto sides = one_way ? read_from_to(table, kind != nullptr, draft) : read_between(table, draft);
  const auto [first, second] = sides.value_or(Sides{});
  const bool flows = word == "fan" || word == "exchange" || !kind;
  const double flow = flows ? read_flow(table, kind && !table.has("curve"), first, draft) : 0.0;
  const bool sound = kind && sides;
  if (word == "fan") {
    airway.kind = read_fan(table, {first, second}, sides.has_value(), flow, draft);
  } else if (word == "gap") {
    airway.kind = read_gap(table, first, second, draft);
  } else if (word == "doorway") {
    airway.kind = read_doorway(table, first, second, draft);
  } else if (word == "louvre") {
    airway.kind = read_louvre(table, first, second, draft);
  } else if (word == "window") {
    airway.kind = read_window(table, first, second, index, draft);
  } else if (word == "undercut") {
    airway.kind = read_undercut(table, first, second, draft);
  } else if (word == "opening" || word == "tube") {
    if (word == "tube") check_tube(table, sides, draft);
    airway.kind = Opening{first, second};
  } else {
    Exchange exchange{first, second, flow};
    if (kind) exchange.height = read_height(table, first, second, draft);
    airway.kind = exchange;
  }
  return {std::move(airway), sound};
}

void read_airways(const TableReader& file, Draft& draft) {
  const auto count = row_count(file, "airway");
  draft.site.airways.reserve(count);
  draft.airways.reserve(count);
  draft.airway_sound.reserve(count);
  for_each_table(file, "airway", [&](const toml::table& row) {
    const AirwayIndex index{draft.site.airways.size()};
    auto [airway, sound] = read_airway(row, index, draft);
    take_id({row, "airway", id_text(row), draft.faults}, id_text(row), index.value, draft.airways);
    draft.airway_sound.push_back(sound);
    draft.site.airways.push_back(std::move(airway));
  });
}

}  // namespace leanside::input
