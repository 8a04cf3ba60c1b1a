// SPDX-License-Identifier: Apache-2.0
/// The network as the equations see it: cells and the streams between them. Every space is a cell. A space with a
/// mixing factor over 1 has a second cell, its outlet, which holds nothing: there the air that mixed meets the air that
/// passed by unmixed.
#pragma once

#include <cstddef>
#include <span>
#include <vector>

#include "base/linalg/sparse.hpp"
#include "leanside/advanced/airflow.hpp"
#include "leanside/advanced/transport.hpp"
#include "leanside/site.hpp"
#include "transport/cells/parts.hpp"

namespace leanside::transport {

/// A stream from one cell to another.
struct Stream {
  std::size_t from = 0;
  std::size_t to = 0;
  double rate = 0.0;  ///< mol/s
};

/// Cells 0 .. spaces-1 are the spaces by SpaceIndex; the outlets follow.
struct Cells {
  std::size_t spaces = 0;
  std::size_t count = 0;
  std::vector<Stream> streams;            ///< between cells, ordered by `to`
  std::vector<std::size_t> stream_start;  ///< streams into cell i: stream_start[i] .. stream_start[i+1]-1
  std::vector<double> capacity;           ///< mol held at ambient pressure; 0: the cell holds nothing
  std::vector<double> inflow;             ///< mol/s into each cell, from cells and from outside
  std::vector<double> fresh;              ///< mol/s into each cell from outside
  std::vector<double> outflow;            ///< mol/s from each cell to outside
  std::vector<double> release;            ///< mol/s released into each cell, all gases together
  std::vector<bool> dead;             ///< holds nothing and gets no air: its fractions mean nothing and are set to 0
  std::vector<std::size_t> space_of;  ///< the space that a cell is, or is the outlet of

  std::span<const Stream> into(std::size_t cell) const {
    return {streams.data() + stream_start[cell], stream_start[cell + 1] - stream_start[cell]};
  }
  bool is_outlet(std::size_t cell) const { return cell >= spaces; }
  /// All that passes through a cell, mol/s.
  double through(std::size_t cell) const { return inflow[cell] + release[cell]; }
  /// Cells joined by streams, whichever way these run.
  Parts connected_parts() const;
  /// Cells that air goes round between; the parts are numbered downstream after upstream.
  Parts strong_parts() const;
};

/// Cells and streams of a site for balanced flows. `surplus`: in a burst, the moles that each space has too many; a
/// space that lacks some mixes with all that it draws in, whatever its mixing factor.
Cells make_cells(const Site& site, const SiteState& state, const FlowField& field,
                 std::span<const double> surplus = {});

/// Density of the gas in each space, kg/m3, for gas fractions in the first columns of x (column-major, `cells` rows).
std::vector<double> densities(const Site& site, const SiteState& state, std::span<const double> x, std::size_t cells);

/// mol/s of each column released into each cell: column-major, cells x tracers.
std::vector<double> sources(const Cells& cells, const Site& site, const SiteState& state,
                            std::span<const Tracer> tracers);

/// A of M dx/dt = A x + b for some cells, in the order of `members`, mol/s: what streams in less what the flow through
/// the cell takes away. Streams from cells that are not members are left out. `row_of[cell]` is the row of a member and
/// no_row for every other cell. An empty cell without any flow gets the row x = 0.
linalg::SparseMatrix operator_of(const Cells& cells, std::span<const std::size_t> members,
                                 std::span<const std::size_t> row_of);
/// The same for all cells, in their own order.
linalg::SparseMatrix operator_of(const Cells& cells);

}  // namespace leanside::transport
