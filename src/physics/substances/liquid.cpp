// SPDX-License-Identifier: Apache-2.0
/// Liquids under their own vapour: density, heat of vaporisation, boiling point.
#include <algorithm>
#include <cmath>

#include "leanside/substance.hpp"

namespace leanside {

std::optional<double> heat_of_vaporisation(const Substance& substance, double temperature) {
  const auto& e = substance.vaporisation;
  if (!e || temperature < e->t_min) return {};
  if (temperature >= e->critical) return 0.0;
  if (temperature > e->t_max) return {};
  const double r = temperature / e->critical;
  return e->c1 * std::pow(1.0 - r, e->c2 + r * (e->c3 + r * (e->c4 + r * e->c5)));
}

std::optional<double> liquid_density(const Substance& substance, double temperature) {
  const auto& e = substance.saturated_density;
  if (!e || temperature < e->t_min || temperature > e->t_max) return {};
  const double molar = e->c1 / std::pow(e->c2, 1.0 + std::pow(std::max(0.0, 1.0 - temperature / e->c3), e->c4));
  return molar * substance.molar_mass.value;
}

std::optional<double> boiling_temperature(const Substance& substance, double pressure) {
  double low = 1e9, high = 0.0;
  if (const auto& wide = substance.vapour_pressure)
    low = std::min(low, wide->t_min), high = std::max(high, wide->t_max);
  if (const auto& antoine = substance.antoine)
    low = std::min(low, antoine->t_min), high = std::max(high, antoine->t_max);
  const auto under = [&](double t) {
    const auto p = vapour_pressure(substance, t);
    return p && *p < pressure;
  };
  if (low >= high || !under(low) || under(high)) return {};
  for (int k = 0; k < 100; ++k) {
    const double middle = 0.5 * (low + high);
    (under(middle) ? low : high) = middle;
  }
  return high;
}

}  // namespace leanside
