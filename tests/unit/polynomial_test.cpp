// SPDX-License-Identifier: Apache-2.0
/// Zeros and tops of polynomials in Bernstein form.
#include "hazard/polynomial.hpp"

#include <cmath>

#include <gtest/gtest.h>

namespace leanside {
namespace {

TEST(Polynomial, FindsEveryPassageAndTheTop) {
  // (s - 0.2)(s - 0.5)(s - 0.98) in Bernstein form by interpolation of its blossom.
  hazard::Polynomial p{};
  const std::vector<double> roots{0.2, 0.5, 0.98};
  const double e1 = 1.68, e2 = 0.2 * 0.5 + 0.2 * 0.98 + 0.5 * 0.98, e3 = 0.098;
  const std::vector<double> monomial{-e3, e2, -e1, 1.0};
  const auto choose = [](std::size_t n, std::size_t k) {
    double c = 1.0;
    for (std::size_t i = 0; i < k; ++i) c = c * static_cast<double>(n - i) / static_cast<double>(i + 1);
    return c;
  };
  for (std::size_t j = 0; j <= dense_degree; ++j) {
    for (std::size_t k = 0; k < 4 && k <= j; ++k) p[j] += monomial[k] * choose(j, k) / choose(dense_degree, k);
  }
  std::vector<double> found;
  bool up = true;
  hazard::passages(p, 0.0, [&](double s, bool upwards) {
    EXPECT_EQ(upwards, up);
    up = !up;
    found.push_back(s);
  });
  ASSERT_EQ(found.size(), 3u);
  for (std::size_t i = 0; i < 3; ++i) EXPECT_NEAR(found[i], roots[i], 1e-12);
  // The derivative vanishes at (e1 - sqrt(e1^2 - 3 e2))/3.
  const double top = (e1 - std::sqrt(e1 * e1 - 3.0 * e2)) / 3.0;
  EXPECT_NEAR(hazard::largest(p).s, top, 1e-5);
  EXPECT_NEAR(hazard::largest(p).value, (top - 0.2) * (top - 0.5) * (top - 0.98), 1e-13);
}

TEST(Polynomial, TouchingIsNoPassageAndConstantsHaveNone) {
  hazard::Polynomial p{};
  for (std::size_t j = 0; j <= dense_degree; ++j) {  // -(s - 1/2)^2
    const double a = static_cast<double>(j);
    p[j] = -(a * (a - 1.0) / 56.0 - a / 8.0 + 0.25);
  }
  int count = 0;
  hazard::passages(p, 1e-9, [&](double, bool) { ++count; });
  EXPECT_EQ(count, 0);
  EXPECT_NEAR(hazard::largest(p).value, 0.0, 1e-12);
  hazard::Polynomial constant;
  constant.fill(0.25);
  hazard::passages(constant, 0.25, [&](double, bool) { ++count; });
  EXPECT_EQ(count, 0);
}

// Each part runs through the same values as the whole, stretched; its ends are those of the whole where they meet.
TEST(Polynomial, PartsRunThroughTheSameValues) {
  hazard::Polynomial p{};
  for (std::size_t j = 0; j <= dense_degree; ++j) p[j] = std::sin(1.7 * static_cast<double>(j));
  for (const auto& [from, to] : {std::pair{0.0, 1.0}, {0.0, 0.3}, {0.25, 0.75}, {0.6, 1.0}, {0.1, 0.1001}}) {
    const hazard::Polynomial part = hazard::part_of(p, from, to);
    for (int k = 0; k <= 10; ++k) {
      const double s = 0.1 * k;
      EXPECT_NEAR(hazard::value_at(part, s), hazard::value_at(p, from + s * (to - from)), 1e-13) << from << " " << to;
    }
  }
  EXPECT_EQ(hazard::part_of(p, 0.0, 1.0), p);
}

}  // namespace
}  // namespace leanside
