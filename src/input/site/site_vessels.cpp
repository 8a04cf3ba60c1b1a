// SPDX-License-Identifier: Apache-2.0
/// Vessels as apparatus on a bench: their size, what is in them, their holes.
#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include <fmt/format.h>

#include "input/site/site_draft.hpp"

namespace leanside::input {
namespace {

constexpr double pi = std::numbers::pi;

double circle(double diameter) { return pi * diameter * diameter / 4.0; }

/// Diameter, height and volume of the whole vessel: the third follows from two; from the volume alone a vessel as wide
/// as it is high, which the answer says where it matters.
void read_shape(const TableReader& table, Draft& draft, Space& space) {
  Apparatus& vessel = space.apparatus;
  vessel.diameter = table.quantity("diameter", Dimension::length, Sign::positive);
  if (vessel.diameter && table.has("floor_area") && !table.has("volume")) {
    table.value_error("diameter", "stands beside floor_area; give one of them with the height");
    return;
  }
  if (vessel.diameter && !table.has("volume")) {
    if (table.require("height", "\"20 cm\" (or give the volume)") && space.height) {
      space.volume = circle(*vessel.diameter) * *space.height;
    }
  }
  if (!(space.volume > 0.0)) return;
  if (!vessel.diameter && space.floor_area) vessel.diameter = std::sqrt(4.0 * *space.floor_area / pi);
  if (!vessel.diameter && space.height) vessel.diameter = std::sqrt(4.0 * space.volume / (pi * *space.height));
  if (!space.height && vessel.diameter) space.height = space.volume / circle(*vessel.diameter);
  vessel.inner_height = space.height;
  const auto* mouth = table.find("mouth");
  const bool holed = table.has("openings") || (mouth && mouth->value_or(std::string{}) != "stoppered");
  if (vessel.diameter || !holed) return;
  vessel.diameter = std::cbrt(4.0 * space.volume / pi);
  vessel.inner_height = vessel.diameter;
  draft.vessels.push_back(fmt::format("{} is taken to be as high as wide, {}: give diameter and height",
                                      shown(space.id), table.faults().amount(*vessel.diameter, "cm", 2)));
}

/// Liquid takes its room from the gas.
void read_liquid(const TableReader& table, Space& space) {
  const auto liquid = table.quantity("liquid", Dimension::volume, Sign::not_negative);
  if (!liquid || !(space.volume > 0.0)) return;
  constexpr double fullest = 0.999;
  if (*liquid > fullest * space.volume) {
    table.value_error(
        "liquid", fmt::format("{} does not leave any room for gas in a vessel of {}",
                              table.faults().amount(*liquid, "mL", 3), table.faults().amount(space.volume, "mL", 3)));
    return;
  }
  const double gas = 1.0 - *liquid / space.volume;
  space.apparatus.liquid = *liquid;
  space.volume *= gas;
  if (space.height) *space.height *= gas;
}

/// One of `words`; an error where it is none of them.
std::string one_of(const TableReader& table, std::string_view key, const std::vector<std::string>& words) {
  const auto* word = table.text_at(key);
  if (!word) return {};
  if (std::ranges::find(words, *word) != words.end()) return *word;
  std::vector<std::string> quoted;
  for (const auto& each : words) quoted.push_back("\"" + each + "\"");
  table.value_error(key,
                    fmt::format("found {}{}", shown(*word),
                                table.faults().did_you_mean(*word, words, "; expected " + listed(quoted, " or "))));
  return {};
}

/// An opening must fit into the vessel and lie above its liquid.
void check_hole(const TableReader& table, std::string_view key, const Space& space, const VesselOpening& hole) {
  const Apparatus& vessel = space.apparatus;
  if (!vessel.diameter || !vessel.inner_height) return;  // has a fault
  constexpr double slack = 1.0 + 1e-9;
  const double most = hole.facing == Facing::sideways ? *vessel.inner_height : *vessel.diameter;
  if (hole.diameter > most * slack) {
    table.error(table.key_location(key),
                fmt::format("an opening of {} does not fit into a vessel of {}",
                            table.faults().amount(hole.diameter, "mm", 3), table.faults().amount(most, "mm", 3)));
  }
  if (hole.height > *vessel.inner_height * slack) {
    table.error(table.key_location("height"),
                fmt::format("{} is above the vessel, which is {} high", table.faults().amount(hole.height, "mm", 3),
                            table.faults().amount(*vessel.inner_height, "mm", 3)));
  }
  const double whole = space.volume + vessel.liquid;
  const double surface = whole > 0.0 ? *vessel.inner_height * vessel.liquid / whole : 0.0;
  if (vessel.liquid > 0.0 && hole.height < surface) {
    table.error(table.key_location(key), fmt::format("this opening lies under the liquid, which stands {} high",
                                                     table.faults().amount(surface, "mm", 3)));
  }
}

std::optional<VesselOpening> read_hole_row(const toml::table& row, const Space& space, Draft& draft) {
  constexpr std::string_view keys[] = {"at", "diameter", "height", "neck", "flame"};
  constexpr std::string_view numbers[] = {"diameter", "height", "neck"};
  const TableReader table{row, "an opening of vessel", space.id, draft.faults};
  table.refuse_unknown(keys);
  table.refuse_ranges(numbers, "give one number for an opening");
  VesselOpening hole;
  hole.diameter = table.require("diameter", "\"8 mm\"")
                      ? table.quantity("diameter", Dimension::length, Sign::positive).value_or(0.0)
                      : 0.0;
  hole.neck = table.quantity("neck", Dimension::length, Sign::not_negative).value_or(0.0);
  hole.flame = table.flag("flame").value_or(false);
  const auto height = table.quantity("height", Dimension::length, Sign::not_negative);
  if (!table.require("at", "\"top\", \"bottom\" or \"side\"")) return {};
  const std::string at = one_of(table, "at", {"top", "bottom", "side"});
  if (at.empty() || !(hole.diameter > 0.0)) return {};
  const double top = space.apparatus.inner_height.value_or(0.0);
  hole.facing = at == "top" ? Facing::up : at == "bottom" ? Facing::down : Facing::sideways;
  if (at == "side" && !table.require("height", "\"2 cm\" above the bottom of the vessel")) return {};
  if (at != "side" && height) {
    table.value_error("height", "only an opening at the side has one");
  }
  hole.height = at == "top" ? top : at == "bottom" ? 0.0 : height.value_or(0.0);
  check_hole(table, "at", space, hole);
  return hole;
}

void read_holes(const TableReader& table, Draft& draft, Space& space) {
  Apparatus& vessel = space.apparatus;
  const std::string mouth = one_of(table, "mouth", {"up", "down", "stoppered"});
  const bool lit = table.flag("flame").value_or(false);
  if (mouth == "up" || mouth == "down") {
    const bool up = mouth == "up";
    const VesselOpening hole{vessel.diameter.value_or(0.0), up ? vessel.inner_height.value_or(0.0) : 0.0, 0.0,
                             up ? Facing::up : Facing::down, lit};
    if (hole.diameter > 0.0) {
      check_hole(table, "mouth", space, hole);
      vessel.openings.push_back(hole);
    }
  } else if (table.has("flame") && !(table.has("mouth") && mouth.empty())) {
    table.value_error("flame",
                      "a vessel is lit at its mouth, mouth = \"up\" or \"down\", or at one of its openings: "
                      "openings = [{ at = \"top\", diameter = \"8 mm\", flame = true }]");
  }
  const auto* list = table.find("openings");
  if (!list) return;
  if (!list->is_array()) {
    table.value_error("openings", "expected a list: openings = [{ at = \"top\", diameter = \"8 mm\" }]");
    return;
  }
  if (mouth == "stoppered") table.value_error("openings", "a stoppered vessel has none; leave mouth out");
  for (const auto& item : *list->as_array()) {
    const auto* row = item.as_table();
    if (!row) {
      table.error(location_of(item), "openings: expected { at = \"top\", diameter = \"8 mm\" }");
    } else if (auto hole = read_hole_row(*row, space, draft)) {
      vessel.openings.push_back(*hole);
    }
  }
}

/// How gas and air mix in a vessel with openings.
std::string mixing_words(const Space& space) {
  if (space.apparatus.stirred) return fmt::format("the stirrer of {} mixes gas and air at once", shown(space.id));
  return fmt::format(
      "air that enters {} mixes with its gas at once, or stays apart from it: both are computed and the worse counts. "
      "Gas that comes into it is mixed evenly",
      shown(space.id));
}

/// Where what leaves a vessel goes: where it stands, in the only room of the file, or outside.
Side place_of(const Space& space, Draft& draft) {
  if (space.stands_in) return space.stands_in->place;
  const auto& spaces = draft.site.spaces;
  const auto is_room = [](const Space& each) { return each.kind == SpaceKind::room; };
  const auto rooms = std::ranges::count_if(spaces, is_room);
  if (rooms == 1) {
    const auto room = std::ranges::find_if(spaces, is_room);
    draft.vessels.push_back(fmt::format("{} is taken to stand in {}", shown(space.id), shown(room->id)));
    return SpaceIndex{static_cast<std::size_t>(room - spaces.begin())};
  }
  if (rooms > 1) {
    draft.vessels.push_back(
        fmt::format("what leaves {} is not followed into any room: give stands_in", shown(space.id)));
  }
  return {};
}

}  // namespace

void read_apparatus(const TableReader& table, Draft& draft, Space& space) {
  space.apparatus.material = one_of(table, "material", {"glass", "metal", "plastic"});
  space.apparatus.stirred = table.flag("stirred").value_or(false);
  read_shape(table, draft, space);
  read_liquid(table, space);
  space.apparatus.jars = table.quantity("collect", Dimension::volume, Sign::positive);
  read_holes(table, draft, space);
  if (space.apparatus.jars && !space.apparatus.openings.empty()) {
    table.value_error("collect",
                      "gas that is collected over water leaves by its tube alone: leave mouth and openings "
                      "out");
  }
}

void open_vessels(Draft& draft) {
  Site& site = draft.site;
  for (std::size_t i = 0; i < site.spaces.size(); ++i) {
    const Space& space = site.spaces[i];
    const bool collected = space.apparatus.jars.has_value();
    if (space.apparatus.openings.empty() && !collected) continue;
    Airway airway;
    airway.id = space.id + (collected ? ":tube" : ":mouth");
    airway.kind = Opening{SpaceIndex{i}, collected ? Side{} : place_of(space, draft)};
    if (!collected) {
      draft.vessels.push_back(mixing_words(space));
      draft.vessels.push_back(
          fmt::format("clean, still air surrounds {}: a draught or the pull of a flame brings air in "
                      "sooner",
                      shown(space.id)));
    }
    airway.place = space.place;
    site.airways.push_back(std::move(airway));
    draft.airway_sound.push_back(true);
  }
}

}  // namespace leanside::input
