// SPDX-License-Identifier: Apache-2.0
/// How each kind of release is stopped or made smaller, in words.
#pragma once

#include <string>

#include "leanside/assess.hpp"
#include "report/words/phrases.hpp"

namespace leanside::report {

/// "stop the gas from \"Bench tap\"", "remove the liquid of \"Spill\"".
std::string stop_words(Told site, ReleaseIndex release);

/// The same of several, joined.
std::string stop_all_words(Told site, const std::vector<ReleaseIndex>& releases);

/// "\"Bench tap\" at no more than 2 L/min (now 20 L/min)"; of several, joined. Numbers are rounded down.
std::string less_words(Told site, const Reduction& reduction);

}  // namespace leanside::report
