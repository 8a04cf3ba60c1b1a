// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

namespace leanside::testing {

/// A room with a hydrogen release, openings high and low; what is different goes into the lines: of the room, of its
/// release, and after them.
inline std::string plant_room(const std::string& room = "stratification = \"layered\"", const std::string& release = "",
                              const std::string& more = "") {
  return R"(title = "Plant room"

[[space]]
id = "plant"
kind = "room"
floor_area = "10 m2"
height = "2.5 m"
)" + room +
         R"(
[[airway]]
id = "low"
kind = "gap"
between = ["plant", "outside"]
leakage_area = "100 cm2"
exponent = 0.5
height = "0.2 m"

[[airway]]
id = "high"
kind = "gap"
between = ["plant", "outside"]
leakage_area = "100 cm2"
exponent = 0.5
height = "2.4 m"

[[release]]
id = "seep"
kind = "steady"
into = "plant"
gas = "hydrogen"
rate = "3 L/min"
height = "0.5 m"
)" + release +
         more;
}

}  // namespace leanside::testing
