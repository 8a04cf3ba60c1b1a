// SPDX-License-Identifier: Apache-2.0
#include "transport/coupled/step_pieces.hpp"

#include <algorithm>

namespace leanside::transport {
namespace {

/// A polynomial through a jump overshoots. Its coefficients, which enclose it, are kept within its values.
void keep_within(const CollocationStep& step, std::size_t at, std::span<double> coefficients) {
  double least = step.values[0][at], most = least;
  for (const auto& values : step.values) {
    least = std::min(least, values[at]);
    most = std::max(most, values[at]);
  }
  for (double& value : coefficients) value = std::clamp(value, least, most);
}

}  // namespace

DensePiece piece_of(const CollocationStep& step, double from) {
  DensePiece piece;
  piece.begin = from + step.begin;
  piece.end = from + step.end;
  piece.segment_begin = from;
  return piece;
}

std::vector<double> step_coefficients(const RunSetup& setup, const CollocationStep& step, std::size_t cell,
                                      std::size_t rows) {
  constexpr std::size_t length = dense_degree + 1;
  const auto& weights = radau().bernstein;
  const bool jump = step.jump && setup.site.spaces[cell].kind == SpaceKind::junction;
  std::vector<double> coefficients(setup.columns.asked * length, 0.0);
  for (std::size_t c = 0; c < setup.columns.asked; ++c) {
    const std::size_t at = (setup.columns.first + c) * rows + cell;
    const auto column = std::span{coefficients}.subspan(c * length, length);
    for (std::size_t j = 0; j < length; ++j) {
      for (std::size_t s = 0; s <= stages; ++s) column[j] += weights[j][s] * step.values[s][at];
    }
    if (jump) keep_within(step, at, column);
  }
  return coefficients;
}

std::vector<double> held_coefficients(const CollocationStep& step, std::size_t cell, double unit) {
  std::vector<double> coefficients(dense_degree + 1, 0.0);
  for (std::size_t j = 0; j <= dense_degree; ++j) {
    for (std::size_t s = 0; s <= stages; ++s) coefficients[j] += radau().bernstein[j][s] * step.held[s][cell] / unit;
  }
  return coefficients;
}

void report_fractions(const RunSetup& setup, const RoomModel& model, const CollocationStep& step, double from,
                      std::size_t rows, RunSignals& signals) {
  if (!signals.pieces.has_observers()) return;
  DensePiece piece = piece_of(step, from);
  for (std::size_t i = 0; i < model.cell_of.size(); ++i) {
    auto coefficients = model.reported ? model.reported(step, i) : std::vector<double>{};
    if (coefficients.empty()) coefficients = step_coefficients(setup, step, model.cell_of[i], rows);
    piece.space = SpaceIndex{i};
    piece.coefficients = coefficients;
    signals.pieces.notify(piece);
  }
}

void report_pressures(const RunSetup& setup, const RoomModel& model, const CollocationStep& step, double from,
                      const RunState& state, const RunSignals& signals) {
  for (std::size_t i = 0; i < model.expands.size(); ++i) {
    if (!(step.held[stages][i] > step.held[0][i]) || model.expands[i]) continue;
    const auto factor = held_coefficients(step, i, ambient_moles(setup.site, state, i));
    signals.pressures.notify({SpaceIndex{i}, from + step.begin, from + step.end, factor});
  }
}

}  // namespace leanside::transport
