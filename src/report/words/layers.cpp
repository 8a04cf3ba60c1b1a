// SPDX-License-Identifier: Apache-2.0
/// Layered rooms in words: where the gas gathers, how deep, what can be ignited, where a detector belongs.
#include <algorithm>
#include <cmath>

#include "leanside/report.hpp"
#include "report/words/words.hpp"

namespace leanside::report {
namespace {

std::string metres(const Site& site, double height) {
  return format_quantity(std::max(0.0, height), "m", 2, site.conditions.units);
}

/// Level and state of one layer at its worst.
std::string worst_of_layer(const Site& site, const SpaceResult& layer) {
  return percent_of_limit(layer.worst.lfl_fraction, site.criteria);
}

std::string of_room(const Site& site, const LayeredRoom& room) {
  const double height = *site.spaces[room.space.value].height;
  const std::string name = label(site, room.space);
  const auto depth = [&](double interface) { return room.gas_above ? height - interface : interface; };
  constexpr double no_layer = 0.011;  // of the height: as thin as a layer can be
  const bool formed = depth(room.deepest_interface) > no_layer * height;
  std::string out = name + ": gas gathers " + (room.gas_above ? "under the ceiling" : "on the floor");
  if (formed) {
    out += ", at its deepest in a layer " + height_words(site, room.space,
                                                         room.gas_above ? HeightRange{room.deepest_interface, height}
                                                                        : HeightRange{0.0, room.deepest_interface});
    if (room.deepest_time > 0.0) out += " after " + format_duration(room.deepest_time);
  }
  const SteadyInstant& at_rest = (room.gas_above ? room.upper : room.lower).steady;
  const bool gas_at_rest = at_rest.reached && std::any_of(at_rest.at.fraction.begin(), at_rest.at.fraction.end(),
                                                          [](double x) { return x > 1e-9; });
  if (room.steady_interface && gas_at_rest && depth(*room.steady_interface) > no_layer * height) {
    out += formed ? ", in steady state " : ", in steady state in a layer ";
    out += height_words(
        site, room.space,
        room.gas_above ? HeightRange{*room.steady_interface, height} : HeightRange{0.0, *room.steady_interface});
  }
  out += ". Of the lower flammable limit it reaches " + worst_of_layer(site, room.gas_above ? room.upper : room.lower) +
         (room.gas_above ? " right under the ceiling and " : " right on the floor and ") +
         worst_of_layer(site, room.gas_above ? room.lower : room.upper) + " on average in the air " +
         (room.gas_above ? "below" : "above") + " it.";
  if (room.flammable_height) {
    out += " At most " + format_quantity(room.flammable_volume, "m3", 2, site.conditions.units) +
           " of the room can be ignited within " + format_duration(site.criteria.horizon) + ", " +
           height_words(site, room.space, *room.flammable_height) + ".";
  }
  out += room.gas_above ? " A detector belongs close under the ceiling; openings high up let the gas out, if air can "
                          "come in low down."
                        : " A detector belongs close above the floor; openings low down let the gas out, if air can "
                          "come in high up.";
  return out;
}

}  // namespace

std::string height_words(const Site& site, SpaceIndex space, const HeightRange& range) {
  const double height = site.spaces[space.value].height.value_or(range.to);
  const bool to_ceiling = range.to >= height * (1.0 - 1e-9), from_floor = range.from <= 1e-9 * height;
  if (to_ceiling && from_floor) return "from the floor to the ceiling";
  if (to_ceiling) return "from " + metres(site, range.from) + " up to the ceiling";
  if (from_floor) return "from the floor up to " + metres(site, range.to);
  return "from " + metres(site, range.from) + " to " + metres(site, range.to);
}

std::vector<std::string> layer_sentences(const Site& site, const CaseResult& result) {
  std::vector<std::string> out;
  for (const LayeredRoom& room : result.layered) out.push_back(of_room(site, room));
  for (const MixedRoom& room : result.mixed) {
    out.push_back(label(site, room.space) + ": computed as mixed, not in layers: " + plain_text(room.reason) + ".");
  }
  for (std::size_t i = 0; i < result.room_model.size(); ++i) {
    const Space& space = site.spaces[i];
    if (space.stratification != Stratification::worse_of_both) continue;
    out.push_back(label(site, SpaceIndex{i}) + ": of the mixed and the layered room the worse is shown, which is the " +
                  std::string{word_of(result.room_model[i])} + " one.");
  }
  return out;
}

}  // namespace leanside::report
