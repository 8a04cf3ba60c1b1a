// SPDX-License-Identifier: Apache-2.0
/// A stretch of a site with layered rooms. Below the rows of all cells (layers.hpp) its fractions have a row
/// for each layered room: the height of the interface, m above the floor. Then one for each: the fractions at the far
/// end of its layer of gas.
#pragma once

#include <optional>

#include "second_opinion/course.hpp"
#include "second_opinion/extrapolation.hpp"
#include "second_opinion/layered_flows.hpp"

namespace second_opinion {

class LayeredStretch : public Stretch {
 public:
  LayeredStretch(const Site& site, const Moment& moment, std::vector<Emitting> emitting, const Vector& held,
                 const Matrix& x, Real begin, Real end);

  Matrix at(Real time) const override;
  Vector held(Real) const override { return held_; }
  std::vector<Real> knots() const override;
  const Streams& first_streams() const { return first_; }
  const std::string& fault() const { return flows_.fault(); }

 private:
  const Site& site_;
  LayeredFlows flows_;
  Vector held_;
  Streams first_;
  std::optional<Extrapolation> solution_;
};

/// Rows of a site with layers at the start: the initial gas of the spaces, or none if `filled` is false.
Matrix first_rows(const Site& site, bool filled);

/// The state that the site approaches when nothing changes any more.
SteadyState layered_steady_state(const Site& site, const Moment& moment, std::vector<Emitting> emitting,
                                 std::string& fault);

}  // namespace second_opinion
