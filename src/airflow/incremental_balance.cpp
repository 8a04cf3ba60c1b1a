// SPDX-License-Identifier: Apache-2.0
#include "airflow/incremental_balance.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <set>

#include "airflow/driven.hpp"
#include "airflow/leakage.hpp"
#include "airflow/open_paths.hpp"

namespace leanside::airflow {
namespace {

/// Rates of all releases once they are on, after everything has happened.
std::vector<double> rates_when_on(const Site& site) {
  Site all_on;
  all_on.conditions = site.conditions;
  all_on.criteria = site.criteria;
  all_on.gases = site.gases;
  all_on.spaces = site.spaces;
  all_on.releases = site.releases;
  for (Release& release : all_on.releases) release.on = true;
  all_on.cases.push_back({"normal", "", {}});
  return state_at(all_on, CaseIndex{0}, std::numeric_limits<double>::infinity()).release_rate;
}

}  // namespace

IncrementalBalance::IncrementalBalance(const Site& site, const SiteState& state, const FlowField& field)
    : site_{site}, state_{state}, field_{field}, rate_when_on_{rates_when_on(site)} {
  const std::size_t n = site.spaces.size();
  surplus_.assign(n, 0.0);
  through_.assign(n, 0.0);
  leak_.assign(n, 0.0);
  pushed_.assign(n, 0.0);
  node_.assign(n, 0);
  path_of_.assign(site.airways.size(), -1);
  usable_ = !flows_follow_gas(site, state) && field.unvented.empty() && field.leaking.empty() &&
            field.starved.empty() &&
            std::none_of(field.leaks.begin(), field.leaks.end(),
                         [](const AssumedLeak& leak) { return leak.other.has_value(); }) &&
            std::all_of(field.storage.begin(), field.storage.end(), [](double s) { return s == 0.0; });
  vessels_ = std::any_of(site.spaces.begin(), site.spaces.end(),
                         [](const Space& space) { return space.kind == SpaceKind::vessel; });
  if (!usable_) return;
  shut_ = shut_openings(site, state);
  group(take_given());
  if (!field.overflowing.empty()) find_pushed();
}

/// What exchanges carry on from cabinets or vessels stays the same as long as nothing about these is switched and there
/// is only one way for it: they are joined to the rest of the site as leaves are to a tree.
void IncrementalBalance::find_pushed() {
  derivable_ = false;
  hanging_.assign(group_.size(), false);
  std::vector<bool> rooms(group_.size(), false);
  for (std::size_t i = 0; i < site_.spaces.size(); ++i) {
    if (is_room(i)) rooms[static_cast<std::size_t>(groups_.part_of[i])] = true;
  }
  for (const AirwayIndex overflowing : field_.overflowing) {
    const Airway& airway = site_.airways[overflowing.value];
    for (const Side& side : {first_side(airway), second_side(airway)}) {
      if (!side) continue;
      const auto g = static_cast<std::size_t>(part_of(side));
      if (!rooms[g] && !group_[g].grounded) hanging_[g] = true;
    }
  }
  // What leads out of them by a shut opening might leak: rarely, so it is left to a balance of the whole site.
  usable_ = usable_ && std::none_of(shut_.begin(), shut_.end(), [&](AirwayIndex i) {
              return hangs(first_side(site_.airways[i.value])) || hangs(second_side(site_.airways[i.value]));
            });
  std::vector<network::Edge> links;
  for (std::size_t i = 0; i < site_.airways.size(); ++i) {
    const Airway& airway = site_.airways[i];
    const Side a = first_side(airway), b = second_side(airway);
    if (!std::holds_alternative<Exchange>(airway.kind) || !state_.airway_on[i] || !(hangs(a) || hangs(b))) continue;
    links.push_back({a ? part_of(a) : groups_.count, b ? part_of(b) : groups_.count});
    const double there = field_.airways[i].forward - field_.airways[i].backward;
    if (a && !hangs(a)) pushed_[a->value] -= there;
    if (b && !hangs(b)) pushed_[b->value] += there;
  }
  const network::Parts trees = network::connected_parts(groups_.count + 1, links);
  std::vector<std::size_t> held(static_cast<std::size_t>(trees.count), 0), of_tree(held), with(held);
  for (int g = 0; g <= groups_.count; ++g) {
    const auto tree = static_cast<std::size_t>(trees.part_of[static_cast<std::size_t>(g)]);
    ++of_tree[tree];
    held[tree] += g == groups_.count || !hanging_[static_cast<std::size_t>(g)];
  }
  for (const network::Edge& link : links)
    ++with[static_cast<std::size_t>(trees.part_of[static_cast<std::size_t>(link.from)])];
  for (std::size_t tree = 0; tree < held.size(); ++tree) {
    if (held[tree] != 1 || with[tree] + 1 != of_tree[tree]) usable_ = false;
  }
}

std::vector<network::Edge> IncrementalBalance::take_given() {
  const auto stream = [&](const Side& from, const Side& to, double rate) {
    if (from) surplus_[from->value] -= rate, through_[from->value] += rate;
    if (to) surplus_[to->value] += rate, through_[to->value] += rate;
  };
  std::vector<network::Edge> edges;
  for (std::size_t i = 0; i < site_.airways.size(); ++i) {
    const Airway& airway = site_.airways[i];
    const Side a = first_side(airway), b = second_side(airway);
    const AirwayFlow& flow = field_.airways[i];
    if (std::holds_alternative<Opening>(airway.kind)) {
      path_of_[i] = static_cast<int>(paths_.size());
      paths_.push_back({AirwayIndex{i}, a, b, flow.forward - flow.backward, state_.airway_on[i]});
      if (state_.airway_on[i] && a && b) edges.push_back({static_cast<int>(a->value), static_cast<int>(b->value)});
    } else if (state_.airway_on[i]) {
      stream(a, b, flow.forward);
      stream(b, a, flow.backward);
    }
  }
  for (std::size_t i = 0; i < site_.spaces.size(); ++i) {
    surplus_[i] += field_.release[i];
    through_[i] += field_.release[i] + 2.0 * site_.spaces[i].air_changes *
                                           moles_held(site_.spaces[i], site_.conditions, state_.temperature[i]);
  }
  for (const AssumedLeak& leak : field_.leaks) leak_[leak.space.value] += leak.rate;
  return edges;
}

void IncrementalBalance::group(const std::vector<network::Edge>& edges) {
  const std::size_t n = site_.spaces.size();
  groups_ = network::connected_parts(static_cast<int>(n), edges);
  group_.resize(static_cast<std::size_t>(groups_.count));
  for (std::size_t k = 0; k < paths_.size(); ++k) {
    const Path& path = paths_[k];
    if (!path.on) continue;
    const Side& inside = path.a ? path.a : path.b;
    Group& group = group_[static_cast<std::size_t>(groups_.part_of[inside->value])];
    group.paths.push_back(static_cast<int>(k));
    group.grounded = group.grounded || !path.a || !path.b;
  }
  for (int g = 0; g < groups_.count; ++g) {
    int node = group_[static_cast<std::size_t>(g)].grounded ? 0 : -1;
    double sum = 0.0, through = 0.0;
    bool rooms = false;
    for (const int member : groups_.of(g)) {
      const auto i = static_cast<std::size_t>(member);
      node_[i] = node++;
      sum += surplus_[i];
      through += through_[i];
      rooms = rooms || is_room(i);
    }
    const bool balanced = std::abs(sum) <= surplus_round_off * through;
    if (group_[static_cast<std::size_t>(g)].grounded) continue;
    // The air changes of a vessel or cabinet carry its surplus: that ties groups together that no opening joins.
    if (!balanced && !rooms) usable_ = false;
    if (!rooms || has_shut_opening(groups_.of(g))) derivable_ = false;
  }
}

double IncrementalBalance::molar(double volume_flow, const Side& from) const {
  return molar_flow(volume_flow, site_.conditions.pressure,
                    from ? state_.temperature[from->value] : site_.conditions.outside_temperature);
}

/// Fans, exchanges, air changes and releases; which openings are gone or new. False where the file does not give it.
bool IncrementalBalance::prescribed(const FlowSwitch& switched, Surplus& surplus, FlowChange& change,
                                    std::vector<int>& removed, std::vector<int>& added) {
  if (switched.kind == FlowSwitch::Kind::no_air_changes) {
    const std::size_t i = switched.space->value;
    const double rate =
        site_.spaces[i].air_changes * moles_held(site_.spaces[i], site_.conditions, state_.temperature[i]);
    change.inflows.push_back({std::nullopt, *switched.space, -rate});
    return site_.spaces[i].kind != SpaceKind::vessel;
  }
  if (switched.kind != FlowSwitch::Kind::release_on) {
    return prescribed_airway(switched, surplus, change, removed, added);
  }
  const std::size_t r = switched.release->value;
  const double more = rate_when_on_[r] - state_.release_rate[r];
  if (more == 0.0) return true;
  change.releases.push_back({*switched.release, more});
  surplus[site_.releases[r].into.value] += more;
  return true;
}

bool IncrementalBalance::prescribed_airway(const FlowSwitch& switched, Surplus& surplus, FlowChange& change,
                                           std::vector<int>& removed, std::vector<int>& added) {
  const std::size_t i = switched.airway->value;
  const Airway& airway = site_.airways[i];
  const Side a = first_side(airway), b = second_side(airway);
  const bool opens = switched.kind == FlowSwitch::Kind::airway_open;
  if (follows_pressure(airway)) return !opens && !state_.airway_on[i];
  if (std::holds_alternative<Opening>(airway.kind)) {
    if (opens != state_.airway_on[i]) (opens ? added : removed).push_back(path_of_[i]);
    return true;
  }
  const double before_there = field_.airways[i].forward, before_back = field_.airways[i].backward;
  const bool exchange = std::holds_alternative<Exchange>(airway.kind);
  if (exchange && (hangs(a) || hangs(b))) return false;
  const double after = opens && exchange ? molar(state_.airway_flow[i], a) : 0.0;
  if (b && after != before_there) change.inflows.push_back({a, *b, after - before_there});
  if (exchange) {
    if (a && after != before_back) change.inflows.push_back({b, *a, after - before_back});
    return true;
  }
  if (a) surplus[a->value] += before_there;
  if (b) surplus[b->value] -= before_there;
  return true;
}

std::optional<FlowChange> IncrementalBalance::changed(std::span<const FlowSwitch> switches) {
  if (!usable_) return std::nullopt;
  FlowChange change;
  Surplus delta;
  std::vector<int> removed, added;
  for (const FlowSwitch& switched : switches) {
    if (!prescribed(switched, delta, change, removed, added)) return std::nullopt;
  }
  const std::size_t shut_before = shut_.size();
  for (const int k : removed) shut_.push_back(paths_[static_cast<std::size_t>(k)].airway);
  const bool settled = settle(delta, removed, added, change);
  shut_.resize(shut_before);
  if (!settled && change.fault.empty()) return std::nullopt;  // a fault is an answer, too
  return change;
}

bool IncrementalBalance::settle(const Surplus& delta, std::span<const int> removed, std::span<const int> added,
                                FlowChange& change) {
  std::set<int> touched;
  for (const auto& [space, more] : delta) touched.insert(groups_.part_of[space]);
  std::set<int> parted;
  for (const auto& list : {removed, added}) {
    for (const int k : list) {
      const Path& path = paths_[static_cast<std::size_t>(k)];
      for (const Side& side : {path.a, path.b}) {
        if (side) parted.insert(groups_.part_of[side->value]);
      }
    }
  }
  const auto hangs = [&](int g) { return !hanging_.empty() && hanging_[static_cast<std::size_t>(g)]; };
  if (std::ranges::any_of(touched, hangs) || std::ranges::any_of(parted, hangs)) return false;
  for (const int g : touched) {
    if (!parted.contains(g) && !settle_group(g, delta, change)) return false;
  }
  if (parted.empty()) return true;
  const std::vector<int> groups(parted.begin(), parted.end());
  return settle_anew(groups, delta, removed, added, change);
}

}  // namespace leanside::airflow
