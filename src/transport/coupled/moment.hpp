// SPDX-License-Identifier: Apache-2.0
/// The equations at one instant of a stretch in which they change all the time.
#pragma once

#include <array>
#include <cstddef>
#include <functional>
#include <span>
#include <string>
#include <utility>
#include <variant>
#include <vector>

#include "transport/cells/cells.hpp"
#include "transport/coupled/radau.hpp"

namespace leanside::transport {

/// A source that falls with the fraction of its own gas, as a spill does: full - slope x mol/s into `cell`, x being the
/// fraction of `column` there, which gets the share `own` of it. Each further column gets its `share` of that.
struct Draw {
  std::size_t cell = 0;
  std::size_t column = 0;
  double full = 0.0;   ///< mol/s
  double slope = 0.0;  ///< mol/s
  double own = 1.0;
  std::vector<std::pair<std::size_t, double>> shares;
};

/// Two cells, one of which grows as the other shrinks: the layers of a room.
struct MovingPair {
  std::size_t grows = 0, shrinks = 0;  ///< cells
  double slope = 0.0;                  ///< 1/s: by how much the gain of `grows` changes with what it holds; if asked
};

/// Flows, what is released, and what sealed vessels and layers gain.
struct Moment {
  Cells cells;
  std::vector<double> source;           ///< mol/s, column-major, cells x columns; without the draws
  std::vector<double> storage;          ///< mol/s by cell
  std::vector<Draw> draws;              ///< as many and in the same order at every moment of a stretch
  std::vector<MovingPair> moving = {};  ///< likewise; their moles are followed as closely as fractions
};

/// A point of a step. `stage` says which of the stages it is, so that pressures found there can be kept as a first
/// guess; `stages` is the start of the stretch.
struct StagePoint {
  std::size_t stage = 0;
  double begin = 0.0;            ///< s from the start of the stretch to that of the step
  double step = 0.0;             ///< length of the step, s
  std::span<const double> x;     ///< cells x columns, column-major
  std::span<const double> held;  ///< mol by cell
  bool slopes = true;            ///< whether the slopes of moving pairs are asked for
};

/// The equations at a point, or what went wrong.
using MomentAt = std::function<std::variant<Moment, std::string>(const StagePoint& point)>;

/// One accepted step: values at its start and its stages.
struct CollocationStep {
  double begin = 0.0, end = 0.0;  ///< s from the start of the stretch
  std::array<std::span<const double>, stages + 1> values;
  std::array<std::span<const double>, stages + 1> held;  ///< mol by cell
  bool jump = false;  ///< the fractions of a cell that holds nothing jump somewhere in this step
};

}  // namespace leanside::transport
