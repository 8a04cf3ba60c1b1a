// SPDX-License-Identifier: Apache-2.0
/// What drawing and summing up share.
#pragma once

#include <limits>
#include <vector>

#include "leanside/study/spread.hpp"

namespace leanside::study {

inline constexpr double never = std::numeric_limits<double>::infinity();

/// The cases that are looked at.
std::vector<CaseIndex> cases_of(const Site& site, const SpreadOptions& options);

}  // namespace leanside::study
