// SPDX-License-Identifier: Apache-2.0
// Under another name, so that both factorisations fit into one program.
#define SparseLu SparseLuByEigen
#include "base/linalg/sparse_lu_eigen.cpp"
#undef SparseLu

#include "unit/eigen_lu.hpp"

namespace leanside::testing {

std::optional<std::vector<double>> solved_by_eigen(const linalg::SparseMatrix& matrix, std::vector<double> sides,
                                                   std::size_t columns, bool transposed) {
  linalg::SparseLuByEigen lu;
  if (!lu.factorise(matrix)) return {};
  if (transposed)
    lu.solve_transposed(sides, columns);
  else
    lu.solve(sides, columns);
  return sides;
}

}  // namespace leanside::testing
