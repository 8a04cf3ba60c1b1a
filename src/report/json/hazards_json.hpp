// SPDX-License-Identifier: Apache-2.0
/// What poisons, what can be ignited at its source and what the answer leaves open, for programs. docs/results.md
/// describes the keys.
#pragma once

#include "leanside/assess.hpp"
#include "leanside/site.hpp"
#include "report/json/json.hpp"

namespace leanside::report {

/// Adds the keys that a warning has beyond those of every warning: the gas of `toxic`, the release of `near-source`.
void put_hazard(Json& out, const Site& site, const Warning& warning);

/// How far from a release its gas can be ignited.
Json zone_json(const Site& site, const SourceZone& zone);

/// What one cause does, by the ranks of its warnings.
Json findings_json(const Site& site, const Assessment& assessment);

Json not_judged_json(const Site& site, const NotJudged& open);

}  // namespace leanside::report
