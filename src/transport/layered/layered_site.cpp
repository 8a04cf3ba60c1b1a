// SPDX-License-Identifier: Apache-2.0
#include "transport/layered/layered_site.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <limits>

#include <fmt/format.h>

#include "leanside/advanced/plumes.hpp"
#include "leanside/units.hpp"
#include "transport/cells/cells.hpp"

namespace leanside::transport {
namespace {

/// A gap, a fan or an exchange has no height of its own: it counts as this share of the height of a layered room, so
/// that an interface passes it little by little.
constexpr double band = 0.05;
/// Below `thinnest` a layer gives nothing more away; from this share of the room on it does so freely.
constexpr double freely = 1e-2;

/// In which time a layer that is gone becomes as the rest of the room is, s.
constexpr double time_to_merge = 600.0;

/// How freely a layer of this share of the room gives itself away: 0 at its thinnest, 1 from `freely` on, level there.
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

double opening_height(const Airway& airway) {
  if (const auto* gap = std::get_if<Gap>(&airway.kind)) return gap->height;
  if (const auto* fan = std::get_if<Fan>(&airway.kind)) return fan->height.value_or(0.0);
  if (const auto* exchange = std::get_if<Exchange>(&airway.kind)) return exchange->height.value_or(0.0);
  return 0.0;
}

void set_sides(Airway& airway, Side first, Side second) {
  std::visit(
      [&](auto& kind) {
        if constexpr (requires { kind.from; }) {
          kind.from = first;
          kind.to = second;
        } else {
          kind.first = first;
          kind.second = second;
        }
      },
      airway.kind);
}

}  // namespace

LayeredSite::LayeredSite(const Site& site, const LayerPlan& plan)
    : original_{site}, expanded_{site}, originals_{site.spaces.size()}, room_of_(site.spaces.size(), -1) {
  for (Space& space : expanded_.spaces) space.stratification = Stratification::mixed;
  for (std::size_t i = 0; i < originals_; ++i) cell_of_.push_back(i);
  for (std::size_t i = 0; i < site.airways.size(); ++i) piece_of_.push_back(i);
  for (const LayerPlan::Room& room : plan.rooms) add_room(room);
  for (std::size_t i = 0; i < site.airways.size(); ++i) split_airway(i);
  repeat_events();
  for (const Room& room : rooms_) {
    if (expanded_.conditions.outside_temperature != expanded_.spaces[room.ambient].temperature) may_break_ = true;
  }
  for (const Piece& piece : pieces_) {
    const Airway& airway = original_.airways[piece.parent];
    if (first_side(airway) && second_side(airway)) may_break_ = true;
  }
  for (const Case& each : site.cases) {
    for (const Event& event : each.events) {
      if (std::holds_alternative<SetSpaceTemperature>(event.change)) may_break_ = true;
    }
  }
}

/// The layer of gas is a vessel as far as leaks go: what a room leaks by assumption, it leaks from its other layer.
void LayeredSite::add_room(const LayerPlan::Room& plan) {
  const Space& space = original_.spaces[plan.space.value];
  assert(space.height && *space.height > 0.0);
  Room room;
  room.ambient = plan.space.value;
  room.gas = expanded_.spaces.size();
  room.above = plan.gas_above;
  room.floor = space.elevation;
  room.height = *space.height;
  room.volume = space.volume;
  room.area = space.volume / *space.height;
  room.plume_constant = plume_constant(space.entrainment);
  room_of_[room.ambient] = static_cast<int>(rooms_.size());
  cell_of_[room.ambient] = room.gas;
  expanded_.spaces[room.ambient].floor_area = room.area;
  Space gas = expanded_.spaces[room.ambient];
  gas.kind = SpaceKind::vessel;
  gas.volume = thinnest * room.volume;
  expanded_.spaces[room.ambient].volume -= gas.volume;
  expanded_.spaces.push_back(std::move(gas));
  for (std::size_t r = 0; r < original_.releases.size(); ++r) {
    if (original_.releases[r].into != plan.space) continue;
    room.releases.push_back(r);
    expanded_.releases[r].into = SpaceIndex{room.gas};
  }
  const SpaceIndex ambient{room.ambient}, gas_cell{room.gas};
  const auto add = [&](auto kind) {
    Airway airway;
    airway.id = space.id;
    airway.kind = std::move(kind);
    expanded_.airways.push_back(std::move(airway));
    piece_of_.push_back(original_.airways.size());
    return expanded_.airways.size() - 1;
  };
  // The interface is a way without resistance at the floor of its first side, the upper layer.
  room.interface = add(room.above ? Relief{gas_cell, ambient} : Relief{ambient, gas_cell});
  room.plume = add(Fan{ambient, gas_cell, 0.0, {}});
  room.overturn = add(Exchange{ambient, gas_cell, 0.0});
  rooms_.push_back(std::move(room));
}

/// A piece for each pair of layers on the two sides; the first keeps the place of the airway.
void LayeredSite::split_airway(std::size_t index) {
  const Airway airway = expanded_.airways[index];
  const Side first = first_side(airway), second = second_side(airway);
  const auto room_of = [&](const Side& side) { return side ? room_of_[side->value] : -1; };
  const int a = room_of(first), b = room_of(second);
  if (a < 0 && b < 0) return;
  bool is_first = true;
  for (const bool first_gas : {false, true}) {
    if (first_gas && a < 0) continue;
    for (const bool second_gas : {false, true}) {
      if (second_gas && b < 0) continue;
      Airway piece = airway;
      const auto layer = [&](const Side& side, int room, bool gas) {
        return gas ? Side{SpaceIndex{rooms_[static_cast<std::size_t>(room)].gas}} : side;
      };
      set_sides(piece, layer(first, a, first_gas), layer(second, b, second_gas));
      std::size_t place = index;
      if (is_first) {
        expanded_.airways[index] = std::move(piece);
      } else {
        place = expanded_.airways.size();
        expanded_.airways.push_back(std::move(piece));
        piece_of_.push_back(index);
      }
      is_first = false;
      pieces_.push_back({index, place, a, b, first_gas, second_gas});
    }
  }
}

/// What happens to an airway or a room happens to all its parts.
void LayeredSite::repeat_events() {
  for (Case& each : expanded_.cases) {
    std::vector<Event> events;
    for (const Event& event : each.events) {
      events.push_back(event);
      const auto repeat = [&](auto change, std::size_t at) {
        if constexpr (requires { change.airway; }) {
          change.airway = AirwayIndex{at};
        } else {
          change.space = SpaceIndex{at};
        }
        Event again = event;
        again.change = change;
        events.push_back(std::move(again));
      };
      const auto for_pieces = [&](const auto& change) {
        for (const Piece& piece : pieces_) {
          if (piece.parent == change.airway.value && piece.airway != piece.parent) repeat(change, piece.airway);
        }
      };
      if (const auto* on = std::get_if<SetAirwayOn>(&event.change)) for_pieces(*on);
      if (const auto* flow = std::get_if<SetAirwayFlow>(&event.change)) for_pieces(*flow);
      if (const auto* open = std::get_if<SetAirwayOpen>(&event.change)) for_pieces(*open);
      if (const auto* warmth = std::get_if<SetSpaceTemperature>(&event.change)) {
        if (cell_of(warmth->space) != warmth->space.value) repeat(*warmth, cell_of(warmth->space));
      }
    }
    each.events = std::move(events);
  }
}

std::vector<Tracer> LayeredSite::tracers(std::span<const Tracer> of_original) const {
  std::vector<Tracer> result(of_original.begin(), of_original.end());
  for (Tracer& tracer : result) {
    const auto initial = tracer.initial;
    for (const Tracer::AtStart& at : initial) {
      if (cell_of(at.space) != at.space.value) tracer.initial.push_back({SpaceIndex{cell_of(at.space)}, at.fraction});
    }
  }
  return result;
}

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

/// Which share of an opening at height z above the datum opens into the layer of gas, or into the other one.
double LayeredSite::share_at(const Room& room, bool gas, double z) const {
  const double half = 0.5 * band * room.height;
  const double middle = std::clamp(z - room.floor, half, room.height - half);
  const double above = std::clamp((middle + half - room.interface_height) / (2.0 * half), 0.0, 1.0);
  return gas == room.above ? above : 1.0 - above;
}

void LayeredSite::shape_piece(const Piece& piece, SiteState& state) {
  const Airway& parent = original_.airways[piece.parent];
  Airway& airway = expanded_.airways[piece.airway];
  if (state.airway_shut[piece.airway]) {
    // What a shut opening leaks is a matter of its whole size.
    const Side first = first_side(airway), second = second_side(airway);
    airway.kind = parent.kind;
    set_sides(airway, first, second);
    return;
  }
  const double datum = counted_from(original_, parent);
  const double now_counted_from = counted_from(expanded_, airway);
  const auto room = [&](int k) -> const Room& { return rooms_[static_cast<std::size_t>(k)]; };
  if (const auto* door = std::get_if<Doorway>(&parent.kind)) {
    double low = datum + door->sill, high = low + door->height;
    const auto cut = [&](int k, bool gas) {
      if (k < 0) return;
      const double at = room(k).floor + room(k).interface_height;
      if (gas == room(k).above) {
        low = std::max(low, at);
      } else {
        high = std::min(high, at);
      }
    };
    cut(piece.first_room, piece.first_gas);
    cut(piece.second_room, piece.second_gas);
    auto& part = std::get<Doorway>(airway.kind);
    constexpr double least = 1e-9;  // m
    part.sill = low - now_counted_from;
    part.height = std::max(high - low, least);
    if (high - low <= least) state.airway_open[piece.airway] = 0.0;
    return;
  }
  const double z = datum + opening_height(parent);
  double share = 1.0;
  if (piece.first_room >= 0) share *= share_at(room(piece.first_room), piece.first_gas, z);
  if (piece.second_room >= 0) share *= share_at(room(piece.second_room), piece.second_gas, z);
  if (!(share > 0.0)) {
    state.airway_on[piece.airway] = false;
    share = 0.0;
  }
  state.airway_flow[piece.airway] *= share;
  if (auto* gap = std::get_if<Gap>(&airway.kind)) {
    gap->leakage_area = std::get<Gap>(parent.kind).leakage_area * share;
    gap->height = z - now_counted_from;
  } else if (auto* fan = std::get_if<Fan>(&airway.kind)) {
    fan->height = z - now_counted_from;
    for (std::size_t p = 0; p < fan->curve.size(); ++p) {
      fan->curve[p].flow = std::get<Fan>(parent.kind).curve[p].flow * share;
    }
  }
}

/// The plumes of a room, and the overturning of layers that lie the wrong way: gas that other spaces bring may do that.
void LayeredSite::shape_plume(const Room& room, SiteState& state, std::span<const double> density) {
  const double ambient = density[0], gas = density[1];
  const double sign = room.above ? 1.0 : -1.0;
  const double molar_volume = gas_constant * state.temperature[room.ambient] / expanded_.conditions.pressure;
  double flow = 0.0;
  for (const std::size_t r : room.releases) {
    const Release& release = original_.releases[r];
    const double released = molar_mass(release.gas, original_.gases) / molar_volume;
    const double buoyancy = sign * buoyancy_flux(ambient, released, state.release_rate[r] * molar_volume);
    const double distance = sign * (room.interface_height - release.height.value_or(0.0));
    flow += plume_flow(room.plume_constant, buoyancy, distance);
  }
  state.airway_flow[room.plume] = flow;
  const double upside_down = std::max(0.0, sign * (gas - ambient) / ambient);
  double exchanged = room.area * std::sqrt(standard_gravity * room.height) * upside_down;
  // A layer that is all but gone and that no plume feeds becomes as the rest of the room is.
  if (!(flow > 0.0)) {
    const double gone = 2.0 - freedom(room.gas_share) - freedom(1.0 - room.gas_share);
    exchanged += gone * thinnest * room.volume / time_to_merge;
  }
  state.airway_flow[room.overturn] = exchanged;
  state.airway_on[room.plume] = flow > 0.0;
  state.airway_on[room.overturn] = exchanged > 0.0;
}

void LayeredSite::keep(std::span<const double> held, const SiteState& state) {
  for (std::size_t k = 0; k < rooms_.size(); ++k) {
    Room& room = rooms_[k];
    room.gas_share = std::clamp(held[room.gas] / whole(k, state.temperature[room.ambient]), 0.0, 1.0);
    room.interface_height = room.height * (room.above ? 1.0 - room.gas_share : room.gas_share);
    Space &ambient = expanded_.spaces[room.ambient], &gas = expanded_.spaces[room.gas];
    gas.volume = room.gas_share * room.volume;
    ambient.volume = room.volume - gas.volume;
    (room.above ? gas : ambient).elevation = room.floor + room.interface_height;
    (room.above ? ambient : gas).elevation = room.floor;
  }
}

void LayeredSite::shape(SiteState& state, std::span<const double> x, std::size_t cells, std::span<const double> held) {
  keep(held, state);
  for (const Room& room : rooms_) {
    const double density[] = {density_of(room.ambient, state, x, cells), density_of(room.gas, state, x, cells)};
    shape_plume(room, state, density);
  }
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

std::optional<std::string> LayeredSite::broken(std::size_t which, const FlowField& field,
                                               std::span<const double> density, const SiteState& state) const {
  const Room& room = rooms_[which];
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
    // Through the layer of gas what is denser than the air below it sinks; through the air what is lighter than the
    // layer above it rises. In the mirror the other way round.
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

SpaceIndex LayeredSite::original(SpaceIndex cell) const {
  for (const Room& room : rooms_) {
    if (room.gas == cell.value) return {room.ambient};
  }
  return cell;
}

std::vector<StarvedFan> LayeredSite::collapsed(const std::vector<StarvedFan>& pieces) const {
  std::vector<StarvedFan> out;
  for (const StarvedFan& piece : pieces) {
    if (piece_of_[piece.fan.value] >= original_.airways.size()) continue;
    const AirwayIndex fan = original(piece.fan);
    const auto known = std::find_if(out.begin(), out.end(), [&](const StarvedFan& other) { return other.fan == fan; });
    if (known == out.end()) {
      out.push_back(piece);
      out.back().fan = fan;
      out.back().space = original(piece.space);
    } else {
      known->given += piece.given;
      known->carried += piece.carried;
      if (piece.pressure && known->pressure) known->pressure = std::max(*piece.pressure, *known->pressure);
    }
  }
  return out;
}

FlowField LayeredSite::collapsed(const FlowField& field) const {
  FlowField result;
  result.airways.resize(original_.airways.size());
  for (std::size_t i = 0; i < field.airways.size(); ++i) {
    if (piece_of_[i] >= original_.airways.size()) continue;
    AirwayFlow& whole = result.airways[piece_of_[i]];
    const AirwayFlow& part = field.airways[i];
    whole.forward += part.forward;
    whole.backward += part.backward;
    if (part.forward + part.backward > 0.0 || !whole.pressure_difference) {
      if (part.pressure_difference) whole.pressure_difference = part.pressure_difference;
    }
  }
  const auto mapped = [&](const Side& side) { return side ? Side{original(*side)} : Side{}; };
  for (const MolarFlow& flow : field.flows) {
    const Side from = mapped(flow.from), to = mapped(flow.to);
    if (from != to) result.flows.push_back({from, to, flow.rate});
  }
  const auto first = [&](const auto& values) {
    return std::vector(values.begin(), values.begin() + static_cast<std::ptrdiff_t>(originals_));
  };
  result.release = first(field.release);
  result.storage = first(field.storage);
  result.pressure = first(field.pressure);
  result.tight = first(field.tight);
  for (const Room& room : rooms_) {
    result.release[room.ambient] += field.release[room.gas];
    result.storage[room.ambient] += field.storage[room.gas];
    if (!room.above) result.pressure[room.ambient] = field.pressure[room.gas];
  }
  for (const AssumedLeak& leak : field.leaks) {
    result.leaks.push_back({original(leak.space), leak.rate, mapped(leak.other)});
  }
  result.starved = collapsed(field.starved);
  const auto add_once = [](auto& list, auto what) {
    if (std::find(list.begin(), list.end(), what) == list.end()) list.push_back(what);
  };
  for (const AirwayIndex i : field.overflowing) add_once(result.overflowing, original(i));
  for (const AirwayIndex i : field.leaking) add_once(result.leaking, original(i));
  for (const AirwayIndex i : field.off_curve) add_once(result.off_curve, original(i));
  for (const SpaceIndex i : field.adrift) add_once(result.adrift, original(i));
  return result;
}

}  // namespace leanside::transport
