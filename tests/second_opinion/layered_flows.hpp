// SPDX-License-Identifier: Apache-2.0
/// A site with layered rooms at one moment of its state: how fractions and shares of layers change.
#pragma once

#include <vector>

#include "second_opinion/layers.hpp"
#include "second_opinion/varying_stretch.hpp"

namespace second_opinion {

/// Its state is the fraction of every gas in every cell that holds any, then the share of its room that each layer of
/// gas has.
class LayeredFlows {
 public:
  LayeredFlows(const Site& site, const Moment& moment, std::vector<Emitting> emitting, Real begin);

  Vector slope(Real time, const Vector& y) const;
  Vector state_of(const Matrix& x, const Vector& share) const;
  /// By cell, junctions put in.
  Matrix fractions(Real time, const Vector& y) const;
  /// Fractions at the far end of every layer of gas, layered room x gas.
  Matrix far_ends(Real time, const Vector& y) const;
  Vector shares(const Vector& y) const { return y.tail(static_cast<Eigen::Index>(layers_.rooms.size())); }
  /// Pass zero where edges come to something: the slope has a kink there.
  Vector to_kinks(const Vector& y) const;
  /// Between spaces, as seen from outside of the rooms.
  Streams streams(Real time, const Vector& y) const;
  /// Cells from which streams lead to outside.
  std::vector<bool> leads_out(Real time, const Vector& y) const;
  /// Of the state that was looked at last.
  const std::string& fault() const { return fault_; }
  Eigen::Index cells() const { return cells_; }

 private:
  struct Now {
    Streams rooms, cells;
    Matrix gas;
    Vector held, moved;  ///< mol by cell; mol/s that each layer of gas gains
  };
  Now now(Real time, const Vector& y) const;
  std::vector<Real> rates(Real time) const;
  Matrix stored(const Vector& y) const;
  void stream_through_airways(Now& now, const Layers& layers, const Vector& density) const;
  void stream_between_layers(Now& now, const Layers& layers, const Vector& density, const Vector& y,
                             const std::vector<Real>& rate) const;

  const Site& site_;
  Site cell_site_;  ///< whose spaces are the cells
  Moment moment_;   ///< with the temperature of every cell
  Layers layers_;
  std::vector<Emitting> emitting_;
  std::vector<Eigen::Index> stored_;  ///< cells that hold gas
  Eigen::Index n_, cells_, gases_;
  Real begin_;
  mutable std::string fault_;
  mutable Vector pressure_;
};

}  // namespace second_opinion
