// SPDX-License-Identifier: Apache-2.0
/// The course of a case on a grid of times, for the reader of a series.
#pragma once

#include <algorithm>
#include <map>
#include <vector>

#include "leanside/assess.hpp"

namespace leanside::hazard {

/// Fractions on a grid of times, filled from pieces that come space by space.
class SeriesGrid {
 public:
  SeriesGrid(const Site& site, std::size_t points) : columns_{site.gases.size()} {
    for (std::size_t k = 0; k < points; ++k) {
      times_.push_back(site.criteria.horizon * static_cast<double>(k) / static_cast<double>(points));
    }
    times_.push_back(site.criteria.horizon);  // rounded, it could lie behind the last piece
    fields_.assign(times_.size(), FractionField(site.spaces.size(), columns_));
    for (std::size_t i = 0; i < site.spaces.size(); ++i) {
      for (const GasShare& share : site.spaces[i].initial) fields_[0](SpaceIndex{i}, share.gas.value) = share.fraction;
    }
  }

  void see(const DensePiece& piece) {
    // Begins and ends are rounded: no instant may fall between two pieces, or behind the last.
    const double slack = 1e-12 * times_.back();
    auto k =
        static_cast<std::size_t>(std::lower_bound(times_.begin(), times_.end(), piece.begin - slack) - times_.begin());
    for (; k < times_.size() && times_[k] <= piece.end + slack; ++k) {
      const double s = piece.position_at(times_[k]);
      for (std::size_t c = 0; c < columns_; ++c) {
        const auto coefficients = piece.coefficients.subspan(c * (dense_degree + 1), dense_degree + 1);
        fields_[k](piece.space, c) = std::max(0.0, bernstein_value(coefficients, s));
      }
    }
  }

  const std::vector<double>& times() const { return times_; }

  void set_layers(const std::map<SpaceIndex, std::vector<LayerState>>& layers) { layers_ = layers; }

  /// Takes the course of one space from another run of the same case.
  void take(SpaceIndex space, const SeriesGrid& other) {
    for (std::size_t k = 0; k < times_.size(); ++k) {
      for (std::size_t c = 0; c < columns_; ++c) fields_[k](space, c) = other.fields_[k](space, c);
    }
    layers_.erase(space);
    const auto layered = other.layers_.find(space);
    if (layered != other.layers_.end()) layers_.insert(*layered);
  }

  void give(CaseIndex case_index, const AssessOptions& options) const {
    for (std::size_t k = 0; k < times_.size(); ++k) {
      options.series(case_index, times_[k], fields_[k]);
      if (!options.layer_series) continue;
      for (const auto& [space, states] : layers_) {
        if (k < states.size()) options.layer_series(case_index, times_[k], states[k]);
      }
    }
  }

 private:
  std::size_t columns_;
  std::vector<double> times_;
  std::vector<FractionField> fields_;
  std::map<SpaceIndex, std::vector<LayerState>> layers_;
};

}  // namespace leanside::hazard
