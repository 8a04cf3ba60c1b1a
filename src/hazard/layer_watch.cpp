// SPDX-License-Identifier: Apache-2.0
#include "hazard/layer_watch.hpp"

#include <algorithm>
#include <array>
#include <limits>
#include <numeric>
#include <tuple>

#include "hazard/judge.hpp"
#include "leanside/advanced/plumes.hpp"

namespace leanside::hazard {
namespace {

std::vector<double> fractions_of(const DensePiece& piece, double s, std::size_t gases) {
  std::vector<double> x(gases);
  for (std::size_t c = 0; c < gases; ++c) {
    x[c] = bernstein_value(piece.coefficients.subspan(c * (dense_degree + 1), dense_degree + 1), s);
  }
  return x;
}

/// A layered room at one moment, by height.
struct Profile {
  std::vector<double> gas, ambient, far;  ///< means of the layers; at the far end of that of gas
  double share;                           ///< of the room, of the layer of gas

  /// `height`: 0 at the far end of the ambient layer, 1 at that of the layer of gas.
  std::vector<double> at(double height) const {
    const double all = std::accumulate(gas.begin(), gas.end(), 0.0);
    const double outside = std::accumulate(ambient.begin(), ambient.end(), 0.0);
    std::vector<double> x;
    for (std::size_t c = 0; c < gas.size(); ++c) {
      const double bend = far_end_bend(share, all, outside, gas[c]);
      x.push_back(std::max(0.0, fraction_at(gas[c], ambient[c], far[c], bend, share, height)));
    }
    return x;
  }
};

/// Whether people breathe what lies below or above an interface at `height` m; whoever opens a cabinet meets both.
bool breathes_lower(const Space& space, double height) {
  return space.kind != SpaceKind::room || height >= std::min(lowest_breath, *space.height);
}
bool breathes_upper(const Space& space, double height) {
  return space.kind != SpaceKind::room || height < std::min(highest_breath, *space.height);
}

/// Whether the layer of gas of a room is deep enough to be judged as a space of its own.
bool is_judged(const Space& space, bool gas_above, double interface) {
  return (gas_above ? *space.height - interface : interface) >= thinnest_judged * *space.height;
}

/// Shows a watch the part of a piece between two of its positions.
void see_part(const DensePiece& piece, double from, double to, bool breathed, Watch& watch) {
  if (from <= 0.0 && to >= 1.0) {
    watch.see(piece, breathed);
    return;
  }
  DensePiece part = piece;
  part.begin = piece.time_at(from);
  part.end = piece.time_at(to);
  std::vector<double> coefficients;
  for (std::size_t c = 0; c < piece.coefficients.size(); c += dense_degree + 1) {
    Polynomial whole;
    std::copy_n(piece.coefficients.begin() + static_cast<std::ptrdiff_t>(c), whole.size(), whole.begin());
    const Polynomial cut = part_of(whole, from, to);
    coefficients.insert(coefficients.end(), cut.begin(), cut.end());
  }
  part.coefficients = coefficients;
  watch.see(part, breathed);
}

bool can_burn(const MixtureModel& model, std::span<const double> x) {
  constexpr double round_off = 1e-12;
  return model.lfl_fraction(x) >= 1.0 - round_off && model.range(x).inside >= -round_off;
}

/// The worst that people breathe in either layer, into the result of one.
void take_breathed(const SpaceResult& other, double air, SpaceResult& result) {
  for (std::size_t k = 0; k < result.exposures.size(); ++k) {
    Exposure& mine = result.exposures[k];
    const Exposure& theirs = other.exposures[k];
    if (theirs.worst > mine.worst) std::tie(mine.worst, mine.worst_time) = std::tie(theirs.worst, theirs.worst_time);
    if (theirs.from) mine.from = std::min(*theirs.from, mine.from.value_or(*theirs.from));
  }
  const auto farthest = [&](const SpaceResult& r) { return std::max(r.highest_oxygen - air, air - r.lowest_oxygen); };
  if (farthest(other) > farthest(result)) result.worst_oxygen_time = other.worst_oxygen_time;
  result.lowest_oxygen = std::min(result.lowest_oxygen, other.lowest_oxygen);
  result.highest_oxygen = std::max(result.highest_oxygen, other.highest_oxygen);
  const auto& left = other.oxygen_left_criteria;
  if (left) result.oxygen_left_criteria = std::min(*left, result.oxygen_left_criteria.value_or(*left));
}

}  // namespace

LayerWatch::LayerWatch(const Site& site, const MixtureModels& models, std::vector<double> times)
    : site_{site},
      models_{models},
      times_{std::move(times)},
      lower_{site, models},
      upper_{site, models},
      gas_{site, models},
      rest_{site, models} {}

void LayerWatch::see(const LayerPiece& piece) {
  Entry& entry = entries_[piece.lower.space];
  if (!entry.seen) {
    entry.seen = true;
    entry.room.space = piece.lower.space;
    entry.room.gas_above = piece.gas_above;
    entry.room.deepest_interface = piece.interface_height.front();
    entry.room.deepest_time = piece.lower.begin;
    if (site_.spaces[piece.lower.space.value].initial.empty()) {
      gas_.begin_with_air(piece.lower.space);
    }
  }
  // What a layer of gas is judged by is its richest part.
  lower_.see(piece.gas_above ? piece.lower : piece.far_end);
  upper_.see(piece.gas_above ? piece.far_end : piece.upper);
  judge(piece);
  follow_interface(entry, piece);
  follow_range(entry, piece);
  keep_course(entry, piece);
}

// Where the interface passes a height that decides what counts, the piece is cut.
void LayerWatch::judge(const LayerPiece& piece) {
  const Space& space = site_.spaces[piece.lower.space.value];
  const double height = *space.height, thinnest = thinnest_judged * height;
  Polynomial interface;
  std::copy(piece.interface_height.begin(), piece.interface_height.end(), interface.begin());
  std::vector<double> cuts{0.0, 1.0};
  for (const double level : {piece.gas_above ? height - thinnest : thinnest, lowest_breath, highest_breath}) {
    passages(interface, level, [&](double s, bool) { cuts.push_back(s); });
  }
  std::sort(cuts.begin(), cuts.end());
  for (std::size_t k = 1; k < cuts.size(); ++k) {
    if (!(cuts[k] > cuts[k - 1])) continue;
    const double middle = value_at(interface, 0.5 * (cuts[k - 1] + cuts[k]));
    const bool below = breathes_lower(space, middle), above = breathes_upper(space, middle);
    const DensePiece& rest = piece.gas_above ? piece.lower : piece.upper;
    const bool breathed = piece.gas_above ? below : above;
    see_part(rest, cuts[k - 1], cuts[k], breathed, rest_);
    if (is_judged(space, piece.gas_above, middle)) {
      see_part(piece.far_end, cuts[k - 1], cuts[k], piece.gas_above ? above : below, gas_);
    } else {
      see_part(rest, cuts[k - 1], cuts[k], breathed, gas_);
    }
  }
}

void LayerWatch::follow_interface(Entry& entry, const LayerPiece& piece) const {
  const double sign = piece.gas_above ? -1.0 : 1.0;
  Polynomial depth;
  for (std::size_t j = 0; j <= dense_degree; ++j) depth[j] = sign * piece.interface_height[j];
  const Extremum deepest = largest(depth);
  if (deepest.value <= sign * entry.room.deepest_interface) return;
  entry.room.deepest_interface = sign * deepest.value;
  entry.room.deepest_time = piece.lower.time_at(deepest.s);
}

/// How much of the room can be ignited: looked at in a number of places of each step, and at several heights in each
/// layer.
void LayerWatch::follow_range(Entry& entry, const LayerPiece& piece) const {
  const MixtureModel& model = models_.of(piece.lower.space);
  if (model.fuels.empty()) return;
  const Space& space = site_.spaces[piece.lower.space.value];
  const double height = *space.height, area = space.volume / height;
  const std::size_t gases = site_.gases.size();
  constexpr int looks = 8, heights = 8;
  for (int k = 0; k <= looks; ++k) {
    const double s = static_cast<double>(k) / looks;
    const auto below = fractions_of(piece.lower, s, gases), above = fractions_of(piece.upper, s, gases);
    const auto far = fractions_of(piece.far_end, s, gases);
    const double at = std::clamp(bernstein_value(piece.interface_height, s), 0.0, height);
    const Profile profile{piece.gas_above ? above : below, piece.gas_above ? below : above, far,
                          (piece.gas_above ? height - at : at) / height};
    HeightRange range{height, 0.0};
    double volume = 0.0;
    for (const bool lower : {true, false}) {
      const double from = lower ? 0.0 : at, slice = (lower ? at : height - at) / heights;
      bool any = false;
      for (int j = 0; j < heights; ++j) {
        const double middle = (from + (j + 0.5) * slice) / height;
        if (!can_burn(model, profile.at(piece.gas_above ? middle : 1.0 - middle))) continue;
        any = true;
        volume += area * slice;
        range = {std::min(range.from, from + j * slice), std::max(range.to, from + (j + 1) * slice)};
      }
      if (!any) continue;
      double fuel = 0.0;
      for (std::size_t c = 0; c < gases; ++c) fuel += model.burnable[c] * (lower ? below : above)[c];
      double& most = lower ? entry.lower_fuel : entry.upper_fuel;
      most = std::max(most, fuel * area * slice * heights * site_.conditions.temperature / space.temperature);
    }
    if (volume <= entry.room.flammable_volume) continue;
    entry.room.flammable_volume = volume;
    entry.room.flammable_height = range;
  }
}

void LayerWatch::keep_course(Entry& entry, const LayerPiece& piece) {
  auto& course = courses_[piece.lower.space];
  const double until =
      piece.lower.end + 1e-12 * times_.back();  // ends are rounded: the last instant is not to be missed
  for (std::size_t k = course.size(); k < times_.size() && times_[k] <= until; ++k) {
    const double s = piece.lower.position_at(times_[k]);
    LayerState state{piece.lower.space,
                     piece.gas_above,
                     bernstein_value(piece.interface_height, s),
                     fractions_of(piece.lower, s, site_.gases.size()),
                     fractions_of(piece.upper, s, site_.gases.size()),
                     fractions_of(piece.far_end, s, site_.gases.size())};
    for (auto* x : {&state.lower, &state.upper, &state.far_end}) {
      for (double& value : *x) value = std::max(value, 0.0);
    }
    entry.room.course.push_back({times_[k], state.interface_height});
    course.push_back(std::move(state));
  }
}

std::vector<LayeredRoom> LayerWatch::finish(const TransientResult& transient) {
  TransientResult below, above, gas, rest;
  below.end = above.end = gas.end = rest.end = transient.end;
  for (const LayerState& state : transient.layers) {
    const bool judged = is_judged(site_.spaces[state.space.value], state.gas_above, state.interface_height);
    const auto& other = state.gas_above ? state.lower : state.upper;
    for (std::size_t c = 0; c < site_.gases.size(); ++c) {
      below.end(state.space, c) = state.gas_above ? other[c] : state.far_end[c];
      above.end(state.space, c) = state.gas_above ? state.far_end[c] : other[c];
      gas.end(state.space, c) = judged ? state.far_end[c] : other[c];
      rest.end(state.space, c) = other[c];
    }
  }
  const auto lower = lower_.finish(below), upper = upper_.finish(above);
  auto of_gas = gas_.finish(gas), of_rest = rest_.finish(rest);
  std::vector<LayeredRoom> rooms;
  for (const LayerState& state : transient.layers) {
    Entry& entry = entries_[state.space];
    entry.room.space = state.space;
    entry.room.gas_above = state.gas_above;
    entry.room.lower = lower[state.space.value];
    entry.room.upper = upper[state.space.value];
    entry.room.lower.flammable_gas = entry.lower_fuel;
    entry.room.upper.flammable_gas = entry.upper_fuel;
    entry.room.end_interface = state.interface_height;
    JudgedLayers& judged = judged_[state.space];
    judged = {std::move(of_gas[state.space.value]), std::move(of_rest[state.space.value])};
    judged.gas.flammable_gas = state.gas_above ? entry.upper_fuel : entry.lower_fuel;
    judged.rest.flammable_gas = state.gas_above ? entry.lower_fuel : entry.upper_fuel;
    rooms.push_back(std::move(entry.room));
  }
  std::sort(rooms.begin(), rooms.end(), [](const LayeredRoom& a, const LayeredRoom& b) { return a.space < b.space; });
  return rooms;
}

LayeredRoom layered_at_start(const Site& site, const LayerState& steady, const SpaceResult& at_start) {
  LayeredRoom room;
  room.space = steady.space;
  room.gas_above = steady.gas_above;
  room.lower = room.upper = at_start;
  room.end_interface = room.deepest_interface = steady.gas_above ? *site.spaces[steady.space.value].height : 0.0;
  return room;
}

void look_ahead(const MixtureModel& model, SpaceResult& result) {
  result.range_ahead = result.steady.reached && model.range_between(result.end.fraction, result.steady.at.fraction);
}

void put_steady(const Site& site, const MixtureModel& model, const SteadyFractions& steady, LayeredRoom& room,
                JudgedLayers& judged) {
  const std::array all{&room.lower, &room.upper, &judged.gas, &judged.rest};
  for (SpaceResult* layer : all) {
    layer->steady.reached = steady.reached[room.space.value];
    layer->steady.reason = steady.reason[room.space.value];
    layer->steady.at = model.instant(0.0, steady.fractions.of(room.space));
  }
  const Space& space = site.spaces[room.space.value];
  for (const LayerState& state : steady.layers) {
    if (state.space != room.space) continue;
    const double interface = state.interface_height;
    room.steady_interface = interface;
    const Instant rest = model.instant(0.0, state.gas_above ? state.lower : state.upper);
    const Instant gas = model.instant(0.0, state.far_end);
    room.lower.steady.at = state.gas_above ? rest : gas;
    room.upper.steady.at = state.gas_above ? gas : rest;
    judged.gas.steady.at = is_judged(space, state.gas_above, interface) ? gas : rest;
    judged.rest.steady.at = rest;
    const bool breathed = state.gas_above ? breathes_upper(space, interface) : breathes_lower(space, interface);
    if (!breathed) judged.gas.breathed_steady = rest;
  }
  for (SpaceResult* layer : all) look_ahead(model, *layer);
  take_breathed(judged.rest, site.conditions.oxygen_in_air, judged.gas);
}

bool is_worse(const Site& site, SpaceIndex space, const SpaceResult& a, const SpaceResult& b) {
  const auto badness = [&](const SpaceResult& result) {
    int severity = std::numeric_limits<int>::max();
    double time = std::numeric_limits<double>::infinity();
    for (const Warning& warning : warnings_of(site, CaseIndex{0}, space, result)) {
      if (static_cast<int>(warning.severity) >= severity) continue;
      severity = static_cast<int>(warning.severity);
      time = warning.time.value_or(std::numeric_limits<double>::infinity());
    }
    const double level =
        std::max(result.peak.lfl_fraction, result.steady.reached ? result.steady.at.lfl_fraction : 0.0);
    return std::tuple(severity, -level, time);
  };
  return badness(a) < badness(b);
}

}  // namespace leanside::hazard
