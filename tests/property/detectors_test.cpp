// SPDX-License-Identifier: Apache-2.0
/// When detectors answer: the times of the plan are those at which `check` sees the gas pass the alarm, and no other
/// choice of places is sooner.
#include "leanside/study/detectors.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

#include <gtest/gtest.h>

#include "property/draw.hpp"

namespace {

using namespace leanside;

/// A random site in which one release alone gives gas.
std::optional<Site> site_with_one_leak() {
  Site site = property::draw_site(5);
  std::optional<std::size_t> leak;
  for (std::size_t r = 0; r < site.releases.size(); ++r) {
    const auto& shares = site.releases[r].gas.shares;
    const bool burns = std::any_of(shares.begin(), shares.end(), [&](const GasShare& share) {
      return site.gases[share.gas.value].limits.has_value();
    });
    if (burns && !leak) {
      leak = r;
    } else {
      site.releases[r].kind = SteadyRelease{0.0, {}};
    }
  }
  for (Space& space : site.spaces) space.initial.clear();
  site.cases.resize(1);
  site.criteria.open_ended = false;
  if (!leak) return std::nullopt;
  return site;
}

/// When the space passes the share at which notes begin, s.
std::optional<double> passes(const Assessment& answer, SpaceIndex space) {
  for (const Crossing& crossing : answer.cases[0].spaces[space.value].crossings) {
    if (crossing.threshold == Threshold::note) return crossing.up;
  }
  return std::nullopt;
}

RC_GTEST_PROP(Detectors, AnswerWhenCheckSeesTheGasPassTheAlarm, ()) {
  auto site = site_with_one_leak();
  if (!site) RC_DISCARD("no gas that burns");
  DetectorOptions options;
  options.alarm = site->criteria.note_at;
  const auto plan = property::solved<DetectorPlan>(place_detectors(*site, options));
  const auto answer = property::assessment(*site);
  std::size_t compared = 0;
  for (std::size_t s = 0; s < plan.scenarios.size(); ++s) {
    if (plan.scenarios[s].sensor != Sensor::fuel) continue;
    double soonest = plan.horizon;
    for (std::size_t c = 0; c < plan.candidates.size(); ++c) {
      const auto seen = passes(answer, plan.candidates[c]);
      const double time = plan.time[s][c];
      if (std::isfinite(time) && time < 0.999 * plan.horizon) {
        RC_LOG() << site->spaces[plan.candidates[c].value].id << ": " << time << " s\n";
        RC_ASSERT(seen.has_value());
        const double start = site->releases[plan.scenarios[s].release.value].start;
        RC_ASSERT(std::min(std::abs(*seen - time), std::abs(*seen - start - time)) <= 1e-5 * plan.horizon);
        ++compared;
      }
      soonest = std::min(soonest, time);
    }
    // One detector and one scenario: it hangs where the gas comes first.
    if (plan.scenarios.size() == 1) RC_ASSERT(std::abs(plan.mean_time - soonest) <= 1e-9 * plan.horizon);
  }
  RC_CLASSIFY(compared > 0, "with an alarm");
}

}  // namespace
