// SPDX-License-Identifier: Apache-2.0
/// What a report on releases needs to know of a site.
#pragma once

#include <optional>

#include "leanside/assess.hpp"
#include "leanside/result.hpp"

namespace leanside {

/// The case `normal` as far as release_report() and release_json() need it for one release, or for all: a course in
/// time is solved only for spills, a steady state only for the air of a battery. `amounts`: asks too what each release
/// gives within the horizon and when it is spent, which takes the course where the file leaves the horizon open or
/// vapour condenses. A fault where what has to be solved cannot be.
Result<Assessment> assess_releases(const Site& site, std::optional<ReleaseIndex> only, bool amounts);

}  // namespace leanside
