// SPDX-License-Identifier: Apache-2.0
/// One space from the side, to scale: its layers, openings at their heights, what stands in it, where gas can be
/// ignited close to its source.
#pragma once

#include <string>

#include "leanside/assess.hpp"
#include "report/words/phrases.hpp"

namespace leanside::report {

/// The <svg> element; empty for a junction. `id` makes the names inside it unique on the page. A layered room is shown
/// when its layer of gas is deepest.
std::string svg_side_view(Told site, const CaseResult& result, SpaceIndex space, const std::string& id,
                          const PageWords& words);

}  // namespace leanside::report
