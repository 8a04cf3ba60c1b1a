// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "leanside/assess.hpp"
#include "report/json/json.hpp"

namespace leanside::report {

/// Kind, ids, values, and the sentence as printed; docs/results.md describes the keys.
Json assumption_json(const Site& site, const Assumption& assumption, const std::string& sentence);

/// A list of them. `cases`: how many were computed, for the sentences.
Json assumptions_json(const Site& site, const std::vector<Assumption>& assumptions, std::size_t cases = 1);

}  // namespace leanside::report
