// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cmath>

namespace leanside::linalg {

/// The larger of two errors. Unlike std::max it keeps what is no number, so that such an error never passes for small.
inline double worse(double worst, double error) { return error <= worst || std::isnan(worst) ? worst : error; }

}  // namespace leanside::linalg
