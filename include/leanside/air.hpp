// SPDX-License-Identifier: Apache-2.0
/// What the air of a case does at its start, and what a reader should look at in it.
#pragma once

#include <optional>
#include <string_view>
#include <vector>

#include "leanside/site.hpp"

namespace leanside {

/// What a reader should look at in the flows at the start of a case.
struct FlowNotice {
  enum class Kind {
    against_name,         ///< air goes against what the id of the airway suggests: out through a "supply"
    carries_nothing,      ///< an open doorway between equally warm air, without any pressure across it
    imbalance,            ///< the airways of `inside` carry more one way than the other; leaks are assumed to close it
    wind_without_effect,  ///< the site has wind, but no gap with a wind coefficient on which it could act
  };
  Kind kind = Kind::against_name;
  AirwayIndex airway = {};  ///< for against_name and carries_nothing
  Side inside = {};         ///< for against_name the side that is a space; for imbalance the space
  bool into = false;        ///< for against_name: the air goes into `inside`; for imbalance: it leaks into it
  double flow = 0.0;        ///< m3/s at the temperature of where it comes from; not for carries_nothing and wind
  double share = 0.0;       ///< for imbalance: of all the air that leaves the space
};
/// From this share of the flow of a space on an imbalance is worth a look.
inline constexpr double notable_imbalance = 0.1;
std::string_view word_of(FlowNotice::Kind kind);

/// What the air does at the start of a case, after the events at time 0.
struct AirAtStart {
  std::vector<std::optional<double>> air_changes;  ///< 1/h, all that flows in over the volume; empty for a junction
  /// Pa at the floor over the outside air at that height; empty where no pressures were solved or where they are known
  /// but for a constant. Both by SpaceIndex.
  std::vector<std::optional<double>> pressure_over_outside;
  std::vector<FlowNotice> notices;  ///< of airways, by AirwayIndex; of spaces, the largest flow first; of the wind
};

/// An airway whose flow at the start differs by more than 1 % from that in the first case. m3/s at the temperature of
/// where each comes from.
struct FlowDifference {
  AirwayIndex airway;
  double forward_first = 0.0, backward_first = 0.0;  ///< in the first case
  double forward = 0.0, backward = 0.0;
};

}  // namespace leanside
