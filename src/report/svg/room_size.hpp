// SPDX-License-Identifier: Apache-2.0
/// How large a space is drawn.
#pragma once

#include <optional>

#include "leanside/site.hpp"

namespace leanside::report {

/// Seen from the side, m. The file knows no plan, so a space is drawn as if its floor were a square.
struct RoomSize {
  double width = 0.0, height = 0.0;
  bool known = true;  ///< the file gives the height; else a room is drawn 2.5 m high, and what is small as a cube
};

/// Empty for a junction, which has no size.
std::optional<RoomSize> room_size(const Space& space);

}  // namespace leanside::report
