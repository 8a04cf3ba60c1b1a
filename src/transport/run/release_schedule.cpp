// SPDX-License-Identifier: Apache-2.0
#include "transport/run/release_schedule.hpp"

#include <algorithm>
#include <limits>

namespace leanside::transport {
namespace {

/// A step is no longer than this share of the time in which the rate of a release changes much.
constexpr double share_of_time_scale = 0.5;

}  // namespace

ReleaseBook::ReleaseBook(const Site& site, CaseIndex which, double horizon) : site_{site}, horizon_{horizon} {
  for (std::size_t r = 0; r < site.releases.size(); ++r) {
    const Release& release = site.releases[r];
    Entry entry{emission(release, ReleaseIndex{r}, site.cases[which.value].events), rate_varies(release), 0.0, {}};
    if (follows_vapour(release)) {
      entry.left = total_amount(release);
    } else if (!is_sustained(release) && !entry.spans.empty()) {
      const EmissionSpan& last = entry.spans.back();
      const double lasting = emission_time(release);
      if (last.end <= horizon && last.age + (last.end - last.begin) >= lasting * (1.0 - 1e-12))
        entry.trace.spent = last.end;
    }
    if (!entry.varies) {
      for (const EmissionSpan& span : entry.spans) {
        entry.trace.amount += span.rate * (std::min(span.end, horizon) - std::min(span.begin, horizon));
      }
    }
    entries_.push_back(std::move(entry));
  }
}

void ReleaseBook::cuts(const std::function<void(double)>& add) const {
  for (std::size_t r = 0; r < entries_.size(); ++r) {
    const auto ages = entries_[r].varies ? kinks(site_.releases[r]) : std::vector<double>{};
    for (const EmissionSpan& span : entries_[r].spans) {
      add(span.begin);
      add(span.end);
      for (const double age : ages) {
        const double t = span.begin + (age - span.age);
        if (t > span.begin && t < span.end) add(t);
      }
    }
  }
}

double ReleaseBook::age(ReleaseIndex release, double t) const {
  double result = 0.0;
  for (const EmissionSpan& span : entries_[release.value].spans) {
    if (span.begin > t) break;
    result = span.age + (std::min(t, span.end) - span.begin);
  }
  return result;
}

std::vector<ReleaseIndex> ReleaseBook::varying_at(double t) const {
  std::vector<ReleaseIndex> result;
  for (std::size_t r = 0; r < entries_.size(); ++r) {
    const Entry& entry = entries_[r];
    if (!entry.varies || (follows_vapour(site_.releases[r]) && entry.left <= 0.0)) continue;
    const bool now = std::any_of(entry.spans.begin(), entry.spans.end(),
                                 [&](const EmissionSpan& span) { return span.begin <= t && t < span.end; });
    if (now) result.push_back(ReleaseIndex{r});
  }
  return result;
}

double ReleaseBook::rate(ReleaseIndex release, double t, double partial_pressure) const {
  return strength(release_of(release), age(release, t), partial_pressure);
}

double ReleaseBook::stage_rate(ReleaseIndex release, double t, double step, std::size_t stage) const {
  if (step <= 0.0 || stage >= stages) return rate(release, t, 0.0);
  const double begin = age(release, t);
  const double before = amount_emitted(release_of(release), begin);
  double sum = 0.0;
  for (std::size_t s = 0; s < stages; ++s) {
    const double out = amount_emitted(release_of(release), begin + radau().c[s] * step) - before;
    sum += radau().inverse[stage][s] * out;
  }
  return sum / step;
}

double ReleaseBook::longest_step(const std::vector<ReleaseIndex>& varying, double t) const {
  double least = std::numeric_limits<double>::infinity();
  for (const ReleaseIndex r : varying) {
    least = std::min(least, share_of_time_scale * time_scale(release_of(r), age(r, t)));
  }
  return least;
}

void ReleaseBook::pass(const std::vector<ReleaseIndex>& varying, double from, double to) {
  for (const ReleaseIndex r : varying) {
    if (follows_vapour(release_of(r))) continue;
    give(r, amount_emitted(release_of(r), age(r, to)) - amount_emitted(release_of(r), age(r, from)));
  }
}

std::vector<ReleaseTrace> ReleaseBook::traces() const {
  std::vector<ReleaseTrace> result;
  for (const Entry& entry : entries_) result.push_back(entry.trace);
  return result;
}

}  // namespace leanside::transport
