// SPDX-License-Identifier: Apache-2.0
/// What gas is held where, and what should be kept apart.
#pragma once

#include <cstddef>
#include <optional>
#include <string_view>
#include <vector>

#include "leanside/site.hpp"

namespace leanside {

/// What a stored gas or liquid is, what kills soonest first (docs/results.md).
enum class StorageClass { pyrophoric, toxic, flammable, decomposing, oxidising, corrosive, inert };
std::string_view word_of(StorageClass of);

/// Gas that the file has in store: what a release of finite stock can give, or what a space holds at the start.
struct StoredGas {
  std::optional<ReleaseIndex> release;  ///< empty: what `space` holds at the start
  SpaceIndex space;
  double fuel = 0.0;                  ///< mol that burn
  double oxidiser = 0.0;              ///< mol of oxygen, or of another gas classed as an oxidiser
  double inert = 0.0;                 ///< mol of all other gas except air
  double air_to_limit = 0.0;          ///< m3 of air that it could bring to its lower limit, at site conditions
  double space_volume = 0.0;          ///< m3, of the space that it is in (or gets into)
  double reach_volume = 0.0;          ///< m3, of that space and of all spaces that its air reaches through open airways
  double mass = 0.0;                  ///< kg, without air
  bool liquid = false;                ///< a liquid that may spill or boil
  double liquid_volume = 0.0;         ///< m3 at 20 degC; 0 for a gas, and where the density is not known
  std::vector<StorageClass> classes;  ///< in the order of the enum; `inert` only where nothing else holds
};

/// Everything that is held in one space.
struct SpaceStock {
  SpaceIndex space;
  double containers = 0.0;                         ///< cylinders, bottles and the like
  double fuel = 0.0, oxidiser = 0.0, inert = 0.0;  ///< mol
  double mass = 0.0;                               ///< kg
  double liquid_volume = 0.0;                      ///< m3 of liquids that burn
  double air_to_limit = 0.0;                       ///< m3 of air that all of it could bring to its lower limit
  std::vector<StorageClass> classes;               ///< of all that is there, in the order of the enum
};

enum class StorageConcern {
  pyrophoric_with_others,  ///< a gas that ignites by itself in air, with a fuel or an oxidiser
  oxidiser_with_fuel,      ///< in one space
  oxidiser_beside_fuel,    ///< in two spaces that an airway joins
  poisons_room,            ///< all of it would bring its room above the IDLH
  displaces_oxygen,        ///< all of it would leave too little oxygen
  cold_liquid,             ///< a flammable liquid in a cold cabinet, and its vapour can burn at that temperature
  decomposes,              ///< it can explode without air
};
std::string_view word_of(StorageConcern concern);
/// Whether the concern is about two stores.
bool concerns_two(StorageConcern concern);

/// Two stores that should be apart, or one that is a danger by itself.
struct StorageFinding {
  StorageConcern concern = StorageConcern::displaces_oxygen;
  StoredGas first;                              ///< the oxidiser, the pyrophoric gas, or the only one
  StoredGas second;                             ///< the other, where there are two
  std::size_t more_first = 0, more_second = 0;  ///< further stores of the same two spaces, smaller than those named
  double oxygen = 0.0;      ///< mol/mol left where all of the first gets into its space, mixing as it displaces
  double times_idlh = 0.0;  ///< of `poisons_room`: what its space then holds of its worst gas, over the IDLH
};

struct Stock {
  std::vector<StoredGas> held;
  std::vector<SpaceStock> spaces;  ///< of those that hold anything, in the order of the site
  std::vector<StorageFinding> findings;
};

/// The whole-site view of what is stored and what it could do. Reachability on the graph of airways that are on.
Stock stock_of(const Site& site);

}  // namespace leanside
