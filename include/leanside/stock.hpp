// SPDX-License-Identifier: Apache-2.0
/// What gas is held where, and what should be kept apart.
#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "leanside/site.hpp"

namespace leanside {

/// Gas that the file has in store: what a release of finite stock can give, or what a space holds at the start.
struct StoredGas {
  std::optional<ReleaseIndex> release;  ///< empty: what `space` holds at the start
  SpaceIndex space;
  double fuel = 0.0;          ///< mol that burn
  double oxidiser = 0.0;      ///< mol of oxygen, or of another gas classed as an oxidiser
  double inert = 0.0;         ///< mol of the rest that is no air
  double air_to_limit = 0.0;  ///< m3 of air that it could bring to its lower limit, at site conditions
  double space_volume = 0.0;  ///< m3, of the space that it is in (or gets into)
  double reach_volume = 0.0;  ///< m3, of that space and all that its air gets to by airways that are on
};

enum class StorageConcern { oxidiser_with_fuel, oxidiser_beside_fuel, displaces_oxygen };

/// Two stores that should be apart, or one that could take the oxygen of its space.
struct StorageFinding {
  StorageConcern concern = StorageConcern::displaces_oxygen;
  StoredGas first;                              ///< the oxidiser, or the gas that displaces
  StoredGas second;                             ///< the fuel, where there are two
  std::size_t more_first = 0, more_second = 0;  ///< further stores of the same two spaces, smaller than those named
  double oxygen = 0.0;  ///< mol/mol left where all of the first gets into its space, mixing as it displaces
};

struct Stock {
  std::vector<StoredGas> held;
  std::vector<StorageFinding> findings;
};

/// The whole-site view of what is stored and what it could do. Reachability on the graph of airways that are on.
Stock stock_of(const Site& site);

}  // namespace leanside
