// SPDX-License-Identifier: Apache-2.0
/// Small dense systems.
#pragma once

#include <cstddef>
#include <span>
#include <vector>

namespace leanside::linalg {

/// Solves A X = B in place of B by elimination with row interchanges. `a` is n x n and `b` n x columns, both
/// column-major; `a` is overwritten. `scale[i]` > 0 is the size of what row i was summed up from; false, and nothing of
/// use in `b`, where a pivot is not above `tolerance` times that.
bool solve_dense(std::span<double> a, std::size_t n, std::span<double> b, std::size_t columns,
                 std::span<const double> scale, double tolerance);

/// exp(A) of an n x n matrix, column-major.
std::vector<double> exponential(std::span<const double> a, std::size_t n);

}  // namespace leanside::linalg
