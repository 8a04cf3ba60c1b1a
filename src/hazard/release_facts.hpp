// SPDX-License-Identifier: Apache-2.0
/// What one release can bring, found once for text and JSON.
#pragma once

#include <optional>
#include <vector>

#include "leanside/assess.hpp"

namespace leanside::hazard {

/// What is worth telling of one release.
struct ReleaseFacts {
  double peak = 0.0;   ///< mol/s
  double total = 0.0;  ///< mol; infinite where it never stops
  double lasts = 0.0;  ///< s of emission; infinite likewise; of a spill the least that it can be
  double molar_mass = 0.0;
  std::optional<double> lower;  ///< its own lower limit; empty: does not burn
  std::optional<double> spent;  ///< s, when its stock was spent in the run
  double given = 0.0;           ///< mol within the run
};

/// `assessment`: of the case `normal`; it may have no case.
ReleaseFacts release_facts(const Site& site, const Assessment& assessment, ReleaseIndex index);

/// m3 at site conditions.
double volume_of(const Site& site, double moles);

/// m3 of air that `moles` of the gas bring to its lower limit: what they make a mixture of, less the gas itself. It
/// has to burn.
double air_to_limit(const Site& site, const ReleaseFacts& facts, double moles);

/// The release that was asked for; else all.
std::vector<ReleaseIndex> releases_asked_for(const Site& site, std::optional<ReleaseIndex> only);

}  // namespace leanside::hazard
