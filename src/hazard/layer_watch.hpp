// SPDX-License-Identifier: Apache-2.0
/// Follows the layers of rooms: what each means, where the interface is, how much of the room can be ignited.
#pragma once

#include <map>
#include <span>
#include <vector>

#include "hazard/watch.hpp"
#include "leanside/assess.hpp"

namespace leanside::hazard {

class LayerWatch {
 public:
  /// `times`: where the course of the interface is kept, ascending.
  LayerWatch(const Site& site, const MixtureModels& models, std::vector<double> times);

  void see(const LayerPiece& piece);

  /// What was seen of each layered room, in order of SpaceIndex; without the steady state.
  std::vector<LayeredRoom> finish(const TransientResult& transient);

  /// A layered room on the grid of times, as far as it was seen.
  const std::map<SpaceIndex, std::vector<LayerState>>& courses() const { return courses_; }

 private:
  struct Entry {
    LayeredRoom room;
    bool seen = false;
    double lower_fuel = 0.0, upper_fuel = 0.0;  ///< m3 of fuel gas, the most held while inside the range
  };
  void follow_interface(Entry& entry, const LayerPiece& piece) const;
  void follow_range(Entry& entry, const LayerPiece& piece) const;
  void keep_course(Entry& entry, const LayerPiece& piece);

  const Site& site_;
  const MixtureModels& models_;
  std::vector<double> times_;
  Watch lower_, upper_;
  std::map<SpaceIndex, Entry> entries_;
  std::map<SpaceIndex, std::vector<LayerState>> courses_;
};

/// Rooms in layers where nothing was solved in time: as they are at time 0, without a layer.
LayeredRoom layered_at_start(const Site& site, const LayerState& steady, const SpaceResult& at_start);

/// Fills in `range_ahead` of a space whose end and steady state are known.
void look_ahead(const MixtureModel& model, SpaceResult& result);

/// Fills in the steady state of both layers, and gives the worse of the two.
SpaceResult with_steady(LayeredRoom& room, const MixtureModel& model, const SteadyFractions& steady);

/// Whether `a` is worse than `b`: by severity, then by the larger share of the lower limit, then the earlier.
bool is_worse(const Site& site, SpaceIndex space, const SpaceResult& a, const SpaceResult& b);

}  // namespace leanside::hazard
