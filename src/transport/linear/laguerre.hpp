// SPDX-License-Identifier: Apache-2.0
/// Coefficients of the stepping method. docs/methods.md, "Stepping in time", derives it.
///
/// With zeta = 1/(1 - gamma z) the generating function of the Laguerre polynomials gives, for every theta,
///     exp(theta z) = sum_n L_n^(-1)(theta/gamma) (1 - zeta)^n.
/// The sum up to n = s has order s for every theta in [0, 1] and needs only one real pole. It is L-stable if 1/gamma is
/// a root of L_s and |R| <= 1 on the imaginary axis. Both hold for s = 8 with the root used here; a test checks them.
/// Source: Hairer and Wanner, Solving Ordinary Differential Equations II, 2nd ed., section IV.6 (restricted rational
/// approximations with real poles), from memory. We computed the value of gamma ourselves.
#pragma once

#include <array>
#include <cstddef>

#include "leanside/advanced/transport.hpp"

namespace leanside::transport {

inline constexpr std::size_t order = dense_degree;
inline constexpr double pole = 0.23437315960558341;  ///< gamma

/// L_n^(-1)(x) for n = 0 .. order + 1.
std::array<double, order + 2> laguerre(double x);

/// The weights at theta = 1.
const std::array<double, order + 2>& end_weights();

/// Largest |L_(order+1)^(-1)(theta/gamma)| over theta in [0, 1]: the leading error anywhere in the step.
double error_weight();

/// Row j: Bernstein coefficient j of sum_n L_n^(-1)(theta/gamma) d_n, as weights of the d_n.
const std::array<std::array<double, order + 1>, order + 1>& bernstein_weights();

}  // namespace leanside::transport
