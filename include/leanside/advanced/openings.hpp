// SPDX-License-Identifier: Apache-2.0
/// Openings as people measure them.
#pragma once

namespace leanside {

/// Free area, m2, of a hinged window that stands ajar: the slit between its free edge and the frame, and the triangles
/// at its two ends, but never more than the frame. `hinged` m: length of the hinged edge; `across` m: from that edge to
/// the free one; `gap` m, 0 to 2 across: from the free edge to the frame. Plane geometry: the slit is gap times hinged,
/// each triangle has two sides `across` and the third `gap`.
double window_free_area(double hinged, double across, double gap);

/// The gap, m, of a window of `across` m at an angle of `degrees`, 0 to 180.
double window_gap(double across, double degrees);

}  // namespace leanside
