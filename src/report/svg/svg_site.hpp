// SPDX-License-Identifier: Apache-2.0
/// The site of one case as a picture.
#pragma once

#include <string>

#include "leanside/assess.hpp"

namespace leanside::report {

/// The <svg> element. `alone`: with its own style and patterns, as a file; otherwise those of the page serve.
std::string svg_site(const Site& site, const CaseResult& result, bool alone);

/// Patterns and arrow heads that the pictures refer to.
std::string svg_definitions();

/// A sentence or two on how to read the picture.
std::string picture_key(const Site& site);

}  // namespace leanside::report
