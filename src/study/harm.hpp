// SPDX-License-Identifier: Apache-2.0
/// Which of two warnings in brief is the worse, and which outcomes of failures are alike.
#pragma once

#include <limits>
#include <tuple>
#include <vector>

#include "leanside/study.hpp"

namespace leanside::study {

inline constexpr double forever = std::numeric_limits<double>::infinity();

Harm brief(const Warning& warning);
std::vector<Harm> brief(const std::vector<Warning>& warnings);

/// What harms are ranked by, the worst first.
inline auto key(const Harm& h) { return std::tuple(h.severity, h.time.value_or(forever), -h.lfl_fraction, h.space); }

/// Whether a is worse than b, both about the same thing in the same space.
bool worse(const Harm& a, const Harm& b, double oxygen_in_air);

/// The harm of the list that is about the same thing in the same space; null where there is none.
const Harm* same_thing(const std::vector<Harm>& harms, const Harm& harm);

/// Whether two outcomes have the same effect.
bool equal(const FailureOutcome& a, const FailureOutcome& b);

/// Fans of `found` that starve and have more air in `before`.
std::vector<AirwayIndex> newly_starved(const std::vector<StarvedFan>& found, const std::vector<StarvedFan>& before);

}  // namespace leanside::study
