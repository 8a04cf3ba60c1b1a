// SPDX-License-Identifier: Apache-2.0
/// What a run carries from one stretch to the next.
#pragma once

#include <cstddef>
#include <span>
#include <vector>

#include "leanside/advanced/transport.hpp"
#include "leanside/site.hpp"

namespace leanside::transport {

/// Plain data. A stepper takes it from the start of a stretch to the end.
struct RunState {
  FractionField x;                  ///< mol/mol, spaces x columns
  std::vector<double> volume;       ///< m3 by space; a layer changes its volume
  std::vector<double> temperature;  ///< K by space
  std::vector<double> pressure;     ///< moles held over moles held at ambient pressure, by space
  std::vector<double> stock;        ///< mol left of a spill, by release; 0 for other kinds
  std::vector<double> gone;         ///< mol that has left for outside, by column
};

/// The state at time 0.
RunState initial_state(const Site& site, CaseIndex case_index, std::span<const Tracer> tracers);

/// Moles that a space holds at ambient pressure.
double ambient_moles(const Site& site, const RunState& state, std::size_t space);

/// Fractions column by column, `rows` a column; rows beyond the spaces are 0.
std::vector<double> column_major(const FractionField& x, std::size_t rows);

/// The inverse: copies the first rows of each column into the field.
void take_columns(std::span<const double> columns, std::size_t rows, FractionField& x);

}  // namespace leanside::transport
