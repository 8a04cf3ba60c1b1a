// SPDX-License-Identifier: Apache-2.0
/// Which of two failures is the worse: consequences and outcomes compared.
#pragma once

#include <tuple>
#include <vector>

#include "leanside/study/failures.hpp"

namespace leanside::study {

Consequence brief(const Warning& warning);
std::vector<Consequence> brief(const std::vector<Warning>& warnings);

/// Orders the consequences of one outcome: severity, time, value, space.
bool ranks_before(const Consequence& a, const Consequence& b);

/// Whether `a` is worse than `b`, both about the same thing in the same space; `oxygen_in_air` mol/mol.
bool worse(const Consequence& a, const Consequence& b, double oxygen_in_air);

/// The one of `consequences` about the same thing (fuel, oxygen, pressure, a gas, a release) in the same space; null
/// where there is none.
const Consequence* same_thing(const std::vector<Consequence>& consequences, const Consequence& consequence);

/// Whether two outcomes have the same effect, to a millionth of their values and a second.
bool same_effect(const FailureOutcome& a, const FailureOutcome& b);

/// Fans of `found` that starve and have more air in `before`.
std::vector<AirwayIndex> newly_starved(const std::vector<StarvedFan>& found, const std::vector<StarvedFan>& before);

/// Orders outcomes: harm, what could not be computed or starves a fan, no way out for gas, an assumed leak, nothing.
bool ranks_before(const FailureOutcome& a, const FailureOutcome& b);

}  // namespace leanside::study
