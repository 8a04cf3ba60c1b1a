// SPDX-License-Identifier: Apache-2.0
#pragma once

namespace leanside::study {

/// The value that Student's t with `freedom` >= 1 degrees of freedom stays below with the probability `p`, 0.5 < p < 1.
/// By the incomplete beta function (continued fraction) and bisection, to about 1e-10.
double student_quantile(double p, double freedom);

}  // namespace leanside::study
