// SPDX-License-Identifier: Apache-2.0
/// Follows the pieces of every space and keeps what matters: the worst instant, the passages, the time in the range.
#pragma once

#include <array>
#include <optional>
#include <vector>

#include "hazard/mixture.hpp"
#include "leanside/assess.hpp"

namespace leanside::hazard {

/// A value at or over a level, round-off allowed for: what tends to a level exactly counts as reaching it.
bool reached(double value, double level);

class Watch {
 public:
  Watch(const Site& site, const MixtureModels& models);

  /// `breathed`: whether people breathe what the piece holds, so that its oxygen and its poisons count.
  void see(const DensePiece& piece, bool breathed = true);
  /// A space that is not seen from the start held air until then.
  void begin_with_air(SpaceIndex space) { watches_[space.value].seen = true; }

  /// What was seen, by SpaceIndex; `end` is the field at the horizon.
  std::vector<SpaceResult> finish(const TransientResult& transient);
  /// The spaces as they are at time 0, where nothing was solved in time.
  std::vector<SpaceResult> at_start(const FractionField& initial);

 private:
  static constexpr std::size_t thresholds = 5;
  struct SpaceWatch {
    bool seen = false;
    double worst = 0.0;  ///< lfl_fraction of the peak, or distance of oxygen from air where nothing burns
    std::array<bool, thresholds> over{};
    std::array<std::size_t, thresholds> open{};  ///< place in crossings of the passage that is not yet left
    SpaceResult result;
  };

  double level_of(std::size_t threshold) const;
  void pass(SpaceWatch& watch, std::size_t threshold, double time, bool upwards);
  void follow_thresholds(SpaceWatch& watch, const DensePiece& piece,
                         const std::array<const Polynomial*, thresholds>& measure);
  void follow_peak(SpaceWatch& watch, const DensePiece& piece, const Polynomial& measure);
  /// The peak with its oxygen and state, which are not worked out while it still rises.
  void complete_peak(std::size_t space);
  void follow_range(SpaceWatch& watch, const DensePiece& piece, const MixtureModel& model, const Polynomial& lower,
                    const Polynomial& upper);
  void follow_oxygen(SpaceWatch& watch, const DensePiece& piece, const Polynomial& oxygen) const;
  void follow_exposures(SpaceWatch& watch, const DensePiece& piece) const;
  void keep_halfway(SpaceWatch& watch, const DensePiece& piece);
  Polynomial combine(const DensePiece& piece, const std::vector<double>& weights, double constant) const;
  void fractions_at(const DensePiece& piece, double s);

  const Site& site_;
  const MixtureModels& models_;
  std::vector<SpaceWatch> watches_;
  std::vector<double> fractions_;  ///< scratch
};

}  // namespace leanside::hazard
