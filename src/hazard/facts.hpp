// SPDX-License-Identifier: Apache-2.0
/// Facts about a solved case that text, page, JSON and studies share, each found once.
#pragma once

#include <vector>

#include "leanside/assess.hpp"

namespace leanside::hazard {

/// What turns molar flows of a case into volume flows: the temperatures at time 0 after the events at 0.
class VolumeFlows {
 public:
  VolumeFlows(const Site& site, CaseIndex case_index);
  /// Volume flow, m3/s, of `rate` mol/s at the temperature of the side that it comes from.
  double volume_flow(double rate, Side from) const;

 private:
  const Conditions& conditions_;
  std::vector<double> temperature_;  ///< K, by SpaceIndex
};

/// The worst of a space; its steady state has to be known.
WorstOf worst_of(const SpaceResult& space);

/// What the air does at the start; `result.flows` has to be known.
AirAtStart air_at_start(const Site& site, const CaseResult& result);

/// Airways that carry another flow at the start of `result` than in `first`; the flows of both have to be known.
std::vector<FlowDifference> flow_differences(const Site& site, const CaseResult& first, const CaseResult& result);

}  // namespace leanside::hazard
