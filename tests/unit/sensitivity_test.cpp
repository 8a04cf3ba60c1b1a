// SPDX-License-Identifier: Apache-2.0
/// Quasi-random points, and indices against models whose indices are known in closed form.
#include <algorithm>
#include <cmath>
#include <functional>
#include <numbers>
#include <numeric>

#include <gtest/gtest.h>

#include "leanside/study/spread.hpp"

namespace leanside {
namespace {

using Model = std::function<double(std::span<const double>)>;

Sensitivity indices_of(const Model& model, std::size_t inputs, std::size_t rows, std::uint64_t seed) {
  const SensitivityDesign design{inputs, rows, seed};
  std::vector<double> point(inputs), values;
  for (std::size_t row = 0; row < rows; ++row) {
    for (std::size_t block = 0; block < design.blocks(); ++block) {
      design.point(row, block, point);
      values.push_back(model(point));
    }
  }
  return sensitivity(inputs, values, seed);
}

/// Ishigami and Homma 1990, "An importance quantification technique in uncertainty analysis for computer models":
/// sin x1 + a sin^2 x2 + b x3^4 sin x1 on [-pi, pi]^3; variance a^2/8 + b pi^4/5 + b^2 pi^8/18 + 1/2.
constexpr double ishigami_a = 7.0, ishigami_b = 0.1;

double ishigami(std::span<const double> u) {
  const auto x = [&](std::size_t i) { return std::numbers::pi * (2.0 * u[i] - 1.0); };
  return std::sin(x(0)) + ishigami_a * std::pow(std::sin(x(1)), 2) + ishigami_b * std::pow(x(2), 4) * std::sin(x(0));
}

/// The g-function of Sobol (Saltelli and Sobol 1995): product of (|4 u - 2| + a) / (1 + a). The part of the variance of
/// input i alone is 1 / (3 (1 + a)^2) = v_i, all of it product(1 + v) - 1.
const std::vector<double> g_weights = {0.0, 1.0, 4.5, 9.0, 99.0, 99.0, 99.0, 99.0};

double g_function(std::span<const double> u) {
  double out = 1.0;
  for (std::size_t i = 0; i < u.size(); ++i) {
    out *= (std::abs(4.0 * u[i] - 2.0) + g_weights[i]) / (1.0 + g_weights[i]);
  }
  return out;
}

TEST(SensitivityIndices, OfIshigami) {
  const double pi4 = std::pow(std::numbers::pi, 4), pi8 = pi4 * pi4;
  const double variance =
      ishigami_a * ishigami_a / 8.0 + ishigami_b * pi4 / 5.0 + ishigami_b * ishigami_b * pi8 / 18.0 + 0.5;
  const double first = 0.5 * std::pow(1.0 + ishigami_b * pi4 / 5.0, 2) / variance;
  const double second = ishigami_a * ishigami_a / 8.0 / variance;
  const double third = 8.0 * ishigami_b * ishigami_b * pi8 / 225.0 / variance;  // with the first one only
  for (const std::uint64_t seed : {1u, 2u, 3u}) {
    const auto found = indices_of(ishigami, 3, 4096, seed);
    EXPECT_NEAR(found.mean, ishigami_a / 2.0, 0.02);
    EXPECT_NEAR(found.variance, variance, 0.01 * variance);
    const double firsts[] = {first, second, 0.0}, totals[] = {first + third, second, third};
    for (std::size_t i = 0; i < 3; ++i) {
      EXPECT_NEAR(found.first[i].value, firsts[i], 0.01) << seed << " " << i;
      EXPECT_NEAR(found.total[i].value, totals[i], 0.01) << seed << " " << i;
      // The error by resampling is that of random points; quasi-random ones do better, never much worse.
      EXPECT_LT(std::abs(found.first[i].value - firsts[i]), 3.0 * found.first[i].error + 1e-3) << i;
      EXPECT_LT(std::abs(found.total[i].value - totals[i]), 3.0 * found.total[i].error + 1e-3) << i;
      EXPECT_LT(found.first[i].error, 0.06);
      EXPECT_GT(found.first[i].error, 1e-4);
    }
  }
}

TEST(SensitivityIndices, OfTheGFunction) {
  std::vector<double> v;
  double all = 1.0;
  for (const double a : g_weights) {
    v.push_back(1.0 / (3.0 * (1.0 + a) * (1.0 + a)));
    all *= 1.0 + v.back();
  }
  const auto found = indices_of(g_function, g_weights.size(), 4096, 5);
  EXPECT_NEAR(found.mean, 1.0, 0.01);
  EXPECT_NEAR(found.variance, all - 1.0, 0.02 * (all - 1.0));
  for (std::size_t i = 0; i < v.size(); ++i) {
    EXPECT_NEAR(found.first[i].value, v[i] / (all - 1.0), 0.015) << i;
    EXPECT_NEAR(found.total[i].value, v[i] * all / (1.0 + v[i]) / (all - 1.0), 0.015) << i;
  }
}

TEST(SensitivityIndices, OfASumAreExactAndOfAConstantThereAreNone) {
  // Inputs that only add up: first and total are the same, shares of the squares of the weights.
  const auto sum = indices_of([](std::span<const double> u) { return 3.0 * u[0] + 4.0 * u[1] + 1e6; }, 2, 2048, 1);
  EXPECT_NEAR(sum.first[0].value, 0.36, 0.01);
  EXPECT_NEAR(sum.total[0].value, 0.36, 0.005);
  EXPECT_NEAR(sum.first[1].value, 0.64, 0.01);
  EXPECT_NEAR(sum.total[1].value, 0.64, 0.005);
  const auto constant = indices_of([](std::span<const double>) { return 0.3; }, 2, 64, 1);
  EXPECT_TRUE(constant.first.empty());
  EXPECT_EQ(constant.variance, 0.0);
  EXPECT_DOUBLE_EQ(constant.mean, 0.3);
}

TEST(SensitivityDesign, PointsFillTheCubeEvenly) {
  // Every coordinate of the first 2^m shifted Sobol points has exactly one point in each of 2^m equal pieces.
  constexpr std::size_t inputs = 40, rows = 256;
  const SensitivityDesign design{inputs, rows, 12345};
  std::vector<double> point(inputs);
  for (std::size_t block = 0; block < 2; ++block) {
    std::vector<std::vector<int>> seen(inputs, std::vector<int>(rows, 0));
    for (std::size_t row = 0; row < rows; ++row) {
      design.point(row, block, point);
      for (std::size_t i = 0; i < inputs; ++i) {
        ASSERT_GT(point[i], 0.0);
        ASSERT_LT(point[i], 1.0);
        ++seen[i][static_cast<std::size_t>(point[i] * rows)];
      }
    }
    for (const auto& pieces : seen) {
      EXPECT_TRUE(std::all_of(pieces.begin(), pieces.end(), [](int n) { return n == 1; }));
    }
  }
}

TEST(SensitivityDesign, BlocksExchangeOneInputAndSeedsDiffer) {
  const SensitivityDesign design{3, 8, 1}, same{3, 8, 1}, other{3, 8, 2};
  std::vector<double> a(3), b(3), mixed(3), again(3), elsewhere(3);
  for (std::size_t row = 0; row < 8; ++row) {
    design.point(row, 0, a);
    design.point(row, 1, b);
    same.point(row, 0, again);
    other.point(row, 0, elsewhere);
    EXPECT_EQ(a, again);
    EXPECT_NE(a, elsewhere);
    for (std::size_t i = 0; i < 3; ++i) {
      design.point(row, 2 + i, mixed);
      for (std::size_t k = 0; k < 3; ++k) EXPECT_EQ(mixed[k], k == i ? b[k] : a[k]);
    }
  }
}

TEST(SpreadShapes, QuantilesAreThoseOfTheDistributions) {
  Range range;
  range.low = 2.0;
  range.best = 4.0;
  range.high = 8.0;
  // Of a triangle the share below x is (x - low)^2 / (width (best - low)) up to best, and likewise from above.
  for (const double x : {2.0, 2.5, 3.9, 4.0, 4.1, 7.0, 8.0}) {
    const double u = x <= 4.0 ? (x - 2.0) * (x - 2.0) / (6.0 * 2.0) : 1.0 - (8.0 - x) * (8.0 - x) / (6.0 * 4.0);
    EXPECT_NEAR(quantile(range, SpreadShape::triangular, u), x, 1e-12);
  }
  EXPECT_DOUBLE_EQ(quantile(range, SpreadShape::two_piece, 0.0), 2.0);
  EXPECT_DOUBLE_EQ(quantile(range, SpreadShape::two_piece, 0.25), 3.0);
  EXPECT_DOUBLE_EQ(quantile(range, SpreadShape::two_piece, 0.5), 4.0);
  EXPECT_DOUBLE_EQ(quantile(range, SpreadShape::two_piece, 0.75), 6.0);
  EXPECT_DOUBLE_EQ(quantile(range, SpreadShape::two_piece, 1.0), 8.0);
  // Best at an end: half a triangle, and for the two pieces half of the chance on the end itself.
  range.best = 2.0;
  EXPECT_DOUBLE_EQ(quantile(range, SpreadShape::triangular, 0.0), 2.0);
  EXPECT_NEAR(quantile(range, SpreadShape::triangular, 0.75), 5.0, 1e-12);
  range.best = 8.0;
  EXPECT_NEAR(quantile(range, SpreadShape::triangular, 0.25), 5.0, 1e-12);
  EXPECT_DOUBLE_EQ(quantile(range, SpreadShape::two_piece, 0.9), 8.0);
}

}  // namespace
}  // namespace leanside
