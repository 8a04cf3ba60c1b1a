// SPDX-License-Identifier: Apache-2.0
/// Steps the transport of gas where flows or releases follow the gas or the time: Radau IIA collocation with five
/// stages (order 9 at the end of a step, 6 within it; stiffly accurate, L-stable). The flows of each stage are found
/// from the fractions of the last iteration until nothing changes. Source: Hairer and Wanner, Solving Ordinary
/// Differential Equations II, 2nd ed., section IV.5 (from memory; the coefficients are computed from the zeros of the
/// Radau polynomial).
#pragma once

#include <array>
#include <functional>
#include <optional>
#include <span>
#include <string>
#include <utility>
#include <variant>
#include <vector>

#include "leanside/advanced/transport.hpp"
#include "transport/cells/cells.hpp"
#include "transport/linear/linear_system.hpp"

namespace leanside::transport {

inline constexpr std::size_t stages = 5;

struct RadauCoefficients {
  std::array<double, stages> c{};
  std::array<std::array<double, stages>, stages> a{};
  /// Row j: Bernstein coefficient j, of degree dense_degree, of the polynomial through the start and the stages.
  std::array<std::array<double, stages + 1>, dense_degree + 1> bernstein{};
  /// Inverse of a: from increments since the start of a step to the rates, times the step, that make them.
  std::array<std::array<double, stages>, stages> inverse{};
  /// Weights of the highest Legendre term of that polynomial: how far its expansion has come down.
  std::array<double, stages + 1> highest{};
};
const RadauCoefficients& radau();

/// A source that falls with the fraction of its own gas, as a spill does: full - slope x mol/s into `cell`, x being the
/// fraction of `column` there. It counts `share` for each further column.
struct Draw {
  std::size_t cell = 0;
  std::size_t column = 0;
  double full = 0.0;   ///< mol/s
  double slope = 0.0;  ///< mol/s
  std::vector<std::pair<std::size_t, double>> shares;
};

/// Two cells of which one grows at the cost of the other, as the layers of a room do.
struct MovingPair {
  std::size_t grows = 0, shrinks = 0;  ///< cells
  double slope = 0.0;                  ///< 1/s, of what `grows` gains with what it holds
};

/// The equations at one moment: flows, what is released, and what tight vessels gain.
struct Moment {
  Cells cells;
  std::vector<double> source;           ///< mol/s, column-major, cells x columns; without the draws
  std::vector<double> storage;          ///< mol/s by cell
  std::vector<Draw> draws;              ///< as many and in the same order at every moment of a stretch
  std::vector<MovingPair> moving = {};  ///< likewise; what they hold is then followed as closely as fractions
};

/// A place in a step that is asked about: `stage` tells which of the recurring ones, so that pressures found there can
/// be kept; stage number `stages` is the start of the stretch.
struct StagePoint {
  std::size_t stage = 0;
  double begin = 0.0;            ///< s, of the step after the start of the stretch
  double step = 0.0;             ///< s
  std::span<const double> x;     ///< cells x columns, column-major
  std::span<const double> held;  ///< mol by cell
};

/// The moment there, or what went wrong.
using MomentAt = std::function<std::variant<Moment, std::string>(const StagePoint& point)>;

/// One accepted step: values at its start and stages.
struct CollocationStep {
  double begin = 0.0, end = 0.0;
  std::array<std::span<const double>, stages + 1> values;
  std::array<std::span<const double>, stages + 1> held;  ///< mol by cell
  bool jump = false;  ///< what passes through a cell without capacity changes at once, somewhere in this step
};

/// A stretch of time with its equations.
struct CoupledStretch {
  std::size_t columns = 0;
  double duration = 0.0;  ///< s
  const MomentAt& moment_at;
  bool fixed = false;  ///< moments depend on time alone: nothing to iterate
  double relative_tolerance = 1e-7;
  /// Longest step, s, from `begin` s after the start of the stretch on; empty: any.
  std::function<double(double begin)> longest_step;
  std::function<void(const CollocationStep&)> observe;
};

/// Advances x (cells x columns), the moles that the cells hold and the stock (mol) of each draw through the stretch, up
/// to its end or to the instant at which a stock is spent (it is 0 then); adds to `gone` what left for outside. Gives
/// the seconds that it got to, or why it could not.
std::variant<double, std::string> advance_coupled(const CoupledStretch& stretch, std::vector<double>& x,
                                                  std::vector<double>& capacity, std::vector<double>& stock,
                                                  std::span<double> gone, StepCount& count);

}  // namespace leanside::transport
