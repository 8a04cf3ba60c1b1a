// SPDX-License-Identifier: Apache-2.0
/// Which spaces get fresh air by one fan alone.
#pragma once

#include <vector>

#include "leanside/study/failures.hpp"

namespace leanside::study {

/// `state` and `field` are those of the normal case after everything has happened.
std::vector<FanDependence> fan_dependences(const Site& site, const SiteState& state, const FlowField& field);

}  // namespace leanside::study
