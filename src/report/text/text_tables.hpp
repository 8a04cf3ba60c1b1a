// SPDX-License-Identifier: Apache-2.0
/// The tables of the text report.
#pragma once

#include <span>
#include <string>
#include <vector>

#include "leanside/assess.hpp"
#include "leanside/site.hpp"
#include "report/text/table.hpp"

namespace leanside::report {

/// Lowest oxygen, or the highest where that is what left the criteria.
std::string oxygen_cell(const Site& site, const SpaceResult& result);

/// One line a warning; the first has rank `first_rank`.
Table warning_table(const Site& site, std::span<const Warning> warnings, std::size_t first_rank);

struct SpaceTable {
  Table table;
  std::vector<std::string> feet;  ///< sentences below it
};

/// Whether there are so many spaces that the clear ones are only counted.
bool brief_tables(const Site& site, const Assessment& assessment);

/// The spaces of one case; `brief`: without the clear ones, which a sentence below counts.
SpaceTable space_table(const Site& site, const Assessment& assessment, const CaseResult& result, bool brief);

/// The worst figure of a warning and its time: "55 % of the lower flammable limit".
std::string worst_words(const Site& site, const Warning& warning);

/// Flows of all airways in the first case; empty where there are too many airways to be read.
/// A sentence about the airways that flow_table() leaves out; empty where it has all.
std::string airways_left_out(const Site& site);
Table flow_table(const Site& site, const Assessment& assessment);

/// For each other case, what flows otherwise than in the first.
std::vector<std::string> flow_changes(const Site& site, const Assessment& assessment);

/// Of each release that is on in any case how far its gas can be ignited, at its worst.
Table zone_table(const Site& site, const Assessment& assessment);

/// The limits of each gas that burns, with their sources.
Table limit_table(const Site& site);

}  // namespace leanside::report
