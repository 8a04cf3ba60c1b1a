// SPDX-License-Identifier: Apache-2.0
#pragma once

namespace leanside::airflow {

/// A difference of flows below this share of the flows that it was computed from is round-off: it counts as zero.
/// Some 500 times the spacing of doubles near 1, so that sums of hundreds of flows stay below it; 1e-13 of the flow
/// through any room is far below what anyone can measure.
inline constexpr double surplus_round_off = 1e-13;

}  // namespace leanside::airflow
