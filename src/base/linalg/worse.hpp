// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cmath>

namespace leanside::linalg {

/// The larger of two errors. Unlike std::max it keeps a NaN, so that such an error never passes for a small one.
inline double worse(double worst, double error) { return error <= worst || std::isnan(worst) ? worst : error; }

}  // namespace leanside::linalg
