// SPDX-License-Identifier: Apache-2.0
/// Gas through a hole, and a vessel that empties itself through one.
#include <algorithm>
#include <array>
#include <cassert>
#include <cmath>
#include <numbers>

#include "leanside/advanced/sources.hpp"
#include "leanside/units.hpp"

namespace leanside {
namespace {

/// Nodes and weights of the Gauss-Legendre rule on [0, 1], from the zeros of P_n by Newton's method.
constexpr std::size_t gauss_points = 16;
struct GaussRule {
  std::array<double, gauss_points> at{}, weight{};
};

GaussRule gauss_rule() {
  GaussRule rule;
  constexpr auto n = static_cast<int>(gauss_points);
  for (int i = 0; i < n; ++i) {
    double x = std::cos(std::numbers::pi * (i + 0.75) / (n + 0.5));
    double slope = 1.0;
    for (int pass = 0; pass < 50; ++pass) {
      double p = 1.0, before = 0.0;
      for (int k = 1; k <= n; ++k) {
        const double next = ((2.0 * k - 1.0) * x * p - (k - 1.0) * before) / k;
        before = p;
        p = next;
      }
      slope = n * (x * p - before) / (x * x - 1.0);
      const double step = p / slope;
      x -= step;
      if (std::abs(step) < 1e-16) break;
    }
    rule.at[static_cast<std::size_t>(i)] = 0.5 * (1.0 - x);
    rule.weight[static_cast<std::size_t>(i)] = 1.0 / ((1.0 - x * x) * slope * slope);
  }
  return rule;
}

/// Mole flow of a choked hole over its upstream pressure, mol/(s Pa).
double choked_per_pressure(const HeldGas& gas, const Hole& hole) {
  const double k = gas.heat_capacity_ratio;
  return hole.discharge * hole.area() *
         std::sqrt(k / (gas.compressibility * gas.molar_mass * gas_constant * gas.temperature)) *
         std::pow(2.0 / (k + 1.0), (k + 1.0) / (2.0 * (k - 1.0)));
}

/// Subsonic mole flow over upstream pressure at upstream over downstream pressure 1 + u^2, mol/(s Pa).
double subsonic_per_pressure(const HeldGas& gas, const Hole& hole, double u) {
  const double k = gas.heat_capacity_ratio;
  const double log_ratio = std::log1p(u * u);
  return hole.discharge * hole.area() *
         std::sqrt(2.0 * k / ((k - 1.0) * gas.compressibility * gas.molar_mass * gas_constant * gas.temperature)) *
         std::exp(-log_ratio / k) * std::sqrt(-std::expm1(-log_ratio * (k - 1.0) / k));
}

}  // namespace

double Hole::area() const { return 0.25 * std::numbers::pi * diameter * diameter; }

double critical_pressure_ratio(double heat_capacity_ratio) {
  const double k = heat_capacity_ratio;
  return std::pow(0.5 * (k + 1.0), k / (k - 1.0));
}

double discharge_rate(const HeldGas& gas, const Hole& hole, double pressure, double ambient) {
  if (pressure <= ambient) return 0.0;
  if (pressure >= ambient * critical_pressure_ratio(gas.heat_capacity_ratio)) {
    return pressure * choked_per_pressure(gas, hole);
  }
  return pressure * subsonic_per_pressure(gas, hole, std::sqrt(pressure / ambient - 1.0));
}

double jet_momentum(const HeldGas& gas, const Hole& hole, double pressure, double ambient) {
  if (pressure <= ambient) return 0.0;
  const double k = gas.heat_capacity_ratio;
  const double critical = critical_pressure_ratio(k);
  if (pressure >= ambient * critical) {
    return hole.discharge * hole.area() * ((1.0 + k) * pressure / critical - ambient);
  }
  const double speed = std::sqrt(-2.0 * k / (k - 1.0) * gas.compressibility * gas_constant * gas.temperature /
                                 gas.molar_mass * std::expm1((k - 1.0) / k * std::log(ambient / pressure)));
  return discharge_rate(gas, hole, pressure, ambient) * gas.molar_mass * speed;
}

// In the subsonic stretch p = p_a (1 + u^2), and u falls to 0 at a nearly constant pace, although the flow falls like a
// square root: time as a function of u is smooth up to the end.
Blowdown::Blowdown(const HeldGas& gas, const Hole& hole, double volume, double pressure, double ambient)
    : gas_{gas}, hole_{hole}, volume_{volume}, pressure_{pressure}, ambient_{ambient} {
  assert(pressure > ambient && ambient > 0.0 && volume > 0.0 && gas.heat_capacity_ratio > 1.0);
  tau_ = volume / (choked_per_pressure(gas, hole) * gas_constant * gas.temperature);
  const double critical = ambient * critical_pressure_ratio(gas.heat_capacity_ratio);
  choked_ = pressure > critical ? tau_ * std::log(pressure / critical) : 0.0;
  start_u_ = std::sqrt(std::min(pressure, critical) / ambient - 1.0);
  subsonic_ = left_at(start_u_);
}

double Blowdown::stock() const { return (pressure_ - ambient_) * volume_ / (gas_constant * gas_.temperature); }

/// d(time left)/du of the subsonic stretch, s.
double Blowdown::left_slope(double u) const {
  const double scale = 2.0 * volume_ / (gas_constant * gas_.temperature) / (1.0 + u * u);
  if (u < 1e-8) {
    const double slope = hole_.discharge * hole_.area() *
                         std::sqrt(2.0 / (gas_.compressibility * gas_.molar_mass * gas_constant * gas_.temperature));
    return scale / slope;
  }
  return scale * u / subsonic_per_pressure(gas_, hole_, u);
}

/// Seconds from pressure p_a (1 + u^2) to the end.
double Blowdown::left_at(double u) const {
  static const GaussRule rule = gauss_rule();
  double sum = 0.0;
  for (std::size_t i = 0; i < gauss_points; ++i) sum += rule.weight[i] * left_slope(u * rule.at[i]);
  return u * sum;
}

double Blowdown::pressure_at(double age) const {
  if (age <= 0.0) return pressure_;
  if (age < choked_) return pressure_ * std::exp(-age / tau_);
  const double left = duration() - age;
  if (left <= 0.0) return ambient_;
  double u = start_u_ * left / subsonic_;
  for (int pass = 0; pass < 50; ++pass) {
    const double step = (left_at(u) - left) / left_slope(u);
    u = std::clamp(u - step, 0.0, start_u_);
    if (std::abs(step) <= 1e-15 * start_u_) break;
  }
  return ambient_ * (1.0 + u * u);
}

double Blowdown::rate_at(double age) const {
  return discharge_rate(gas_, hole_, age < 0.0 ? ambient_ : pressure_at(age), ambient_);
}

double Blowdown::amount_out(double age) const {
  if (age <= 0.0) return 0.0;
  if (age < choked_) return -std::expm1(-age / tau_) * pressure_ * volume_ / (gas_constant * gas_.temperature);
  return (pressure_ - pressure_at(age)) * volume_ / (gas_constant * gas_.temperature);
}

double mixed_heat_capacity_ratio(std::span<const double> share, std::span<const double> ratio) {
  assert(share.size() == ratio.size());
  double heat = 0.0;  // Cp over R
  for (std::size_t i = 0; i < share.size(); ++i) heat += share[i] * ratio[i] / (ratio[i] - 1.0);
  return heat / (heat - 1.0);
}

}  // namespace leanside
