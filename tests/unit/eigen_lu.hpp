// SPDX-License-Identifier: Apache-2.0
/// The factorisation that is not the one of the library, for comparisons: SparseLu by Eigen.
#pragma once

#include <optional>
#include <vector>

namespace leanside::linalg {
struct SparseMatrix;
}

namespace leanside::testing {

/// The solutions for `columns` right-hand sides, one after the other; nothing where the matrix is singular.
std::optional<std::vector<double>> solved_by_eigen(const linalg::SparseMatrix& matrix, std::vector<double> sides,
                                                   std::size_t columns, bool transposed);

}  // namespace leanside::testing
