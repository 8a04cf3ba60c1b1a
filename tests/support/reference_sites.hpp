// SPDX-License-Identifier: Apache-2.0
/// Random whole sites with a seed. All are invented.
#pragma once

#include <cstddef>
#include <cstdint>

#include "leanside/site.hpp"

namespace reference {

/// What a random site may hold.
struct Recipe {
  std::size_t fewest_spaces = 2, most_spaces = 8;
  bool junctions = true;
  bool mixing = true;         ///< mixing factors over 1
  bool tight_vessels = true;  ///< vessels that gain moles
  bool events = true;         ///< a second case with events, some at equal times
  bool stiff = true;          ///< time scales that differ up to a million times
  bool temperatures = true;   ///< each space its own
  bool ample_leaks = false;   ///< floors so large that no fan starves: the dense solver knows no pressures
  double horizon = 8 * 3600.0;
};

/// A site that is whole: every stretch of every case has balanced flows. The same seed gives the same site.
leanside::Site random_site(std::uint64_t seed, const Recipe& recipe);

}  // namespace reference
