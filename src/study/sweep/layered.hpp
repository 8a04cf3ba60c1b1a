// SPDX-License-Identifier: Apache-2.0
/// Studies that know only mixed rooms refuse a site with layers: none of them takes a layered room for a mixed one.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "leanside/advanced/transport.hpp"
#include "leanside/site.hpp"

namespace leanside::study {

/// Why `what` cannot be answered for this site; empty where no room of it may be in layers.
inline std::optional<SolveFault> refuse_layers(const Site& site, std::string_view what) {
  for (const Space& space : site.spaces) {
    if (space.stratification == Stratification::mixed) continue;
    return SolveFault{std::string{what} + " is not supported yet for a site with layered rooms: space '" + space.id +
                          "' has stratification = \"" + std::string{word_of(space.stratification)} +
                          "\"; take \"mixed\" for this question, or use check",
                      true};
  }
  return std::nullopt;
}

}  // namespace leanside::study
