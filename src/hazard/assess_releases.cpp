// SPDX-License-Identifier: Apache-2.0
#include "leanside/assess_releases.hpp"

#include <algorithm>
#include <utility>
#include <variant>
#include <vector>

#include "hazard/judge.hpp"
#include "hazard/release_facts.hpp"
#include "leanside/advanced/release.hpp"
#include "transport/run/release_schedule.hpp"
#include "transport/run/release_traces.hpp"

namespace leanside {
namespace {

/// What each release gives within the horizon and when it is spent; not of spills, whose rate follows the air.
std::vector<ReleaseTrace> traces_by_schedule(const Site& site) {
  const transport::ReleaseSchedule schedule(site, CaseIndex{0});
  const double horizon = site.criteria.horizon;
  transport::ReleaseTraces traces(site, schedule, horizon);
  for (std::size_t r = 0; r < site.releases.size(); ++r) {
    const Release& release = site.releases[r];
    if (!rate_varies(release) || follows_vapour(release)) continue;
    for (const EmissionSpan& span : schedule.spans(ReleaseIndex{r})) {
      const double begin = std::min(span.begin, horizon), end = std::min(span.end, horizon);
      const double given = amount_emitted(release, span.age + (end - begin)) - amount_emitted(release, span.age);
      traces.note({ReleaseIndex{r}, given, std::nullopt});
    }
  }
  return traces.traces();
}

}  // namespace

Result<Assessment> assess_releases(const Site& site, std::optional<ReleaseIndex> only, bool amounts) {
  const auto asked = hazard::releases_asked_for(site, only);
  const auto any = [&](const auto& holds) {
    return std::any_of(asked.begin(), asked.end(), [&](ReleaseIndex r) { return holds(site.releases[r.value]); });
  };
  AssessOptions options;
  options.only = CaseIndex{0};
  options.explain = false;
  if (any(follows_vapour) || (amounts && (site.criteria.open_ended || hazard::may_condense(site)))) {
    return assess(site, options);
  }
  Assessment assessment;
  if (any([](const Release& release) { return std::holds_alternative<ChargingRelease>(release.kind); })) {
    options.steady_only = true;
    auto steady = assess(site, options);
    if (auto* fault = std::get_if<Fault>(&steady)) return std::move(*fault);
    assessment = std::move(std::get<Assessment>(steady));
  } else {
    assessment.cases.emplace_back();
    assessment.cases.front().spaces.resize(site.spaces.size());
  }
  assessment.cases.front().releases = traces_by_schedule(site);
  return assessment;
}

}  // namespace leanside
