// SPDX-License-Identifier: Apache-2.0
/// Sites with other sizes of fans, openings and releases.
#pragma once

#include <cstddef>
#include <utility>
#include <vector>

#include "leanside/site.hpp"

namespace leanside::study {

/// To what a flow or an area is rounded, and in which unit people read it.
struct Grain {
  double step = 0.0;      ///< m3/s or m2
  double shown = 3600.0;  ///< how many of that unit are one m3/s or one m2
};

/// Fans that can be sized: without a curve, running at some time of the normal case, with a flow.
std::vector<AirwayIndex> fans_of(const Site& site);
/// Openings that are sized unless others are named: gaps, louvres and windows that are open at some time of the normal
/// case. Doors are as wide as people need them.
std::vector<AirwayIndex> openings_of(const Site& site);

bool is_fan(const Site& site, AirwayIndex airway);

/// The flow of a fan, m3/s; the area of a gap or doorway, m2.
double size_of(const Airway& airway);

/// The site with these fans and openings at these flows, m3/s, or areas, m2; events keep what they set.
Site with_flows(const Site& site, const std::vector<AirwayIndex>& airways, const std::vector<double>& flows);

/// An event of one or more cases: the case and the place in its list.
using EventPlaces = std::vector<std::pair<CaseIndex, std::size_t>>;

/// Sets the flow, m3/s, of events that set one.
void set_events(Site& site, const EventPlaces& events, double flow);

/// The site with `factor` times a release, on from its own start; at 0 it is off and no event turns it on. A kind whose
/// size is no plain rate or amount is there so many times over, rounded up.
Site with_release(const Site& site, ReleaseIndex release_index, double factor);

/// The most, m3/s or m2, that each of `airways` may be set to, by place in it. A fan: what it has now or, where more,
/// its share of 60 air changes an hour of what it airs, shared with all fans that run beside it there. An opening: what
/// it has now or, where more, a quarter of one side of a cube of the volume of the smaller space that it joins (common
/// practice, no source).
std::vector<double> most_sensible(const Site& site, const std::vector<AirwayIndex>& airways);

}  // namespace leanside::study
