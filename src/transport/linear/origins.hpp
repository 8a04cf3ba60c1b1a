// SPDX-License-Identifier: Apache-2.0
/// Where the gas at a place and an instant comes from: the segments of a run, solved backwards in time.
#pragma once

#include <span>
#include <variant>
#include <vector>

#include "leanside/advanced/transport.hpp"
#include "transport/linear/segment.hpp"

namespace leanside::transport {

/// A space and an instant that is asked about, s.
struct Question {
  SpaceIndex space;
  double time = 0.0;
};

/// Fractions that the columns of cause_tracers(site) have in a space at an instant. Fractions may jump at a breakpoint:
/// `after` then holds what they are from there on. It is empty everywhere else.
struct Origins {
  std::vector<double> before;
  std::vector<double> after;
};

/// Solves the equations backwards in time, one column a question: exact shares of any number of releases for the price
/// of one. It is the adjoint of M dx/dt = A x + b for the question w'x(time). With s the time before `time`,
/// M dp/ds = A'p from M p = w on; then w'x(time) is p'M x at the start plus the integral of p'b.
Result<std::vector<Origins>> origins(const Site& site, std::span<const Segment> segments,
                                     std::span<const Question> questions);

}  // namespace leanside::transport
