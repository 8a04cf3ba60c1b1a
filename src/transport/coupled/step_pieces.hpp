// SPDX-License-Identifier: Apache-2.0
/// Steps of the collocation as observers of a run get them.
#pragma once

#include <cstddef>
#include <span>
#include <vector>

#include "transport/coupled/moment.hpp"
#include "transport/coupled/room_model.hpp"
#include "transport/run/setup.hpp"
#include "transport/run/signals.hpp"
#include "transport/run/state.hpp"

namespace leanside::transport {

/// A piece of a step in a stretch from `from` s on, without space and coefficients.
DensePiece piece_of(const CollocationStep& step, double from);

/// The fractions of a cell during a step, as Bernstein coefficients of the columns asked for, one after the other. Each
/// column has `rows` rows.
std::vector<double> step_coefficients(const RunSetup& setup, const CollocationStep& step, std::size_t cell,
                                      std::size_t rows);

/// The moles that a cell holds during a step over `unit` mol, as Bernstein coefficients.
std::vector<double> held_coefficients(const CollocationStep& step, std::size_t cell, double unit);

/// Reports the fractions of every space, and the pressures of those that gain moles, during a step.
void report_fractions(const RunSetup& setup, const RoomModel& model, const CollocationStep& step, double from,
                      std::size_t rows, RunSignals& signals);
void report_pressures(const RunSetup& setup, const RoomModel& model, const CollocationStep& step, double from,
                      const RunState& state, const RunSignals& signals);

}  // namespace leanside::transport
