// SPDX-License-Identifier: Apache-2.0
#include "transport/run/timeline.hpp"

#include <algorithm>
#include <cassert>

#include "leanside/advanced/release.hpp"

namespace leanside::transport {

double partial_pressure(const Site& site, double fraction, double over_ambient) {
  return fraction * over_ambient * site.conditions.pressure;
}

GasShare most_of(std::span<const GasShare> vapour) {
  return *std::ranges::max_element(vapour, {}, &GasShare::fraction);
}

Timeline::Timeline(const RunSetup& setup, double horizon)
    : setup_{setup}, horizon_{horizon}, breakpoints_{0.0, horizon} {
  const auto add = [&](double t) {
    if (t > 0.0 && t < horizon) breakpoints_.push_back(t);
  };
  for (const Event& event : setup.site.cases[setup.case_index.value].events) add(event.at);
  setup.schedule.breakpoints(add);
  std::sort(breakpoints_.begin(), breakpoints_.end());
  breakpoints_.erase(std::unique(breakpoints_.begin(), breakpoints_.end()), breakpoints_.end());
}

Stretch Timeline::stretch(double from, const RunState& now) const {
  assert(from < horizon_);
  const Site& site = setup_.site;
  Stretch result{from, *std::upper_bound(breakpoints_.begin(), breakpoints_.end(), from),
                 state_at(site, setup_.case_index, from), setup_.schedule.varying_at(from, now.stock)};
  // A varying release that no longer emits gives nothing: a spill that is dry.
  for (std::size_t r = 0; r < site.releases.size(); ++r) {
    if (rate_varies(site.releases[r])) result.state.release_rate[r] = 0.0;
  }
  for (const ReleaseIndex r : result.varying) {
    const Release& release = site.releases[r.value];
    double& rate = result.state.release_rate[r.value];
    if (!follows_vapour(release)) {
      rate = setup_.schedule.rate(r, from);
      continue;
    }
    const SpillNow spill = spill_now(release, now.stock[r.value]);
    const GasShare judged = most_of(spill.vapour);
    const double fraction = now.x(release.into, judged.gas.value) / judged.fraction;
    rate = evaporation_rate(spill.pool, partial_pressure(site, fraction, now.pressure[release.into.value]));
  }
  return result;
}

}  // namespace leanside::transport
