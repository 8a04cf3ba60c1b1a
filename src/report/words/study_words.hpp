// SPDX-License-Identifier: Apache-2.0
/// Words about studies that text and JSON share.
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "leanside/study/compare.hpp"
#include "leanside/study/detectors.hpp"
#include "leanside/study/size.hpp"
#include "leanside/study/spread.hpp"

namespace leanside::report {

/// The severity at a place of Severity; "none" beyond the last.
std::string severity_word(double rank);

/// What both answers rest on, each sentence once; what only one of them rests on says so.
std::vector<std::string> joint_assumptions(const Site& site_before, const Assessment& assessed_before,
                                           const Site& site_after, const Assessment& assessed_after);

std::vector<std::string> detector_assumptions(const DetectorPlan& plan);
std::vector<std::string> sizing_assumptions(const Sizing& sizing);

/// The space whose air a fan moves: that it draws from, or else blows into.
const Space* aired(const Site& site, AirwayIndex fan);

/// Places of the inputs, the one that matters most first.
std::vector<std::size_t> by_weight(const Sensitivity& sensitivity);

}  // namespace leanside::report
