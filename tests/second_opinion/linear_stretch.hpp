// SPDX-License-Identifier: Apache-2.0
/// A stretch in which (4) has constant coefficients: exponentials of dense matrices by repeated doubling.
#pragma once

#include <optional>
#include <vector>

#include "second_opinion/course.hpp"

namespace second_opinion {

/// dx/dt = a x + b from `x`, on a clock that runs as ln(1 + growth t)/growth.
class Block {
 public:
  Block(std::vector<Eigen::Index> spaces, const Matrix& a, const Matrix& b, const Matrix& x, Real length, Real growth);
  void put(Real since, Matrix& x) const;
  /// The shortest time scale, on the clock of the block.
  Real shortest() const { return shortest_; }

 private:
  Real clock(Real since) const { return growth_ > 0 ? std::log1p(growth_ * since) / growth_ : since; }

  std::vector<Eigen::Index> spaces_;
  Matrix a_, b_, x_;
  std::vector<Matrix> passed_, gained_;  ///< over shortest * 2^k: x -> passed x + gained
  Real length_, growth_, shortest_;
};

class LinearStretch : public Stretch {
 public:
  /// Null if connected spaces gain gas at different relative rates.
  static std::unique_ptr<LinearStretch> make(const Site& site, const Streams& streams, const Matrix& gas,
                                             const Vector& held, const Matrix& x, Real begin, Real end);
  Matrix at(Real time) const override;
  Vector held(Real time) const override { return held_ + gain_ * (time - begin); }
  std::vector<Real> knots() const override;

 private:
  std::vector<Block> blocks_;
  Matrix out_, out_gas_;
  Vector held_, gain_;
  std::vector<Eigen::Index> junctions_;
  Matrix x_;
};

}  // namespace second_opinion
