// SPDX-License-Identifier: Apache-2.0
#include "transport/coupled/turning_point.hpp"

#include <algorithm>
#include <utility>
#include <vector>

#include "leanside/advanced/airflow.hpp"

namespace leanside::transport {
namespace {

/// From where to where air flows, and which fans get less air than they would move.
struct Directions {
  std::vector<std::pair<Side, Side>> streams;
  std::vector<AirwayIndex> starved;
  friend bool operator==(const Directions&, const Directions&) = default;
};

/// The directions at `t`; empty if the flows cannot be balanced.
Directions directions(const RunSetup& setup, const Stretch& stretch, double t) {
  SiteState state = stretch.state;
  for (const ReleaseIndex r : stretch.varying) {
    state.release_rate[r.value] = std::max(0.0, setup.schedule.rate(r, t));
  }
  const auto flows = balance_flows(setup.site, state);
  Directions result;
  const auto* field = std::get_if<FlowField>(&flows);
  if (field == nullptr) return result;
  double most = 0.0;
  for (const MolarFlow& flow : field->flows) most = std::max(most, flow.rate);
  constexpr double round_off = 1e-12;
  for (const MolarFlow& flow : field->flows) {
    if (flow.rate > round_off * most) result.streams.emplace_back(flow.from, flow.to);
  }
  for (const StarvedFan& fan : field->starved) {
    if (fan.carried < fan.given) result.starved.push_back(fan.fan);
  }
  std::sort(result.streams.begin(), result.streams.end());
  std::sort(result.starved.begin(), result.starved.end());
  return result;
}

}  // namespace

double turning_point(const RunSetup& setup, const Stretch& stretch) {
  constexpr double fewest_looks = 8.0, most_looks = 400.0;
  constexpr double too_short = 1e-9;  // for a stretch of its own, as a share of this one
  const double from = stretch.from, to = stretch.to;
  // Between two pools that dry at almost the same moment lie a few roundings of the time: nothing can turn there, and
  // no look would get on.
  constexpr double roundings = 1e-12;
  if (!(to - from > roundings * to)) return to;
  const double first = from + too_short * (to - from), last = to - too_short * (to - from);
  const auto at_start = directions(setup, stretch, first);
  for (double before = first; before < last;) {
    const double step = std::clamp(setup.schedule.longest_step(stretch.varying, before), (to - from) / most_looks,
                                   (to - from) / fewest_looks);
    double after = std::min(last, before + step);
    if (directions(setup, stretch, after) == at_start) {
      before = after;
      continue;
    }
    constexpr int halvings = 52;
    for (int k = 0; k < halvings; ++k) {
      const double middle = 0.5 * (before + after);
      (directions(setup, stretch, middle) == at_start ? before : after) = middle;
    }
    return after;
  }
  return to;
}

}  // namespace leanside::transport
