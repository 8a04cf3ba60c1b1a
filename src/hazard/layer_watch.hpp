// SPDX-License-Identifier: Apache-2.0
/// Follows the layers of rooms: what each means, where the interface is, how much of the room can be ignited.
#pragma once

#include <map>
#include <span>
#include <vector>

#include "hazard/watch.hpp"
#include "leanside/assess.hpp"

namespace leanside::hazard {

/// A layer that takes less than this share of the height of its room is not judged as a space of its own: it is what
/// the zone around its source stands for. Common practice, no source.
inline constexpr double thinnest_judged = 0.01;

/// Where people breathe, m above the floor: from somebody who lies there to somebody who stands. Common practice, no
/// source.
inline constexpr double lowest_breath = 0.1, highest_breath = 1.8;

/// What a room in layers is judged by.
struct JudgedLayers {
  SpaceResult gas;   ///< the layer of gas while it is deep enough, else the other one
  SpaceResult rest;  ///< the other one
};
using JudgedRooms = std::map<SpaceIndex, JudgedLayers>;

class LayerWatch {
 public:
  /// `times`: where the course of the interface is kept, ascending.
  LayerWatch(const Site& site, const MixtureModels& models, std::vector<double> times);

  void see(const LayerPiece& piece);

  /// What was seen of each layered room, in order of SpaceIndex; without the steady state.
  std::vector<LayeredRoom> finish(const TransientResult& transient);
  /// What each of them is judged by, once finished; without the steady state.
  JudgedRooms& judged() { return judged_; }

  /// A layered room on the grid of times, as far as it was seen.
  const std::map<SpaceIndex, std::vector<LayerState>>& courses() const { return courses_; }

 private:
  struct Entry {
    LayeredRoom room;
    bool seen = false;
    double lower_fuel = 0.0, upper_fuel = 0.0;  ///< m3 of fuel gas, the most held while inside the range
  };
  /// From what both layers are judged by to their watches.
  void judge(const LayerPiece& piece);
  void follow_interface(Entry& entry, const LayerPiece& piece) const;
  void follow_range(Entry& entry, const LayerPiece& piece) const;
  void keep_course(Entry& entry, const LayerPiece& piece);

  const Site& site_;
  const MixtureModels& models_;
  std::vector<double> times_;
  Watch lower_, upper_;  ///< all that was there
  Watch gas_, rest_;     ///< what counts of it
  JudgedRooms judged_;
  std::map<SpaceIndex, Entry> entries_;
  std::map<SpaceIndex, std::vector<LayerState>> courses_;
};

/// Rooms in layers where nothing was solved in time: as they are at time 0, without a layer.
LayeredRoom layered_at_start(const Site& site, const LayerState& steady, const SpaceResult& at_start);

/// Fills in `range_ahead` of a space whose end and steady state are known.
void look_ahead(const MixtureModel& model, SpaceResult& result);

/// Fills in the steady state of both layers and of what they are judged by. The judged layer of gas then has the worst
/// that people breathe in either.
void put_steady(const Site& site, const MixtureModel& model, const SteadyFractions& steady, LayeredRoom& room,
                JudgedLayers& judged);

/// Whether `a` is worse than `b`: by severity, then by the larger share of the lower limit, then the earlier.
bool is_worse(const Site& site, SpaceIndex space, const SpaceResult& a, const SpaceResult& b);

}  // namespace leanside::hazard
