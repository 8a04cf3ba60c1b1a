// SPDX-License-Identifier: Apache-2.0
/// What happens in one space of one case, step by step, in words.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "leanside/assess.hpp"
#include "leanside/site.hpp"
#include "report/words/phrases.hpp"

namespace leanside::report {

struct Step {
  std::optional<double> time;   ///< s; empty: the steady state
  std::string words;            ///< no full stop
  std::string letter;           ///< of what is done to the site: "a", "b", ...; empty: what follows from it
  std::optional<double> value;  ///< lfl_fraction then, where it is a mark of the course
};

/// What an event does: "the fan \"extract\" is switched off".
std::string event_words(Told site, const Event& event, const PageWords& words);

/// In order of time: events of the case, starts and ends of the sources that `warning` blames, passages, the worst
/// moment, the end of the run, the steady state. At most `most` steps; `left_out` counts the rest.
struct Timeline {
  std::vector<Step> steps;
  std::size_t left_out = 0;
};
Timeline timeline(Told site, const CaseResult& result, const Warning& warning, std::size_t most,
                  const PageWords& words);

}  // namespace leanside::report
