// SPDX-License-Identifier: Apache-2.0
/// The network as the equations see it: cells and streams between them. A space is a cell; a space with a mixing factor
/// over 1 has a second cell without capacity at its outlet, where what mixed and what passed by unmixed meet.
#pragma once

#include <span>
#include <vector>

#include "base/graph/graph.hpp"
#include "base/linalg/sparse.hpp"
#include "leanside/advanced/airflow.hpp"
#include "leanside/advanced/transport.hpp"
#include "leanside/site.hpp"

namespace leanside::transport {

/// mol/s from cell to cell.
struct Stream {
  int from = 0;
  int to = 0;
  double rate = 0.0;
};

/// Cells 0 .. spaces-1 are the spaces by SpaceIndex; outlet cells follow.
struct Cells {
  int spaces = 0;
  int count = 0;
  std::vector<Stream> streams;            ///< between cells, ordered by `to`
  std::vector<std::size_t> stream_start;  ///< streams into cell i: stream_start[i] .. stream_start[i+1]-1
  std::vector<double> capacity;           ///< mol held at ambient pressure; 0: no storage
  std::vector<double> inflow;             ///< mol/s into each cell, from cells and from outside
  std::vector<double> fresh;              ///< mol/s into each cell from outside
  std::vector<double> outflow;            ///< mol/s from each cell to outside
  std::vector<double> release;            ///< mol/s released into each cell, all gases together
  std::vector<bool> dead;     ///< has no capacity and no air from anywhere: its fractions mean nothing, and are 0
  std::vector<int> space_of;  ///< the space that a cell is, or is the outlet of

  std::span<const Stream> into(int cell) const {
    const auto i = static_cast<std::size_t>(cell);
    return {streams.data() + stream_start[i], stream_start[i + 1] - stream_start[i]};
  }
  bool is_outlet(int cell) const { return cell >= spaces; }
  /// All that passes through a cell, mol/s.
  double through(int cell) const {
    return inflow[static_cast<std::size_t>(cell)] + release[static_cast<std::size_t>(cell)];
  }
  std::vector<network::Edge> edges() const;
};

/// `surplus`: of a burst, the moles that each space has too many; one that lacks some mixes with all that it draws in,
/// whatever its mixing factor.
Cells make_cells(const Site& site, const SiteState& state, const FlowField& field,
                 std::span<const double> surplus = {});

/// Density of the gas in each space, kg/m3, for gas fractions in the first columns of x (column-major, `cells` rows).
std::vector<double> densities(const Site& site, const SiteState& state, std::span<const double> x, std::size_t cells);

/// Whether the flows of this state follow the composition: an airway that follows pressures is on.
bool flows_follow_gas(const Site& site, const SiteState& state);

/// mol/s of each column released into each cell: column-major, cells x tracers.
std::vector<double> sources(const Cells& cells, const Site& site, const SiteState& state,
                            std::span<const Tracer> tracers);

/// A of M dx/dt = A x + b for some cells, in the order of `members`: what streams in less what the throughflow takes
/// away, mol/s. Streams from cells that are no members are left out. `row_of[cell]` is the row of a member and -1 for
/// every other cell. A cell without capacity that nothing flows through gets the row x = 0 (a junction) or x = that of
/// its space (an outlet).
linalg::SparseMatrix operator_of(const Cells& cells, std::span<const int> members, std::span<const int> row_of);

}  // namespace leanside::transport
