// SPDX-License-Identifier: Apache-2.0
/// Ways without resistance worth naming: what flows through them, and which spaces they leave sealed.
#pragma once

#include <cstddef>
#include <optional>
#include <span>
#include <vector>

#include "airflow/round_off.hpp"
#include "base/linalg/sparse.hpp"
#include "leanside/advanced/airflow.hpp"

namespace leanside::airflow {

/// A way that carries, in either direction, what balance needs.
struct OpenPath {
  Side a, b;
  std::optional<AirwayIndex> airway;  ///< empty: the air changes of space a with outside
  double flow = 0.0;                  ///< mol/s from a to b, once solved
  bool assumed = false;               ///< a shut opening that leaks; without an airway: cabinet a leaks where it stands
  bool interface = false;             ///< between the two layers of one room
  double conductance = 1.0;           ///< of a part of a way: its share of the whole
};

/// Adds a link of two nodes, or of a node and ground; an index below 0 is ground. Adds none where both are ground.
void add_link(std::vector<linalg::Conductance>& links, int a, int b, double value = 1.0);

/// Flows that carry away what each space gets more than it passes on (`surplus`, mol/s by space) as a graph of
/// conductances does. The two layers of a room count as one space: what one of them lacks crosses the interface, and
/// none of it goes round through a neighbouring space. Where no path leads outside the surplus must add up to 0.
/// `through`: mol/s in, out and released, the scale of round-off.
void solve_open_paths(std::span<OpenPath> paths, std::span<const double> surplus, std::span<const double> through);

/// How rooms without a way outside share what they leak together, `sum` mol/s: in proportion to what each has too much
/// of it (or too little), `surplus`; equally where that is no more than round-off of `through`, mol/s of all of them.
/// The shares add up to 1.
std::vector<double> leak_shares(std::span<const double> surplus, double sum, double through);

bool is_open_exchange(const Site& site, const SiteState& state, std::size_t airway);

/// Spaces that no opening, gap, doorway, exchange or air change joins, however far along, to a room, a cabinet or
/// outside. `driven`: the gaps, doorways and fans that follow pressures.
std::vector<bool> sealed_spaces(const Site& site, const SiteState& state, std::span<const OpenPath> paths,
                                std::span<const AirwayIndex> driven);

}  // namespace leanside::airflow
