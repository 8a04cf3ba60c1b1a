// SPDX-License-Identifier: Apache-2.0
/// What an answer rests on that the file does not say.
#pragma once

#include <vector>

#include "leanside/assess.hpp"

namespace leanside::hazard {

/// Those of the site, those of every answer of this engine, and what was found in its cases, in this order. The cases
/// of `assessment` have to be known.
std::vector<Assumption> assumptions_of(const Site& site, const AssessOptions& options, const Assessment& assessment);

/// Those that hold for a whole answer, without what was found in some cases.
std::vector<Assumption> standing_of(const std::vector<Assumption>& assumptions);

/// What leaks by assumption in a case, as assumptions. `leaks` and `shut` as in CaseResult.
std::vector<Assumption> leaks_of(const Site& site, CaseIndex case_index, const std::vector<AssumedLeak>& leaks,
                                 const std::vector<AirwayIndex>& shut);

}  // namespace leanside::hazard
