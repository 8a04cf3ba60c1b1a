// SPDX-License-Identifier: Apache-2.0
/// A stretch of a run in which the equations have constant coefficients.
#pragma once

#include <span>
#include <vector>

#include "base/linalg/sparse.hpp"
#include "transport/cells/cells.hpp"

namespace leanside::transport {

struct Segment {
  double from = 0.0;                 ///< s
  double to = 0.0;                   ///< s; = from where a vessel vents its surplus at once (a burst)
  double duration = 0.0;             ///< s that the equations run for: to - from; of a burst 1 in all
  Cells cells;                       ///< capacity: the moles held at `from`, at the pressure that holds then
  std::vector<double> growth;        ///< 1/s by cell: d ln N/dt at `from` of a sealed space that fills, 0 elsewhere
  std::vector<double> release_rate;  ///< mol/s by release; none in a burst
  bool is_burst() const { return !(to > from); }
};

/// Equations of the cells `members` of a segment; no stream may leave them for other cells. While a group of sealed
/// spaces fills, its coefficients are constant only on the clock tau = ln(1 + g t)/g, t being the time since `from`.
struct PartEquations {
  linalg::SparseMatrix a;        ///< mol/s
  std::vector<double> capacity;  ///< mol
  double growth = 0.0;           ///< g, 1/s
  /// Reading of the clock of this part, `seconds` after `from`.
  double clock(double seconds) const;
  /// Inverse of `clock`.
  double seconds(double clock) const;
};
/// `row_of` is scratch: it holds no_row for each cell, before and after.
PartEquations equations_of(const Segment& segment, std::span<const std::size_t> members,
                           std::vector<std::size_t>& row_of);

}  // namespace leanside::transport
