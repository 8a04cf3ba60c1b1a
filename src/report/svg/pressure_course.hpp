// SPDX-License-Identifier: Apache-2.0
/// The pressure of a sealed vessel over time, for its plot.
#pragma once

#include <vector>

#include "leanside/assess.hpp"
#include "report/svg/svg_plot.hpp"

namespace leanside::report {

struct PressureCourse {
  std::vector<PlotPoint> points;  ///< s and kPa absolute, in order of time
  /// The points are the instants that the run found, and nothing is known between them: its own releases do not give
  /// the highest pressure of the run, as where vessels are joined.
  bool joined = false;
};

/// From what the releases of the vessel let in, p (1 + n/N), where that gives the highest pressure of the run.
PressureCourse pressure_course(const Site& site, const CaseResult& result, SpaceIndex space);

}  // namespace leanside::report
