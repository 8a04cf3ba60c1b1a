// SPDX-License-Identifier: Apache-2.0
/// The arithmetic of a space as the answer shows it: of a layered room that of both layers.
#include <algorithm>
#include <utility>

#include <fmt/format.h>

#include "leanside/explain.hpp"
#include "leanside/report.hpp"
#include "leanside/units.hpp"
#include "transport/steady/steady_system.hpp"

namespace leanside {
namespace {

/// The site with the picture of which the answer shows the space.
Site as_shown(const Site& site, const CaseResult& result, SpaceIndex space) {
  Site shown = site;
  const bool mixed = !result.room_model.empty() && result.room_model[space.value] == RoomModel::mixed;
  for (Space& each : shown.spaces) {
    if (each.stratification != Stratification::worse_of_both) continue;
    each.stratification = mixed ? Stratification::mixed : Stratification::layered;
  }
  for (const LayeredRoom& room : result.layered) shown.spaces[room.space.value].gas_above = room.gas_above;
  return shown;
}

/// Both layers of a room, and how the far end of that of gas follows from its mean.
std::string layers_text(const SteadySystem::CellsAtRest& cells, const SteadySystem::CellsAtRest::Room& room,
                        const CaseResult& result, const TextStyle& style) {
  CaseResult by_cell = result;
  by_cell.spaces.resize(cells.site.spaces.size());
  for (const LayeredRoom& layers : result.layered) {
    if (layers.space != room.ambient) continue;
    by_cell.spaces[room.gas.value] = room.gas_above ? layers.upper : layers.lower;
    by_cell.spaces[room.ambient.value] = room.gas_above ? layers.lower : layers.upper;
  }
  // A layer grows, so that the time to a passage is not that of a space of constant volume.
  for (const SpaceIndex cell : {room.gas, room.ambient}) by_cell.spaces[cell.value].crossings.clear();
  std::string out = explanation(cells.site, arithmetic_of(cells.site, by_cell, room.gas, cells.steady), style);
  out +=
      fmt::format("\n{} {} of the mean of the layer and {} of what is released there (18a):\n",
                  room.gas_above ? "Under the ceiling:" : "On the floor:", format_number(room.far_end.weight.layer, 6),
                  format_number(room.far_end.weight.release, 6));
  const auto tracers = gas_tracers(cells.site);
  for (std::size_t k = 0; k < cells.site.gases.size(); ++k) {
    const double mean = cells.steady.fractions(room.gas, k), far = room.far_end.of(tracers[k], mean);
    if (!(far > 0.0)) continue;
    const double released = room.far_end.of(tracers[k], 0.0);
    out += fmt::format("     x of {} = {} * {} + {} = {}\n", cells.site.gases[k].substance.id,
                       format_number(room.far_end.weight.layer, 6), format_number(mean, 6), format_number(released, 6),
                       format_number(far, 6));
  }
  return out + "\n" + explanation(cells.site, arithmetic_of(cells.site, by_cell, room.ambient, cells.steady), style);
}

/// The arithmetic of one space as JSON or as text.
std::string written(const Site& site, const SpaceArithmetic& arithmetic, bool json, const TextStyle& style) {
  return json ? explanation_json(site, arithmetic) : explanation(site, arithmetic, style);
}

Result<std::string> of_shown(const Site& site, const CaseResult& result, SpaceIndex space, bool json,
                             const TextStyle& style) {
  auto built = SteadySystem::build(site, result.case_index);
  if (auto* fault = std::get_if<Fault>(&built)) return std::move(*fault);
  auto& system = std::get<SteadySystem>(built);
  if (!system.in_layers()) {
    auto steady = system.solve(gas_tracers(site));
    if (auto* fault = std::get_if<Fault>(&steady)) return std::move(*fault);
    return written(site, arithmetic_of(site, result, space, std::get<SteadyFractions>(steady)), json, style);
  }
  auto at_rest = system.cells_at_rest();
  if (auto* fault = std::get_if<Fault>(&at_rest)) return std::move(*fault);
  auto& cells = std::get<SteadySystem::CellsAtRest>(at_rest);
  for (const auto& room : cells.rooms) {
    cells.site.spaces[room.gas.value].id += room.gas_above ? ", layer under the ceiling" : ", layer on the floor";
    cells.site.spaces[room.ambient.value].id += room.gas_above ? ", air below the layer" : ", air above the layer";
  }
  for (std::size_t i = site.airways.size(); i < cells.site.airways.size(); ++i) {
    std::string& id = cells.site.airways[i].id;
    const Airway& airway = cells.site.airways[i];
    const bool inside = first_side(airway) && second_side(airway) &&
                        std::any_of(cells.rooms.begin(), cells.rooms.end(), [&](const auto& room) {
                          return (first_side(airway) == Side{room.ambient} && second_side(airway) == Side{room.gas}) ||
                                 (first_side(airway) == Side{room.gas} && second_side(airway) == Side{room.ambient});
                        });
    if (inside) {
      id = std::holds_alternative<Fan>(airway.kind)        ? "plume"
           : std::holds_alternative<Exchange>(airway.kind) ? "diffusion"
                                                           : "interface";
    }
  }
  for (const auto& room : cells.rooms) {
    if (room.ambient != space) continue;
    if (!json) return layers_text(cells, room, result, style);
    CaseResult by_cell = result;
    by_cell.spaces.resize(cells.site.spaces.size());
    by_cell.spaces[room.gas.value] = result.spaces[space.value];
    return explanation_json(cells.site, arithmetic_of(cells.site, by_cell, room.gas, cells.steady));
  }
  return written(cells.site, arithmetic_of(cells.site, result, space, cells.steady), json, style);
}

}  // namespace

Result<std::string> explained(const Site& site, const CaseResult& result, SpaceIndex space, bool json,
                              const TextStyle& style) {
  return of_shown(as_shown(site, result, space), result, space, json, style);
}

}  // namespace leanside
