// SPDX-License-Identifier: Apache-2.0
#include "linalg/dense.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <utility>
#include <vector>

namespace leanside::linalg {

bool solve_dense(std::span<double> a, std::size_t n, std::span<double> b, std::size_t columns, std::span<double> scale,
                 double tolerance) {
  assert(a.size() == n * n && b.size() == n * columns && scale.size() == n);
  for (std::size_t k = 0; k < n; ++k) {
    std::size_t best = k;
    double share = -1.0;
    for (std::size_t i = k; i < n; ++i) {
      const double here = scale[i] > 0.0 ? std::abs(a[k * n + i]) / scale[i] : 0.0;
      if (here > share) best = i, share = here;
    }
    if (!(share > tolerance)) return false;
    if (best != k) {
      std::swap(scale[best], scale[k]);
      for (std::size_t j = 0; j < n; ++j) std::swap(a[j * n + best], a[j * n + k]);
      for (std::size_t c = 0; c < columns; ++c) std::swap(b[c * n + best], b[c * n + k]);
    }
    for (std::size_t i = k + 1; i < n; ++i) {
      const double factor = a[k * n + i] / a[k * n + k];
      if (factor == 0.0) continue;
      for (std::size_t j = k + 1; j < n; ++j) a[j * n + i] -= factor * a[j * n + k];
      for (std::size_t c = 0; c < columns; ++c) b[c * n + i] -= factor * b[c * n + k];
    }
  }
  for (std::size_t c = 0; c < columns; ++c) {
    for (std::size_t k = n; k-- > 0;) {
      double sum = b[c * n + k];
      for (std::size_t j = k + 1; j < n; ++j) sum -= a[j * n + k] * b[c * n + j];
      b[c * n + k] = sum / a[k * n + k];
    }
  }
  return true;
}

std::vector<double> exponential(std::span<const double> a, std::size_t n) {
  assert(a.size() == n * n);
  const auto product = [n](const std::vector<double>& x, const std::vector<double>& y) {
    std::vector<double> out(n * n, 0.0);
    for (std::size_t j = 0; j < n; ++j) {
      for (std::size_t k = 0; k < n; ++k) {
        for (std::size_t i = 0; i < n; ++i) out[j * n + i] += x[k * n + i] * y[j * n + k];
      }
    }
    return out;
  };
  double norm = 0.0;
  for (std::size_t j = 0; j < n; ++j) {
    double sum = 0.0;
    for (std::size_t i = 0; i < n; ++i) sum += std::abs(a[j * n + i]);
    norm = std::max(norm, sum);
  }
  int squarings = 0;
  double factor = 1.0;
  for (; norm * factor > 0.25 && squarings < 1000; ++squarings) factor *= 0.5;
  std::vector<double> scaled(a.begin(), a.end()), out(n * n, 0.0);
  for (double& v : scaled) v *= factor;
  for (std::size_t i = 0; i < n; ++i) out[i * n + i] = 1.0;
  std::vector<double> term = out;
  constexpr int terms = 14;  // 0.25^15 / 15! is far below round-off
  for (int k = 1; k <= terms; ++k) {
    term = product(term, scaled);
    for (std::size_t i = 0; i < term.size(); ++i) {
      term[i] /= k;
      out[i] += term[i];
    }
  }
  for (int k = 0; k < squarings; ++k) out = product(out, out);
  return out;
}

}  // namespace leanside::linalg
