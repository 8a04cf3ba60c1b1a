// SPDX-License-Identifier: Apache-2.0
/// Factors whose places and ordering are kept give what new ones give, and both libraries agree on them.
#include "base/linalg/repeated_lu.hpp"

#include <cmath>
#include <random>
#include <vector>

#include <gtest/gtest.h>

#include "unit/eigen_lu.hpp"

namespace {

using namespace leanside::linalg;
using leanside::testing::solved_by_eigen;

constexpr std::size_t size = 30, columns = 2;

/// Entries at the same places whatever the values, some places more than once, none of them dominant.
std::vector<Entry> entries_of(std::mt19937& random) {
  std::mt19937 places{7};
  std::uniform_int_distribution<std::size_t> cell(0, size - 1);
  std::uniform_real_distribution<double> value(-1.0, 1.0);
  std::vector<Entry> out;
  for (std::size_t i = 0; i < size; ++i) {
    for (const std::size_t column : {i, cell(places), cell(places), (i + 1) % size}) {
      out.push_back({i, column, value(random)});
    }
  }
  return out;
}

std::vector<double> sides() {
  std::vector<double> out;
  for (std::size_t k = 0; k < size * columns; ++k) out.push_back(std::sin(static_cast<double>(k + 1)));
  return out;
}

TEST(RepeatedLu, GivesToTheLastDigitWhatNewFactorsGive) {
  std::mt19937 random{3};
  RepeatedLu repeated;
  for (int k = 0; k < 50; ++k) {
    const auto entries = entries_of(random);
    ASSERT_TRUE(repeated.factorise(size, entries));
    std::vector<double> kept = sides(), fresh = sides();
    repeated.factors().solve(kept, columns);
    const SparseMatrix matrix = compress(size, entries);
    SparseLu lu;
    ASSERT_TRUE(lu.factorise(matrix));
    lu.solve(fresh, columns);
    EXPECT_EQ(kept, fresh) << k;
    const auto other = solved_by_eigen(matrix, sides(), columns, false);
    ASSERT_TRUE(other);
    std::vector<double> amiss = sides();
    for (std::size_t c = 0; c < columns; ++c) {
      const std::span part{amiss.data() + c * size, size};
      multiply_add(matrix, -1.0, std::span{kept}.subspan(c * size, size), part);
    }
    double largest = 0.0;
    for (const double x : kept) largest = std::max(largest, std::abs(x));
    for (std::size_t i = 0; i < amiss.size(); ++i) EXPECT_NEAR(amiss[i], 0.0, 1e-11 * (1.0 + largest)) << k;
    for (std::size_t i = 0; i < kept.size(); ++i) EXPECT_NEAR(kept[i], (*other)[i], 1e-9 * (1.0 + largest)) << k;
  }
}

TEST(RepeatedLu, ChoosesPivotsAnewWhereTheOldOnesVanish) {
  RepeatedLu lu;
  const auto solved = [&](double diagonal) {
    const std::vector<Entry> entries{{0, 0, diagonal}, {0, 1, 1.0}, {1, 0, 1.0}, {1, 1, diagonal}};
    std::vector<double> x{2.0, 3.0};
    EXPECT_TRUE(lu.factorise(2, entries));
    lu.factors().solve(x, 1);
    return x;
  };
  EXPECT_NEAR(solved(10.0)[0], 17.0 / 99.0, 1e-15);
  EXPECT_EQ(solved(0.0), (std::vector<double>{3.0, 2.0}));
  EXPECT_NEAR(solved(1e-18)[0], 3.0, 1e-15);
}

TEST(RepeatedLu, FollowsAChangeOfThePattern) {
  RepeatedLu lu;
  ASSERT_TRUE(lu.factorise(2, std::vector<Entry>{{0, 0, 2.0}, {1, 1, 4.0}}));
  ASSERT_TRUE(lu.factorise(3, std::vector<Entry>{{0, 0, 2.0}, {1, 1, 4.0}, {2, 2, 8.0}, {2, 0, 1.0}}));
  std::vector<double> x{2.0, 4.0, 9.0};
  lu.factors().solve(x, 1);
  EXPECT_EQ(x, (std::vector<double>{1.0, 1.0, 1.0}));
  EXPECT_FALSE(lu.factorise(2, std::vector<Entry>{{0, 0, 1.0}, {0, 1, 1.0}, {1, 0, 1.0}, {1, 1, 1.0}}));
  ASSERT_TRUE(lu.factorise(2, std::vector<Entry>{{0, 0, 2.0}, {0, 1, 1.0}, {1, 0, 1.0}, {1, 1, 2.0}}));
  std::vector<double> y{3.0, 3.0};
  lu.factors().solve(y, 1);
  EXPECT_NEAR(y[0], 1.0, 1e-15);
}

}  // namespace
