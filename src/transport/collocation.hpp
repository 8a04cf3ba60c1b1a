// SPDX-License-Identifier: Apache-2.0
/// Steps the transport of gas where the flows follow the gas: Radau IIA collocation with five stages (order 9 at the
/// end of a step, 6 within it; stiffly accurate, L-stable). The flows of each stage are found from the fractions of the
/// last iteration until nothing changes. Source: Hairer and Wanner, Solving Ordinary Differential Equations II, 2nd
/// ed., section IV.5 (from memory; the coefficients are computed from the zeros of the Radau polynomial).
#pragma once

#include <array>
#include <functional>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "leanside/transport.hpp"
#include "transport/cells.hpp"
#include "transport/stepper.hpp"

namespace leanside::transport {

inline constexpr std::size_t stages = 5;

struct RadauCoefficients {
  std::array<double, stages> c{};
  std::array<std::array<double, stages>, stages> a{};
  /// Row j: Bernstein coefficient j, of degree dense_degree, of the polynomial through the start and the stages.
  std::array<std::array<double, stages + 1>, dense_degree + 1> bernstein{};
  /// Weights of the highest Legendre term of that polynomial: how far its expansion has come down.
  std::array<double, stages + 1> highest{};
};
const RadauCoefficients& radau();

/// The equations at one moment: flows, what is released, and what tight vessels gain.
struct Moment {
  Cells cells;
  std::vector<double> source;   ///< mol/s, column-major, cells x columns
  std::vector<double> storage;  ///< mol/s by cell
};

/// The moment `time` s after the start of the stretch for given fractions (column-major, cells x columns); `stage`
/// tells which of the recurring places in a step asks, so that pressures found there can be kept. Or what went wrong.
using MomentAt =
    std::function<std::variant<Moment, std::string>(std::size_t stage, double time, std::span<const double> x)>;

/// One accepted step: values at its start and stages.
struct CollocationStep {
  double begin = 0.0, end = 0.0;
  std::array<std::span<const double>, stages + 1> values;
};

/// Advances x (cells x columns) and the moles that the cells hold by `duration` s; adds to `gone` what left for
/// outside. Empty where it worked, else why not.
std::optional<std::string> advance_coupled(std::vector<double>& x, std::vector<double>& capacity, std::size_t columns,
                                           double duration, const MomentAt& moment_at, std::span<double> gone,
                                           const std::function<void(const CollocationStep&)>& observe,
                                           StepCount& count);

}  // namespace leanside::transport
