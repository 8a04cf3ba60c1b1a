// SPDX-License-Identifier: Apache-2.0
/// Floors and systems, by which the tables of a large site are grouped.
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "leanside/site.hpp"
#include "report/words/phrases.hpp"

namespace leanside::report {

struct SiteGroups {
  std::vector<std::string> names;     ///< "floor at 3.2 m, Roof unit"; one group where the file tells nothing apart
  std::vector<std::size_t> of_space;  ///< by SpaceIndex

  bool any() const { return names.size() > 1; }
};

/// Spaces are together whose floors are at the same elevation (to a tenth of a metre) and whose fans belong to the same
/// system. A cabinet or vessel is with the space that it stands in.
SiteGroups site_groups(Told site);

}  // namespace leanside::report
