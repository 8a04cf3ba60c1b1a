// SPDX-License-Identifier: Apache-2.0
/// Amounts and indices for the parts of the reference solver.
#pragma once

#include <cstddef>

#include <Eigen/Dense>

#include "leanside/site.hpp"

namespace reference {

inline constexpr double gas_constant_si = 8.31446261815324;

inline Eigen::Index ix(std::size_t i) { return static_cast<Eigen::Index>(i); }

inline std::size_t side_index(const leanside::Site& site, const leanside::Side& side) {
  return side ? side->value : site.spaces.size();
}

inline double side_temperature(const leanside::Site& site, const leanside::Side& side) {
  return side ? site.spaces[side->value].temperature : site.conditions.outside_temperature;
}

inline double molar(const leanside::Site& site, double volume_flow, double temperature) {
  return site.conditions.pressure * volume_flow / (gas_constant_si * temperature);
}

inline double moles_of(const leanside::Site& site, std::size_t i) {
  return molar(site, site.spaces[i].volume, site.spaces[i].temperature);
}

}  // namespace reference
