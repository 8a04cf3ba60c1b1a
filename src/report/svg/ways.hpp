// SPDX-License-Identifier: Apache-2.0
/// What air flows between two places, all airways between them together.
#pragma once

#include <string>
#include <vector>

#include "leanside/assess.hpp"
#include "report/words/phrases.hpp"

namespace leanside::report {

/// All that flows between a space and another place in one case at its start.
struct Way {
  SpaceIndex space;
  Side other;                           ///< outside where empty; else a space of a higher index
  double out = 0.0, in = 0.0;           ///< m3/s from `space` to `other` and back
  double assumed = 0.0;                 ///< m3/s of it, either way, that leaks by assumption
  std::vector<std::string> names = {};  ///< of the airways
};

/// One a pair of places, in the order of the spaces.
std::vector<Way> ways_of(Told site, const CaseResult& result, const PageWords& words);

/// A flow, m3/s, in two figures in the unit of the site; what is too small to matter only as such.
std::string flow_number(Told site, double flow);

/// A flow seen from one of its ends: "to Corridor: 12 m3/h", "with Corridor: 12 m3/h each way".
std::string flow_words(Told site, const std::string& other, double in, double out, const PageWords& words);

}  // namespace leanside::report
