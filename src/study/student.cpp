// SPDX-License-Identifier: Apache-2.0
#include "study/student.hpp"

#include <cmath>
#include <limits>

namespace leanside::study {
namespace {

/// Regularised incomplete beta function I_x(a, b), by its continued fraction (modified Lentz), x below the mean.
double incomplete_beta(double a, double b, double x) {
  const double front =
      std::exp(std::lgamma(a + b) - std::lgamma(a) - std::lgamma(b) + a * std::log(x) + b * std::log1p(-x)) / a;
  constexpr double tiny = 1e-300;
  double f = 1.0, c = 1.0, d = 0.0;
  for (int i = 0; i <= 500; ++i) {
    const int m = i / 2;
    double term = 1.0;
    if (i > 0) {
      term = i % 2 == 0 ? m * (b - m) * x / ((a + 2.0 * m - 1.0) * (a + 2.0 * m))
                        : -(a + m) * (a + b + m) * x / ((a + 2.0 * m) * (a + 2.0 * m + 1.0));
    }
    d = 1.0 + term * d;
    d = 1.0 / (std::abs(d) < tiny ? tiny : d);
    c = 1.0 + term / c;
    c = std::abs(c) < tiny ? tiny : c;
    f *= c * d;
    if (std::abs(1.0 - c * d) < 1e-15) break;
  }
  return front * (f - 1.0);
}

/// Probability of being above t > 0.
double upper_tail(double t, double freedom) {
  const double x = freedom / (freedom + t * t), a = 0.5 * freedom, b = 0.5;
  const double whole = x < (a + 1.0) / (a + b + 2.0) ? incomplete_beta(a, b, x) : 1.0 - incomplete_beta(b, a, 1.0 - x);
  return 0.5 * whole;
}

}  // namespace

double student_quantile(double p, double freedom) {
  double low = 0.0, high = 1.0;
  while (upper_tail(high, freedom) > 1.0 - p && high < 1e12) high *= 2.0;
  for (int i = 0; i < 200 && high - low > 1e-12 * high; ++i) {
    const double middle = 0.5 * (low + high);
    (upper_tail(middle, freedom) > 1.0 - p ? low : high) = middle;
  }
  return 0.5 * (low + high);
}

}  // namespace leanside::study
