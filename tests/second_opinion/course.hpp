// SPDX-License-Identifier: Apache-2.0
/// A case in time and in the long run.
#pragma once

#include <memory>
#include <string>
#include <vector>

#include "second_opinion/flows.hpp"
#include "second_opinion/model.hpp"

namespace second_opinion {

/// A stretch in which a release gives gas, and for how long it had given before.
struct Span {
  Real begin = 0, end = 0, age = 0;
};
std::vector<Span> spans(const Release& release, std::size_t index, const std::vector<Event>& events);

/// A stretch of time in which nothing is switched: fractions (space x gas) and what is held. Sites with layers have
/// more rows, see layered_stretch.hpp.
class Stretch {
 public:
  virtual ~Stretch() = default;
  virtual Matrix at(Real time) const = 0;
  virtual Vector held(Real time) const = 0;
  /// Instants between which the fractions do little, ascending, both ends included.
  virtual std::vector<Real> knots() const = 0;
  Real begin = 0, end = 0;
  Moment moment;
};

struct LongRun {
  std::vector<bool> reached;    ///< by the streams alone
  std::vector<bool> never_gas;  ///< spaces that hang together and neither hold nor get any gas: nothing for ever
  Matrix fraction;
  std::vector<bool> at_rest;  ///< by layered room: its edge comes back to where it is, from either side
};

struct Knot {
  Real time = 0;
  Matrix x;
};

struct Run {
  std::vector<std::unique_ptr<Stretch>> stretches;
  std::vector<std::vector<Knot>> knots;  ///< by stretch
  std::vector<double> hottest;           ///< K, by space
  Streams first;                         ///< at time 0, after the events at 0
  Vector largest_leak;                   ///< by space, of the largest size within the horizon
  std::vector<bool> overflows;           ///< by airway, at any time
  std::vector<Real> given;               ///< mol, by release
  std::vector<Real> spent;               ///< s, by release; infinite: not within the horizon
  LongRun long_run;
  bool varying = false;  ///< in some stretch rates or flows change by themselves
  std::string fault;     ///< why it cannot be computed
  std::string beyond;    ///< why the second opinion has none

  const Stretch& stretch_at(Real time) const;
};

/// Case `which`: 0 is `normal`, the others are those of the file.
Run run(const Site& site, std::size_t which);

}  // namespace second_opinion
