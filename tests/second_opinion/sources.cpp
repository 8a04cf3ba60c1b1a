// SPDX-License-Identifier: Apache-2.0
#include "second_opinion/sources.hpp"

#include <cmath>

namespace second_opinion {
namespace {
constexpr Real gas_constant = 8.31446261815324L;
}

Real through_hole(const Site& site, const Release& r, Real p0) {
  const Gas& gas = site.gases[r.gas.shares.at(0).gas];
  const Real k = *gas.heat_ratio, p = site.pressure, mrt = Real(gas.molar_mass) * gas_constant * Real(r.temperature);
  if (p0 <= p) return 0;
  const Real c = Real(r.discharge) * Real(r.hole_area) * p0;
  if (p0 / p >= std::pow((k + 1) / 2, k / (k - 1))) {
    return c * std::sqrt(k / mrt) * std::pow(2 / (k + 1), (k + 1) / (2 * (k - 1)));
  }
  const Real ratio = p / p0;
  return c * std::sqrt(2 * k / ((k - 1) * mrt)) * std::pow(ratio, 1 / k) * std::sqrt(1 - std::pow(ratio, (k - 1) / k));
}

Real emptied_after(const Site&, const Release&) { return 0; }

}  // namespace second_opinion
