// SPDX-License-Identifier: Apache-2.0
#include "report/svg/room_size.hpp"

#include <cmath>

namespace leanside::report {

std::optional<RoomSize> room_size(const Space& space) {
  if (!(space.volume > 0.0)) return {};
  constexpr double usual_height = 2.5, small_room = 15.0;  // m, m3: for the picture alone
  const bool as_room = space.kind == SpaceKind::room && space.volume >= small_room;
  const double height = space.height.value_or(as_room ? usual_height : std::cbrt(space.volume));
  const double area = space.floor_area.value_or(space.volume / height);
  return RoomSize{std::sqrt(area), height, space.height.has_value()};
}

}  // namespace leanside::report
