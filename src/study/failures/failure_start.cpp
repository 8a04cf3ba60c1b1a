// SPDX-License-Identifier: Apache-2.0
/// When a release that is off does most harm: it may start at any time, and a course in time from clean air would miss
/// what the other releases have gathered by then.
#include <algorithm>
#include <cmath>
#include <utility>

#include "leanside/advanced/release.hpp"
#include "leanside/study/failures.hpp"

namespace leanside {
namespace {

constexpr double year = 365.0 * 86400.0;
/// Of its steady value a fraction may lack this share where it counts as steady.
constexpr double near_enough = 0.01;
/// Fractions below this, mol/mol, are no gas.
constexpr double no_gas = 1e-9;
constexpr std::size_t most_moments = 12;
/// Moments closer than this, s, are one.
constexpr double same_moment = 1.0;

bool holds_gas(const Instant& at) {
  return std::any_of(at.fraction.begin(), at.fraction.end(), [](double x) { return x > no_gas; });
}

/// Whether gas is anywhere at any time of this run, or in its steady state.
bool any_gas(const CaseResult& result) {
  return std::any_of(result.spaces.begin(), result.spaces.end(), [](const SpaceResult& space) {
    return holds_gas(space.peak) || holds_gas(space.end) || (space.steady.reached && holds_gas(space.steady.at));
  });
}

/// Whether every space that has a steady state has come near it at the end of the run.
bool settled(const CaseResult& result) {
  return std::all_of(result.spaces.begin(), result.spaces.end(), [](const SpaceResult& space) {
    if (!space.steady.reached) return true;
    const auto &end = space.end.fraction, &steady = space.steady.at.fraction;
    for (std::size_t c = 0; c < std::min(end.size(), steady.size()); ++c) {
      if (std::abs(end[c] - steady[c]) > near_enough * steady[c] + 1e3 * no_gas) return false;
    }
    return true;
  });
}

/// The longest time, s, for which one of these releases emits; 0 where none of them stops.
double longest_emission(const Site& site, const std::vector<ReleaseIndex>& starting) {
  double longest = 0.0;
  for (const ReleaseIndex r : starting) {
    const Release& release = site.releases[r.value];
    const double time = emission_time(release);
    // That of a spill is the shortest that it can take: vapour over it slows it down.
    if (std::isfinite(time)) longest = std::max(longest, follows_vapour(release) ? 2.0 * time : time);
  }
  return std::min(longest, year);
}

void add(std::vector<double>& moments, double moment) {
  const auto same = [&](double known) { return std::abs(known - moment) <= same_moment; };
  if (moment < 0.0 || std::any_of(moments.begin(), moments.end(), same)) return;
  moments.push_back(moment);
}

}  // namespace

Result<StartMoments> start_moments(const Site& site, const std::vector<ReleaseIndex>& starting) {
  const double horizon = site.criteria.horizon, emission = longest_emission(site, starting);
  const CaseIndex case_index{0};
  AssessOptions options;
  options.explain = false;
  options.only = case_index;
  std::vector<double> moments{0.0};
  Site base = site;
  base.criteria.open_ended = false;  // the time is chosen here
  for (double end = horizon;; end *= 2.0) {
    base.criteria.horizon = std::min(end, std::max(horizon, year));
    auto solved = assess(base, options);
    if (auto* fault = std::get_if<Fault>(&solved)) return std::move(*fault);
    const CaseResult& result = std::get<Assessment>(solved).cases.front();
    if (!any_gas(result)) break;
    if (end == horizon) {
      for (const ReleaseIndex r : starting) {
        const SpaceResult& into = result.spaces[site.releases[r.value].into.value];
        add(moments, into.peak.time);
        add(moments, into.worst_oxygen_time);
      }
    }
    if (!settled(result) && base.criteria.horizon < year) continue;
    add(moments, base.criteria.horizon);
    break;
  }
  for (const Event& event : site.cases[case_index.value].events) {
    add(moments, event.at);
    if (emission > 0.0) add(moments, event.at - emission);
  }
  StartMoments out;
  if (moments.size() > most_moments) {
    out.left_out = moments.size() - most_moments;
    moments.resize(most_moments);
  }
  std::sort(moments.begin(), moments.end());
  out.at = std::move(moments);
  // A short emission is over well within the horizon: the run is then the one that the file asks for.
  out.until = out.at.back() + horizon + (emission > 0.5 * horizon ? emission : 0.0);
  return out;
}

}  // namespace leanside
