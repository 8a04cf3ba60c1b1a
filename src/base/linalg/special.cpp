// SPDX-License-Identifier: Apache-2.0
#include "base/linalg/special.hpp"

#include <cmath>
#include <cstdint>

#include <boost/math/distributions/students_t.hpp>
#include <boost/math/special_functions/binomial.hpp>
#include <boost/math/tools/toms748_solve.hpp>

namespace leanside::linalg {

double student_quantile(double p, double freedom) {
  return boost::math::quantile(boost::math::students_t_distribution<double>{freedom}, p);
}

long double binomial(std::size_t n, std::size_t k) {
  return boost::math::binomial_coefficient<long double>(static_cast<unsigned>(n), static_cast<unsigned>(k));
}

std::pair<double, double> bracket_root(const std::function<double(double)>& f, double low, double high, int bits) {
  const double at_low = f(low), at_high = f(high);
  if ((at_low > 0.0 && at_high > 0.0) || (at_low < 0.0 && at_high < 0.0)) {
    const double nearer = std::abs(at_low) < std::abs(at_high) ? low : high;
    return {nearer, nearer};
  }
  const boost::math::tools::eps_tolerance<double> close_enough{static_cast<unsigned>(bits)};
  std::uintmax_t most_calls = 200;
  return boost::math::tools::toms748_solve(f, low, high, at_low, at_high, close_enough, most_calls);
}

}  // namespace leanside::linalg
