// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "leanside/study/size.hpp"

namespace leanside::study {

/// What a sizing rests on: its own, then those of the answer for the site as it is.
std::vector<Assumption> assumptions_of(const Sizing& sizing, const Assessment& assessment);

}  // namespace leanside::study
