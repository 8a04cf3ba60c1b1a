// SPDX-License-Identifier: Apache-2.0
/// Liquid that lies open.
#include <algorithm>
#include <cassert>
#include <cmath>
#include <utility>

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

std::vector<PoolStage> distillation(std::span<const double> amount, std::span<const double> pressure) {
  assert(amount.size() == pressure.size() && !amount.empty());
  constexpr double step = 6.0 / 5.0, least = 1.0 / 50.0;
  const std::size_t parts = amount.size();
  const auto left = [&](std::size_t i, double u) { return amount[i] * std::exp(-pressure[i] * u); };
  // Over the liquid that is left at u, Pa. It falls with u, to that of the part that goes last.
  const auto over = [&](double u) {
    double all = 0.0, sum = 0.0;
    for (std::size_t i = 0; i < parts; ++i) {
      all += left(i, u);
      sum += left(i, u) * pressure[i];
    }
    return all > 0.0 ? sum / all : 0.0;
  };
  const double first = over(0.0), last = *std::min_element(pressure.begin(), pressure.end());
  std::vector<double> bounds{0.0};
  for (double wanted = first / step; wanted > std::max(last * step, least * first); wanted /= step) {
    double low = bounds.back(), high = std::max(2.0 * low, 1.0 / first);
    while (over(high) > wanted) high *= 2.0;
    for (int k = 0; k < 100; ++k) {
      const double middle = 0.5 * (low + high);
      (over(middle) > wanted ? low : high) = middle;
    }
    bounds.push_back(high);
  }
  std::vector<PoolStage> stages;
  for (std::size_t k = 0; k < bounds.size(); ++k) {
    PoolStage stage;
    stage.vapour_pressure = over(bounds[k]);
    for (std::size_t i = 0; i < parts; ++i) {
      stage.share.push_back(left(i, bounds[k]) - (k + 1 < bounds.size() ? left(i, bounds[k + 1]) : 0.0));
      stage.amount += stage.share.back();
    }
    for (double& share : stage.share) share /= stage.amount;
    stages.push_back(std::move(stage));
  }
  return stages;
}

double evaporation_rate(const Pool& pool, double partial_pressure) {
  return pool.transfer * pool.area * std::max(0.0, pool.vapour_pressure - partial_pressure) /
         (gas_constant * pool.temperature);
}

}  // namespace leanside
