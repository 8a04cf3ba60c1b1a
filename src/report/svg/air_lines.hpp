// SPDX-License-Identifier: Apache-2.0
/// Places boxes in one column and the lines between them beside it, on upright trunks, so that few lines cross. Pure
/// geometry.
///
///  1. Each link belongs to the trunk of one of its two boxes: the one with the most links that have no trunk yet,
///     again and again until all have one. A corridor with twenty doors so has one trunk, not twenty lines.
///  2. The rows are in the order with the shortest trunks and the fewest crossings that moving one box at a time
///     finds; where there are many boxes, each goes where the mean of its neighbours is.
///  3. The shorter a trunk, the nearer to the boxes it runs.
///  4. A line from a box to its trunk leaves the box so that it does not cross another line of that box.
#pragma once

#include <cstddef>
#include <vector>

namespace leanside::report {

/// Two boxes between which something flows, never the same.
struct Link {
  std::size_t a = 0, b = 0;
};

/// An upright line to which one box, its owner, and the boxes that it is linked with are joined.
struct Trunk {
  std::size_t owner = 0;            ///< box
  std::vector<std::size_t> links;   ///< places in the list of links
  std::size_t first = 0, last = 0;  ///< rows, first < last
  std::size_t track = 0;            ///< 0: nearest to the boxes
};

struct AirLines {
  std::vector<std::size_t> order;  ///< boxes from the top down
  std::vector<std::size_t> row;    ///< of each box
  std::vector<Trunk> trunks;
  std::vector<std::size_t> trunk_of;  ///< of each link
  std::size_t tracks = 0;
  /// Of each box the trunks that it is joined to, in the order in which their lines leave it, from the top down.
  std::vector<std::vector<std::size_t>> ports;
};

AirLines air_lines(std::size_t boxes, const std::vector<Link>& links);

/// How many lines from a box cross a trunk that they do not belong to.
std::size_t crossings(const AirLines& lines);

}  // namespace leanside::report
