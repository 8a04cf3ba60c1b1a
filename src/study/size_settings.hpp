// SPDX-License-Identifier: Apache-2.0
/// Sites with other sizes of fans and releases.
#pragma once

#include <vector>

#include "leanside/site.hpp"

namespace leanside::study {

/// The site with these fans at `factor` times their flow, what events set included.
Site with_flows(const Site& site, const std::vector<AirwayIndex>& fans, const std::vector<double>& factor);

/// The site with `factor` times a release, on from its own start; at 0 it is off and no event turns it on. A kind whose
/// size is no plain rate or amount is there so many times over, rounded up.
Site with_release(const Site& site, ReleaseIndex which, double factor);

}  // namespace leanside::study
