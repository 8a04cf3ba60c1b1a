// SPDX-License-Identifier: Apache-2.0
/// What a side view shows of a space: openings in its walls, things in it.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "leanside/assess.hpp"
#include "report/svg/symbols.hpp"
#include "report/words/phrases.hpp"

namespace leanside::report {

enum class MarkKind { fan, door, hole, level };

/// Something in a wall, with words beside it.
struct WallMark {
  MarkKind kind = MarkKind::hole;
  double low = 0.0, high = 0.0;  ///< m above the floor
  bool known = true;             ///< the file gives the height
  double in = 0.0, out = 0.0;    ///< m3/s
  std::vector<std::string> words;
};

/// Something that stands in the space.
struct Thing {
  svg::Symbol symbol = svg::Symbol::leak;
  std::optional<double> height;  ///< m above the floor; empty: on it
  std::string words;
  std::optional<SpaceIndex> space = {};  ///< a cabinet or vessel, drawn to scale
  double reach = 0.0, keep_out = 0.0;    ///< m, of the zone of a release; 0: none
};

/// Openings of the space at their heights, the largest flow first, then the edges of its layers.
std::vector<WallMark> wall_marks(Told site, const CaseResult& result, SpaceIndex space, double height,
                                 const PageWords& words);

/// Releases into it, ignition sources, cabinets and vessels that stand in it.
std::vector<Thing> things_in(Told site, const CaseResult& result, SpaceIndex space);

}  // namespace leanside::report
