// SPDX-License-Identifier: Apache-2.0
/// The interface between the coupled equations and the model of the rooms: mixed rooms, or layers.
#pragma once

#include <cstddef>
#include <functional>
#include <span>
#include <string>
#include <variant>
#include <vector>

#include "leanside/advanced/airflow.hpp"
#include "transport/coupled/moment.hpp"

namespace leanside::transport {

/// Balanced flows at a point of a step.
struct PointFlows {
  FlowField field;
  std::vector<MovingPair> moving = {};  ///< see Moment::moving
};

/// The flows of a site in `state` at `point`, or what went wrong. `density`: kg/m3 by space; empty if no flow follows
/// it.
using FlowsAt = std::function<std::variant<PointFlows, std::string>(const SiteState& state, const StagePoint& point,
                                                                    std::span<const double> density)>;

struct RoomModel {
  FlowsAt flows_at;
  std::vector<std::size_t> cell_of;  ///< by space that is reported: the cell that represents it
  std::vector<bool> expands;         ///< by space: it stays at ambient pressure and changes its volume instead
  bool follows_composition = false;  ///< flows change with the composition even if no airway follows pressures
  double tolerance = 0.0;            ///< relative, of a step, where follows_composition
  /// What is reported of a space that is not even throughout, in place of the fractions of its cell, as from
  /// step_coefficients; empty for other spaces. May be empty itself.
  std::function<std::vector<double>(const CollocationStep& step, std::size_t space)> reported;
  std::function<void(const CollocationStep& step)> on_step;  ///< called for each accepted step; may be empty
};

/// Every space is mixed: a cell of its own, at constant volume.
RoomModel mixed_rooms(const Site& site);

}  // namespace leanside::transport
