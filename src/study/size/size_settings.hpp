// SPDX-License-Identifier: Apache-2.0
/// Sites with other sizes of fans and releases.
#pragma once

#include <cstddef>
#include <utility>
#include <vector>

#include "leanside/site.hpp"

namespace leanside::study {

/// The site with these fans at these flows, m3/s; events keep what they set.
Site with_flows(const Site& site, const std::vector<AirwayIndex>& fans, const std::vector<double>& flows);

/// An event of one or more cases: the case and the place in its list.
using EventPlaces = std::vector<std::pair<CaseIndex, std::size_t>>;

/// Sets the flow, m3/s, of events that set one.
void set_events(Site& site, const EventPlaces& events, double flow);

/// The site with `factor` times a release, on from its own start; at 0 it is off and no event turns it on. A kind whose
/// size is no plain rate or amount is there so many times over, rounded up.
Site with_release(const Site& site, ReleaseIndex release_index, double factor);

/// The most, m3/s, that each of `fans` may be set to: what it has now or, where more, its share of 60 air changes an
/// hour of what it airs, shared with all fans that run beside it there. By place in `fans`.
std::vector<double> most_sensible(const Site& site, const std::vector<AirwayIndex>& fans);

}  // namespace leanside::study
