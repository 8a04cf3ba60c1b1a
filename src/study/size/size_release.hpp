// SPDX-License-Identifier: Apache-2.0
/// How much gas is too much: the largest size of one release that the air can carry as it is.
#pragma once

#include "leanside/study/size.hpp"
#include "study/size/size_check.hpp"

namespace leanside::study {

/// Fills in the answer about `release`: found or not, factor, whole, binding, remaining.
void size_release(const Site& site, ReleaseIndex release, SizeCheck& check, Sizing& out);

}  // namespace leanside::study
