// SPDX-License-Identifier: Apache-2.0
/// Weighted graph Laplacians: symmetric, positive definite when grounded. The pattern is analysed once.
#pragma once

#include <memory>
#include <span>
#include <vector>

#include "base/linalg/sparse.hpp"

namespace leanside::linalg {

class Laplacian {
 public:
  /// `links` between nodes 0 .. nodes-1 or to ground. A node that no link reaches gets a row of its own.
  Laplacian(int nodes, std::span<const Conductance> links);
  ~Laplacian();
  Laplacian(Laplacian&&) noexcept;
  Laplacian& operator=(Laplacian&&) noexcept;

  /// Factorises for these conductances (>= 0), one a link. False where it is not positive definite.
  bool factorise(std::span<const double> conductance);
  /// Solves in place.
  void solve(std::span<double> right_hand_side) const;

 private:
  struct Factors;
  std::unique_ptr<Factors> factors_;
};

}  // namespace leanside::linalg
