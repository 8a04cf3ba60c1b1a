// SPDX-License-Identifier: Apache-2.0
/// Questions about the graph of one moment of a case: which places hang together, which can be reached. Knows no gas.
/// Boost.Graph stays in this folder.
#pragma once

#include <cstddef>
#include <span>
#include <vector>

namespace leanside::network {

struct Edge {
  int from = 0;
  int to = 0;
};

/// Parts of a graph: `part_of[vertex]`, numbered from 0.
struct Parts {
  std::vector<int> part_of;
  int count = 0;
  /// The vertices of each part, part after part: members of part p are members[start[p]] .. members[start[p+1]-1].
  std::vector<int> members;
  std::vector<std::size_t> start;

  std::span<const int> of(int part) const {
    const auto p = static_cast<std::size_t>(part);
    return {members.data() + start[p], start[p + 1] - start[p]};
  }
};

/// Connected parts, the direction of the edges disregarded.
Parts connected_parts(int vertices, std::span<const Edge> edges);

/// Strongly connected parts, numbered downstream after upstream: an edge between two parts leads from a lower number to
/// a higher one.
Parts strong_parts(int vertices, std::span<const Edge> edges);

/// Which vertices can be reached from `sources` along the edges (sources included).
std::vector<bool> reachable(int vertices, std::span<const Edge> edges, std::span<const int> sources);

/// The last vertex but itself that every way from `root` to a vertex passes through (its immediate dominator); -1 for
/// the root and for what cannot be reached from it. Lengauer and Tarjan's algorithm.
std::vector<int> dominators(int vertices, std::span<const Edge> edges, int root);

}  // namespace leanside::network
