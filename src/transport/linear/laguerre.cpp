// SPDX-License-Identifier: Apache-2.0
#include "transport/linear/laguerre.hpp"

#include <algorithm>
#include <cmath>

#include "base/linalg/special.hpp"

namespace leanside::transport {
namespace {

using Polynomial = std::array<long double, order + 2>;  // coefficients of x^0 .. x^(order+1)

/// L_n^(-1) as polynomials in x: n L_n = (2n - 2 - x) L_(n-1) - (n - 2) L_(n-2), L_0 = 1, L_1 = -x.
std::array<Polynomial, order + 2> laguerre_polynomials() {
  std::array<Polynomial, order + 2> l{};
  l[0][0] = 1.0L;
  l[1][1] = -1.0L;
  for (std::size_t n = 2; n <= order + 1; ++n) {
    const auto m = static_cast<long double>(n);
    for (std::size_t k = 0; k <= order + 1; ++k) {
      l[n][k] = ((2.0L * m - 2.0L) * l[n - 1][k] - (k > 0 ? l[n - 1][k - 1] : 0.0L) - (m - 2.0L) * l[n - 2][k]) / m;
    }
  }
  return l;
}

std::array<std::array<double, order + 1>, order + 1> make_bernstein_weights() {
  const auto l = laguerre_polynomials();
  std::array<std::array<double, order + 1>, order + 1> weights{};
  for (std::size_t n = 0; n <= order; ++n) {
    for (std::size_t j = 0; j <= order; ++j) {
      // theta^k = sum_(j >= k) C(j,k)/C(order,k) B_j
      long double sum = 0.0L;
      long double scale = 1.0L;
      for (std::size_t k = 0; k <= j; ++k) {
        sum += l[n][k] * scale * linalg::binomial(j, k) / linalg::binomial(order, k);
        scale /= static_cast<long double>(pole);
      }
      weights[j][n] = static_cast<double>(sum);
    }
  }
  return weights;
}

}  // namespace

std::array<double, order + 2> laguerre(double x) {
  std::array<double, order + 2> l{};
  l[0] = 1.0;
  l[1] = -x;
  for (std::size_t n = 2; n <= order + 1; ++n) {
    const auto m = static_cast<double>(n);
    l[n] = ((2.0 * m - 2.0 - x) * l[n - 1] - (m - 2.0) * l[n - 2]) / m;
  }
  return l;
}

const std::array<double, order + 2>& end_weights() {
  static const auto weights = laguerre(1.0 / pole);
  return weights;
}

double error_weight() {
  static const double weight = [] {
    double largest = 0.0;
    for (int i = 0; i <= 1000; ++i) largest = std::max(largest, std::abs(laguerre(i * 1e-3 / pole)[order + 1]));
    return largest;
  }();
  return weight;
}

const std::array<std::array<double, order + 1>, order + 1>& bernstein_weights() {
  static const auto weights = make_bernstein_weights();
  return weights;
}

}  // namespace leanside::transport
