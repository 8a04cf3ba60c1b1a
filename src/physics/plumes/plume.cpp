// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
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

namespace {

/// How far, as a share of the height of the room, gas reaches into the ambient layer at least. It is there that what
/// spreads along the ceiling mixes with the air below; no source.
constexpr double least_reach = 0.05;

}  // namespace

// Lengths over the height of the room: the layer of gas has the depth h and on the average s h/3 more than the edge, s
// being the slope; the edge has s r/2 more than nothing if the gas reaches the depth r of the ambient layer, and that
// layer then holds s r^2/6.
double interface_slope(double share, double gas, double ambient) {
  const double below = std::max(ambient, 0.0);
  const double even = 3.0 * (gas - below);
  if (!(even > 0.0)) return 0.0;
  const double deep = 1.0 - share;
  if (6.0 * below >= even * deep) return even;
  const double held = 1.5 * below * deep;
  const double root = 2.0 * gas / (std::sqrt(held) + std::sqrt(held + 4.0 / 3.0 * gas * share));
  const double reach = 2.0 * std::sqrt(held) / root;
  const double least = std::min(least_reach, deep);
  return reach >= least ? root * root : gas / (share / 3.0 + 0.5 * least);
}

double layer_exchange(double diffusivity, double floor_area, double height, double share, double gas, double ambient) {
  const double slope = interface_slope(share, gas, ambient), apart = gas - std::max(ambient, 0.0);
  return diffusivity * floor_area / height * (slope > 0.0 ? slope / apart : 3.0);
}

double diffusivity_at(double at_25_degc, double temperature, double pressure) {
  return at_25_degc * std::pow(temperature / (zero_celsius + 25.0), 1.75) * standard_atmosphere / pressure;
}

double undiluted(double released, double drawn_in) { return released > 0.0 ? released / (released + drawn_in) : 0.0; }

namespace {

/// By how much the far end is richer than the layer by diffusion, over the mean of the layer. The last factor keeps a
/// rich layer from being more than full.
double bend(double share, double gas, double ambient) {
  if (!(gas > 0.0) || !(ambient < gas)) return 0.0;
  return interface_slope(share, gas, ambient) * share / 6.0 / gas * std::max(0.0, 1.0 - gas);
}

}  // namespace

FarEnd far_end(double share, double gas, double ambient, double brought) {
  return {1.0 + bend(share, gas, std::max(ambient, 0.0)) - 0.5 * brought, 0.5 * brought};
}

double far_end_bend(double share, double gas, double ambient, double fraction) {
  return bend(share, gas, std::max(ambient, 0.0)) * fraction;
}

// With the slope s at the interface, the layer of gas has s h (1/6 - (1 - u)^2/2) more than its mean at the share u of
// its depth h, and the ambient layer s h (u^2/2 - 1/6); where that would be negative at its far end, the gas has not
// got there yet: the parabola then ends at 0 where the amount asks for it.
double fraction_at(double gas, double ambient, double far, double bend, double share, double at) {
  const double edge = 1.0 - share;  // all lengths over the height of the room
  if (at > edge) {
    const double u = (at - edge) / share;
    return gas + bend * (1.0 - 3.0 * (1.0 - u) * (1.0 - u)) + (far - gas - bend) * (2.0 * u - 1.0);
  }
  const double slope = interface_slope(share, gas, ambient);
  if (!(slope > 0.0) || !(edge > 0.0)) return ambient;
  const double least = ambient - slope * edge / 6.0;
  if (least >= 0.0) return least + slope * at * at / (2.0 * edge);
  const double reach = std::sqrt(std::max(0.0, 6.0 * ambient * edge / slope));
  const double in = at - (edge - reach);
  return in > 0.0 ? slope * in * in / (2.0 * reach) : 0.0;
}

double volume_richardson(double weight_flow, double jet_power, double volume) {
  if (!(jet_power > 0.0)) return std::numeric_limits<double>::infinity();
  return standard_gravity * weight_flow * std::cbrt(volume) / jet_power;
}

}  // namespace leanside
