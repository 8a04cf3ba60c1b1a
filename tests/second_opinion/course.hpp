// SPDX-License-Identifier: Apache-2.0
/// A case over time and at steady state.
#pragma once

#include <memory>
#include <string>
#include <vector>

#include "second_opinion/flows.hpp"
#include "second_opinion/model.hpp"

namespace second_opinion {

/// An interval in which a release emits, and its emission time before that interval.
struct Span {
  Real begin = 0, end = 0, age = 0;
};
std::vector<Span> spans(const Release& release, std::size_t index, const std::vector<Event>& events);

/// A stretch of time without events: fractions (space x gas) and amounts of gas. Sites with layers have
/// more rows, see layered_stretch.hpp.
class Stretch {
 public:
  virtual ~Stretch() = default;
  virtual Matrix at(Real time) const = 0;
  virtual Vector held(Real time) const = 0;
  /// Instants between which the fractions change smoothly, ascending, including both ends.
  virtual std::vector<Real> knots() const = 0;
  Real begin = 0, end = 0;
  Moment moment;
};

struct SteadyState {
  std::vector<bool> reached;    ///< the flows alone decide
  std::vector<bool> never_gas;  ///< connected spaces that neither contain nor receive gas: their fraction stays zero
  Matrix fraction;
  std::vector<bool> at_rest;  ///< by layered room: the interface returns to its position from either side
};

struct Knot {
  Real time = 0;
  Matrix x;
};

struct Run {
  std::vector<std::unique_ptr<Stretch>> stretches;
  std::vector<std::vector<Knot>> knots;  ///< by stretch
  std::vector<double> hottest, coldest;  ///< K, by space
  Streams first;                         ///< at time 0, after the events at 0
  Vector largest_leak;                   ///< by space, largest magnitude within the horizon
  std::vector<bool> overflows;           ///< by airway, at any time
  std::vector<Real> given;               ///< mol, by release
  std::vector<Real> spent;               ///< s, by release; infinite if not within the horizon
  SteadyState steady;
  bool varying = false;  ///< rates or flows vary within some stretch
  std::string fault;     ///< why it cannot be computed
  std::string beyond;    ///< why the second solver has no answer

  const Stretch& stretch_at(Real time) const;
};

/// Runs case `case_index`: 0 is `normal`, the others are the cases of the file in order.
Run run(const Site& site, std::size_t case_index);

}  // namespace second_opinion
