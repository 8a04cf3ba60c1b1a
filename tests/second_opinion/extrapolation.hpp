// SPDX-License-Identifier: Apache-2.0
/// Extrapolated linearly implicit Euler steps (Deuflhard; Hairer and Wanner, Solving Ordinary Differential Equations
/// II, section IV.9): they share nothing with the methods of the engine, are simple, and handle stiff sites.
#pragma once

#include <functional>
#include <map>
#include <vector>

#include "second_opinion/flows.hpp"

namespace second_opinion {

/// y' = f(t, y).
using Slope = std::function<Vector(Real t, const Vector& y)>;

/// How long the first step is: a 64th of the whole, or no longer than what decays fastest needs.
enum class FirstStep { part, fastest_rate };

/// A solution from `begin` to `end`, stored at its steps. Values in between are computed again from the preceding step.
class Extrapolation {
 public:
  struct Knot {
    Real time = 0;
    Vector y;
    Matrix jacobian;
  };
  /// `ends`, if given, becomes negative where the integration should stop early; it stops at the zero.
  Extrapolation(Slope f, Real begin, Real end, const Vector& start, Real tolerance, Real floor,
                std::function<Real(const Vector&)> ends = {}, FirstStep first = FirstStep::part);

  /// Values within long steps, in which much happens, take more points and shorter steps.
  void read_closely() { closely_ = true; }

  Vector at(Real time) const;
  Vector between(Real time) const;   ///< the same, faster for many calls
  std::vector<Real> halves() const;  ///< ends and middles of the steps
  const std::vector<Knot>& knots() const { return knots_; }
  Real end() const { return end_; }  ///< where it stopped, at most the requested end

 private:
  struct Step {
    Vector y;
    Real error = 0;  ///< over its tolerance
  };
  Step step(const Knot& from, Real length) const;
  Matrix jacobian(Real time, const Vector& y) const;

  Slope f_;
  Real tolerance_, floor_, end_;
  bool closely_ = false;
  std::vector<Knot> knots_;
  mutable std::map<Real, std::vector<Vector>> inner_;  ///< by start of a step: the solution between its ends
};

}  // namespace second_opinion
