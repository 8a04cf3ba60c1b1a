// SPDX-License-Identifier: Apache-2.0
/// Balanced flows, solved again and again while compositions change: pressures and factorisation patterns are kept.
#pragma once

#include <optional>
#include <span>
#include <utility>
#include <variant>
#include <vector>

#include "airflow/pressure.hpp"
#include "leanside/advanced/airflow.hpp"

namespace leanside::airflow {

/// What the airways and spaces of a site are parts of, where rooms are divided into layers.
struct Parts {
  std::vector<bool> interface;  ///< by airway: between the two layers of one room
  std::vector<double> airway;   ///< by airway: its share of an airway that serves several layers
  std::vector<double> space;    ///< by space: its share of a room
};

/// What is worth keeping between two solutions with the same airways on.
struct Memory {
  std::vector<double> pressure;  ///< by SpaceIndex, the start of the next solution
  std::vector<std::pair<int, int>> links;
  int nodes = 0;
  std::optional<PressureSolver> solver;
  const Parts* parts = nullptr;  ///< of a site with layers
};

std::variant<FlowField, FlowFault> balance(const Site& site, const SiteState& state, std::span<const double> density,
                                           Memory& memory);

}  // namespace leanside::airflow
