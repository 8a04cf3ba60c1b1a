// SPDX-License-Identifier: Apache-2.0
#include "hazard/settled_horizon.hpp"

namespace leanside::hazard {

Result<Site> with_settled_horizon(const Site& site, std::optional<CaseIndex> only) {
  constexpr std::size_t most_spaces = 200;
  if (!site.criteria.open_ended || site.spaces.size() > most_spaces) return site;
  AssessOptions options;
  options.explain = false;
  options.only = only;
  const auto outcome = assess(site, options);
  if (const auto* fault = std::get_if<Fault>(&outcome)) return *fault;
  Site out = site;
  out.criteria.horizon = std::get<Assessment>(outcome).horizon;
  out.criteria.open_ended = false;
  return out;
}

}  // namespace leanside::hazard
