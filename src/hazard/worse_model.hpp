// SPDX-License-Identifier: Apache-2.0
/// Rooms that are computed both mixed and in layers: the answer takes the worse of the two.
#pragma once

#include <optional>
#include <vector>

#include "hazard/layer_watch.hpp"
#include "hazard/series_grid.hpp"
#include "leanside/assess.hpp"

namespace leanside::hazard {

/// One case as it was solved.
struct Solved {
  CaseResult result;
  std::vector<Warning> warnings;
  std::vector<std::size_t> shown_by;  ///< by warning, which of several room models shows it; empty where there is one
  std::vector<NotJudged> rising;
  JudgedRooms judged;
  std::optional<SeriesGrid> grid;
  bool needs_longer = false;  ///< the verdict may still change: nothing was explained
};

/// Fans that starve once every event has happened belong to the answer as well, and what a second model of a room
/// finds.
void add_starved(std::vector<StarvedFan>& known, const std::vector<StarvedFan>& more);

/// Of every space the worse of two room models of the same case, and of every warning the worse; `first` becomes the
/// answer. What is taken from the other is shown as `room_model`, and its warnings by the model `number`.
void take_the_worse(const Site& site, Solved& first, Solved& second, RoomModel room_model, std::size_t number);

}  // namespace leanside::hazard
