// SPDX-License-Identifier: Apache-2.0
/// Invented buildings of any size, for timing.
#pragma once

#include <cstddef>
#include <cstdint>
#include <string>

namespace bench {

/// The text of a site file of a building with `rooms` (>= 3) rooms, including corridors and staircases. A seed gives
/// the same text everywhere.
///
/// A floor has fifty rooms: a corridor, a piece of the staircase, and rooms that duct trees supply with air. Ten floors
/// share an air handler that recirculates part of the extract, so that gas from one room reaches all of them. The ducts
/// are balanced by construction: fans between tees and rooms, openings between tees, outside at the root. Most rooms
/// have a door that carries their surplus; one in eight has none and leaks. Every twentieth room has a cupboard with a
/// leaking gas cylinder; one room in a thousand has a leak that deserves a warning. There are three gases, and three
/// releases that start or end within the horizon.
std::string building_text(std::size_t rooms, std::uint64_t seed = 1);

}  // namespace bench
