// SPDX-License-Identifier: Apache-2.0
#include "transport/coupled/radau.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "base/linalg/special.hpp"

namespace leanside::transport {
namespace {

using Real = long double;
using Power = std::array<Real, stages + 2>;  // coefficients of powers of t

/// Legendre polynomials on [0, 1] as powers of t.
std::array<Power, stages + 1> legendre() {
  std::array<Power, stages + 1> p{};
  p[0][0] = 1.0L;
  p[1][0] = -1.0L;
  p[1][1] = 2.0L;
  for (std::size_t n = 2; n <= stages; ++n) {
    const auto m = static_cast<Real>(n);
    for (std::size_t k = 0; k <= n; ++k) {
      const Real shifted = (k > 0 ? 2.0L * p[n - 1][k - 1] : 0.0L) - p[n - 1][k];
      p[n][k] = ((2.0L * m - 1.0L) * shifted - (m - 1.0L) * p[n - 2][k]) / m;
    }
  }
  return p;
}

Real value(const Power& p, Real t) {
  Real sum = 0.0L;
  for (std::size_t k = p.size(); k-- > 0;) sum = sum * t + p[k];
  return sum;
}

/// Zeros of P_s - P_(s-1) on (0, 1]: the nodes of Radau IIA, the last one 1.
std::array<Real, stages> nodes() {
  const auto p = legendre();
  Power radau_polynomial{};
  for (std::size_t k = 0; k < radau_polynomial.size(); ++k) radau_polynomial[k] = p[stages][k] - p[stages - 1][k];
  std::array<Real, stages> c{};
  std::size_t found = 0;
  constexpr int pieces = 1000;
  for (int i = 0; i < pieces && found + 1 < stages; ++i) {
    Real low = static_cast<Real>(i) / pieces, high = static_cast<Real>(i + 1) / pieces;
    if (value(radau_polynomial, low) * value(radau_polynomial, high) > 0.0L) continue;
    for (int k = 0; k < 200; ++k) {
      const Real middle = 0.5L * (low + high);
      (value(radau_polynomial, low) * value(radau_polynomial, middle) <= 0.0L ? high : low) = middle;
    }
    c[found++] = high;
  }
  c[stages - 1] = 1.0L;
  return c;
}

/// Lagrange polynomials of some nodes as powers of t.
template <std::size_t N>
std::array<Power, N> lagrange(const std::array<Real, N>& at) {
  std::array<Power, N> result{};
  for (std::size_t j = 0; j < N; ++j) {
    Power p{};
    p[0] = 1.0L;
    std::size_t degree = 0;
    for (std::size_t k = 0; k < N; ++k) {
      if (k == j) continue;
      Power next{};
      for (std::size_t d = 0; d <= degree; ++d) {
        next[d] += -at[k] * p[d] / (at[j] - at[k]);
        next[d + 1] += p[d] / (at[j] - at[k]);
      }
      p = next;
      ++degree;
    }
    result[j] = p;
  }
  return result;
}

/// Inverse by Gauss-Jordan elimination with interchanges.
std::array<std::array<double, stages>, stages> inverse_of(const std::array<std::array<double, stages>, stages>& a) {
  std::array<std::array<Real, 2 * stages>, stages> m{};
  for (std::size_t i = 0; i < stages; ++i) {
    for (std::size_t j = 0; j < stages; ++j) m[i][j] = a[i][j];
    m[i][stages + i] = 1.0L;
  }
  for (std::size_t k = 0; k < stages; ++k) {
    std::size_t pivot = k;
    for (std::size_t i = k + 1; i < stages; ++i) {
      if (std::abs(m[i][k]) > std::abs(m[pivot][k])) pivot = i;
    }
    std::swap(m[k], m[pivot]);
    const Real scale = m[k][k];
    for (Real& value : m[k]) value /= scale;
    for (std::size_t i = 0; i < stages; ++i) {
      if (i == k) continue;
      const Real factor = m[i][k];
      for (std::size_t j = 0; j < 2 * stages; ++j) m[i][j] -= factor * m[k][j];
    }
  }
  std::array<std::array<double, stages>, stages> out{};
  for (std::size_t i = 0; i < stages; ++i) {
    for (std::size_t j = 0; j < stages; ++j) out[i][j] = static_cast<double>(m[i][stages + j]);
  }
  return out;
}

RadauCoefficients compute() {
  RadauCoefficients r;
  const auto c = nodes();
  const auto basis = lagrange(c);
  for (std::size_t i = 0; i < stages; ++i) {
    r.c[i] = static_cast<double>(c[i]);
    for (std::size_t j = 0; j < stages; ++j) {
      Power integral{};
      for (std::size_t k = 0; k < stages; ++k) integral[k + 1] = basis[j][k] / static_cast<Real>(k + 1);
      r.a[i][j] = static_cast<double>(value(integral, c[i]));
    }
  }
  r.inverse = inverse_of(r.a);
  std::array<Real, stages + 1> with_start{};
  for (std::size_t i = 0; i < stages; ++i) with_start[i + 1] = c[i];
  const auto dense = lagrange(with_start);
  const auto p = legendre();
  for (std::size_t m = 0; m <= stages; ++m) {
    for (std::size_t j = 0; j <= dense_degree; ++j) {
      Real sum = 0.0L;
      for (std::size_t k = 0; k <= std::min(j, stages); ++k)
        sum += dense[m][k] * linalg::binomial(j, k) / linalg::binomial(dense_degree, k);
      r.bernstein[j][m] = static_cast<double>(sum);
    }
    r.highest[m] = static_cast<double>(dense[m][stages] / p[stages][stages]);
  }
  return r;
}

}  // namespace

const RadauCoefficients& radau() {
  static const RadauCoefficients coefficients = compute();
  return coefficients;
}

}  // namespace leanside::transport
