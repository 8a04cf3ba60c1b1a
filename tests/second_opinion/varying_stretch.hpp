// SPDX-License-Identifier: Apache-2.0
/// A stretch in which (4) depends on time or on the gas: a system of ordinary differential equations.
#pragma once

#include <optional>

#include "second_opinion/course.hpp"
#include "second_opinion/extrapolation.hpp"
#include "second_opinion/liquids.hpp"

namespace second_opinion {

/// A release that emits throughout a stretch, and its emission time before it.
struct Emitting {
  std::size_t release = 0;
  Real age = 0;
  Real stock = 0;    ///< mol left, of the stage of a spill
  Stage stage = {};  ///< of a spill
};

class VaryingStretch : public Stretch {
 public:
  /// Ends early when a stage of a spill is over.
  VaryingStretch(const Site& site, const Moment& moment, std::vector<Emitting> emitting, const Vector& held,
                 const Matrix& x, Real begin, Real end);

  Matrix at(Real time) const override;
  Vector held(Real time) const override;
  std::vector<Real> knots() const override;
  /// Amounts evaporated from the spills until `time`, mol, by index in `emitting`.
  std::vector<Real> given(Real time) const;
  const Streams& first_streams() const { return first_; }
  const std::string& fault() const { return fault_; }

 private:
  struct Now {
    Streams streams;
    Matrix gas;
    std::vector<Real> rates;
  };
  Now now(Real time, const Vector& y) const;
  Real vapour_at(const Emitting& spill, const Vector& y) const;
  Real room_for_vapour(std::size_t spill, const Vector& y) const;
  Vector slope(Real time, const Vector& y) const;
  Matrix fractions(const Vector& y) const;
  Vector amounts(const Vector& y) const;
  Vector state(Real time) const;

  const Site& site_;
  std::vector<Emitting> emitting_;
  std::vector<Eigen::Index> stored_;   ///< spaces with a volume
  std::vector<Eigen::Index> vessels_;  ///< spaces whose amount of gas may grow
  std::vector<std::size_t> spills_;    ///< among emitting_
  Vector held_;
  Eigen::Index n_, gases_, fill_at_, stock_at_;
  Streams first_;
  mutable std::string fault_;
  mutable Vector pressure_;      ///< last solution: initial guess of the next
  mutable Matrix in_junctions_;  ///< initial guess of their composition
  std::optional<Extrapolation> solution_;
};

}  // namespace second_opinion
