// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include <fmt/format.h>

#include "leanside/advanced/release.hpp"
#include "transport/transient/run.hpp"

namespace leanside::transport {

void Run::report_step(const CollocationStep& step, double from, std::size_t count) {
  std::vector<double> coefficients(reported_ * (dense_degree + 1));
  DensePiece piece;
  piece.begin = from + step.begin;
  piece.end = from + step.end;
  piece.segment_begin = from;
  piece.coefficients = coefficients;
  const std::size_t shown = layers_ != nullptr ? n_ - layers_->rooms() : n_;
  for (std::size_t i = 0; i < shown && observe_; ++i) {
    piece.space = SpaceIndex{i};
    seen_[i] = true;
    fill_coefficients(step, layers_ != nullptr ? layers_->cell_of(piece.space) : i, count, coefficients);
    observe_(piece);
  }
  if (observe_layers_ && layers_ != nullptr) report_layers(step, piece, count);
}

void Run::fill_coefficients(const CollocationStep& step, std::size_t cell, std::size_t count,
                            std::vector<double>& coefficients) const {
  const auto& weights = radau().bernstein;
  for (std::size_t c = 0; c < reported_; ++c) {
    for (std::size_t j = 0; j <= dense_degree; ++j) {
      double value = 0.0;
      for (std::size_t s = 0; s <= stages; ++s) value += weights[j][s] * step.values[s][(first_ + c) * count + cell];
      coefficients[c * (dense_degree + 1) + j] = value;
    }
    if (step.jump && site_.spaces[cell].kind == SpaceKind::junction) {
      keep_within(step, (first_ + c) * count + cell, coefficients, c);
    }
  }
}

void Run::report_layers(const CollocationStep& step, const DensePiece& like, std::size_t count) {
  std::vector<double> ambient(reported_ * (dense_degree + 1)), gas(ambient), height(dense_degree + 1);
  for (std::size_t k = 0; k < layers_->rooms(); ++k) {
    const std::size_t cell = layers_->gas_cell(k);
    fill_coefficients(step, layers_->ambient_cell(k), count, ambient);
    fill_coefficients(step, cell, count, gas);
    for (std::size_t j = 0; j <= dense_degree; ++j) {
      double moles = 0.0;
      for (std::size_t s = 0; s <= stages; ++s) moles += radau().bernstein[j][s] * step.held[s][cell];
      height[j] = layers_->interface_height(k, moles, temperature_[cell]);
    }
    LayerPiece piece{like, like, layers_->gas_above(k), height};
    piece.lower.space = piece.upper.space = SpaceIndex{layers_->ambient_cell(k)};
    piece.lower.coefficients = layers_->gas_above(k) ? ambient : gas;
    piece.upper.coefficients = layers_->gas_above(k) ? gas : ambient;
    observe_layers_(piece);
  }
}

void Run::keep_within(const CollocationStep& step, std::size_t at, std::vector<double>& coefficients,
                      std::size_t column) {
  double least = step.values[0][at], most = least;
  for (const auto& values : step.values) {
    least = std::min(least, values[at]);
    most = std::max(most, values[at]);
  }
  for (std::size_t j = 0; j <= dense_degree; ++j) {
    double& value = coefficients[column * (dense_degree + 1) + j];
    value = std::clamp(value, least, most);
  }
}

void Run::remember(const FlowField& field) {
  for (const AssumedLeak& leak : field.leaks) {
    AssumedLeak& largest = leak_of_[leak.space.value];
    if (std::abs(leak.rate) > std::abs(largest.rate)) largest = leak;
  }
  for (const StarvedFan& fan : layers_ != nullptr ? layers_->collapsed(field.starved) : field.starved) {
    keep_worst(starved_[fan.fan.value], fan);
  }
  for (const AirwayIndex airway : field.leaking) leaking_[airway.value] = true;
  for (const AirwayIndex airway : field.overflowing) overflows_[airway.value] = true;
  for (const AirwayIndex airway : field.off_curve) off_curve_[airway.value] = true;
  for (const SpaceIndex space : field.adrift) adrift_[space.value] = true;
}

}  // namespace leanside::transport
