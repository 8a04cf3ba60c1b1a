// SPDX-License-Identifier: Apache-2.0
#include "base/linalg/repeated_lu.hpp"

#include <algorithm>

namespace leanside::linalg {

bool RepeatedLu::same_places(std::size_t size, std::span<const Entry> entries) const {
  return matrix_.diagonal.size() == size &&
         std::equal(entries.begin(), entries.end(), places_.begin(), places_.end(),
                    [](const Entry& e, const Place& p) { return e.row == p.row && e.column == p.column; });
}

bool RepeatedLu::factorise(std::size_t size, std::span<const Entry> entries) {
  if (same_places(size, entries)) {
    std::fill(matrix_.value.begin(), matrix_.value.end(), 0.0);
    for (std::size_t k = 0; k < entries.size(); ++k) matrix_.value[places_[k].at] += entries[k].value;
    return lu_.factorise(matrix_, Pivots::anew);
  }
  matrix_ = compress(size, entries);
  places_.clear();
  places_.reserve(entries.size());
  for (const Entry& e : entries) {
    const auto begin = matrix_.row.begin() + matrix_.column_start[e.column];
    const auto end = matrix_.row.begin() + matrix_.column_start[e.column + 1];
    const auto found = std::lower_bound(begin, end, static_cast<int>(e.row));
    places_.push_back({e.row, e.column, static_cast<std::size_t>(found - matrix_.row.begin())});
  }
  lu_ = SparseLu{};
  return lu_.factorise(matrix_);
}

}  // namespace leanside::linalg
