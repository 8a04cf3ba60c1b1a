// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cassert>

#include "leanside/advanced/flammability.hpp"

namespace leanside {
namespace {

constexpr double reference_temperature = 298.15;  // K: limits are given at 25 degC
constexpr double heat_slope = 0.75e-2 * 4184.0;   // J/(mol K): 0.75 vol % kcal/(mol K), as a fraction and in joules
constexpr double general_slope = 0.000721;        // 1/K, relative: the same for a fuel of average heat
constexpr double least_share_of_lower_25 = 0.01;  // where the falling line is cut off

/// How far a limit has moved from its 25 degC value, mol/mol, >= 0.
double shift(double limit_25, std::optional<double> net_heat, double temperature) {
  const double above = std::max(0.0, temperature - reference_temperature);
  if (net_heat && *net_heat > 0) return heat_slope * above / *net_heat;
  return general_slope * above * limit_25;
}

}  // namespace

double stoichiometric_fraction(double oxygen_demand, double oxygen_in_air) {
  assert(oxygen_demand > 0 && oxygen_in_air > 0);
  return 1.0 / (1.0 + oxygen_demand / oxygen_in_air);
}

double lower_limit_at(double lower_25, std::optional<double> net_heat, double temperature) {
  return std::max(lower_25 - shift(lower_25, net_heat, temperature), least_share_of_lower_25 * lower_25);
}

double upper_limit_at(double upper_25, std::optional<double> net_heat, double temperature) {
  return std::min(upper_25 + shift(upper_25, net_heat, temperature), 1.0);
}

double le_chatelier(std::span<const double> share, std::span<const double> limit) {
  assert(share.size() == limit.size() && !share.empty());
  double sum = 0.0;
  for (std::size_t k = 0; k < share.size(); ++k) sum += share[k] / limit[k];
  return 1.0 / sum;
}

double limiting_oxygen_estimate(double lower, double oxygen_demand) { return lower * oxygen_demand; }

}  // namespace leanside
