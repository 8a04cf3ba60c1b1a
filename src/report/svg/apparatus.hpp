// SPDX-License-Identifier: Apache-2.0
/// A vessel on a bench from the side, to scale: its liquid, content, openings, tubes and flame.
#pragma once

#include <string>

#include "leanside/assess.hpp"
#include "report/words/phrases.hpp"

namespace leanside::report {

/// The <svg> element.
std::string svg_apparatus(Told site, const CaseResult& result, const Experiment& experiment, const PageWords& words);

/// What the picture shows, as a sentence without its full stop: for those who do not see it.
std::string apparatus_words(Told site, const CaseResult& result, const Experiment& experiment, const PageWords& words);

}  // namespace leanside::report
