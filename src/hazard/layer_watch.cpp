// SPDX-License-Identifier: Apache-2.0
#include "hazard/layer_watch.hpp"

#include <algorithm>
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

bool can_burn(const MixtureModel& model, std::span<const double> x) {
  constexpr double round_off = 1e-12;
  return model.lfl_fraction(x) >= 1.0 - round_off && model.range(x).inside >= -round_off;
}

}  // namespace

LayerWatch::LayerWatch(const Site& site, const MixtureModels& models, std::vector<double> times)
    : site_{site}, models_{models}, times_{std::move(times)}, lower_{site, models}, upper_{site, models} {}

void LayerWatch::see(const LayerPiece& piece) {
  // What a layer of gas is judged by is its richest part.
  lower_.see(piece.gas_above ? piece.lower : piece.far_end);
  upper_.see(piece.gas_above ? piece.far_end : piece.upper);
  Entry& entry = entries_[piece.lower.space];
  if (!entry.seen) {
    entry.seen = true;
    entry.room.space = piece.lower.space;
    entry.room.gas_above = piece.gas_above;
    entry.room.deepest_interface = piece.interface_height.front();
    entry.room.deepest_time = piece.lower.begin;
  }
  follow_interface(entry, piece);
  follow_range(entry, piece);
  keep_course(entry, piece);
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
  TransientResult below, above;
  below.end = above.end = transient.end;
  for (const LayerState& state : transient.layers) {
    for (std::size_t c = 0; c < site_.gases.size(); ++c) {
      below.end(state.space, c) = state.gas_above ? state.lower[c] : state.far_end[c];
      above.end(state.space, c) = state.gas_above ? state.far_end[c] : state.upper[c];
    }
  }
  const auto lower = lower_.finish(below), upper = upper_.finish(above);
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

SpaceResult with_steady(LayeredRoom& room, const MixtureModel& model, const SteadyFractions& steady) {
  for (SpaceResult* layer : {&room.lower, &room.upper}) {
    layer->steady.reached = steady.reached[room.space.value];
    layer->steady.reason = steady.reason[room.space.value];
    layer->steady.at = model.instant(0.0, steady.fractions.of(room.space));
  }
  for (const LayerState& state : steady.layers) {
    if (state.space != room.space) continue;
    room.steady_interface = state.interface_height;
    room.lower.steady.at = model.instant(0.0, state.gas_above ? state.lower : state.far_end);
    room.upper.steady.at = model.instant(0.0, state.gas_above ? state.far_end : state.upper);
  }
  for (SpaceResult* layer : {&room.lower, &room.upper}) look_ahead(model, *layer);
  return room.gas_above ? room.upper : room.lower;
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
