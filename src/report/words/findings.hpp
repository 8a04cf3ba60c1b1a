// SPDX-License-Identifier: Apache-2.0
/// A finding in three short parts, for the first screen: what it is and where, when, and what to do.
#pragma once

#include <string>
#include <vector>

#include "leanside/assess.hpp"
#include "leanside/site.hpp"
#include "report/words/phrases.hpp"

namespace leanside::report {

struct FindingWords {
  Severity severity = Severity::note;
  std::string where;  ///< "Store, if the hose breaks (and in 2 other cases)"
  std::string when;   ///< with what else it does
  std::string act;    ///< in the order in which people should do it
};

FindingWords finding_words(Told site, const Assessment& assessment, const Finding& finding);

/// The whole answer in a sentence or two: the worst, where and when, and how much there is besides.
std::string verdict_sentence(Told site, const Assessment& assessment);

/// The advice of a warning in one or two sentences.
std::string brief_remedy(Told site, const Warning& warning);

/// What keeps a whole space within its criteria, for a finding that begins with a source: " To keep all of Store below
/// 25 % of the lower limit: supply ..."; empty where nothing was found.
std::string brief_ways(Told site, const Warning& warning);

/// What a reader should look at in the flows at the start of a case, in sentences without their full stop.
std::vector<std::string> flow_sentences(Told site, const CaseResult& result);

/// A time of a case: "from the start", "after 2 min"; in a case that was added for a release, "2 min after it starts".
std::string moment_words(Told site, CaseIndex case_index, double time);

}  // namespace leanside::report
