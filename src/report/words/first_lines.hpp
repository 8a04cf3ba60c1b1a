// SPDX-License-Identifier: Apache-2.0
/// What an answer begins with, the same on the first screen of the text and on the first side of the page.
#pragma once

#include <string>
#include <vector>

#include "leanside/assess.hpp"
#include "leanside/site.hpp"
#include "report/words/words.hpp"

namespace leanside::report {

/// The whole answer in a sentence or two, whatever it is. `starved`: the fans that get too little air.
std::string verdict_words(Told site, const Assessment& assessment, const std::vector<StarvedWords>& starved);

/// What the answer leaves open, and what can be ignited close to a release without being a warning.
std::vector<std::string> open_items(Told site, const Assessment& assessment);

/// What a reader should look at in the flows at the start, of all cases.
std::vector<std::string> air_notices(Told site, const Assessment& assessment);

/// The assumptions with their cases, those first that matter most to a reader in a hurry.
std::vector<std::string> leading_assumptions(Told site, const Assessment& assessment);

}  // namespace leanside::report
