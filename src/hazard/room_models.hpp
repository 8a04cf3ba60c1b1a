// SPDX-License-Identifier: Apache-2.0
/// The site with a model for each room, once for each choice of models that one case is solved with.
#pragma once

#include <vector>

#include "leanside/advanced/index.hpp"
#include "leanside/site.hpp"

namespace leanside::hazard {

/// The site with one way chosen in which gas spreads in each room, for every way that counts; the first has its rooms
/// in layers. Rooms that light and heavy gas get into have a layer under the ceiling in one and on the floor in the
/// next; rooms of the worse of both are mixed in the last, and in all of them if nothing gets out into them in this
/// case. One choice where there is nothing to choose.
struct RoomModels {
  std::vector<Site> sites;
  bool both = false;  ///< in the last of several, rooms are mixed that are in layers before
};
RoomModels models_to_solve(const Site& site, CaseIndex case_index);

}  // namespace leanside::hazard
