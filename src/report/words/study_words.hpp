// SPDX-License-Identifier: Apache-2.0
/// Words about studies that text and JSON share.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include "leanside/study/compare.hpp"
#include "leanside/study/detectors.hpp"
#include "leanside/study/size.hpp"
#include "leanside/study/spread.hpp"

namespace leanside::report {

/// The severity at a place of Severity; "none" beyond the last.
std::string severity_word(double rank);

/// An assumption of one side of a comparison, or of both.
struct JointAssumption {
  std::string_view side;       ///< "before", "after" or "both"
  const Site* site = nullptr;  ///< that its indices belong to
  Assumption assumption;
  std::string sentence;  ///< with its cases
};
/// What both answers rest on, each sentence once. The sites must outlive it.
std::vector<JointAssumption> joint_assumptions(const Site& site_before, const Assessment& before,
                                               const Site& site_after, const Assessment& after);

/// The same in sentences, what reads the same of several cases as one; what only one side rests on says so.
std::vector<std::string> joint_sentences(const Site& site_before, const Assessment& assessed_before,
                                         const Site& site_after, const Assessment& assessed_after);

/// The space whose air a fan moves: that it draws from, or else blows into.
const Space* aired(const Site& site, AirwayIndex fan);

/// Places of the inputs, the one that matters most first.
std::vector<std::size_t> by_weight(const Sensitivity& sensitivity);

}  // namespace leanside::report
