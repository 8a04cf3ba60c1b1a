// SPDX-License-Identifier: Apache-2.0
#include "airflow/balance.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>

#include <fmt/format.h>

#include "airflow/dead_ends.hpp"

namespace leanside {
namespace airflow {

Balance::Balance(const Site& site, const SiteState& state, std::span<const double> density, Memory& memory)
    : site_{site}, state_{state}, density_(density.begin(), density.end()), memory_{memory} {
  const std::size_t n = site.spaces.size();
  overflows_.assign(site.airways.size(), false);
  limited_.assign(site.airways.size(), false);
  breathes_out_.assign(n, false);
  beyond_leakage_.assign(n, false);
  draws_.assign(n, false);
  solved_.assign(n, false);
  clear();
  if (density_.empty()) {
    for (std::size_t i = 0; i < n; ++i) {
      density_.push_back(site.conditions.pressure * molar_mass_of_air / (gas_constant * state.temperature[i]));
    }
  }
}

/// No flows yet.
void Balance::clear() {
  const std::size_t n = site_.spaces.size();
  field_ = {};
  field_.airways.resize(site_.airways.size());
  field_.release.assign(n, 0.0);
  field_.storage.assign(n, 0.0);
  field_.sealed.assign(n, false);
  field_.pressure.assign(n, 0.0);
  surplus_.assign(n, 0.0);
  through_.assign(n, 0.0);
}

// Most sites are settled at the first go. Where fans have to be solved together with what leaks, all is prescribed anew
// without them.
std::variant<FlowField, FlowFault> Balance::run() {
  list_ways();
  group();
  prescribe();
  while (open_exchanges()) group();
  if (auto fault = find_fault()) return *fault;
  const auto openings = open_paths_;
  while (open_assumed_ways()) group();
  if (find_limited_fans()) {
    open_paths_ = openings;
    group();
    clear();
    prescribe();
    add_assumed_gaps();
    while (open_assumed_ways()) group();
  }
  return settle();
}

std::variant<FlowField, FlowFault> Balance::run_burst(std::span<const double> surplus) {
  bursting_ = true;
  for (std::size_t i = 0; i < surplus.size(); ++i) {
    surplus_[i] = surplus[i];
    through_[i] = std::abs(surplus[i]);
    field_.storage[i] = -surplus[i];
  }
  list_ways();
  // At such a moment gaps and doorways are ways like any other.
  for (const AirwayIndex i : driven_) {
    open_paths_.push_back({first_side(site_.airways[i.value]), second_side(site_.airways[i.value]), i});
  }
  driven_.clear();
  group();
  while (open_exchanges()) group();
  while (open_assumed_ways()) group();
  return settle();
}

double Balance::temperature_of(const Side& side) const {
  return side ? state_.temperature[side->value] : site_.conditions.outside_temperature;
}

double Balance::molar(double volume_flow, const Side& from) const {
  return molar_flow(volume_flow, site_.conditions.pressure, temperature_of(from));
}

double Balance::held_by(std::size_t i) const {
  return moles_held(site_.spaces[i], site_.conditions, state_.temperature[i]);
}

void Balance::stream(const Side& from, const Side& to, double rate) {
  if (rate <= 0.0) return;
  field_.flows.push_back({from, to, rate});
  for (const Side& side : {from, to}) {
    if (side) through_[side->value] += rate;
  }
  if (from) surplus_[from->value] -= rate;
  if (to) surplus_[to->value] += rate;
}

bool Balance::is_open(std::size_t airway) const { return state_.airway_on[airway] && state_.airway_open[airway] > 0.0; }

/// Openings, and the gaps and doorways that stand open and lead somewhere: rounding must not make gas of what comes out
/// of a dead end as it came in.
void Balance::list_ways() {
  std::vector<bool> open;
  for (std::size_t i = 0; i < site_.airways.size(); ++i) open.push_back(is_open(i));
  const std::vector<bool> dead = dead_ends(site_, state_, open);
  const auto blind = [&](const Side& side) { return side && dead[side->value]; };
  for (std::size_t i = 0; i < site_.airways.size(); ++i) {
    if (!open[i]) continue;
    const Airway& airway = site_.airways[i];
    if (const auto* opening = std::get_if<Opening>(&airway.kind)) {
      OpenPath& path = open_paths_.emplace_back(OpenPath{opening->first, opening->second, AirwayIndex{i}});
      path.interface = memory_.parts != nullptr && memory_.parts->interface[i];
    } else if ((std::holds_alternative<Gap>(airway.kind) || std::holds_alternative<Doorway>(airway.kind)) &&
               !blind(first_side(airway)) && !blind(second_side(airway))) {
      driven_.push_back(AirwayIndex{i});
    }
  }
  shut_ = shut_openings(site_, state_);
}

/// m3/s that a fan moves by itself; of a curve, against no pressure.
double Balance::given_flow(std::size_t fan) const {
  const auto& points = std::get<Fan>(kind_now(site_, state_, fan)).curve;
  if (points.empty()) return state_.airway_flow[fan];
  std::vector<CurvePoint> curve;
  for (const FanPoint& point : points) curve.push_back({point.pressure, point.flow});
  return curve_flow(curve, 0.0).value;
}

void Balance::prescribe_airway(std::size_t i) {
  if (const auto* fan = std::get_if<Fan>(&site_.airways[i].kind)) {
    if (limited_[i] || (!fan->curve.empty() && pressures_known(fan->from) && pressures_known(fan->to))) {
      driven_.push_back(AirwayIndex{i});
      return;
    }
    // Without pressures to work against, a curve counts where it works against none.
    const double rate = molar(given_flow(i), fan->from);
    stream(fan->from, fan->to, rate);
    field_.airways[i].forward = rate;
  } else if (const auto* exchange = std::get_if<Exchange>(&site_.airways[i].kind)) {
    const double rate = molar(state_.airway_flow[i], exchange->first);
    stream(exchange->first, exchange->second, rate);
    stream(exchange->second, exchange->first, rate);
    field_.airways[i] = {rate, rate, std::nullopt};
  }
}

void Balance::prescribe() {
  std::erase_if(driven_, [&](AirwayIndex i) { return std::holds_alternative<Fan>(site_.airways[i.value].kind); });
  field_.flows.reserve(2 * site_.airways.size() + 2 * site_.spaces.size());
  for (std::size_t i = 0; i < site_.airways.size(); ++i) {
    if (state_.airway_on[i]) prescribe_airway(i);
  }
  for (std::size_t i = 0; i < site_.spaces.size(); ++i) {
    const double rate = site_.spaces[i].air_changes * held_by(i);
    stream(SpaceIndex{i}, std::nullopt, rate);
    stream(std::nullopt, SpaceIndex{i}, rate);
  }
  for (std::size_t r = 0; r < site_.releases.size(); ++r) {
    const std::size_t space = site_.releases[r].into.value;
    field_.release[space] += state_.release_rate[r];
    surplus_[space] += state_.release_rate[r];
    through_[space] += state_.release_rate[r];
  }
}

void Balance::group() {
  std::vector<network::Edge> edges;
  std::vector<Side> to_outside;
  const auto join = [&](const Side& a, const Side& b) {
    if (a && b) {
      edges.push_back({static_cast<int>(a->value), static_cast<int>(b->value)});
    } else if (a || b) {
      to_outside.push_back(a ? a : b);
    }
  };
  for (const OpenPath& path : open_paths_) join(path.a, path.b);
  for (const AssumedGap& gap : gaps_) join(gap.a, gap.b);
  for (const AirwayIndex i : driven_) {
    if (std::holds_alternative<Fan>(site_.airways[i.value].kind)) continue;
    join(first_side(site_.airways[i.value]), second_side(site_.airways[i.value]));
  }
  groups_ = network::connected_parts(static_cast<int>(site_.spaces.size()), edges);
  grounded_.assign(static_cast<std::size_t>(groups_.count), false);
  for (const Side& inside : to_outside) grounded_[group_of(inside)] = true;
}

/// Where no way leads outside the pressures are known but for a constant: one space of the group is held at 0.
std::vector<bool> Balance::pinned_spaces() {
  std::vector<bool> pinned(site_.spaces.size(), false), seen(static_cast<std::size_t>(groups_.count), false);
  for (const AirwayIndex i : driven_) {
    for (const Side& side : {first_side(site_.airways[i.value]), second_side(site_.airways[i.value])}) {
      if (!side || solved_[side->value]) continue;
      const std::size_t g = group_of(side);
      if (grounded_[g] || seen[g]) continue;
      seen[g] = true;
      pinned[side->value] = true;
      for (const int member : groups_.of(static_cast<int>(g))) {
        field_.unvented.push_back(SpaceIndex{static_cast<std::size_t>(member)});
      }
    }
  }
  return pinned;
}

/// Flows of what follows pressures, where there is any.
std::optional<FlowFault> Balance::solve_driven() {
  if (driven_.empty() && gaps_.empty()) return std::nullopt;
  std::sort(driven_.begin(), driven_.end());
  std::vector<Tie> ties;
  for (const OpenPath& path : open_paths_) {
    const double z = path.airway ? height_above_datum(site_, site_.airways[path.airway->value], 0.0)
                                 : site_.spaces[path.a->value].elevation;
    ties.push_back({path.a, path.b, z});
  }
  const std::vector<bool> pinned = pinned_spaces();
  DrivenFlows flows(site_, state_, density_, ties, {driven_, gaps_});
  SpaceIndex worst;
  if (!flows.solve(surplus_, pinned, memory_, field_, worst)) {
    return FlowFault{fmt::format("the pressures could not be balanced; the balance is worst around '{}'",
                                 site_.spaces[worst.value].id),
                     worst, FaultKind::unsolved};
  }
  if (!gaps_.empty()) drop_round_off();
  for (const AirwayIndex i : driven_) {
    const Side a = first_side(site_.airways[i.value]), b = second_side(site_.airways[i.value]);
    stream(a, b, field_.airways[i.value].forward);
    stream(b, a, field_.airways[i.value].backward);
  }
  keep_gap_flows(flows);
  note_fans(flows);
  return std::nullopt;
}

/// An exchange may stand beside the way that the surplus takes: what it carries then is rounding.
bool Balance::is_round_off(const OpenPath& path) const {
  const auto through = [&](const Side& side) { return side ? through_[side->value] : 0.0; };
  return std::abs(path.flow) <= surplus_round_off * std::max(through(path.a), through(path.b));
}

void Balance::solve_open_paths() {
  airflow::solve_open_paths(open_paths_, surplus_, through_);
  for (const OpenPath& path : open_paths_) {
    stream(path.a, path.b, path.flow);
    stream(path.b, path.a, -path.flow);
    if (path.assumed && path.flow == 0.0) continue;
    if (path.airway) {
      AirwayFlow& airway = field_.airways[path.airway->value];
      (path.flow > 0.0 ? airway.forward : airway.backward) += std::abs(path.flow);
      if (overflows_[path.airway->value] && !is_round_off(path)) field_.overflowing.push_back(*path.airway);
      if (path.assumed) field_.leaking.push_back(*path.airway);
    } else if (path.assumed) {
      field_.leaks.push_back({*path.a, -path.flow, path.b});
    }
  }
  std::sort(field_.overflowing.begin(), field_.overflowing.end());
  std::sort(field_.leaking.begin(), field_.leaking.end());
}

std::variant<FlowField, FlowFault> Balance::settle() {
  const bool vessels = std::any_of(site_.spaces.begin(), site_.spaces.end(),
                                   [](const Space& space) { return space.kind == SpaceKind::vessel; });
  if (vessels) {
    std::vector<AirwayIndex> ways = driven_;
    std::erase_if(ways, [&](AirwayIndex i) { return limited_[i.value]; });
    field_.sealed = sealed_spaces(site_, state_, open_paths_, ways);
  }
  if (auto fault = close_groups()) return *fault;
  if (auto fault = solve_driven()) return *fault;
  solve_open_paths();
  return std::move(field_);
}

std::variant<FlowField, FlowFault> balance(const Site& site, const SiteState& state, std::span<const double> density,
                                           Memory& memory) {
  return Balance(site, state, density, memory).run();
}

}  // namespace airflow

std::variant<FlowField, FlowFault> balance_flows(const Site& site, const SiteState& state,
                                                 std::span<const double> density) {
  airflow::Memory memory;
  return airflow::balance(site, state, density, memory);
}

std::variant<FlowField, FlowFault> burst_flows(const Site& site, const SiteState& state,
                                               std::span<const double> surplus, std::span<const double> density) {
  assert(surplus.size() == site.spaces.size());
  airflow::Memory memory;
  return airflow::Balance(site, state, density, memory).run_burst(surplus);
}

}  // namespace leanside
