// SPDX-License-Identifier: Apache-2.0
/// The parts of the page of html_report(), each as HTML.
#pragma once

#include <string>

#include "leanside/report.hpp"

namespace leanside::report::page {

/// What every part is made from.
struct Sources {
  const Site& site;
  const Assessment& assessment;
  const Diagnostics& notices;
  const CourseRecord& courses;
  const RunRecord& run;
};

/// Warnings told in full, with plots; the others have a line in the ranked list alone.
inline constexpr std::size_t told_in_full = 100;

/// The result of a case that was computed; there is one for each warning.
const CaseResult& result_of(const Assessment& assessment, CaseIndex case_index);

std::string verdict(const Sources& from);        ///< one sentence
std::string ranked_list(const Sources& from);    ///< all warnings, an entry each
std::string warnings(const Sources& from);       ///< each in full
std::string pictures(const Sources& from);       ///< the site in each case, with a switch
std::string starved_fans(const Sources& from);   ///< on the first screen
std::string picture_style(const Sources& from);  ///< rules of that switch
std::string tables(const Sources& from);         ///< spaces, airways, releases, substances, criteria
std::string assumptions(const Sources& from);    ///< what was assumed, and noticed in the file
std::string repetition(const Sources& from);     ///< what the run can be repeated with

}  // namespace leanside::report::page
