// SPDX-License-Identifier: Apache-2.0
#include "transport/layered/layered_site.hpp"

#include <algorithm>
#include <cassert>
#include <utility>

#include "leanside/advanced/plumes.hpp"

namespace leanside::transport {

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

LayeredSite::LayeredSite(const Site& site, const LayerPlan& plan)
    : original_{site}, expanded_{site}, originals_{site.spaces.size()}, room_of_(site.spaces.size(), no_room) {
  for (Space& space : expanded_.spaces) space.stratification = Stratification::mixed;
  for (std::size_t i = 0; i < originals_; ++i) cell_of_.push_back(i);
  for (std::size_t i = 0; i < site.airways.size(); ++i) piece_of_.push_back(i);
  for (const LayerPlan::Room& room : plan.rooms) add_room(room);
  for (std::size_t i = 0; i < site.airways.size(); ++i) split_airway(i);
  repeat_events();
  parts_.interface.assign(expanded_.airways.size(), false);
  parts_.airway.assign(expanded_.airways.size(), 1.0);
  parts_.space.assign(expanded_.spaces.size(), 1.0);
  for (const Room& room : rooms_) parts_.interface[room.interface] = true;
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

namespace {

/// Whether a release feeds the layer of gas. What is heavier than air where light gas makes the layer, or lighter where
/// heavy gas does, stays outside of it.
bool feeds(const Site& site, const Release& release, const LayerPlan::Room& room) {
  if (release.into != room.space) return false;
  const double mass = molar_mass(release.gas, site.gases);
  return room.gas_above ? mass <= molar_mass_of_air : mass >= molar_mass_of_air;
}

/// The least diffusivity of the gases that feed the layer, which makes it the richest; 0 where one is not known.
double least_diffusivity(const Site& site, const LayerPlan::Room& room) {
  std::optional<double> least;
  for (const Release& release : site.releases) {
    if (!feeds(site, release, room)) continue;
    for (const GasShare& share : release.gas.shares) {
      const auto& known = site.gases[share.gas.value].substance.diffusivity_in_air;
      const double value = known ? known->value : 0.0;
      least = std::min(least.value_or(value), value);
    }
  }
  return least.value_or(0.0);
}

}  // namespace

/// The layer of gas counts as a vessel, so that the assumed leak of a room is one of its other layer.
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
  room.diffusivity = least_diffusivity(original_, plan);
  room_of_[room.ambient] = rooms_.size();
  cell_of_[room.ambient] = room.gas;
  expanded_.spaces[room.ambient].floor_area = room.area;
  Space gas = expanded_.spaces[room.ambient];
  gas.kind = SpaceKind::vessel;
  gas.volume = thinnest * room.volume;
  expanded_.spaces[room.ambient].volume -= gas.volume;
  expanded_.spaces.push_back(std::move(gas));
  for (std::size_t r = 0; r < original_.releases.size(); ++r) {
    if (!feeds(original_, original_.releases[r], plan)) continue;
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
  // The interface is an opening without resistance at the floor of its first side, the upper layer.
  room.interface = add(room.above ? Opening{gas_cell, ambient} : Opening{ambient, gas_cell});
  room.plume = add(Fan{ambient, gas_cell, 0.0, {}});
  room.overturn = add(Exchange{ambient, gas_cell, 0.0});
  rooms_.push_back(std::move(room));
}

/// A piece for each pair of layers on the two sides; the first keeps the place of the airway.
void LayeredSite::split_airway(std::size_t index) {
  const Airway airway = expanded_.airways[index];
  const Side first = first_side(airway), second = second_side(airway);
  const auto room_of = [&](const Side& side) { return side ? room_of_[side->value] : no_room; };
  const std::size_t a = room_of(first), b = room_of(second);
  // An opening has no height: it joins the ambient layer, which lets out the least gas.
  if ((a == no_room && b == no_room) || std::holds_alternative<Opening>(airway.kind)) return;
  bool is_first = true;
  for (const bool first_gas : {false, true}) {
    if (first_gas && a == no_room) continue;
    for (const bool second_gas : {false, true}) {
      if (second_gas && b == no_room) continue;
      Airway piece = airway;
      const auto layer = [&](const Side& side, std::size_t room, bool gas) {
        return gas ? Side{SpaceIndex{rooms_[room].gas}} : side;
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

/// An event of an airway or a room is an event of all its parts.
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
      if (const auto* kind = std::get_if<SetAirwayKind>(&event.change)) for_pieces(*kind);
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

SpaceIndex LayeredSite::original(SpaceIndex cell) const {
  for (const Room& room : rooms_) {
    if (room.gas == cell.value) return {room.ambient};
  }
  return cell;
}

LayerState LayeredSite::layer_state(std::size_t room, const FractionField& x, std::size_t gas) const {
  const auto of = [&](std::size_t cell) {
    const auto fractions = x.of(SpaceIndex{cell});
    return std::vector<double>(fractions.begin(), fractions.end());
  };
  const Room& r = rooms_[room];
  LayerState state{SpaceIndex{r.ambient}, r.above, 0.0, of(r.ambient), of(gas), {}};
  state.far_end = state.upper;
  if (!r.above) std::swap(state.lower, state.upper);
  const Space &lower = expanded_.spaces[r.above ? r.ambient : r.gas],
              &upper = expanded_.spaces[r.above ? r.gas : r.ambient];
  state.interface_height = upper.elevation - lower.elevation;
  return state;
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
  result.sealed = first(field.sealed);
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
  const auto add_written = [&](auto& list, const std::vector<AirwayIndex>& pieces) {
    for (const AirwayIndex i : pieces) {
      if (is_written(i)) add_once(list, original(i));
    }
  };
  add_written(result.overflowing, field.overflowing);
  add_written(result.leaking, field.leaking);
  add_written(result.off_curve, field.off_curve);
  for (const SpaceIndex i : field.unvented) add_once(result.unvented, original(i));
  return result;
}

}  // namespace leanside::transport
