// SPDX-License-Identifier: Apache-2.0
/// The stretches of a run in which the equations have constant coefficients, kept so that they can be run backwards.
#pragma once

#include <optional>
#include <span>
#include <variant>
#include <vector>

#include "transport/cells/cells.hpp"
#include "transport/linear/linear_system.hpp"

namespace leanside::transport {

struct Segment {
  double from = 0.0;                 ///< s
  double to = 0.0;                   ///< s; = from where a vessel lets its surplus out at once
  double duration = 0.0;             ///< that the equations run for: to - from, or 1 for such a burst
  Cells cells;                       ///< capacity: the moles held at `from`, at the pressure that reigns then
  std::vector<double> growth;        ///< 1/s by cell: d ln N/dt at `from` of a tight space that fills, 0 elsewhere
  std::vector<double> release_rate;  ///< mol/s by release; empty in a burst
  bool is_burst() const { return release_rate.empty(); }
};

/// Equations of the cells `members` in a segment, which no stream leaves for other cells. A group of tight spaces that
/// fills has constant coefficients on the clock tau = ln(1 + g t)/g only, t being the time since `from`.
struct PartEquations {
  linalg::SparseMatrix a;
  std::vector<double> capacity;
  double growth = 0.0;  ///< g, 1/s
  /// `seconds` after `from`, on the clock of the part.
  double clock(double seconds) const;
  /// Inverse of it.
  double seconds(double clock) const;
};
/// `row_of` is a scratch of one -1 for each cell, and is left so.
PartEquations equations_of(const Segment& segment, std::span<const int> members, std::vector<int>& row_of);

/// The segments of a case up to `horizon`. Empty where the coefficients of some stretch are not constant.
std::variant<std::optional<std::vector<Segment>>, SolveFault> segments_of(const Site& site, CaseIndex which,
                                                                          double horizon);

/// A space and an instant that is asked about, s.
struct Question {
  SpaceIndex space;
  double time = 0.0;
};

/// Fractions that the columns of cause_tracers(site) have in a space at an instant. At a cut of the time line fractions
/// may jump: `after` is then what holds from there on, and empty otherwise.
struct Origins {
  std::vector<double> before;
  std::vector<double> after;
};

/// Answers by solving the equations backwards in time, one column a question: exact shares of any number of releases
/// for the price of one. Adjoint of M dx/dt = A x + b and the question w'x(time): with s the time before `time`,
/// M dp/ds = A'p from M p = w on; then w'x(time) is p'M x at the start and the integral of p'b.
std::variant<std::vector<Origins>, SolveFault> origins(const Site& site, std::span<const Segment> segments,
                                                       std::span<const Question> questions);

}  // namespace leanside::transport
