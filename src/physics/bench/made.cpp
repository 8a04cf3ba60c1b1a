// SPDX-License-Identifier: Apache-2.0
/// Gas made on the bench: collected over water, by electrolysis, burnt in a closed vessel.
#include <cmath>

#include "leanside/advanced/bench.hpp"
#include "leanside/advanced/sources.hpp"
#include "leanside/units.hpp"

namespace leanside {

double water_vapour_pressure(double temperature) {
  const double t = temperature - zero_celsius;
  return 611.21 * std::exp((18.678 - t / 234.5) * (t / (257.14 + t)));
}

double volume_over_water(double amount, double temperature, double pressure) {
  return amount * gas_constant * temperature / (pressure - water_vapour_pressure(temperature));
}

double collected_share(double from, double to) {
  if (!(to > from)) return -std::expm1(-from);
  return 1.0 - (std::exp(-from) - std::exp(-to)) / (to - from);
}

double electrolysis_hydrogen(double current) { return current / (2.0 * faraday); }

double electrolysis_oxygen(double current) { return current / (4.0 * faraday); }

double closed_pressure(double measured, double pressure, double temperature) {
  constexpr double measured_at = zero_celsius + 25.0;
  return measured * pressure / standard_atmosphere * measured_at / temperature;
}

}  // namespace leanside
