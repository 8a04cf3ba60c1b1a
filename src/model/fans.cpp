// SPDX-License-Identifier: Apache-2.0
#include "leanside/advanced/fans.hpp"

namespace leanside {

std::vector<FanPoint> curve_at_speed(std::vector<FanPoint> curve, double speed) {
  for (FanPoint& point : curve) {
    point.flow *= speed;
    point.pressure *= speed * speed;
  }
  return curve;
}

std::vector<FanPoint> curve_behind_filter(std::vector<FanPoint> curve, double drop) {
  const double highest = curve.empty() ? 0.0 : curve.front().flow;
  if (!(highest > 0.0)) return curve;
  for (FanPoint& point : curve) {
    const double share = point.flow / highest;
    point.pressure -= drop * share * share;
  }
  return curve;
}

}  // namespace leanside
