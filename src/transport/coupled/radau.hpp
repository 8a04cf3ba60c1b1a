// SPDX-License-Identifier: Apache-2.0
/// Coefficients of Radau IIA collocation with five stages: order 9 at the end of a step, 6 within it; stiffly accurate,
/// L-stable. Source: Hairer and Wanner, Solving Ordinary Differential Equations II, 2nd ed., section IV.5 (from memory;
/// the coefficients are computed from the zeros of the Radau polynomial).
#pragma once

#include <array>
#include <cstddef>

#include "leanside/advanced/transport.hpp"

namespace leanside::transport {

inline constexpr std::size_t stages = 5;

struct RadauCoefficients {
  std::array<double, stages> c{};
  std::array<std::array<double, stages>, stages> a{};
  /// Row j: Bernstein coefficient j, of degree dense_degree, of the polynomial through the start and the stages.
  std::array<std::array<double, stages + 1>, dense_degree + 1> bernstein{};
  /// Inverse of a: from increments since the start of a step to the rates, times the step, that make them.
  std::array<std::array<double, stages>, stages> inverse{};
  /// Weights of the highest Legendre term of that polynomial: its size shows how well the expansion has converged.
  std::array<double, stages + 1> highest{};
};
const RadauCoefficients& radau();

}  // namespace leanside::transport
