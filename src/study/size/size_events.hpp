// SPDX-License-Identifier: Apache-2.0
/// Events that set or switch the fans that are sized.
#pragma once

#include <vector>

#include "study/size/size_check.hpp"
#include "study/size/size_settings.hpp"

namespace leanside::study {

/// An event, as often as the cases have it.
struct FanEvent {
  AirwayIndex fan;
  EventPlaces places;
  double at = 0.0;   ///< s
  double now = 0.0;  ///< m3/s, what it sets
  bool switches_off = false;
};

/// The events about `fans` in the cases of these warnings. An event of the file itself, which every case has, is one.
std::vector<FanEvent> fan_events(const Site& site, const std::vector<AirwayIndex>& fans,
                                 const std::vector<Constraint>& warnings);

/// As the answer tells it, without the flow that it needs.
EventSize event_size(const FanEvent& event);

/// The site with these events that set flows, at `flows` m3/s.
Site with_event_flows(const Site& site, const std::vector<FanEvent>& events, const std::vector<double>& flows);

}  // namespace leanside::study
