// SPDX-License-Identifier: Apache-2.0
#include <cmath>
#include <limits>
#include <numbers>

#include "leanside/advanced/plumes.hpp"
#include "leanside/units.hpp"

namespace leanside {

double plume_constant(double entrainment) {
  return 1.2 * entrainment * std::cbrt(0.9 * entrainment) * std::cbrt(std::numbers::pi * std::numbers::pi);
}

double buoyancy_flux(double ambient_density, double gas_density, double volume_flow) {
  return standard_gravity * (ambient_density - gas_density) / ambient_density * volume_flow;
}

double plume_flow(double constant, double buoyancy, double distance) {
  if (!(buoyancy > 0.0) || !(distance > 0.0)) return 0.0;
  const double root = std::cbrt(distance);
  return constant * std::cbrt(buoyancy) * distance * root * root;
}

double filling_front(double constant, double buoyancy, double floor_area, double height, double time) {
  const double root = std::cbrt(height);
  const double inverse = 1.0 / (root * root) + 2.0 / 3.0 * constant * std::cbrt(buoyancy) / floor_area * time;
  return 1.0 / (inverse * std::sqrt(inverse));
}

double effective_opening(double low, double high) {
  return std::numbers::sqrt2 * low * high / std::sqrt(low * low + high * high);
}

// With r the square of the given side over C^3, xi^5 + r xi - r = 0 rises from -r at 0 to 1 at 1.
double steady_interface(double opening, double constant) {
  const double r = opening * opening / (constant * constant * constant);
  double low = 0.0, high = 1.0;
  for (int k = 0; k < 60; ++k) {
    const double xi = 0.5 * (low + high);
    const double square = xi * xi;
    (square * square * xi + r * xi < r ? low : high) = xi;
  }
  return 0.5 * (low + high);
}

double volume_richardson(double weight_flow, double jet_power, double volume) {
  if (!(jet_power > 0.0)) return std::numeric_limits<double>::infinity();
  return standard_gravity * weight_flow * std::cbrt(volume) / jet_power;
}

}  // namespace leanside
