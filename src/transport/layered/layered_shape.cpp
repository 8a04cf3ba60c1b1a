// SPDX-License-Identifier: Apache-2.0
/// The layers of a room at one moment: interfaces, openings, plumes, and what breaks the layers up.
#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "leanside/advanced/plumes.hpp"
#include "leanside/units.hpp"
#include "transport/layered/layered_site.hpp"

namespace leanside::transport {
namespace {

/// A gap, a fan or an exchange counts as this high, as a share of the height of a layered room, so that an interface
/// passes it gradually.
constexpr double band = 0.05;
/// A layer at its thinnest loses nothing more; from this share of the room on it loses gas freely.
constexpr double freely = 1e-2;

/// Time in which a layer at its thinnest mixes with the rest of the room, s.
constexpr double time_to_merge = 600.0;

/// How freely a layer with this share of the room loses gas: 0 at its thinnest, 1 from `freely` on, smooth at both.
double freedom(double share) {
  const double t = std::clamp((share - LayeredSite::thinnest) / (freely - LayeredSite::thinnest), 0.0, 1.0);
  return t * t * (3.0 - 2.0 * t);
}

/// Height above the datum of the floor that heights of an airway are counted from.
double counted_from(const Site& site, const Airway& airway) {
  const Side first = first_side(airway), second = second_side(airway);
  const Side& side = first ? first : second;
  return side ? site.spaces[side->value].elevation : 0.0;
}

/// Empty: at every height, of a fan or an exchange that gives none.
std::optional<double> opening_height(const Airway& airway) {
  if (const auto* gap = std::get_if<Gap>(&airway.kind)) return gap->height;
  if (const auto* fan = std::get_if<Fan>(&airway.kind)) return fan->height;
  if (const auto* exchange = std::get_if<Exchange>(&airway.kind)) return exchange->height;
  return 0.0;
}

}  // namespace

double LayeredSite::whole(std::size_t room, double temperature) const {
  return original_.conditions.pressure * rooms_[room].volume / (gas_constant * temperature);
}

double LayeredSite::interface_height(std::size_t room, double moles, double temperature) const {
  const double share = moles / whole(room, temperature);
  return rooms_[room].height * (rooms_[room].above ? 1.0 - share : share);
}

double LayeredSite::density_of(std::size_t cell, const SiteState& state, std::span<const double> x,
                               std::size_t cells) const {
  double mass = molar_mass_of_air;
  for (std::size_t k = 0; k < expanded_.gases.size(); ++k) {
    mass +=
        std::clamp(x[k * cells + cell], 0.0, 1.0) * (expanded_.gases[k].substance.molar_mass.value - molar_mass_of_air);
  }
  return expanded_.conditions.pressure * mass / (gas_constant * state.temperature[cell]);
}

/// The sum of the fractions of all gases in a cell.
double LayeredSite::all_gas(std::size_t cell, std::span<const double> x, std::size_t cells) const {
  double sum = 0.0;
  for (std::size_t k = 0; k < expanded_.gases.size(); ++k) sum += x[k * cells + cell];
  return sum;
}

/// Share of an opening at height z above the datum that opens into the layer of gas, or into the other one. One at
/// every height (empty) serves both by their volumes.
double LayeredSite::share_at(const Room& room, bool gas, std::optional<double> z) const {
  if (!z) return gas ? room.gas_share : 1.0 - room.gas_share;
  const double half = 0.5 * band * room.height;
  const double middle = std::clamp(*z - room.floor, half, room.height - half);
  const double above = std::clamp((middle + half - room.interface_height) / (2.0 * half), 0.0, 1.0);
  return gas == room.above ? above : 1.0 - above;
}

namespace {

/// The airway of the file, or what an event made of it, which is then in `changed` and no longer in `state`: what it is
/// now goes into the expanded site.
template <class Index>
const Airway& as_it_is_now(const Airway& of_file, const Index& piece, SiteState& state, Airway& changed) {
  const auto event = state.changed.find(piece);
  if (event == state.changed.end()) return of_file;
  changed = of_file;
  changed.kind = *event->second;
  state.changed.erase(event);
  return changed;
}

}  // namespace

void LayeredSite::shape_piece(const Piece& piece, SiteState& state) {
  Airway changed;
  const Airway& parent = as_it_is_now(original_.airways[piece.parent], piece.airway, state, changed);
  Airway& airway = expanded_.airways[piece.airway];
  if (state.airway_shut[piece.airway]) {
    // The whole size of a shut opening decides what it leaks.
    const Side first = first_side(airway), second = second_side(airway);
    airway.kind = parent.kind;
    set_sides(airway, first, second);
    return;
  }
  const double datum = counted_from(original_, parent);
  const double now_counted_from = counted_from(expanded_, airway);
  if (const auto* door = std::get_if<Doorway>(&parent.kind)) {
    double low = datum + door->sill, high = low + door->height;
    const auto cut = [&](std::size_t k, bool gas) {
      if (k == no_room) return;
      const double at = rooms_[k].floor + rooms_[k].interface_height;
      if (gas == rooms_[k].above) {
        low = std::max(low, at);
      } else {
        high = std::min(high, at);
      }
    };
    cut(piece.first_room, piece.first_gas);
    cut(piece.second_room, piece.second_gas);
    auto& part = std::get<Doorway>(airway.kind);
    part.width = door->width;
    part.discharge = door->discharge;
    part.wind_coefficient = door->wind_coefficient;
    constexpr double least = 1e-9;  // m
    part.sill = low - now_counted_from;
    part.height = std::max(high - low, least);
    if (high - low <= least) state.airway_open[piece.airway] = 0.0;
    return;
  }
  const auto above_datum = opening_height(parent);
  std::optional<double> z;
  if (above_datum) z = datum + *above_datum;
  double share = 1.0;
  if (piece.first_room != no_room) share *= share_at(rooms_[piece.first_room], piece.first_gas, z);
  if (piece.second_room != no_room) share *= share_at(rooms_[piece.second_room], piece.second_gas, z);
  if (!(share > 0.0)) {
    state.airway_on[piece.airway] = false;
    share = 0.0;
  }
  state.airway_flow[piece.airway] *= share;
  parts_.airway[piece.airway] = share;
  if (auto* gap = std::get_if<Gap>(&airway.kind)) {
    const Gap& whole = std::get<Gap>(parent.kind);
    gap->leakage_area = whole.leakage_area * share;
    gap->exponent = whole.exponent;
    gap->wind_coefficient = whole.wind_coefficient;
    gap->height = *z - now_counted_from;
  } else if (auto* fan = std::get_if<Fan>(&airway.kind)) {
    if (z) fan->height = *z - now_counted_from;
    fan->curve = std::get<Fan>(parent.kind).curve;
    for (FanPoint& point : fan->curve) point.flow *= share;
  }
}

/// The air, m3/s, that leaves a pool with its vapour: over the liquid air is saturated at most.
double LayeredSite::drawn_over_pool(const Release& release, const SiteState& state, std::size_t index) const {
  const auto* spill = std::get_if<SpillRelease>(&release.kind);
  if (spill == nullptr) return 0.0;
  const double pressure = expanded_.conditions.pressure;
  const double saturated = std::min(1.0, spill->pool.vapour_pressure / pressure);
  const double molar_volume = gas_constant * state.temperature[release.into.value] / pressure;
  return state.release_rate[index] * molar_volume * (1.0 - saturated) / saturated;
}

/// The plumes of a room, diffusion, and the overturning of layers that lie upside down; gas from other spaces may cause
/// that.
void LayeredSite::shape_plume(const Room& room, SiteState& state, std::span<const double> x, std::size_t cells) {
  const double ambient = density_of(room.ambient, state, x, cells), gas = density_of(room.gas, state, x, cells);
  const double sign = room.above ? 1.0 : -1.0;
  const double molar_volume = gas_constant * state.temperature[room.ambient] / expanded_.conditions.pressure;
  double flow = 0.0;
  for (const std::size_t r : room.releases) {
    const Release& release = original_.releases[r];
    const double released = molar_mass(release.gas, original_.gases) / molar_volume;
    const double buoyancy = sign * buoyancy_flux(ambient, released, state.release_rate[r] * molar_volume);
    const double distance = sign * (room.interface_height - release.height.value_or(0.0));
    flow += std::max(plume_flow(room.plume_constant, buoyancy, distance), drawn_over_pool(release, state, r));
  }
  state.airway_flow[room.plume] = flow;
  const double upside_down = std::max(0.0, sign * (gas - ambient) / ambient);
  const double diffusivity =
      diffusivity_at(room.diffusivity, state.temperature[room.ambient], expanded_.conditions.pressure);
  double exchanged = room.area * std::sqrt(standard_gravity * room.height) * upside_down +
                     layer_exchange(diffusivity, room.area, room.height, room.gas_share, all_gas(room.gas, x, cells),
                                    all_gas(room.ambient, x, cells));
  // A layer at its thinnest that no plume feeds mixes with the rest of the room.
  if (!(flow > 0.0)) {
    const double gone = 2.0 - freedom(room.gas_share) - freedom(1.0 - room.gas_share);
    exchanged += gone * thinnest * room.volume / time_to_merge;
  }
  state.airway_flow[room.overturn] = exchanged;
  state.airway_on[room.plume] = flow > 0.0;
  state.airway_on[room.overturn] = exchanged > 0.0;
}

/// Shortest way, as a share of the height of the room, over which a plume is taken to mix before it has spread at the
/// far end: about as deep as what flows along a ceiling above it.
constexpr double shortest_way = 0.1;

double LayeredSite::FarEndOf::of(const Tracer& column, double mean) const {
  double released = 0.0;
  for (const Tracer::FromRelease& source : column.sources) {
    if (source.release == release) released += source.share;
  }
  return weight.layer * mean + weight.release * released;
}

LayeredSite::FarEndOf LayeredSite::far_end(std::size_t index, const SiteState& state, std::span<const double> x,
                                           std::size_t cells, double share) const {
  const Room& room = rooms_[index];
  const double sign = room.above ? 1.0 : -1.0, ambient = density_of(room.ambient, state, x, cells);
  const double molar_volume = gas_constant * state.temperature[room.ambient] / expanded_.conditions.pressure;
  FarEndOf out;
  double richest = 0.0;
  for (const std::size_t r : room.releases) {
    const Release& release = original_.releases[r];
    const double rate = state.release_rate[r] * molar_volume, height = release.height.value_or(0.0);
    const double buoyancy =
        sign * buoyancy_flux(ambient, molar_mass(release.gas, original_.gases) / molar_volume, rate);
    const double way = std::max(shortest_way * room.height, room.above ? room.height - height : height);
    if (!(buoyancy > 0.0) || std::holds_alternative<SpillRelease>(release.kind)) continue;
    const double brought = undiluted(rate, plume_flow(room.plume_constant, buoyancy, way));
    if (brought <= richest) continue;
    richest = brought;
    out.release = ReleaseIndex{r};
  }
  out.weight = leanside::far_end(share, all_gas(room.gas, x, cells), all_gas(room.ambient, x, cells), richest);
  return out;
}

void LayeredSite::keep(std::span<const double> held, const SiteState& state) {
  for (std::size_t k = 0; k < rooms_.size(); ++k) {
    Room& room = rooms_[k];
    room.gas_share = std::clamp(held[room.gas] / whole(k, state.temperature[room.ambient]), 0.0, 1.0);
    room.interface_height = room.height * (room.above ? 1.0 - room.gas_share : room.gas_share);
    Space &ambient = expanded_.spaces[room.ambient], &gas = expanded_.spaces[room.gas];
    gas.volume = room.gas_share * room.volume;
    ambient.volume = room.volume - gas.volume;
    parts_.space[room.gas] = room.gas_share;
    parts_.space[room.ambient] = 1.0 - room.gas_share;
    (room.above ? gas : ambient).elevation = room.floor + room.interface_height;
    (room.above ? ambient : gas).elevation = room.floor;
  }
}

void LayeredSite::shape(SiteState& state, std::span<const double> x, std::size_t cells, std::span<const double> held) {
  keep(held, state);
  for (const Room& room : rooms_) shape_plume(room, state, x, cells);
  for (const Piece& piece : pieces_) shape_piece(piece, state);
}

double LayeredSite::surplus(const FlowField& field, std::size_t room) const {
  const AirwayFlow& interface = field.airways[rooms_[room].interface];
  const double down = interface.forward - interface.backward;
  return rooms_[room].above ? down : -down;
}

void LayeredSite::move_interfaces(FlowField& field) const {
  for (std::size_t k = 0; k < rooms_.size(); ++k) {
    const Room& room = rooms_[k];
    const SpaceIndex ambient{room.ambient}, gas{room.gas};
    const double extra = surplus(field, k);
    std::erase_if(field.flows, [&](const MolarFlow& flow) {
      return (flow.from == ambient && flow.to == gas) || (flow.from == gas && flow.to == ambient);
    });
    const auto stream = [&](SpaceIndex from, SpaceIndex to, double rate) {
      if (rate > 0.0) field.flows.push_back({from, to, rate});
    };
    const double giving = extra > 0.0 ? 1.0 - room.gas_share : room.gas_share;
    field.storage[room.gas] = freedom(giving) * extra;
    field.storage[room.ambient] = -field.storage[room.gas];
    const double rest = extra - field.storage[room.gas];
    const AirwayFlow &plume = field.airways[room.plume], &overturn = field.airways[room.overturn];
    stream(ambient, gas, plume.forward + overturn.forward + std::max(0.0, -rest));
    stream(gas, ambient, overturn.backward + std::max(0.0, rest));
  }
}

std::optional<std::string> LayeredSite::broken(std::size_t index, const FlowField& field,
                                               std::span<const double> density, const SiteState& state) const {
  const Room& room = rooms_[index];
  const double sign = room.above ? 1.0 : -1.0;
  const double ambient = density[room.ambient], gas = density[room.gas];
  const double pressure = expanded_.conditions.pressure;
  const auto temperature_of = [&](const Side& side) {
    return side ? state.temperature[side->value] : expanded_.conditions.outside_temperature;
  };
  double released = 0.0;
  for (const std::size_t r : room.releases) {
    const double molar_volume = gas_constant * temperature_of(SpaceIndex{room.gas}) / pressure;
    released += sign * buoyancy_flux(ambient, molar_mass(original_.releases[r].gas, original_.gases) / molar_volume,
                                     state.release_rate[r] * molar_volume);
  }
  if (!(released > 0.0)) return std::nullopt;
  double against = 0.0, worst = 0.0;
  Side from;
  for (const MolarFlow& flow : field.flows) {
    if (!flow.to || (flow.to->value != room.gas && flow.to->value != room.ambient)) continue;
    if (flow.from && (flow.from->value == room.gas || flow.from->value == room.ambient)) continue;
    const double coming =
        flow.from ? density[flow.from->value] : pressure * molar_mass_of_air / (gas_constant * temperature_of({}));
    // What is denser than the air below sinks through the layer of gas; what is lighter than the layer above rises
    // through the air. With gas on the floor it is the other way round.
    const double beyond = flow.to->value == room.gas ? sign * (coming - ambient) : sign * (gas - coming);
    const double volume_flow = flow.rate * gas_constant * temperature_of(flow.from) / pressure;
    const double stirring = standard_gravity * beyond / ambient * volume_flow;
    if (!(beyond > 1e-3 * ambient)) continue;
    against += stirring;
    if (stirring <= worst) continue;
    worst = stirring;
    from = flow.from;
  }
  if (!(against > released)) return std::nullopt;
  const double coming =
      from ? density[from->value] : pressure * molar_mass_of_air / (gas_constant * temperature_of({}));
  const Side source = from ? Side{original(*from)} : Side{};
  return fmt::format("air that comes in from {} is {} than both layers and stirs them more than the gas feeds them",
                     source ? "'" + original_.spaces[source->value].id + "'" : std::string{"outside"},
                     coming > ambient ? "heavier" : "lighter");
}

}  // namespace leanside::transport
