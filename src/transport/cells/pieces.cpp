// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <array>
#include <cassert>
#include <cmath>

#include "leanside/advanced/transport.hpp"

namespace leanside {

double bernstein_value(std::span<const double> coefficients, double s) {
  assert(coefficients.size() <= dense_degree + 1 && !coefficients.empty());
  if (s == 0.0) return coefficients.front();
  if (s == 1.0) return coefficients.back();
  std::array<double, dense_degree + 1> b{};
  std::copy(coefficients.begin(), coefficients.end(), b.begin());
  for (std::size_t n = coefficients.size() - 1; n > 0; --n) {
    for (std::size_t j = 0; j < n; ++j) b[j] += s * (b[j + 1] - b[j]);
  }
  return b[0];
}

// In a sealed group N grows as N0 (1 + g t), and with the clock tau = ln(1 + g t)/g the equations have constant
// coefficients.
double DensePiece::time_at(double s) const {
  // Round-off must not lead out of the piece: an event at its end would then belong to no piece.
  if (growth == 0.0) return std::clamp(begin + s * (end - begin), begin, end);
  const double from = std::log1p(growth * (begin - segment_begin));
  const double to = std::log1p(growth * (end - segment_begin));
  return std::clamp(segment_begin + std::expm1(from + s * (to - from)) / growth, begin, end);
}

double DensePiece::position_at(double time) const {
  if (end <= begin) return 0.0;
  if (growth == 0.0) return std::clamp((time - begin) / (end - begin), 0.0, 1.0);
  const double from = std::log1p(growth * (begin - segment_begin));
  const double to = std::log1p(growth * (end - segment_begin));
  return std::clamp((std::log1p(growth * (time - segment_begin)) - from) / (to - from), 0.0, 1.0);
}

double ColumnBalance::relative_error() const {
  const double entered = initial + released;
  return entered > 0.0 ? std::abs(entered - held - gone) / entered : 0.0;
}

}  // namespace leanside
