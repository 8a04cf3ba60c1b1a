// SPDX-License-Identifier: Apache-2.0
#include "study/flow_book.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <set>

#include <fmt/format.h>

#include "transport/sustained.hpp"

namespace leanside::study {
namespace {

/// A surplus below this share of what streams through its group is round-off, as in the balance of the whole site.
constexpr double surplus_round_off = 1e-13;
/// A change of a relief flow below this share of the largest change is round-off.
constexpr double flow_round_off = 1e-13;

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

FlowBook::FlowBook(const Site& site, const SiteState& state, const FlowField& field)
    : site_{site}, state_{state}, field_{field}, rate_when_on_{rates_when_on(site)} {
  const std::size_t n = site.spaces.size();
  surplus_.assign(n, 0.0);
  through_.assign(n, 0.0);
  leak_.assign(n, 0.0);
  node_.assign(n, 0);
  path_of_.assign(site.airways.size(), -1);
  usable_ = !transport::flows_follow_gas(site, state) && field.overflowing.empty() && field.adrift.empty() &&
            std::all_of(field.storage.begin(), field.storage.end(), [](double s) { return s == 0.0; });
  vessels_ = std::any_of(site.spaces.begin(), site.spaces.end(),
                         [](const Space& space) { return space.kind == SpaceKind::vessel; });
  if (!usable_) return;
  const auto stream = [&](const Side& from, const Side& to, double rate) {
    if (from) surplus_[from->value] -= rate, through_[from->value] += rate;
    if (to) surplus_[to->value] += rate, through_[to->value] += rate;
  };
  std::vector<network::Edge> edges;
  for (std::size_t i = 0; i < site.airways.size(); ++i) {
    const Airway& airway = site.airways[i];
    const Side a = first_side(airway), b = second_side(airway);
    const AirwayFlow& flow = field.airways[i];
    if (std::holds_alternative<Relief>(airway.kind)) {
      path_of_[i] = static_cast<int>(paths_.size());
      paths_.push_back({AirwayIndex{i}, a, b, flow.forward - flow.backward, state.airway_on[i]});
      if (state.airway_on[i] && a && b) edges.push_back({static_cast<int>(a->value), static_cast<int>(b->value)});
    } else if (state.airway_on[i]) {
      stream(a, b, flow.forward);
      stream(b, a, flow.backward);
    }
  }
  for (std::size_t i = 0; i < n; ++i) {
    surplus_[i] += field.release[i];
    through_[i] += field.release[i] +
                   2.0 * site.spaces[i].air_changes * moles_held(site.spaces[i], site.conditions, state.temperature[i]);
  }
  for (const AssumedLeak& leak : field.leaks) leak_[leak.space.value] += leak.rate;
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
    // The air changes of a vessel carry its surplus: that ties groups together that no relief joins.
    if (!group_[static_cast<std::size_t>(g)].grounded && !balanced && !rooms) usable_ = false;
  }
}

bool FlowBook::is_room(std::size_t space) const {
  return site_.spaces[space].kind == SpaceKind::room || site_.spaces[space].kind == SpaceKind::cabinet;
}

double FlowBook::molar(double volume_flow, const Side& from) const {
  return molar_flow(volume_flow, site_.conditions.pressure,
                    from ? state_.temperature[from->value] : site_.conditions.outside_temperature);
}

std::string FlowBook::cannot_balance(std::span<const int> members, double surplus) const {
  std::vector<SpaceIndex> spaces;
  for (const int member : members) spaces.push_back({static_cast<std::size_t>(member)});
  const double flow = std::abs(surplus) * gas_constant * site_.conditions.temperature / site_.conditions.pressure;
  return fmt::format("{} would {} {} more than {}, and a junction can neither leak nor store",
                     list_names(site_, spaces), surplus > 0.0 ? "get" : "lose", format_quantity(flow, "m3/h", 4),
                     surplus > 0.0 ? "is passed on" : "is got");
}

/// What rooms without a way outside leak, by member, > 0 comes in; empty where there is no room that could.
std::optional<std::vector<double>> FlowBook::leaks_for(std::span<const int> members, std::span<const double> surplus,
                                                       double through, FlowChange& change) const {
  std::vector<double> leaks(members.size(), 0.0);
  double sum = 0.0, total = 0.0;
  std::size_t rooms = 0;
  for (const double s : surplus) sum += s;
  if (std::abs(sum) <= surplus_round_off * through) return leaks;
  const double sign = sum > 0.0 ? 1.0 : -1.0;
  for (std::size_t k = 0; k < members.size(); ++k) {
    if (!is_room(static_cast<std::size_t>(members[k]))) continue;
    ++rooms;
    total += std::max(0.0, sign * surplus[k]);
  }
  if (rooms == 0) {
    if (!vessels_) change.fault = cannot_balance(members, sum);
    return std::nullopt;
  }
  for (std::size_t k = 0; k < members.size(); ++k) {
    if (!is_room(static_cast<std::size_t>(members[k]))) continue;
    const double share = total > 0.0 ? std::max(0.0, sign * surplus[k]) / total : 1.0 / static_cast<double>(rooms);
    leaks[k] = -share * sum;
  }
  return leaks;
}

void FlowBook::put_relief(const Path& path, double before, double after, FlowChange& change) const {
  const double there = std::max(after, 0.0) - std::max(before, 0.0);
  const double back = std::max(-after, 0.0) - std::max(-before, 0.0);
  if (path.b && there != 0.0) change.inflows.push_back({path.a, *path.b, there});
  if (path.a && back != 0.0) change.inflows.push_back({path.b, *path.a, back});
}

void FlowBook::put_leak(std::size_t space, double after, FlowChange& change) const {
  const double more = std::max(after, 0.0) - std::max(leak_[space], 0.0);
  if (more != 0.0) change.inflows.push_back({std::nullopt, SpaceIndex{space}, more});
}

/// Fans, exchanges, air changes and releases; which reliefs are gone or new. False where the file does not give it.
bool FlowBook::prescribed(const Failure& failure, Surplus& surplus, FlowChange& change, std::vector<int>& removed,
                          std::vector<int>& added) {
  if (failure.kind == FailureKind::no_air_change) {
    const std::size_t i = failure.space->value;
    const double rate =
        site_.spaces[i].air_changes * moles_held(site_.spaces[i], site_.conditions, state_.temperature[i]);
    change.inflows.push_back({std::nullopt, *failure.space, -rate});
    return site_.spaces[i].kind != SpaceKind::vessel;
  }
  if (failure.kind == FailureKind::release_starts) {
    const std::size_t r = failure.release->value;
    const double more = rate_when_on_[r] - state_.release_rate[r];
    const std::size_t into = site_.releases[r].into.value;
    if (more == 0.0) return true;
    change.releases.push_back({*failure.release, more});
    surplus[into] += more;
    return true;
  }
  const std::size_t i = failure.airway->value;
  const Airway& airway = site_.airways[i];
  const Side a = first_side(airway), b = second_side(airway);
  const bool opens = failure.kind == FailureKind::opened;
  if (follows_pressure(airway)) return !opens && !state_.airway_on[i];
  if (std::holds_alternative<Relief>(airway.kind)) {
    if (opens != state_.airway_on[i]) (opens ? added : removed).push_back(path_of_[i]);
    return true;
  }
  const double before_there = field_.airways[i].forward, before_back = field_.airways[i].backward;
  const bool exchange = std::holds_alternative<Exchange>(airway.kind);
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

/// The factorised Laplacian of a group with more than one node; null where it could not be factorised.
const linalg::Laplacian* FlowBook::laplacian_of(int g) {
  Group& group = group_[static_cast<std::size_t>(g)];
  if (group.laplacian) return group.laplacian.get();
  const auto node = [&](const Side& side) { return side ? node_[side->value] : linalg::Conductance::ground; };
  std::vector<linalg::Conductance> links;
  for (const int k : group.paths) {
    const Path& path = paths_[static_cast<std::size_t>(k)];
    const int a = node(path.a), b = node(path.b);
    if (a >= 0) {
      links.push_back({a, b});
    } else if (b >= 0) {
      links.push_back({b, a});
    }
  }
  const std::size_t nodes = groups_.of(g).size() - (group.grounded ? 0 : 1);
  group.laplacian = std::make_unique<linalg::Laplacian>(static_cast<int>(nodes), links);
  if (!group.laplacian->factorise(std::vector<double>(links.size(), 1.0))) group.laplacian.reset();
  return group.laplacian.get();
}

/// A group whose reliefs are as they were: the change of its flows is linear in the change of its surplus.
bool FlowBook::settle_group(int g, const Surplus& delta, FlowChange& change) {
  Group& group = group_[static_cast<std::size_t>(g)];
  const auto members = groups_.of(g);
  std::vector<double> injection(members.size(), 0.0);
  for (std::size_t k = 0; k < members.size(); ++k) {
    const auto found = delta.find(static_cast<std::size_t>(members[k]));
    if (found != delta.end()) injection[k] = found->second;
  }
  if (!group.grounded) {
    std::vector<double> surplus(members.size());
    double through = 0.0;
    for (std::size_t k = 0; k < members.size(); ++k) {
      const auto i = static_cast<std::size_t>(members[k]);
      surplus[k] = surplus_[i] + injection[k];
      through += through_[i] + std::abs(injection[k]);
    }
    const auto leaks = leaks_for(members, surplus, through, change);
    if (!leaks) return false;
    for (std::size_t k = 0; k < members.size(); ++k) {
      const auto i = static_cast<std::size_t>(members[k]);
      injection[k] += (*leaks)[k] - leak_[i];
      put_leak(i, (*leaks)[k], change);
    }
  }
  if (group.paths.empty()) return true;
  const std::size_t left_out = group.grounded ? 0 : 1;
  if (members.size() <= left_out) return true;
  const auto node = [&](const Side& side) { return side ? node_[side->value] : linalg::Conductance::ground; };
  const linalg::Laplacian* const laplacian = laplacian_of(g);
  if (laplacian == nullptr) return false;
  std::vector<double> potential(injection.begin() + static_cast<std::ptrdiff_t>(left_out), injection.end());
  double largest = 0.0;
  for (const double s : injection) largest = std::max(largest, std::abs(s));
  if (largest == 0.0) return true;
  laplacian->solve(potential);
  const auto at = [&](const Side& side) {
    const int k = node(side);
    return k >= 0 ? potential[static_cast<std::size_t>(k)] : 0.0;
  };
  for (const int k : group.paths) {
    const Path& path = paths_[static_cast<std::size_t>(k)];
    const double more = at(path.a) - at(path.b);
    if (std::abs(more) <= flow_round_off * largest) continue;
    double after = path.flow + more;
    if (std::abs(after) <= flow_round_off * std::max(std::abs(path.flow), largest)) after = 0.0;
    put_relief(path, path.flow, after, change);
  }
  return true;
}

/// Groups whose reliefs are others than they were: parted and balanced anew, but only they.
bool FlowBook::settle_anew(std::span<const int> groups, const Surplus& delta, std::span<const int> removed,
                           std::span<const int> added, FlowChange& change) {
  std::vector<int> spaces, paths;
  for (const int g : groups) {
    const auto members = groups_.of(g);
    spaces.insert(spaces.end(), members.begin(), members.end());
    for (const int k : group_[static_cast<std::size_t>(g)].paths) {
      if (std::find(removed.begin(), removed.end(), k) == removed.end()) paths.push_back(k);
    }
  }
  paths.insert(paths.end(), added.begin(), added.end());
  std::map<std::size_t, int> local;
  for (std::size_t k = 0; k < spaces.size(); ++k)
    local.emplace(static_cast<std::size_t>(spaces[k]), static_cast<int>(k));
  std::vector<network::Edge> edges;
  for (const int k : paths) {
    const Path& path = paths_[static_cast<std::size_t>(k)];
    if (path.a && path.b) edges.push_back({local.at(path.a->value), local.at(path.b->value)});
  }
  const auto bonds = network::connected_parts(static_cast<int>(spaces.size()), edges);
  std::vector<bool> tied(static_cast<std::size_t>(bonds.count), false);
  const auto bond_of = [&](const Side& side) {
    return static_cast<std::size_t>(bonds.part_of[static_cast<std::size_t>(local.at(side->value))]);
  };
  for (const int k : paths) {
    const Path& path = paths_[static_cast<std::size_t>(k)];
    if (!path.a || !path.b) tied[bond_of(path.a ? path.a : path.b)] = true;
  }
  std::vector<int> node(spaces.size(), linalg::Conductance::ground);
  std::vector<double> injection;
  double largest = 0.0;
  for (int bond = 0; bond < bonds.count; ++bond) {
    std::vector<int> members;
    std::vector<double> surplus;
    double through = 0.0;
    for (const int k : bonds.of(bond)) {
      const auto i = static_cast<std::size_t>(spaces[static_cast<std::size_t>(k)]);
      const auto found = delta.find(i);
      const double more = found == delta.end() ? 0.0 : found->second;
      members.push_back(static_cast<int>(i));
      surplus.push_back(surplus_[i] + more);
      through += through_[i] + std::abs(more);
    }
    const bool grounded = tied[static_cast<std::size_t>(bond)];
    std::vector<double> leaks(members.size(), 0.0);
    if (!grounded) {
      auto found = leaks_for(members, surplus, through, change);
      if (!found) return false;
      leaks = std::move(*found);
    }
    for (std::size_t k = 0; k < members.size(); ++k) {
      put_leak(static_cast<std::size_t>(members[k]), leaks[k], change);
      const double s = surplus[k] + leaks[k];
      if (!grounded && k == 0) continue;  // the zero of the potential
      node[static_cast<std::size_t>(bonds.of(bond)[k])] = static_cast<int>(injection.size());
      injection.push_back(std::abs(s) > surplus_round_off * through ? s : 0.0);
      largest = std::max(largest, std::abs(injection.back()));
    }
  }
  const auto node_of = [&](const Side& side) {
    return side ? node[static_cast<std::size_t>(local.at(side->value))] : linalg::Conductance::ground;
  };
  std::vector<linalg::Conductance> links;
  for (const int k : paths) {
    const Path& path = paths_[static_cast<std::size_t>(k)];
    const int a = node_of(path.a), b = node_of(path.b);
    if (a >= 0) {
      links.push_back({a, b});
    } else if (b >= 0) {
      links.push_back({b, a});
    }
  }
  const auto potential = linalg::potentials(static_cast<int>(injection.size()), links, injection);
  const auto at = [&](const Side& side) {
    const int k = node_of(side);
    return k >= 0 ? potential[static_cast<std::size_t>(k)] : 0.0;
  };
  for (const int k : paths) {
    const Path& path = paths_[static_cast<std::size_t>(k)];
    const double before = path.on ? path.flow : 0.0;
    double after = at(path.a) - at(path.b);
    if (std::abs(after) <= flow_round_off * std::max(std::abs(before), largest)) after = 0.0;
    if (std::abs(after - before) <= flow_round_off * std::max(std::abs(before), largest)) continue;
    put_relief(path, before, after, change);
  }
  for (const int k : removed)
    put_relief(paths_[static_cast<std::size_t>(k)], paths_[static_cast<std::size_t>(k)].flow, 0.0, change);
  return true;
}

std::vector<double> FlowBook::by_surplus(const std::function<double(const Side&, SpaceIndex)>& by_inflow) {
  std::vector<double> out(site_.spaces.size(), 0.0);
  for (int g = 0; g < groups_.count; ++g) {
    const Group& group = group_[static_cast<std::size_t>(g)];
    const auto members = groups_.of(g);
    const std::size_t left_out = group.grounded ? 0 : 1;
    // mu = L^-1 sum over the reliefs of their own effect times their incidence.
    std::vector<double> mu(members.size(), 0.0);
    if (!group.paths.empty() && members.size() > left_out) {
      std::vector<double> right(members.size() - left_out, 0.0);
      for (const int k : group.paths) {
        const Path& path = paths_[static_cast<std::size_t>(k)];
        double effect = 0.0;
        if (path.flow > 0.0 && path.b) effect = by_inflow(path.a, *path.b);
        if (path.flow < 0.0 && path.a) effect = -by_inflow(path.b, *path.a);
        if (path.a && node_[path.a->value] >= 0) right[static_cast<std::size_t>(node_[path.a->value])] += effect;
        if (path.b && node_[path.b->value] >= 0) right[static_cast<std::size_t>(node_[path.b->value])] -= effect;
      }
      const linalg::Laplacian* const laplacian = laplacian_of(g);
      if (laplacian == nullptr) continue;
      laplacian->solve(right);
      for (std::size_t k = left_out; k < members.size(); ++k) {
        mu[k] = right[static_cast<std::size_t>(node_[static_cast<std::size_t>(members[k])])];
      }
    }
    if (group.grounded) {
      for (std::size_t k = 0; k < members.size(); ++k) out[static_cast<std::size_t>(members[k])] = mu[k];
      continue;
    }
    // leak_k = -S p_k / P with S the sum of the surpluses, p_k = max(0, sign s_k) in rooms, P the sum of p.
    double sum = 0.0, total = 0.0, through = 0.0;
    std::size_t rooms = 0;
    for (const int member : members) {
      sum += surplus_[static_cast<std::size_t>(member)];
      through += through_[static_cast<std::size_t>(member)];
    }
    const double sign = sum < -surplus_round_off * through ? -1.0 : 1.0;
    std::vector<double> p(members.size(), 0.0), direct(members.size(), 0.0);
    for (std::size_t k = 0; k < members.size(); ++k) {
      const auto i = static_cast<std::size_t>(members[k]);
      if (!is_room(i)) continue;
      ++rooms;
      p[k] = std::max(0.0, sign * surplus_[i]);
      total += p[k];
      direct[k] = mu[k] + (leak_[i] > 0.0 ? by_inflow(std::nullopt, SpaceIndex{i}) : 0.0);
    }
    double shared = 0.0;  // sum over k of direct_k p_k / P
    for (std::size_t k = 0; k < members.size(); ++k) {
      const auto i = static_cast<std::size_t>(members[k]);
      if (total > 0.0) {
        shared += direct[k] * p[k] / total;
      } else if (rooms > 0 && is_room(i)) {
        shared += direct[k] / static_cast<double>(rooms);
      }
    }
    for (std::size_t k = 0; k < members.size(); ++k) {
      const auto i = static_cast<std::size_t>(members[k]);
      out[i] = mu[k] - shared;
      const bool takes_part = is_room(i) && (p[k] > 0.0 || total == 0.0);
      if (takes_part && total > 0.0) out[i] -= sum * sign / total * (direct[k] - shared);
    }
  }
  return out;
}

std::optional<FlowChange> FlowBook::changed(std::span<const Failure> failures) {
  if (!usable_) return std::nullopt;
  FlowChange change;
  Surplus delta;
  std::vector<int> removed, added;
  for (const Failure& failure : failures) {
    if (!prescribed(failure, delta, change, removed, added)) return std::nullopt;
  }
  std::set<int> touched;
  for (const auto& [space, more] : delta) touched.insert(groups_.part_of[space]);
  std::set<int> parted;
  for (const std::vector<int>* list : {&removed, &added}) {
    for (const int k : *list) {
      const Path& path = paths_[static_cast<std::size_t>(k)];
      for (const Side& side : {path.a, path.b}) {
        if (side) parted.insert(groups_.part_of[side->value]);
      }
    }
  }
  // A fault is an answer, too.
  const auto unless_faulty = [&]() -> std::optional<FlowChange> {
    if (change.fault.empty()) return std::nullopt;
    return std::move(change);
  };
  for (const int g : touched) {
    if (!parted.contains(g) && !settle_group(g, delta, change)) return unless_faulty();
  }
  if (!parted.empty()) {
    const std::vector<int> groups(parted.begin(), parted.end());
    if (!settle_anew(groups, delta, removed, added, change)) return unless_faulty();
  }
  return change;
}

}  // namespace leanside::study
