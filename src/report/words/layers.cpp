// SPDX-License-Identifier: Apache-2.0
/// Layered rooms in words: where the gas gathers, how deep, what can be ignited, where a detector belongs.
#include <algorithm>
#include <cmath>

#include "leanside/report.hpp"
#include "report/words/words.hpp"

namespace leanside::report {
namespace {

using P = Phrase;

std::string metres(Told site, double height) {
  return format_quantity(std::max(0.0, height), "m", 2, site->conditions.units);
}

/// Level and state of one layer at its worst.
std::string worst_of_layer(Told site, const SpaceResult& layer) {
  return percent_of_limit(site, layer.worst.lfl_fraction);
}

std::string of_room(Told site, const LayeredRoom& room) {
  const double height = *site->spaces[room.space.value].height;
  const std::string name = label(site, room.space);
  const auto depth = [&](double interface) { return room.gas_above ? height - interface : interface; };
  constexpr double no_layer = 0.011;  // of the height: as thin as a layer can be
  const bool formed = depth(room.deepest_interface) > no_layer * height;
  const auto layer_from = [&](double interface) {
    return height_words(site, room.space,
                        room.gas_above ? HeightRange{interface, height} : HeightRange{0.0, interface});
  };
  std::string out = site.tell(room.gas_above ? P::gathers_above : P::gathers_below, {{"space", name}});
  if (formed) {
    const std::string heights = layer_from(room.deepest_interface);
    out = room.deepest_time > 0.0
              ? site.tell(P::layer_deepest_after,
                          {{"what", out}, {"heights", heights}, {"time", format_duration(room.deepest_time)}})
              : site.tell(P::layer_deepest, {{"what", out}, {"heights", heights}});
  }
  const SteadyInstant& at_rest = (room.gas_above ? room.upper : room.lower).steady;
  const bool gas_at_rest = at_rest.reached && std::any_of(at_rest.at.fraction.begin(), at_rest.at.fraction.end(),
                                                          [](double x) { return x > 1e-9; });
  if (room.steady_interface && gas_at_rest && depth(*room.steady_interface) > no_layer * height) {
    out = site.tell(formed ? P::layer_then_steady : P::layer_steady,
                    {{"what", out}, {"heights", layer_from(*room.steady_interface)}});
  }
  out = site.tell(room.gas_above ? P::layer_levels_above : P::layer_levels_below,
                  {{"what", out},
                   {"worst", worst_of_layer(site, room.gas_above ? room.upper : room.lower)},
                   {"other", worst_of_layer(site, room.gas_above ? room.lower : room.upper)}});
  if (room.flammable_height) {
    out = site.tell(P::layer_ignitable,
                    {{"what", out},
                     {"volume", format_quantity(room.flammable_volume, "m3", 2, site->conditions.units)},
                     {"horizon", format_duration(site->criteria.horizon)},
                     {"heights", height_words(site, room.space, *room.flammable_height)}});
  }
  return site.tell(room.gas_above ? P::layer_detector_above : P::layer_detector_below, {{"what", out}});
}

}  // namespace

std::string height_words(Told site, SpaceIndex space, const HeightRange& range) {
  const double height = site->spaces[space.value].height.value_or(range.to);
  const bool to_ceiling = range.to >= height * (1.0 - 1e-9), from_floor = range.from <= 1e-9 * height;
  const std::string from = metres(site, range.from), to = metres(site, range.to);
  if (to_ceiling && from_floor) return site.tell(Phrase::heights_all);
  if (to_ceiling) return site.tell(Phrase::heights_to_ceiling, {{"from", from}});
  if (from_floor) return site.tell(Phrase::heights_from_floor, {{"to", to}});
  return site.tell(Phrase::heights, {{"from", from}, {"to", to}});
}

std::vector<std::string> layer_sentences(Told site, const CaseResult& result) {
  std::vector<std::string> out;
  for (const LayeredRoom& room : result.layered) out.push_back(of_room(site, room));
  for (const MixedRoom& room : result.mixed) {
    out.push_back(
        site.tell(P::computed_as_mixed, {{"space", label(site, room.space)}, {"reason", plain_text(room.reason)}}));
  }
  for (std::size_t i = 0; i < result.room_model.size(); ++i) {
    const Space& space = site->spaces[i];
    if (space.stratification != Stratification::worse_of_both) continue;
    out.push_back(site.tell(result.room_model[i] == RoomModel::layered ? P::worse_is_layered : P::worse_is_mixed,
                            {{"space", label(site, SpaceIndex{i})}}));
  }
  return out;
}

}  // namespace leanside::report
