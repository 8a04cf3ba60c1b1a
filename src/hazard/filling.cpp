// SPDX-License-Identifier: Apache-2.0
#include "hazard/filling.hpp"

#include <algorithm>
#include <cmath>
#include <queue>

#include "leanside/advanced/airflow.hpp"

namespace leanside::hazard {
namespace {

bool is_vessel(const Site& site, Side side) { return side && site.spaces[side->value].kind == SpaceKind::vessel; }

/// The open ways of each space in the long run: where they lead, with empty for outside.
std::vector<std::vector<Side>> open_ways(const Site& site, CaseIndex case_index) {
  std::vector<std::vector<Side>> out(site.spaces.size());
  const SiteState state = state_at(site, case_index, HUGE_VAL);
  for (std::size_t i = 0; i < site.airways.size(); ++i) {
    if (!state.airway_on[i]) continue;
    const Side first = first_side(site.airways[i]), second = second_side(site.airways[i]);
    if (first) out[first->value].push_back(second);
    if (second) out[second->value].push_back(first);
  }
  for (std::size_t i = 0; i < site.spaces.size(); ++i) {
    if (site.spaces[i].air_changes > 0.0) out[i].emplace_back();
  }
  return out;
}

FlameState flame_of(MixtureState state) {
  if (state == MixtureState::flammable) return FlameState::may_strike;
  return state == MixtureState::rich || state == MixtureState::inerted ? FlameState::steady : FlameState::out;
}

}  // namespace

std::vector<SpaceIndex> vessels_before(const Site& site, CaseIndex case_index, SpaceIndex space) {
  const auto ways = open_ways(site, case_index);
  std::vector<SpaceIndex> found;
  std::queue<SpaceIndex> open;
  open.push(space);
  // Away from the vessel each one may have one more way only: the one that it came by, where it leads on to the vessel.
  while (!open.empty()) {
    const SpaceIndex here = open.front();
    open.pop();
    for (const Side& side : ways[here.value]) {
      const auto seen = [&](SpaceIndex one) {
        return one == space || std::find(found.begin(), found.end(), one) != found.end();
      };
      if (!is_vessel(site, side) || seen(*side)) continue;
      const auto& there = ways[side->value];
      // Of a chain those behind it lead through it; all its other ways have to end in such vessels.
      const auto ends = [&](const auto& self, SpaceIndex at, SpaceIndex from, std::size_t depth) -> bool {
        return depth < site.spaces.size() &&
               std::all_of(ways[at.value].begin(), ways[at.value].end(), [&](const Side& way) {
                 return way == Side{from} || (is_vessel(site, way) && *way != space && self(self, *way, at, depth + 1));
               });
      };
      if (there.empty() || !ends(ends, *side, here, 0)) continue;
      found.push_back(*side);
      open.push(*side);
    }
  }
  return found;
}

std::vector<SpaceIndex> closed_group(const Site& site, CaseIndex case_index, SpaceIndex space) {
  const auto ways = open_ways(site, case_index);
  std::vector<SpaceIndex> group{space};
  for (std::size_t k = 0; k < group.size(); ++k) {
    for (const Side& side : ways[group[k].value]) {
      if (!is_vessel(site, side)) return {};
      if (std::find(group.begin(), group.end(), *side) == group.end()) group.push_back(*side);
    }
  }
  return group;
}

Filling::Filling(const Site& site, CaseIndex case_index, SpaceIndex space, const MixtureModel& model)
    : site_{site}, model_{model}, before_{vessels_before(site, case_index, space)} {
  const auto ways = open_ways(site, case_index);
  std::vector<SpaceIndex> order{space};
  order.insert(order.end(), before_.begin(), before_.end());
  std::reverse(order.begin(), order.end());
  const auto place_of = [&](SpaceIndex one) {
    return static_cast<std::size_t>(std::find(order.begin(), order.end(), one) - order.begin());
  };
  for (std::size_t v = 0; v < order.size(); ++v) {
    const Space& vessel = site.spaces[order[v].value];
    Vessel one{order[v], order.size() - 1,
               site.conditions.pressure * vessel.volume / (gas_constant * vessel.temperature)};
    for (const Side& side : ways[order[v].value]) {
      if (side && place_of(*side) > v && place_of(*side) < order.size()) one.next = place_of(*side);
    }
    vessels_.push_back(one);
  }
  breaks_ = {0.0};
  known_ = true;
  for (std::size_t r = 0; r < site.releases.size(); ++r) {
    const std::size_t vessel = place_of(site.releases[r].into);
    if (vessel == order.size()) continue;
    const ReleaseIndex index{r};
    auto spans = emission(site.releases[r], index, site.cases[case_index.value].events);
    if (spans.empty()) continue;
    known_ = known_ && !follows_vapour(site.releases[r]);
    for (const EmissionSpan& span : spans) {
      breaks_.push_back(span.begin);
      if (std::isfinite(span.end)) breaks_.push_back(span.end);
    }
    sources_.push_back({index, vessel, std::move(spans)});
  }
  known_ = known_ && !sources_.empty();
  std::sort(breaks_.begin(), breaks_.end());
  breaks_.erase(std::unique(breaks_.begin(), breaks_.end()), breaks_.end());
}

double Filling::cubic_metres(double amount) const {
  const Space& space = site_.spaces[vessels_.back().space.value];
  return amount * gas_constant * space.temperature / site_.conditions.pressure;
}

double Filling::given(const Source& source, double begin, double end) const {
  const Release& release = site_.releases[source.release.value];
  double out = 0.0;
  for (const EmissionSpan& span : source.spans) {
    const double from = std::max(begin, span.begin), to = std::min(end, span.end);
    if (to <= from) continue;
    out += amount_emitted(release, span.age + to - span.begin) - amount_emitted(release, span.age + from - span.begin);
  }
  return out;
}

double Filling::rate(double time) const {
  double out = 0.0;
  for (const Source& source : sources_) {
    for (const EmissionSpan& span : source.spans) {
      if (time < span.begin || time >= span.end) continue;
      out += emission_rate(site_.releases[source.release.value], span.age + time - span.begin);
    }
  }
  return out;
}

double Filling::least_flow() const {
  double least = HUGE_VAL;
  for (std::size_t k = 0; k < breaks_.size(); ++k) {
    const bool last = k + 1 == breaks_.size();
    const double begin = breaks_[k], end = last ? begin : breaks_[k + 1];
    if (last && !(rate(begin) > 0.0)) break;       // all gas has come
    if (k == 0 && !(rate(begin) > 0.0)) continue;  // none has come yet
    constexpr double before_the_end = 1.0 - 1e-9;
    least = std::min({least, rate(begin), last ? HUGE_VAL : rate(begin + before_the_end * (end - begin))});
  }
  return std::isfinite(least) ? cubic_metres(least) : 0.0;
}

double Filling::step_length(const Contents& contents, double time, double volumes, const Air& air) const {
  double held = HUGE_VAL;
  for (const Vessel& vessel : vessels_) held = std::min(held, vessel.held);
  const double now = rate(time);
  const double in = now + (air ? air(contents.back(), cubic_metres(now)) / cubic_metres(1.0) : 0.0);
  constexpr double share = 0.01;  // of the smallest vessel, more where nothing changes any more
  return in > 0.0 ? share * (1.0 + volumes) * held / in : HUGE_VAL;
}

double Filling::step(Contents& contents, FillingPoint& point, double time, double until, const Air& air) const {
  const std::size_t gases = site_.gases.size();
  Contents brought(vessels_.size(), std::vector<double>(gases, 0.0));  // mol into each
  std::vector<double> total(vessels_.size(), 0.0);
  for (const Source& source : sources_) {
    const double amount = given(source, time, until);
    total[source.vessel] += amount;
    for (const GasShare& share : site_.releases[source.release.value].gas.shares) {
      brought[source.vessel][share.gas.value] += amount * share.fraction;
    }
  }
  const double seconds = until - time;
  for (std::size_t v = 0; v < vessels_.size(); ++v) {
    const bool last = v + 1 == vessels_.size();
    const double outflow = seconds > 0.0 ? cubic_metres(total[v]) / seconds : 0.0;
    const double in = last && air ? air(contents[v], outflow) * seconds / cubic_metres(1.0) : 0.0;
    const double through = total[v] + in;
    if (!(through > 0.0)) continue;
    // dx/dn = (y - x)/held while the inflow has the composition y: exact. What has left is what came less what stayed.
    const double kept = std::exp(-through / vessels_[v].held);
    if (last) point.gone += through;
    for (std::size_t k = 0; k < gases; ++k) {
      const double before = contents[v][k], inflow = brought[v][k] / through;
      contents[v][k] = inflow + (before - inflow) * kept;
      const double left = brought[v][k] - vessels_[v].held * (contents[v][k] - before);
      if (last) {
        point.left[k] += left;
      } else {
        brought[vessels_[v].next][k] += left;
      }
    }
    if (!last) total[vessels_[v].next] += total[v];
  }
  return total.back();
}

void Filling::settle_state(FillingPoint& point, const std::vector<double>& mixture) const {
  point.mixture = mixture;
  point.state = model_.state(mixture);
}

Filled Filling::run(double end, const Air& air) const {
  Contents contents(vessels_.size(), std::vector<double>(site_.gases.size(), 0.0));
  for (std::size_t v = 0; v < vessels_.size(); ++v) {
    for (const GasShare& share : site_.spaces[vessels_[v].space.value].initial) {
      contents[v][share.gas.value] += share.fraction;
    }
  }
  Filled out;
  FillingPoint point;
  point.left.assign(site_.gases.size(), 0.0);
  settle_state(point, contents.back());
  out.points.push_back(point);
  out.spans.push_back({0.0, 0.0, flame_of(point.state)});
  double volumes = 0.0;
  constexpr std::size_t most = 20000;
  while (point.time < end && out.points.size() < most) {
    const auto next = std::upper_bound(breaks_.begin(), breaks_.end(), point.time);
    const double limit = next == breaks_.end() ? end : std::min(end, *next);
    constexpr double least_steps = 50.0;
    const double from = next == breaks_.begin() ? 0.0 : *std::prev(next);
    const double length = std::min(step_length(contents, point.time, volumes, air), (limit - from) / least_steps);
    const double until = point.time + 1.0001 * length >= limit ? limit : point.time + length;
    const Contents saved = contents;
    const FillingPoint before = point;
    step(contents, point, point.time, until, air);
    settle_state(point, contents.back());
    point.time = until;
    volumes = until == limit ? 0.0 : volumes + (point.gone - before.gone) / vessels_.back().held;
    out.points.push_back(point);
    out.spans.back().end = until;
    const FlameState now = flame_of(point.state);
    if (now == out.spans.back().state) continue;
    // The instant of the change, within the step.
    double low = before.time, high = until;
    constexpr int halvings = 40;
    for (int k = 0; k < halvings; ++k) {
      const double middle = 0.5 * (low + high);
      Contents tried = saved;
      FillingPoint there = before;
      step(tried, there, before.time, middle, air);
      (flame_of(model_.state(tried.back())) == out.spans.back().state ? low : high) = middle;
    }
    out.spans.back().end = high;
    out.spans.push_back({high, until, now});
  }
  for (const StateSpan& span : out.spans) {
    if (span.state != FlameState::may_strike) continue;
    out.flammable_time += span.end - span.begin;
    if (!out.from) out.from = span.begin;
    out.until = &span == &out.spans.back() ? std::nullopt : std::optional{span.end};
  }
  return out;
}

}  // namespace leanside::hazard
