// SPDX-License-Identifier: Apache-2.0
/// Sparse systems that are solved again and again while their values change and their pattern seldom does.
#pragma once

#include <cstddef>
#include <span>
#include <vector>

#include "base/linalg/sparse.hpp"

namespace leanside::linalg {

class RepeatedLu {
 public:
  /// Factorises the matrix that these entries add up to, as compress() and a new SparseLu would. Where the entries are
  /// at the places of the last call, in the same order, the places and the ordering of the elimination are kept; the
  /// pivots are always chosen anew, so that the solution does not depend on matrices before. False where it is
  /// singular.
  bool factorise(std::size_t size, std::span<const Entry> entries);

  /// Of the matrix factorised last.
  const SparseLu& factors() const { return lu_; }

 private:
  struct Place {
    std::size_t row = 0, column = 0;
    std::size_t at = 0;  ///< of the entry in the values of the matrix
  };
  bool same_places(std::size_t size, std::span<const Entry> entries) const;

  std::vector<Place> places_;
  SparseMatrix matrix_;
  SparseLu lu_;
};

}  // namespace leanside::linalg
