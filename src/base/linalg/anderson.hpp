// SPDX-License-Identifier: Apache-2.0
/// Anderson acceleration of a fixed-point iteration x <- g(x). Source: D. G. Anderson, Iterative procedures for
/// nonlinear integral equations, J. ACM 12 (1965) 547-560 (from memory).
#pragma once

#include <cstddef>
#include <deque>
#include <span>
#include <vector>

namespace leanside::linalg {

class Anderson {
 public:
  /// `depth`: how many earlier iterations each new point is made from.
  explicit Anderson(std::size_t depth) : depth_{depth} {}

  /// Forgets the iterations before.
  void restart() {
    points_.clear();
    changes_.clear();
  }

  /// The next point, from g(x) at x; both have the same length at every call. `scale`: how large a change of each entry
  /// counts as one, above 0. Without earlier iterations, and where they say nothing, the next point is g(x).
  std::vector<double> next(std::span<const double> x, std::span<const double> g, std::span<const double> scale);

 private:
  std::size_t depth_;
  std::deque<std::vector<double>> points_, changes_;  ///< g(x), and (g(x) - x)/scale
};

}  // namespace leanside::linalg
