// SPDX-License-Identifier: Apache-2.0
/// The parts of the page of html_report(), each as HTML.
#pragma once

#include <string>
#include <vector>

#include "leanside/report.hpp"
#include "report/text/table.hpp"
#include "report/words/phrases.hpp"
#include "report/words/timeline.hpp"

namespace leanside::report::page {

/// What every part is made from.
struct Sources {
  Told site;
  const Assessment& assessment;
  const Diagnostics& notices;
  const CourseRecord& courses;
  const RunRecord& run;
  const PageOptions& options;
  const PageWords& words;
};

/// Findings with a section of their own, and those of them with plot, picture and steps.
struct Depth {
  std::size_t sections = 0, in_full = 0;
};
Depth depth_of(const Sources& from);

/// The result of a case that was computed; there is one for each warning.
const CaseResult& result_of(const Assessment& assessment, CaseIndex case_index);

/// The name of the site file without its folders, which mean nothing to who is handed the page.
std::string file_of(const Sources& from);

std::string first_page(const Sources& from);   ///< verdict, findings with actions, a picture, scope, caution
std::string chart(const Sources& from);        ///< the worst of every space in every case
std::string findings(const Sources& from);     ///< a section for each
std::string inventory(const Sources& from);    ///< spaces, releases, what is in store
std::string detectors(const Sources& from);    ///< where detectors see most, soonest; where gas gathers
std::string ventilation(const Sources& from);  ///< the whole site as a picture, flows, what changes from case to case
std::string assumptions(const Sources& from);  ///< what was assumed, and noticed in the file
std::string sources(const Sources& from);      ///< limits, criteria, what the run can be repeated with

/// A table whose first rows are on paper and the next ones on the screen alone; the rest is left to other formats.
/// `first_is_head` as in html::table.
std::string long_table(const Table& table, std::string_view caption, std::size_t rows_on_paper, bool first_is_head,
                       const PageWords& words);

/// The course of a warning in time as a plot with its values as a table; a sentence where there is none.
std::string course_figure(const Sources& from, const Warning& warning, const Timeline& line);

/// A vessel on a bench over time as bands, with its values as a table; empty where `warning` is not told as what such a
/// vessel may do, or nothing changes in it.
std::string states_figure(const Sources& from, const Warning& warning);

/// A figure with the space from the side, in the case of `warning`; empty where it cannot be drawn. A vessel on a bench
/// is drawn as an apparatus.
std::string side_figure(const Sources& from, const Warning& warning, const std::string& id);

/// A figure with the spaces `shown` and the ways of their air in a case.
std::string site_figure(const Sources& from, const CaseResult& result, const std::vector<SpaceIndex>& shown);

}  // namespace leanside::report::page
