// SPDX-License-Identifier: Apache-2.0
/// What speed and filters do to the curve of a fan.
#pragma once

#include <vector>

#include "leanside/site.hpp"

namespace leanside {

/// The curve at another speed, as a share (> 0) of that of `curve`: flows as the speed, pressures as its square.
/// Affinity laws of fans, from memory (they hold for equal efficiency and density).
std::vector<FanPoint> curve_at_speed(std::vector<FanPoint> curve, double speed);

/// The curve of a fan behind a filter that takes `drop` Pa (>= 0) at the highest flow of `curve`, and at other flows as
/// their square. The first pressures may become negative: to move that much air something else must help. Common
/// practice, no source: dust-laden filters lie between the first and the second power; the square takes most at the
/// highest flow.
std::vector<FanPoint> curve_behind_filter(std::vector<FanPoint> curve, double drop);

/// Keeps the return air of each system at its share of what the supply fans move; `events` are in order of time.
void follow_recirculation(const Site& site, std::vector<Event>& events);

/// Sets the flow of each return fan anew, at the start and after every event of every case: once the flows of supply
/// fans are others.
void set_return_air(Site& site);

}  // namespace leanside
