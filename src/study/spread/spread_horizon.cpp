// SPDX-License-Identifier: Apache-2.0
#include "study/spread/spread_horizon.hpp"

#include <algorithm>
#include <vector>

#include "hazard/settled_horizon.hpp"
#include "leanside/assess.hpp"
#include "leanside/site_file.hpp"

namespace leanside::study {

Result<double> horizon_of_draws(const RangedSite& site, const SpreadOptions& options) {
  const Site& best = site.best();
  if (!best.criteria.open_ended || options.steady_only) return best.criteria.horizon;
  RangedSite::Draws draws{site};
  std::vector<double> values;
  for (const Range& range : best.ranges) values.push_back(range.best);
  double longest = best.criteria.horizon;
  const auto lengthen = [&](const Site& drawn) -> std::optional<Fault> {
    const auto settled = hazard::with_settled_horizon(drawn, options.only);
    if (const auto* fault = std::get_if<Fault>(&settled)) return *fault;
    longest = std::max(longest, std::get<Site>(settled).criteria.horizon);
    return std::nullopt;
  };
  if (auto fault = lengthen(best)) return std::move(*fault);
  for (std::size_t i = 0; i < values.size(); ++i) {
    const Range& range = best.ranges[i];
    for (const double end : {range.low, range.high}) {
      values[i] = end;
      // Values that do not go together are reported when a draw meets them.
      const Site* drawn = draws.at(values);
      if (drawn == nullptr) continue;
      if (auto fault = lengthen(*drawn)) return std::move(*fault);
    }
    values[i] = range.best;
  }
  return longest;
}

}  // namespace leanside::study
