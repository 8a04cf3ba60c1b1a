// SPDX-License-Identifier: Apache-2.0
/// Invented buildings of any size, for timing.
#pragma once

#include <cstddef>
#include <cstdint>
#include <string>

namespace bench {

/// Text of a site file of a building with `rooms` (>= 3) rooms, corridors and staircases included; the same for the
/// same seed everywhere.
///
/// Floors of fifty rooms: a corridor, a piece of the staircase, and rooms that get their air from duct trees. Ten
/// floors share an air handler that uses part of the extract again, so that the gas of one room reaches all of them.
/// The ducts are balanced by construction: fans between tees and rooms, reliefs between tees, outside at the root. Most
/// rooms have a door that carries their surplus; one in eight has none and leaks. Every twentieth room has a cupboard
/// with a gas bottle that seeps, one room in a thousand a fault worth a warning. Three gases; three releases that begin
/// or end.
std::string building_text(std::size_t rooms, std::uint64_t seed = 1);

}  // namespace bench
