// SPDX-License-Identifier: Apache-2.0
/// [[space]].
#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

#include <fmt/format.h>

#include "input/site/site_draft.hpp"

namespace leanside::input {
namespace {

constexpr Names common_keys = {"id", "name", "kind", "elevation", "temperature", "ignition"};
constexpr Names layered_keys = {"volume",      "floor_area", "height",         "mixing_factor",
                                "air_changes", "initial",    "stratification", "entrainment"};
constexpr Names cabinet_keys = {"volume",      "floor_area", "height",         "mixing_factor", "stands_in",
                                "air_changes", "initial",    "stratification", "entrainment"};
constexpr Names vessel_keys = {"volume",  "floor_area", "height",         "mixing_factor", "air_changes", "initial",
                               "liquid",  "diameter",   "rated_pressure", "entered",       "material",    "mouth",
                               "stirred", "openings",   "collect",        "stands_in",     "flame"};
constexpr auto kinds = std::to_array<Kind>({
    {.word = "room", .keys = layered_keys},
    {.word = "cabinet", .keys = cabinet_keys},
    {.word = "vessel", .keys = vessel_keys},
    {.word = "junction"},
});

SpaceKind kind_of(std::string_view word) {
  for (const auto kind : {SpaceKind::room, SpaceKind::cabinet, SpaceKind::vessel}) {
    if (word_of(kind) == word) return kind;
  }
  return SpaceKind::junction;
}

/// Volume, floor area and height: any that follow from the others. Where the kind is not known, none is missed.
void read_size(const TableReader& table, bool needed, Space& space) {
  space.floor_area = table.quantity("floor_area", Dimension::area, Sign::positive);
  space.height = table.quantity("height", Dimension::length, Sign::positive);
  const auto volume = table.quantity("volume", Dimension::volume, Sign::positive);
  if (!table.has("volume")) {
    if (!needed) return;
    if (!table.has("floor_area")) {
      table.require("volume", "\"30 m3\", or floor_area = \"12 m2\" with height = \"2.5 m\"");
    } else if (!table.has("height")) {
      table.require("height", "\"2.5 m\" (or give the volume itself)");
    } else if (space.floor_area && space.height) {
      space.volume = *space.floor_area * *space.height;
    }
    return;
  }
  if (!volume) return;
  space.volume = *volume;
  if (space.floor_area && space.height) {
    const double product = *space.floor_area * *space.height;
    if (std::abs(product - *volume) > 0.01 * std::max(product, *volume)) {
      table.value_error("volume",
                        fmt::format("{} is not floor_area times height, which is {}; give one or the other",
                                    table.faults().amount(*volume, "m3", 4), table.faults().amount(product, "m3", 4)));
    }
  } else if (space.floor_area) {
    if (!table.has("height")) space.height = *volume / *space.floor_area;
  } else if (space.height && !table.has("floor_area")) {
    space.floor_area = *volume / *space.height;
  }
}

/// What the space holds at time 0.
void read_initial(const TableReader& table, Space& space, Draft& draft) {
  const auto* initial = table.subtable("initial");
  if (!initial) return;
  std::vector<std::pair<const toml::key*, const toml::node*>> entries;
  for (const auto& [key, value] : *initial) entries.emplace_back(&key, &value);
  std::ranges::sort(entries, {}, [](const auto& entry) {  // as written, not by letter
    const auto location = location_of(*entry.first);
    return std::pair{location.line, location.column};
  });
  double sum = 0.0;
  bool all_sound = true;
  for (const auto& [key, value] : entries) {
    const auto composition = composition_of(table, location_of(*key), key->str(), draft);
    const auto read = table.fraction_of(*value, fmt::format("initial {}", key->str()));
    if (const auto* fault = std::get_if<QuantityFault>(&read)) {
      table.error(location_of(*value), fmt::format("initial, {}: {}", shown(key->str()), fault->message));
      all_sound = false;
    } else {
      sum += std::get<double>(read);
      if (composition) add_shares(space.initial, *composition, std::get<double>(read));
    }
  }
  if (!all_sound || sum <= 1.0) return;
  if (sum > 1.0 + 1e-6) {
    table.value_error("initial", fmt::format("the shares add up to {}, more than 100 %; what they leave is air",
                                             format_quantity(sum, "%", 6)));
  } else {
    for (auto& share : space.initial) share.fraction /= sum;
  }
}

/// Whether gas is taken to mix through the room or to gather in a layer. Of what holds for all rooms, those are left
/// out whose air is said to mix in some other way.
void read_layers(const TableReader& table, SpaceIndex index, Space& space, Draft& draft) {
  auto model = read_stratification(table);
  const bool named = table.has("stratification");
  if (!named && !table.has("mixing_factor")) model = draft.room_model;
  space.stratification = model.value_or(Stratification::mixed);
  if (!named && !model) draft.left_mixed.push_back(index);
  if (const auto entrainment = table.number("entrainment", Sign::positive)) {
    space.entrainment = *entrainment;
    if (*entrainment > 1.0) {
      table.value_error("entrainment",
                        fmt::format("found {}; expected the coefficient of a plume, up to 1; leave it out for 0.1",
                                    format_exact(*entrainment)));
    }
  }
  if (space.stratification == Stratification::mixed) {
    if (table.has("entrainment")) table.value_notice("entrainment", "has no effect in a mixed room");
    return;
  }
  if (space.mixing_factor > 1.0) {
    table.value_error("mixing_factor", "a room in layers has none: leave it out, or take stratification = \"mixed\"");
  }
}

/// What a vessel stands, and whether people go into it.
void read_vessel(const TableReader& table, Draft& draft, Space& space) {
  const double ambient = draft.site.conditions.pressure;
  if (const auto rated = table.pressure("rated_pressure", ambient)) {
    space.rated_pressure = *rated;
    if (*rated <= ambient) {
      table.value_error("rated_pressure",
                        fmt::format("{} is not above the pressure of the air, {}; write for example \"0.5 barg\"",
                                    table.faults().amount(*rated, "bar", 4), table.faults().amount(ambient, "bar", 4)));
    }
  }
  space.entered = table.flag("entered").value_or(false);
  read_apparatus(table, draft, space);
}

void judge_volume(const TableReader& table, const Space& space) {
  if (!(space.volume > 0)) return;
  constexpr double smallest = 1e-9, largest = 1e9;  // m3; ours
  const double least = space.kind == SpaceKind::room ? 1.0 : space.kind == SpaceKind::cabinet ? 1e-3 : 1e-6;
  const std::string volume = table.faults().amount(space.volume, "m3");
  if (space.volume < smallest || space.volume > largest) {
    table.error(table.location(), fmt::format("{} is too {} to be real; is the unit right?", volume,
                                              space.volume < smallest ? "small" : "large"));
  } else if (space.volume < least || space.volume > 1e6) {
    table.notice(table.location(),
                 fmt::format("{} is {} for a {}; is the unit right?", volume,
                             space.volume < least ? "very little" : "very much", word_of(space.kind)));
  }
}

void notice_unlikely(const TableReader& table, const Space& space) {
  if (space.air_changes > 1000.0 / 3600.0) {
    table.value_notice("air_changes", fmt::format("{} air changes an hour are very many; is the unit right?",
                                                  format_number(space.air_changes * 3600.0)));
  }
  if (space.mixing_factor > 10.0) {
    table.value_notice("mixing_factor", "values over 10 are outside of what ventilation practice uses (1 to 10)");
  }
  const bool hot = space.temperature > zero_celsius + 60 || space.temperature < zero_celsius - 50;
  if (table.has("temperature") && hot && space.kind == SpaceKind::room) {
    table.value_notice("temperature", fmt::format("{} is unlikely for a room; is the unit right?",
                                                  table.faults().amount(space.temperature, "degC")));
  }
}

}  // namespace

Space read_space(const toml::table& row, SpaceIndex index, Draft& draft) {
  draft.faults.enter(Part::space, index.value);
  const TableReader table{row, "space", id_text(row), draft.faults};
  Space space;
  space.place = draft.faults.place(table.location());
  const auto* kind = read_kind(table, kinds);
  refuse_foreign_keys(table, kind, kinds, common_keys);
  const auto id = read_id(table, "\"store\"");
  space.id = id;
  space.name = table.text("name").value_or("");
  space.temperature =
      table.quantity("temperature", Dimension::temperature, Sign::positive).value_or(draft.site.conditions.temperature);
  space.elevation = table.quantity("elevation", Dimension::length).value_or(0.0);
  if (auto ignition = table.texts("ignition")) space.ignition = std::move(*ignition);
  if (kind) space.kind = kind_of(kind->word);
  if (space.kind != SpaceKind::junction) {
    const bool round = space.kind == SpaceKind::vessel && table.has("diameter");  // its size is read with its shape
    read_size(table, kind != nullptr && !round, space);
    space.air_changes = table.quantity("air_changes", Dimension::per_time, Sign::not_negative).value_or(0.0);
    if (const auto k = table.number("mixing_factor")) {
      space.mixing_factor = *k;
      if (*k < 1) {
        table.value_error(
            "mixing_factor",
            fmt::format("found {}; it is 1 where air mixes at once, and more where it does not", format_exact(*k)));
      }
    }
    if (space.kind == SpaceKind::vessel) read_vessel(table, draft, space);
    if (space.kind != SpaceKind::vessel) read_layers(table, index, space, draft);
    if (!table.has("mixing_factor") && space.stratification == Stratification::mixed) draft.well_mixed.push_back(index);
    read_initial(table, space, draft);
    judge_volume(table, space);
    notice_unlikely(table, space);
  }
  return space;
}

void read_stands_in(const toml::table& row, SpaceIndex index, Draft& draft) {
  draft.faults.enter(Part::space, index.value);
  const TableReader table{row, "space", id_text(row), draft.faults};
  const auto* node = table.find("stands_in");
  Space& space = draft.site.spaces[index.value];
  if (!node || (space.kind != SpaceKind::cabinet && space.kind != SpaceKind::vessel)) return;
  const auto place = read_side(table, "stands_in", *node, draft);
  if (!place) return;
  if (*place && draft.site.spaces[(*place)->value].kind != SpaceKind::room) {
    table.value_error("stands_in", fmt::format("{} is a {}; a {} stands in a room, or \"outside\"",
                                               shown(draft.site.spaces[(*place)->value].id),
                                               word_of(draft.site.spaces[(*place)->value].kind), word_of(space.kind)));
    return;
  }
  space.stands_in = StandsIn{*place, false};
}

void read_spaces(const TableReader& file, Draft& draft) {
  const auto count = row_count(file, "space");
  draft.site.spaces.reserve(count);
  draft.spaces.reserve(count);
  std::vector<const toml::table*> rows;
  for_each_table(file, "space", [&](const toml::table& row) {
    rows.push_back(&row);
    const SpaceIndex index{draft.site.spaces.size()};
    Space space = read_space(row, index, draft);
    take_id({row, "space", id_text(row), draft.faults}, id_text(row), index.value, draft.spaces);
    draft.site.spaces.push_back(std::move(space));
  });
  // A cabinet or vessel may name a room that the file describes after it.
  for (std::size_t i = 0; i < rows.size(); ++i) read_stands_in(*rows[i], SpaceIndex{i}, draft);
  const auto* given = file.find("space");
  const bool none = !given || (given->is_array() && count == 0);
  if (none && !draft.faults.damaged() && !draft.faults.was_offered(&file.table(), "space")) {
    draft.faults.error({{}, 1, 1},
                       "the file describes no space; each room, cabinet or vessel is a [[space]] with id, kind and "
                       "volume");
  }
}

}  // namespace leanside::input
