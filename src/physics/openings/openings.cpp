// SPDX-License-Identifier: Apache-2.0
#include "leanside/advanced/openings.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace leanside {

double window_free_area(double hinged, double across, double gap) {
  const double half = std::clamp(0.5 * gap, 0.0, across);
  const double triangle = half * std::sqrt(across * across - half * half);
  // Beyond a right angle the triangles shrink again; the frame then is what limits.
  const double frame = hinged * across;
  if (half >= across * std::numbers::sqrt2 / 2.0) return frame;
  return std::min(frame, gap * hinged + 2.0 * triangle);
}

double window_gap(double across, double degrees) {
  return 2.0 * across * std::sin(0.5 * degrees * std::numbers::pi / 180.0);
}

}  // namespace leanside
