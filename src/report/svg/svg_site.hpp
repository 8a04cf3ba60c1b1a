// SPDX-License-Identifier: Apache-2.0
/// The site of one case as a picture: a row for each space, and beside the rows the ways that its air takes.
#pragma once

#include <string>
#include <vector>

#include "leanside/assess.hpp"
#include "report/words/phrases.hpp"

namespace leanside::report {

/// The <svg> element with the spaces `shown`; what flows to another one is told in words. `alone`: with its own style
/// and patterns, as a file; otherwise those of the page serve.
std::string svg_site(Told site, const CaseResult& result, const std::vector<SpaceIndex>& shown, bool alone,
                     const PageWords& words);

/// All spaces.
std::vector<SpaceIndex> all_spaces(Told site);

/// The spaces nearest to `centre` by ways that carry air in a case, at most `most` of them, in the order of the site.
std::vector<SpaceIndex> neighbourhood(Told site, const CaseResult& result, SpaceIndex centre, std::size_t most);

/// Patterns and arrow heads that the pictures refer to.
std::string svg_definitions();

}  // namespace leanside::report
