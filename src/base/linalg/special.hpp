// SPDX-License-Identifier: Apache-2.0
/// Functions of numerical mathematics that Boost.Math computes, behind plain numbers.
#pragma once

#include <cstddef>
#include <functional>
#include <utility>

namespace leanside::linalg {

/// The value that Student's t with `freedom` > 0 degrees of freedom stays below with the probability `p`, 0 < p < 1.
double student_quantile(double p, double freedom);

/// n! / (k! (n-k)!), k <= n; exact as long as it is below 2^53.
long double binomial(std::size_t n, std::size_t k);

/// Two neighbouring numbers of [low, high], the lower one first and equal to about 2^-`bits` of them, between which `f`
/// changes its sign. Both are the root where f is exactly zero there. Where f has the same sign at both ends, which
/// round-off can bring about when one of them is a root, both are the end nearer to zero. Source: G. E. Alefeld, F. A.
/// Potra and Y. Shi, Algorithm 748, ACM Trans. Math. Softw. 21 (1995) 327-344.
std::pair<double, double> bracket_root(const std::function<double(double)>& f, double low, double high, int bits);

}  // namespace leanside::linalg
