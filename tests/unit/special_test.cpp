// SPDX-License-Identifier: Apache-2.0
#include "base/linalg/special.hpp"

#include <cmath>

#include <gtest/gtest.h>

namespace leanside {
namespace {

TEST(Special, BinomialsFollowPascalsRule) {
  EXPECT_EQ(linalg::binomial(9, 0), 1.0L);
  EXPECT_EQ(linalg::binomial(9, 9), 1.0L);
  EXPECT_EQ(linalg::binomial(9, 4), 126.0L);
  for (std::size_t n = 1; n <= 30; ++n) {
    for (std::size_t k = 1; k < n; ++k) {
      EXPECT_EQ(linalg::binomial(n, k), linalg::binomial(n - 1, k) + linalg::binomial(n - 1, k - 1)) << n << " " << k;
    }
  }
}

TEST(Special, ARootIsBracketedOnBothSides) {
  const auto f = [](double x) { return x * x - 0.5; };
  const auto [low, high] = linalg::bracket_root(f, 0.0, 1.0, 48);
  EXPECT_LE(low, std::sqrt(0.5));
  EXPECT_GE(high, std::sqrt(0.5));
  EXPECT_LT(high - low, 1e-13);
  EXPECT_LE(f(low), 0.0);
  EXPECT_GE(f(high), 0.0);
  const auto falling = linalg::bracket_root([&](double x) { return -f(x); }, 0.0, 1.0, 48);
  EXPECT_NEAR(falling.second, std::sqrt(0.5), 1e-13);
}

TEST(Special, ARootAtAnEndIsFound) {
  EXPECT_EQ(linalg::bracket_root([](double x) { return x; }, 0.0, 1.0, 48).second, 0.0);
  EXPECT_EQ(linalg::bracket_root([](double x) { return x - 1.0; }, 0.0, 1.0, 48).second, 1.0);
  // Round-off has hidden the change of sign: the end that is nearer to zero.
  EXPECT_EQ(linalg::bracket_root([](double x) { return x - 1.0 - 1e-16; }, 0.0, 0.5, 48).second, 0.5);
}

}  // namespace
}  // namespace leanside
