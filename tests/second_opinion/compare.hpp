// SPDX-License-Identifier: Apache-2.0
/// The answer of leanside to the text of a site, held against the second opinion.
#pragma once

#include <string>
#include <vector>

#include "second_opinion/model.hpp"

namespace second_opinion {

/// How far two answers may lie apart.
struct Allowed {
  double relative = 1e-6;   ///< of a fraction or a flow
  double fraction = 1e-12;  ///< beside it, mol/mol
  double time = 1e-6;       ///< of the horizon
  double slip = 0;          ///< of the horizon, by which a course may be early or late
  double edge = 1e-6;       ///< of the height of a layered room
  double oxygen = 1e-8;     ///< mol/mol
  double peak = 1e-10;      ///< of the lower limit
};

struct Comparison {
  std::vector<std::string> disagreements;
  double worst = 0.0;                  ///< over what is allowed, of fractions
  std::string fault;                   ///< both refuse the site
  std::string beyond;                  ///< the second opinion has none
  std::size_t values = 0;              ///< that were compared
  std::size_t layered = 0, mixed = 0;  ///< rooms asked to be layered, over all cases: so computed, and broken up
};

Comparison compare(const Site& site, const Allowed& allowed);

}  // namespace second_opinion
