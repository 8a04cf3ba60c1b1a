// SPDX-License-Identifier: Apache-2.0
/// Which rooms of a case are in layers, and which are stirred.
#pragma once

#include <string>
#include <vector>

#include "leanside/advanced/transport.hpp"
#include "leanside/site.hpp"

namespace leanside::transport {

struct LayerPlan {
  struct Room {
    SpaceIndex space;
    bool gas_above = true;
  };
  std::vector<Room> rooms;
  std::vector<MixedRoom> mixed;  ///< the file asks for layers, but the room is stirred
  /// Takes a room off the list: it is mixed, and why.
  void mix(SpaceIndex space, std::string reason);
};

/// A room that nothing is released into is mixed. So is a room that jets stir (see volume_richardson): every release
/// into it must be stirred by its own jet together with those that go on all the time. A jet that weakens is judged
/// when nine tenths of its gas are out; a fan counts if it runs all the time.
LayerPlan plan_layers(const Site& site, CaseIndex case_index);

}  // namespace leanside::transport
