// SPDX-License-Identifier: Apache-2.0
#include "transport/run/release_traces.hpp"

#include <algorithm>
#include <limits>

namespace leanside::transport {
namespace {

/// When a release other than a spill has given all it has, s; empty: not until `horizon`, or never.
std::optional<double> time_spent(const Release& release, std::span<const EmissionSpan> spans, double horizon) {
  if (follows_vapour(release) || lasts(release) || spans.empty()) return std::nullopt;
  constexpr double round_off = 1e-12;
  const EmissionSpan& last = spans.back();
  const double emitted_for = last.age + (last.end - last.begin);
  // A short stretch late in the run is only as exact as its ends.
  const double lost = round_off * emission_time(release) + 4.0 * std::numeric_limits<double>::epsilon() * last.end;
  if (last.end > horizon || emitted_for < emission_time(release) - lost) return std::nullopt;
  return last.end;
}

}  // namespace

ReleaseTraces::ReleaseTraces(const Site& site, const ReleaseSchedule& schedule, double horizon) {
  for (std::size_t r = 0; r < site.releases.size(); ++r) {
    const Release& release = site.releases[r];
    const auto spans = schedule.spans(ReleaseIndex{r});
    ReleaseTrace trace{0.0, time_spent(release, spans, horizon)};
    if (!rate_varies(release)) {
      for (const EmissionSpan& span : spans) {
        trace.amount += span.rate * (std::min(span.end, horizon) - std::min(span.begin, horizon));
      }
    }
    traces_.push_back(trace);
  }
}

void ReleaseTraces::note(const ReleaseGiven& given) {
  ReleaseTrace& trace = traces_[given.release.value];
  trace.amount += given.amount;
  if (given.dry) trace.spent = given.dry;
}

}  // namespace leanside::transport
