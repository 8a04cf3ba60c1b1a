// SPDX-License-Identifier: Apache-2.0
/// Rooms that are computed both mixed and in layers: the answer takes the worse of the two.
#pragma once

#include <optional>
#include <vector>

#include "hazard/series_grid.hpp"
#include "leanside/assess.hpp"

namespace leanside::hazard {

/// One case as it was solved.
struct Solved {
  CaseResult result;
  std::vector<Warning> warnings;
  std::vector<NotJudged> rising;
  std::optional<SeriesGrid> grid;
  bool needs_longer = false;  ///< the verdict may still change: nothing was explained
};

/// Fans that starve once every event has happened belong to the answer as well, and what a second picture of a room
/// finds.
void add_starved(std::vector<StarvedFan>& known, const std::vector<StarvedFan>& more);

/// The site with every "worse of both" room in one of the two pictures.
Site pictured(const Site& site, Stratification picture);

/// Of every space the worse of two pictures of the same case; `layered` becomes the answer.
void take_the_worse(const Site& site, Solved& layered, Solved& mixed);

}  // namespace leanside::hazard
