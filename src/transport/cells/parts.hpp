// SPDX-License-Identifier: Apache-2.0
/// Parts of a network of cells.
#pragma once

#include <cstddef>
#include <limits>
#include <span>
#include <vector>

#include "base/graph/graph.hpp"

namespace leanside::transport {

/// What `row_of` holds for a cell that has no row in a system of equations.
inline constexpr std::size_t no_row = std::numeric_limits<std::size_t>::max();

/// Cells in groups. Unlike network::Parts it counts in std::size_t, as cells do.
struct Parts {
  std::size_t count = 0;
  std::vector<std::size_t> part_of;  ///< by cell
  std::vector<std::size_t> members;  ///< the cells of part 0, then those of part 1 ...
  std::vector<std::size_t> start;    ///< cells of part p: members[start[p]] .. members[start[p+1]-1]

  std::span<const std::size_t> of(std::size_t part) const {
    return {members.data() + start[part], start[part + 1] - start[part]};
  }
};

inline network::Edge edge(std::size_t from, std::size_t to) { return {static_cast<int>(from), static_cast<int>(to)}; }

/// Connected parts of `count` cells, whichever way the edges run.
Parts connected_parts(std::size_t count, std::span<const network::Edge> edges);

/// Strongly connected parts, numbered downstream after upstream.
Parts strong_parts(std::size_t count, std::span<const network::Edge> edges);

}  // namespace leanside::transport
