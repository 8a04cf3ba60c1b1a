// SPDX-License-Identifier: Apache-2.0
/// Both libraries behind SparseLu give the same solutions, and both tell a singular matrix.
#include <cmath>
#include <random>

#include <gtest/gtest.h>

#include "base/linalg/sparse.hpp"
#include "unit/eigen_lu.hpp"

namespace {

using namespace leanside::linalg;
using leanside::testing::solved_by_eigen;

/// A matrix as networks give it: what leaves a cell stands on the diagonal, what comes from others beside it.
SparseMatrix network(std::size_t size, std::mt19937& random) {
  std::uniform_real_distribution<double> flow(0.01, 5.0);
  std::uniform_int_distribution<std::size_t> cell(0, size - 1);
  std::vector<Entry> entries;
  for (std::size_t i = 0; i < size; ++i) {
    entries.push_back({i, i, flow(random)});
    for (int k = 0; k < 3; ++k) {
      const std::size_t from = cell(random);
      const double value = flow(random);
      entries.push_back({i, from, -value});
      entries.push_back({i, i, value});
    }
  }
  return compress(size, entries);
}

TEST(SparseBackends, AgreeOnNetworks) {
  std::mt19937 random{20260701};
  std::uniform_real_distribution<double> amount(-1.0, 1.0);
  for (const std::size_t size : {1u, 2u, 7u, 40u, 300u}) {
    SparseLu lu;
    const SparseMatrix matrix = network(size, random);
    ASSERT_TRUE(lu.factorise(matrix));
    constexpr std::size_t columns = 3;
    std::vector<double> sides(size * columns);
    for (double& value : sides) value = amount(random);
    for (const bool transposed : {false, true}) {
      std::vector<double> own = sides;
      if (transposed)
        lu.solve_transposed(own, columns);
      else
        lu.solve(own, columns);
      const auto other = solved_by_eigen(matrix, sides, columns, transposed);
      ASSERT_TRUE(other);
      for (std::size_t i = 0; i < own.size(); ++i) {
        EXPECT_NEAR(own[i], (*other)[i], 1e-11 * (1.0 + std::abs(own[i]))) << size << " " << transposed << " " << i;
      }
    }
  }
}

TEST(SparseBackends, BothRefuseASingularMatrix) {
  const std::vector<Entry> entries{{0, 0, 1.0}, {0, 1, -1.0}, {1, 0, -1.0}, {1, 1, 1.0}};
  const SparseMatrix matrix = compress(2, entries);
  SparseLu lu;
  EXPECT_FALSE(lu.factorise(matrix));
  EXPECT_FALSE(solved_by_eigen(matrix, {1.0, 2.0}, 1, false));
}

}  // namespace
