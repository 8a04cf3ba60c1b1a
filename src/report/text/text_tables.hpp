// SPDX-License-Identifier: Apache-2.0
/// The tables of the text report.
#pragma once

#include <span>
#include <string>
#include <vector>

#include "leanside/assess.hpp"
#include "leanside/site.hpp"
#include "report/text/table.hpp"
#include "report/words/phrases.hpp"

namespace leanside::report {

/// Lowest oxygen, or the highest where that is what left the criteria.
std::string oxygen_cell(Told site, const SpaceResult& result);

/// One line a warning; the first has rank `first_rank`.
Table warning_table(Told site, std::span<const Warning> warnings, std::size_t first_rank);

struct SpaceTable {
  Table table;
  std::vector<std::string> feet;  ///< sentences below it
};

/// Whether there are so many spaces that only the worst have a row.
bool brief_tables(Told site, const Assessment& assessment);

/// The spaces of one case, the worst first; by floor and system where the site has several. `brief`: without the clear
/// ones, which a sentence below counts.
SpaceTable space_table(Told site, const Assessment& assessment, const CaseResult& result, bool brief = false);

/// Of all cases together the worst spaces, at most `most`.
Table worst_spaces_table(Told site, const Assessment& assessment, std::size_t most);

/// Each floor and system with its worst space; empty where the site has one of each.
Table group_table(Told site, const Assessment& assessment);

/// Sentences on the spaces without a steady state, those of one reason together.
std::vector<std::string> without_steady_state(Told site, const CaseResult& result);

/// The worst figure of a warning and its time: "55 % of the lower flammable limit".
std::string worst_words(Told site, const Warning& warning);

/// Flows and pressures in the first case: of all airways, or of the `most` that carry most or hold back the largest
/// pressures.
Table flow_table(Told site, const Assessment& assessment, std::size_t most);
/// A sentence about the airways that flow_table() leaves out; empty where it has all.
std::string airways_left_out(Told site, std::size_t most);

/// For each other case, what flows otherwise than in the first.
std::vector<std::string> flow_changes(Told site, const Assessment& assessment);

/// Of each release that is on in any case how far its gas can be ignited, at its worst; the farthest first.
Table zone_table(Told site, const Assessment& assessment);

/// The limits of each gas that burns, with their sources.
Table limit_table(Told site);

}  // namespace leanside::report
