// SPDX-License-Identifier: Apache-2.0
/// Small dense systems.
#pragma once

#include <cstddef>
#include <span>
#include <vector>

namespace leanside::linalg {

/// Solves A X = B in place of B by elimination with row interchanges. `a` is n x n and `b` n x columns, both
/// column-major; `a` and `scale` are overwritten. `scale[i]` > 0 is the size of what row i was summed up from; false
/// where a pivot is below `tolerance` times that.
bool solve_dense(std::span<double> a, std::size_t n, std::span<double> b, std::size_t columns, std::span<double> scale,
                 double tolerance);

/// exp(A) of an n x n matrix, column-major: Taylor's series of A/2^k, squared k times.
std::vector<double> exponential(std::span<const double> a, std::size_t n);

}  // namespace leanside::linalg
