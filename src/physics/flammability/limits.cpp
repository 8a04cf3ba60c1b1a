// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cassert>
#include <cmath>

#include "leanside/advanced/flammability.hpp"

namespace leanside {
namespace {

constexpr double reference_temperature = 298.15;  // K: limits are given at 25 degC
constexpr double heat_slope = 0.75e-2 * 4184.0;   // J/(mol K): 0.75 vol % kcal/(mol K), as a fraction and in joules
constexpr double general_slope = 1.0 / 875.0;     // 1/K, relative: measured lines run to zero at 900 degC
constexpr double steepest_slope = 0.00163;        // 1/K, relative: that of hydrogen, the steepest measured
constexpr double least_share_of_lower_25 = 0.01;  // where the falling line is cut off

/// The lower limit as a share of that at 25 degC.
double share_of_lower(double lower_25, std::optional<double> net_heat, double temperature) {
  const double above = std::max(0.0, temperature - reference_temperature);
  double slope = general_slope;
  if (net_heat && *net_heat > 0) slope = std::clamp(heat_slope / (*net_heat * lower_25), general_slope, steepest_slope);
  return std::max(1.0 - slope * above, least_share_of_lower_25);
}

}  // namespace

double stoichiometric_fraction(double oxygen_demand, double oxygen_in_air) {
  assert(oxygen_demand > 0 && oxygen_in_air > 0);
  return 1.0 / (1.0 + oxygen_demand / oxygen_in_air);
}

double lower_limit_at(double lower_25, std::optional<double> net_heat, double temperature) {
  return lower_25 * share_of_lower(lower_25, net_heat, temperature);
}

double upper_limit_at(double upper_25, double lower_25, std::optional<double> net_heat, double temperature) {
  const double share = share_of_lower(lower_25, net_heat, temperature);
  return std::min(upper_25 / share, 1.0 - (1.0 - upper_25) * share);
}

double limiting_oxygen_at(double limiting_25, double lower_25, std::optional<double> net_heat, double temperature) {
  return limiting_25 * share_of_lower(lower_25, net_heat, temperature);
}

double lower_share_in_nitrous_oxide(std::string_view fuel) {
  constexpr double usual = 0.5, ammonia = 2.2 / 15.0;
  return fuel == "ammonia" ? ammonia : usual;
}

double upper_limit_under_pressure(std::string_view fuel, double upper, double ratio) {
  constexpr double decade = 0.206, most = 0.95;
  if (!(ratio > 1.0) || fuel == "hydrogen" || upper >= most) return upper;
  return std::min(most, upper + decade * std::log10(ratio));
}

double le_chatelier(std::span<const double> share, std::span<const double> limit) {
  assert(share.size() == limit.size() && !share.empty());
  double sum = 0.0;
  for (std::size_t k = 0; k < share.size(); ++k) sum += share[k] / limit[k];
  return 1.0 / sum;
}

double limiting_oxygen_estimate(double lower, double oxygen_demand) { return lower * oxygen_demand; }

}  // namespace leanside
