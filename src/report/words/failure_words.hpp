// SPDX-License-Identifier: Apache-2.0
/// Words about failures that text and JSON share.
#pragma once

#include <span>
#include <string>
#include <vector>

#include "leanside/study/failures.hpp"

namespace leanside::report {

/// "the fan extract stops".
std::string failure_words(const Site& site, const Failure& failure);

/// All that these answers rest on.
std::vector<std::string> failure_assumptions(const Site& site, std::span<const FailureStudy> studies);

/// The leaks that the answer with nothing failed rests on: nobody wrote them down, and they may be smaller.
std::vector<std::string> assumed_leaks(const Site& site, const FailureStudy& study);

}  // namespace leanside::report
