// SPDX-License-Identifier: Apache-2.0
#include "airflow/openings.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>

namespace leanside::airflow {
namespace {

/// x^n for x >= 0 beyond smooth_below, and the cubic a x + b x^3 that meets it in value and slope below.
struct Cubic {
  double a, b;
  explicit Cubic(double n)
      : a{0.5 * (3.0 - n) * std::pow(smooth_below, n - 1.0)}, b{0.5 * (n - 1.0) * std::pow(smooth_below, n - 3.0)} {}
};

Flow smooth_power(double x, double n) {
  if (x < smooth_below) {
    const Cubic cubic(n);
    return {x * (cubic.a + cubic.b * x * x), cubic.a + 3.0 * cubic.b * x * x};
  }
  const double power = std::pow(x, n);
  return {power, n * power / x};
}

/// Mean over [x1, x2] (0 <= x1 <= x2) of the smoothed square root, and of its slope, each times (x2 - x1): written so
/// that nothing cancels where the two are nearly equal.
struct Integral {
  double value = 0.0, slope = 0.0;
};

Integral root_integral(const Cubic& root, double x1, double x2) {
  Integral sum;
  const double cubic_end = std::min(x2, smooth_below);
  if (x1 < cubic_end) {
    const double d = cubic_end - x1, s = cubic_end + x1, q = cubic_end * cubic_end + x1 * x1;
    sum.value += d * s * (0.5 * root.a + 0.25 * root.b * q);
    sum.slope += d * (root.a + root.b * (cubic_end * cubic_end + cubic_end * x1 + x1 * x1));
  }
  const double power_begin = std::max(x1, smooth_below);
  if (power_begin < x2) {
    const double d = x2 - power_begin, r1 = std::sqrt(power_begin), r2 = std::sqrt(x2);
    sum.value += 2.0 / 3.0 * d * (x2 + r1 * r2 + power_begin) / (r1 + r2);
    sum.slope += d / (r1 + r2);
  }
  return sum;
}

/// Mean over the height of the smoothed root of dp where dp > 0, dp running from `bottom` to `top`.
Integral mean_positive_root(const Cubic& root, double bottom, double top) {
  const double low = std::min(bottom, top), high = std::max(bottom, top);
  // With no difference anywhere half of the slope belongs to each way: a lone doorway must not look shut.
  if (high <= 0.0) return {0.0, low == 0.0 ? 0.5 * smooth_power(0.0, 0.5).slope : 0.0};
  const double span = high - low;
  if (span <= 1e-13 * high) {
    const Flow flow = smooth_power(high, 0.5);
    return {flow.value, flow.slope};
  }
  Integral integral = root_integral(root, std::max(0.0, low), high);
  integral.value /= span;
  integral.slope /= span;
  return integral;
}

}  // namespace

Flow gap_flow(double leakage_area, double exponent, double dp, double density_first, double density_second) {
  const double density = dp >= 0.0 ? density_first : density_second;
  const double at_reference = leakage_area * std::sqrt(2.0 * leakage_reference / density);
  const double x = std::abs(dp);
  if (x >= smooth_below) {
    const double value = at_reference * std::pow(x / leakage_reference, exponent);
    return {std::copysign(value, dp), exponent * value / x};
  }
  const Flow flow = smooth_power(x, exponent);
  const double scale = at_reference * std::pow(leakage_reference, -exponent);
  return {std::copysign(scale * flow.value, dp), scale * flow.slope};
}

TwoWayFlow doorway_flow(double width, double height, double discharge, double dp_bottom, double dp_top,
                        double density_first, double density_second) {
  static const Cubic root(0.5);
  const Integral forward = mean_positive_root(root, dp_bottom, dp_top);
  const Integral backward = mean_positive_root(root, -dp_bottom, -dp_top);
  const double scale = discharge * width * height * std::sqrt(2.0);
  const double first = scale / std::sqrt(density_first), second = scale / std::sqrt(density_second);
  return {{first * forward.value, first * forward.slope}, {second * backward.value, -second * backward.slope}};
}

Flow curve_flow(std::span<const CurvePoint> curve, double against) {
  assert(!curve.empty());
  if (against <= curve.front().pressure) return {curve.front().flow, 0.0};
  if (against >= curve.back().pressure) return {curve.back().flow, 0.0};
  std::size_t k = 0;
  while (curve[k + 1].pressure < against) ++k;
  const auto secant = [&](std::size_t i) {
    return (curve[i + 1].flow - curve[i].flow) / (curve[i + 1].pressure - curve[i].pressure);
  };
  // Slopes by the harmonic mean of the secants: monotone in every interval.
  const auto slope_at = [&](std::size_t i) {
    if (i == 0) return secant(0);
    if (i + 1 == curve.size()) return secant(i - 1);
    const double before = secant(i - 1), after = secant(i);
    return before * after <= 0.0 ? 0.0 : 2.0 * before * after / (before + after);
  };
  const double h = curve[k + 1].pressure - curve[k].pressure, t = (against - curve[k].pressure) / h;
  const double m0 = slope_at(k) * h, m1 = slope_at(k + 1) * h, d = curve[k + 1].flow - curve[k].flow;
  const double value = curve[k].flow + t * (m0 + t * (3.0 * d - 2.0 * m0 - m1 + t * (m0 + m1 - 2.0 * d)));
  const double slope = (m0 + t * (2.0 * (3.0 * d - 2.0 * m0 - m1) + 3.0 * t * (m0 + m1 - 2.0 * d))) / h;
  return {value, slope};
}

}  // namespace leanside::airflow
