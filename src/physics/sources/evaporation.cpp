// SPDX-License-Identifier: Apache-2.0
/// Liquid that lies open.
#include <algorithm>
#include <cmath>

#include "leanside/advanced/sources.hpp"
#include "leanside/units.hpp"

namespace leanside {
namespace {

/// Pa s. Sutherland: 1.716e-5 Pa s at 273.15 K, 110.4 K.
double viscosity_of_air(double temperature) {
  constexpr double reference = 1.716e-5, at = 273.15, constant = 110.4;
  return reference * std::pow(temperature / at, 1.5) * (at + constant) / (temperature + constant);
}

constexpr double molar_mass_of_dry_air = 0.0289655;  // kg/mol

}  // namespace

double schmidt_number(double diffusivity, double temperature, double pressure) {
  const double density = pressure * molar_mass_of_dry_air / (gas_constant * temperature);
  const double carried =
      diffusivity * std::pow(temperature / (zero_celsius + 25.0), 1.75) * standard_atmosphere / pressure;
  return viscosity_of_air(temperature) / (density * carried);
}

double mass_transfer_coefficient(double air_speed, double diameter, double schmidt) {
  return 0.00482 * std::pow(air_speed, 0.78) * std::pow(diameter, -0.11) * std::pow(schmidt, -0.67);
}

double stefan_factor(double saturated) { return saturated > 1e-6 ? -std::log1p(-saturated) / saturated : 1.0; }

double evaporation_rate(const Pool& pool, double partial_pressure) {
  return pool.transfer * pool.area * std::max(0.0, pool.vapour_pressure - partial_pressure) /
         (gas_constant * pool.temperature);
}

}  // namespace leanside
