// SPDX-License-Identifier: Apache-2.0
/// How long the draws of a sweep are followed.
#pragma once

#include "leanside/study/spread.hpp"

namespace leanside::study {

/// One time, s, for all draws, so that they can be compared. The horizon of the file, where it gives one. Else the
/// longest that the best values need until the verdict can no longer change, or the best values with one range at one
/// of its ends. `options.only` limits it to a case; a site of more than 200 spaces keeps the least horizon.
Result<double> horizon_of_draws(const RangedSite& site, const SpreadOptions& options);

}  // namespace leanside::study
