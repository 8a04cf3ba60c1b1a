// SPDX-License-Identifier: Apache-2.0
// The acceleration of fixed-point iterations: it solves linear problems exactly, those too that diverge by themselves.
#include "base/linalg/anderson.hpp"

#include <cmath>
#include <vector>

#include <gtest/gtest.h>

namespace leanside::linalg {
namespace {

using Values = std::vector<double>;

TEST(Anderson, FirstPointIsThatOfThePlainIteration) {
  Anderson anderson(3);
  EXPECT_EQ(anderson.next(Values{1.0, 2.0}, Values{4.0, 5.0}, Values{1.0, 1.0}), (Values{4.0, 5.0}));
}

// x <- 3 - 2 x leads away from its fixed point 1; one earlier iteration is enough to find it.
TEST(Anderson, FindsTheFixedPointOfAMapThatDiverges) {
  Anderson anderson(3);
  Values x{5.0};
  for (int k = 0; k < 2; ++k) x = anderson.next(x, Values{3.0 - 2.0 * x[0]}, Values{1.0});
  EXPECT_NEAR(x[0], 1.0, 1e-14);
}

// A linear map of n values is known after n + 1 iterations, whatever its size and scale.
TEST(Anderson, SolvesLinearProblemsInAsManyIterationsAsValues) {
  const double a[3][3] = {{0.2, -1.5, 0.0}, {0.7, 0.1, 3.0}, {0.0, -0.4, -2.0}};
  const Values right{1.0, -2.0, 0.5};
  Anderson anderson(5);
  Values x(3, 0.0);
  const auto map = [&](const Values& at) {
    Values out = right;
    for (std::size_t i = 0; i < 3; ++i) {
      for (std::size_t j = 0; j < 3; ++j) out[i] += a[i][j] * at[j];
    }
    return out;
  };
  for (int k = 0; k < 4; ++k) x = anderson.next(x, map(x), Values{1.0, 1e-3, 10.0});
  const Values there = map(x);
  for (std::size_t i = 0; i < 3; ++i) EXPECT_NEAR(there[i], x[i], 1e-10);
}

// cos x = x, from a start far away: faster than the plain iteration, whose error falls by a third each time.
TEST(Anderson, ConvergesFasterThanThePlainIteration) {
  Anderson anderson(3);
  double x = 0.0;
  for (int k = 0; k < 10; ++k) x = anderson.next(Values{x}, Values{std::cos(x)}, Values{1.0})[0];
  EXPECT_NEAR(x, 0.7390851332151607, 1e-12);
}

TEST(Anderson, ForgetsWhatWasBeforeARestart) {
  Anderson anderson(3);
  anderson.next(Values{5.0}, Values{-7.0}, Values{1.0});
  anderson.restart();
  EXPECT_EQ(anderson.next(Values{2.0}, Values{-1.0}, Values{1.0}), Values{-1.0});
}

}  // namespace
}  // namespace leanside::linalg
