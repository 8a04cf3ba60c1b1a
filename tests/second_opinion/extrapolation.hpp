// SPDX-License-Identifier: Apache-2.0
/// Extrapolated linearly implicit Euler steps (Deuflhard; Hairer and Wanner, Solving Ordinary Differential Equations
/// II, section IV.9): nothing in common with the methods of the engine, simple, and safe for stiff sites.
#pragma once

#include <functional>
#include <map>
#include <vector>

#include "second_opinion/flows.hpp"

namespace second_opinion {

/// y' = f(t, y).
using Slope = std::function<Vector(Real t, const Vector& y)>;

/// A solution from `begin` to `end`, kept by its steps; between them it is computed again from the step before.
class Extrapolation {
 public:
  struct Knot {
    Real time = 0;
    Vector y;
    Matrix jacobian;
  };
  /// `ends`, where given, is negative where the integration is to stop early; it stops where that passes zero.
  Extrapolation(Slope f, Real begin, Real end, const Vector& start, Real tolerance, Real floor,
                std::function<Real(const Vector&)> ends = {});

  Vector at(Real time) const;
  Vector between(Real time) const;   ///< the same, quicker where it is asked for often
  std::vector<Real> halves() const;  ///< ends and middles of the steps
  const std::vector<Knot>& knots() const { return knots_; }
  Real end() const { return end_; }  ///< where it was stopped, at the latest the end asked for

 private:
  struct Step {
    Vector y;
    Real error = 0;  ///< over what is allowed
  };
  Step step(const Knot& from, Real length) const;
  Matrix jacobian(Real time, const Vector& y) const;

  Slope f_;
  Real tolerance_, floor_, end_;
  std::vector<Knot> knots_;
  mutable std::map<Real, std::vector<Vector>> inner_;  ///< by the begin of a step: the solution between its ends
};

}  // namespace second_opinion
