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
};

struct Comparison {
  std::vector<std::string> disagreements;
  double worst = 0.0;      ///< over what is allowed, of fractions
  std::string fault;       ///< both refuse the site
  std::string beyond;      ///< the second opinion has none
  std::size_t values = 0;  ///< that were compared
};

Comparison compare(const Site& site, const Allowed& allowed);

}  // namespace second_opinion
