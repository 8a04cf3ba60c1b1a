// SPDX-License-Identifier: Apache-2.0
#include "linalg/dense.hpp"

#include <random>
#include <vector>

#include <Eigen/Dense>
#include <gtest/gtest.h>

namespace leanside::linalg {
namespace {

TEST(Dense, SolvesAsEigenDoes) {
  std::mt19937_64 dice{4};
  std::uniform_real_distribution<double> draw{-1.0, 1.0};
  for (const int n : {1, 2, 5, 17}) {
    Eigen::MatrixXd a(n, n), b(n, 3);
    for (int j = 0; j < n; ++j) {
      for (int i = 0; i < n; ++i) a(i, j) = draw(dice);
    }
    a(0, 0) = 0.0;  // so that rows have to change places
    if (n == 1) a(0, 0) = -2.0;
    for (int j = 0; j < 3; ++j) {
      for (int i = 0; i < n; ++i) b(i, j) = draw(dice);
    }
    const Eigen::MatrixXd expected = a.fullPivLu().solve(b);
    std::vector<double> matrix(a.data(), a.data() + n * n), right(b.data(), b.data() + 3 * n);
    std::vector<double> scale(static_cast<std::size_t>(n), 1.0);
    ASSERT_TRUE(solve_dense(matrix, static_cast<std::size_t>(n), right, 3, scale, 1e-12));
    for (int k = 0; k < 3 * n; ++k) EXPECT_NEAR(right[static_cast<std::size_t>(k)], expected.data()[k], 1e-10);
  }
}

TEST(Dense, SeesThatItIsSingular) {
  std::vector<double> a = {1.0, 2.0, 2.0, 4.0}, b = {1.0, 1.0}, scale = {2.0, 4.0};
  EXPECT_FALSE(solve_dense(a, 2, b, 1, scale, 1e-12));
  // What two large numbers left over is no number.
  std::vector<double> left_over = {1e-10}, one = {1.0}, large = {1e6};
  EXPECT_FALSE(solve_dense(left_over, 1, one, 1, large, 1e-12));
}

}  // namespace
}  // namespace leanside::linalg
