// SPDX-License-Identifier: Apache-2.0
#include "second_opinion/leak_sizes.hpp"

#include <algorithm>
#include <cmath>

namespace second_opinion {

namespace {
constexpr Real exponent = 0.65L, limit = 100, reference = 4;
constexpr Real gas_constant = 8.31446261815324L, mass_of_air = 0.0289655L;
}  // namespace

std::optional<Real> size_of(const Airway& a) {
  const auto counts_as = [](Real area, Real n) {
    return area * std::min(Real(1), std::pow(Real(1000) / reference, n - exponent));
  };
  if (a.way == Way::gap) return counts_as(Real(a.area.si), Real(a.exponent));
  if (a.way == Way::doorway)
    return counts_as(Real(a.discharge) * Real(a.width.si) * Real(a.open > 0 ? a.open : 1) * Real(a.tall.si), 0.5L);
  return std::nullopt;
}

Real leakage(const Space& s) {
  const Real per_floor = 1e-4L, v = s.volume.si;
  if (!s.floor_area.text.empty()) return per_floor * Real(s.floor_area.si);
  return per_floor * (v < 15 ? std::pow(v, 2.0L / 3) : v / 2.5L);
}

Real most_leak(const Site& site, Real area) {
  const Real t = site.outside_temperature, p = site.pressure, rho = p * mass_of_air / (gas_constant * t);
  return area * std::sqrt(2 * reference / rho) * std::pow(limit / reference, exponent) * p / (gas_constant * t);
}

}  // namespace second_opinion
