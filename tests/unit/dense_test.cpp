// SPDX-License-Identifier: Apache-2.0
#include "base/linalg/dense.hpp"

#include <cmath>
#include <limits>
#include <random>
#include <vector>

#include <Eigen/Dense>
#include <gtest/gtest.h>

#include "base/linalg/worse.hpp"

namespace leanside::linalg {
namespace {

TEST(Dense, SolutionReproducesTheRightHandSide) {
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
    std::vector<double> matrix(a.data(), a.data() + n * n), right(b.data(), b.data() + 3 * n);
    const std::vector<double> scale(static_cast<std::size_t>(n), 1.0);
    ASSERT_TRUE(solve_dense(matrix, static_cast<std::size_t>(n), right, 3, scale, 1e-12));
    const Eigen::Map<Eigen::MatrixXd> found{right.data(), n, 3};
    EXPECT_LT((a * found - b).cwiseAbs().maxCoeff(), 1e-12 * (1.0 + found.cwiseAbs().maxCoeff()) * n);
  }
}

TEST(Dense, ReportsASingularMatrix) {
  std::vector<double> a = {1.0, 2.0, 2.0, 4.0}, b = {1.0, 1.0}, scale = {2.0, 4.0};
  EXPECT_FALSE(solve_dense(a, 2, b, 1, scale, 1e-12));
  // The difference of two infinite values is NaN.
  std::vector<double> left_over = {1e-10}, one = {1.0}, large = {1e6};
  EXPECT_FALSE(solve_dense(left_over, 1, one, 1, large, 1e-12));
}

TEST(Worse, KeepsNotANumber) {
  const double none = std::numeric_limits<double>::quiet_NaN();
  EXPECT_EQ(worse(1.0, 2.0), 2.0);
  EXPECT_EQ(worse(2.0, 1.0), 2.0);
  EXPECT_TRUE(std::isnan(worse(1.0, none)));
  EXPECT_TRUE(std::isnan(worse(none, 1.0)));
  EXPECT_TRUE(std::isnan(worse(none, std::numeric_limits<double>::infinity())));
}

TEST(Dense, SolvesAnEmptySystem) {
  EXPECT_TRUE(solve_dense({}, 0, {}, 1, {}, 1e-12));
  // No right-hand side either, as in a site without gas: a singular matrix is reported all the same.
  std::vector<double> scale = {1.0, 1.0}, regular = {2.0, 1.0, 0.0, 3.0}, singular = {1.0, 2.0, 2.0, 4.0};
  EXPECT_TRUE(solve_dense(regular, 2, {}, 0, scale, 1e-12));
  EXPECT_FALSE(solve_dense(singular, 2, {}, 0, scale, 1e-12));
}

// Of what two rooms exchange: their sum stays, their difference falls off at the sum of the rates.
TEST(Dense, ExponentialOfAnExchangeIsTheClosedForm) {
  for (const double rate : {1e-6, 0.3, 5.0, 400.0, 1e5}) {
    const double there = rate, back = 0.7 * rate;
    const auto found = exponential(std::vector<double>{-there, there, back, -back}, 2);
    // Each squaring doubles the round-off.
    const double near = 1e-13 + rate * std::numeric_limits<double>::epsilon();
    const double gone = -std::expm1(-(there + back)) / (there + back);
    EXPECT_NEAR(found[0], 1.0 - there * gone, near);
    EXPECT_NEAR(found[1], there * gone, near);
    EXPECT_NEAR(found[2], back * gone, near);
    EXPECT_NEAR(found[3], 1.0 - back * gone, near);
  }
}

TEST(Dense, ExponentialOfAChainIsThePoissonSeries) {
  constexpr std::size_t n = 6;
  constexpr double rate = 2.5;
  std::vector<double> a(n * n, 0.0);  // each hands all it has on to the next
  for (std::size_t j = 0; j < n; ++j) {
    a[j * n + j] = -rate;
    if (j + 1 < n) a[j * n + j + 1] = rate;
  }
  const auto found = exponential(a, n);
  double term = std::exp(-rate);
  for (std::size_t i = 0; i < n; ++i) {
    EXPECT_NEAR(found[i], term, 1e-13);
    term *= rate / static_cast<double>(i + 1);
  }
}

}  // namespace
}  // namespace leanside::linalg
