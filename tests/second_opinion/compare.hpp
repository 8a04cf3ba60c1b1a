// SPDX-License-Identifier: Apache-2.0
/// Compares leanside's answer for the text of a site with that of the second solver.
#pragma once

#include <string>
#include <vector>

#include "second_opinion/model.hpp"

namespace second_opinion {

/// Tolerances of a comparison.
struct Allowed {
  double relative = 1e-6;   ///< of a fraction or a flow
  double fraction = 1e-12;  ///< in addition, mol/mol
  double time = 1e-6;       ///< of the horizon
  double slip = 0;          ///< of the horizon: allowed time shift of a course
  double edge = 1e-6;       ///< of the height of a layered room, for its interface
  double oxygen = 1e-8;     ///< mol/mol
  double peak = 1e-10;      ///< of the lower limit
};

struct Comparison {
  std::vector<std::string> disagreements;
  double worst = 0.0;                  ///< largest difference over its tolerance
  std::string fault;                   ///< why the site was refused
  std::string beyond;                  ///< why the second solver has no answer
  std::size_t values = 0;              ///< number of values compared
  std::size_t layered = 0, mixed = 0;  ///< layered rooms over all cases: computed as layered, and broken up
};

Comparison compare(const Site& site, const Allowed& allowed);

/// The same in a process of its own, which may take `cpu_seconds` of processor time: some sites take the second solver
/// very long. Where it takes longer, `beyond` says so.
Comparison compare_within(const Site& site, const Allowed& allowed, unsigned cpu_seconds);

}  // namespace second_opinion
