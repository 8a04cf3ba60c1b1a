// SPDX-License-Identifier: Apache-2.0
/// Steps the transport of gas where flows or releases follow the gas or the time: Radau IIA collocation. The flows of
/// each stage are computed from the fractions of the last iteration until nothing changes.
#pragma once

#include <cstddef>
#include <functional>
#include <span>
#include <string>
#include <variant>
#include <vector>

#include "transport/coupled/moment.hpp"
#include "transport/linear/linear_system.hpp"

namespace leanside::transport {

/// A stretch of time with its equations.
struct CoupledStretch {
  std::size_t columns = 0;
  double duration = 0.0;  ///< s
  const MomentAt& moment_at;
  bool fixed = false;  ///< the moments depend on time alone: nothing to iterate
  double relative_tolerance = 1e-7;
  /// Longest step, s, from `begin` s after the start of the stretch on; empty: no limit.
  std::function<double(double begin)> longest_step = {};
  std::function<void(const CollocationStep&)> observe = {};
};

/// Advances x (cells x columns), the moles that the cells hold and the stock (mol) of each draw through the stretch, up
/// to its end or to the instant at which a stock is used up (it is then 0). Adds to `gone` what left for outside. Gives
/// the seconds advanced, or why that failed.
std::variant<double, std::string> advance_coupled(const CoupledStretch& stretch, std::vector<double>& x,
                                                  std::vector<double>& capacity, std::vector<double>& stock,
                                                  std::span<double> gone, StepCount& count);

}  // namespace leanside::transport
