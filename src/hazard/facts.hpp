// SPDX-License-Identifier: Apache-2.0
/// Facts about a solved case that text, page, JSON and studies share, each found once.
#pragma once

#include "leanside/assess.hpp"

namespace leanside::hazard {

/// The worst of a space; its steady state has to be known.
WorstOf worst_of(const SpaceResult& space);

/// What the air does at the start; `result.flows` has to be known.
AirAtStart air_at_start(const Site& site, const CaseResult& result);

}  // namespace leanside::hazard
