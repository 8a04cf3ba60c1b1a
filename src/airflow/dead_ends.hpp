// SPDX-License-Identifier: Apache-2.0
/// Ducts that lead nowhere.
#pragma once

#include <vector>

#include "leanside/advanced/airflow.hpp"

namespace leanside::airflow {

/// By space: a junction that all open ways to it (`open`, by airway) come to through one and the same place, be that a
/// room, another junction or outside, and that no fan, exchange or release works on. It holds what is there, so that
/// what would come in is what would go out. All are false where no gap or doorway opens into a junction.
std::vector<bool> dead_ends(const Site& site, const SiteState& state, const std::vector<bool>& open);

}  // namespace leanside::airflow
