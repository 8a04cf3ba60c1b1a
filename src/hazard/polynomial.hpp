// SPDX-License-Identifier: Apache-2.0
/// Roots and extrema of polynomials in Bernstein form on [0, 1]. The coefficients enclose the values, so that nothing
/// between samples is missed.
#pragma once

#include <array>
#include <cstddef>
#include <functional>

#include "leanside/advanced/transport.hpp"

namespace leanside::hazard {

using Polynomial = std::array<double, dense_degree + 1>;

double value_at(const Polynomial& p, double s);
double least_coefficient(const Polynomial& p);
double largest_coefficient(const Polynomial& p);

/// Calls `at(s, upwards)` for each passage of p through `level`, in order of s; at or over the level counts as over it.
/// Touching without passing is no passage.
void passages(const Polynomial& p, double level, const std::function<void(double s, bool upwards)>& at);

/// The part of p from `from` to `to`, stretched over [0, 1].
Polynomial part_of(const Polynomial& p, double from, double to);

struct Extremum {
  double s = 0.0;
  double value = 0.0;
};

/// Where p is largest, the first place of equals, to 1e-12 of the spread of its coefficients.
Extremum largest(const Polynomial& p);

}  // namespace leanside::hazard
