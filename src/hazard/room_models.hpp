// SPDX-License-Identifier: Apache-2.0
/// The pictures of a site that one case is solved in, where more than one is possible.
#pragma once

#include <vector>

#include "leanside/site.hpp"

namespace leanside::hazard {

/// The site with one way chosen in which gas spreads in each room, for every way that counts; the first has its rooms
/// in layers. Rooms that light and heavy gas get into have a layer under the ceiling in one and on the floor in the
/// next; rooms of the worse of both are mixed in the last. One picture, the site itself, where there is nothing to
/// choose.
std::vector<Site> pictures_of(const Site& site);

/// Whether a room of it is to show the worse of the mixed and the layered picture.
bool asks_for_both(const Site& site);

}  // namespace leanside::hazard
