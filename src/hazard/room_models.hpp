// SPDX-License-Identifier: Apache-2.0
/// The site with a model for each room, once for each choice of models that one case is solved with.
#pragma once

#include <vector>

#include "leanside/site.hpp"

namespace leanside::hazard {

/// The site with one way chosen in which gas spreads in each room, for every way that counts; the first has its rooms
/// in layers. Rooms that light and heavy gas get into have a layer under the ceiling in one and on the floor in the
/// next; rooms of the worse of both are mixed in the last. One choice, the site itself, where there is nothing to
/// choose.
std::vector<Site> sites_to_solve(const Site& site);

/// Whether a room of it is to show the worse of the mixed and the layered model.
bool asks_for_both(const Site& site);

}  // namespace leanside::hazard
