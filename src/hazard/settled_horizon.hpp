// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>

#include "leanside/assess.hpp"

namespace leanside::hazard {

/// The site with a horizon at which its verdict can no longer change, for studies that need one time for all runs. As
/// it is where the file gives a horizon, or where the site is so large that one more assessment takes long.
/// `only`: the case that counts; without it all cases.
Result<Site> with_settled_horizon(const Site& site, std::optional<CaseIndex> only = {});

}  // namespace leanside::hazard
