// SPDX-License-Identifier: Apache-2.0
#include "transport/run/release_schedule.hpp"

#include <algorithm>
#include <limits>

namespace leanside::transport {
namespace {

/// A step is no longer than this share of the time in which the rate of a release changes much.
constexpr double share_of_time_scale = 0.5;

}  // namespace

ReleaseSchedule::ReleaseSchedule(const Site& site, CaseIndex case_index) : site_{site} {
  for (std::size_t r = 0; r < site.releases.size(); ++r) {
    spans_.push_back(emission(site.releases[r], ReleaseIndex{r}, site.cases[case_index.value].events));
  }
}

void ReleaseSchedule::breakpoints(const std::function<void(double)>& add) const {
  for (std::size_t r = 0; r < spans_.size(); ++r) {
    const Release& release = site_.releases[r];
    const auto ages = rate_varies(release) ? leanside::breakpoints(release) : std::vector<double>{};
    for (const EmissionSpan& span : spans_[r]) {
      add(span.begin);
      add(span.end);
      for (const double age : ages) {
        const double t = span.begin + (age - span.age);
        if (t > span.begin && t < span.end) add(t);
      }
    }
  }
}

std::vector<ReleaseIndex> ReleaseSchedule::varying_at(double t, std::span<const double> stock) const {
  std::vector<ReleaseIndex> result;
  for (std::size_t r = 0; r < spans_.size(); ++r) {
    const Release& release = site_.releases[r];
    if (!rate_varies(release) || (follows_vapour(release) && stock[r] <= 0.0)) continue;
    const bool now = std::any_of(spans_[r].begin(), spans_[r].end(),
                                 [&](const EmissionSpan& span) { return span.begin <= t && t < span.end; });
    if (now) result.push_back(ReleaseIndex{r});
  }
  return result;
}

double ReleaseSchedule::age(ReleaseIndex release, double t) const {
  double result = 0.0;
  for (const EmissionSpan& span : spans_[release.value]) {
    if (span.begin > t) break;
    result = span.age + (std::min(t, span.end) - span.begin);
  }
  return result;
}

double ReleaseSchedule::rate(ReleaseIndex release, double t) const {
  return emission_rate(release_of(release), age(release, t));
}

double ReleaseSchedule::given(ReleaseIndex release, double from, double to) const {
  return amount_emitted(release_of(release), age(release, to)) -
         amount_emitted(release_of(release), age(release, from));
}

double ReleaseSchedule::longest_step(std::span<const ReleaseIndex> varying, double t) const {
  double least = std::numeric_limits<double>::infinity();
  for (const ReleaseIndex r : varying) {
    least = std::min(least, share_of_time_scale * time_scale(release_of(r), age(r, t)));
  }
  return least;
}

}  // namespace leanside::transport
