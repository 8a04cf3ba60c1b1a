// SPDX-License-Identifier: Apache-2.0
/// What openings and leaks carry once the surplus of their groups is another one.
#include <algorithm>
#include <cmath>
#include <set>

#include <fmt/format.h>

#include "airflow/incremental_balance.hpp"
#include "airflow/leakage.hpp"
#include "airflow/names.hpp"
#include "airflow/open_paths.hpp"

namespace leanside::airflow {
namespace {

/// A change of an opening flow below this share of the largest change is round-off.
constexpr double flow_round_off = surplus_round_off;

}  // namespace

std::string IncrementalBalance::cannot_balance(std::span<const int> members, double surplus) const {
  std::vector<SpaceIndex> spaces;
  for (const int member : members) spaces.push_back({static_cast<std::size_t>(member)});
  const double flow = std::abs(surplus) * gas_constant * site_.conditions.temperature / site_.conditions.pressure;
  return fmt::format("{} would {} {} more than {}, and a junction can neither leak nor store",
                     list_names(site_, spaces), surplus > 0.0 ? "get" : "lose", format_quantity(flow, "m3/h", 4),
                     surplus > 0.0 ? "is passed on" : "is got");
}

bool IncrementalBalance::has_shut_opening(std::span<const int> members) const {
  if (shut_.empty()) return false;
  const std::set<int> inside(members.begin(), members.end());
  const auto is_inside = [&](const Side& side) { return side && inside.contains(static_cast<int>(side->value)); };
  return std::any_of(shut_.begin(), shut_.end(), [&](AirwayIndex i) {
    const Airway& airway = site_.airways[i.value];
    return is_inside(first_side(airway)) != is_inside(second_side(airway));
  });
}

bool IncrementalBalance::leaks_enough(std::span<const int> members, double sum) const {
  double area = 0.0, released = 0.0;
  for (const int member : members) {
    const auto i = static_cast<std::size_t>(member);
    if (is_room(i)) area += assumed_leakage(site_.spaces[i]);
    released += field_.release[i];
  }
  const Conditions& conditions = site_.conditions;
  const double density = conditions.pressure * molar_mass_of_air / (gas_constant * conditions.outside_temperature);
  const double most = molar(flow_at_fan_pressure(area, density), std::nullopt);
  return sum < 0.0 ? -sum <= most : sum - released <= most;
}

/// By member.
std::optional<std::vector<double>> IncrementalBalance::leaks_for(std::span<const int> members,
                                                                 std::span<const double> surplus, double through,
                                                                 FlowChange& change) const {
  std::vector<double> leaks(members.size(), 0.0);
  double sum = 0.0;
  for (const double s : surplus) sum += s;
  if (std::abs(sum) <= surplus_round_off * through) return leaks;
  std::vector<std::size_t> rooms;
  std::vector<double> of_rooms;
  for (std::size_t k = 0; k < members.size(); ++k) {
    if (!is_room(static_cast<std::size_t>(members[k]))) continue;
    rooms.push_back(k);
    // How rooms share a leak does not depend on what exchanges bring into each: see Balance::leak.
    of_rooms.push_back(surplus[k] - pushed_[static_cast<std::size_t>(members[k])]);
  }
  if (rooms.empty()) {
    const bool cabinets = std::any_of(members.begin(), members.end(), [&](int member) {
      return site_.spaces[static_cast<std::size_t>(member)].kind == SpaceKind::cabinet;
    });
    if (!vessels_ && !cabinets) change.fault = cannot_balance(members, sum);
    return std::nullopt;
  }
  if (has_shut_opening(members) || !leaks_enough(members, sum)) return std::nullopt;
  const auto shares = leak_shares(of_rooms, sum, through);
  for (std::size_t k = 0; k < rooms.size(); ++k) leaks[rooms[k]] = -shares[k] * sum;
  return leaks;
}

void IncrementalBalance::put_opening(const Path& path, double before, double after, FlowChange& change) const {
  const double there = std::max(after, 0.0) - std::max(before, 0.0);
  const double back = std::max(-after, 0.0) - std::max(-before, 0.0);
  if (path.b && there != 0.0) change.inflows.push_back({path.a, *path.b, there});
  if (path.a && back != 0.0) change.inflows.push_back({path.b, *path.a, back});
}

void IncrementalBalance::put_leak(std::size_t space, double after, FlowChange& change) const {
  const double more = std::max(after, 0.0) - std::max(leak_[space], 0.0);
  if (more != 0.0) change.inflows.push_back({std::nullopt, SpaceIndex{space}, more});
}

/// The factorised Laplacian of a group with more than one node; null where it could not be factorised.
const linalg::Laplacian* IncrementalBalance::laplacian_of(int g) {
  Group& group = group_[static_cast<std::size_t>(g)];
  if (group.laplacian) return group.laplacian.get();
  const auto node = [&](const Side& side) { return side ? node_[side->value] : linalg::Conductance::ground; };
  std::vector<linalg::Conductance> links;
  for (const int k : group.paths) {
    const Path& path = paths_[static_cast<std::size_t>(k)];
    add_link(links, node(path.a), node(path.b));
  }
  const std::size_t nodes = groups_.of(g).size() - (group.grounded ? 0 : 1);
  group.laplacian = std::make_unique<linalg::Laplacian>(static_cast<int>(nodes), links);
  if (!group.laplacian->factorise(std::vector<double>(links.size(), 1.0))) group.laplacian.reset();
  return group.laplacian.get();
}

/// A group whose openings are as they were: the change of its flows is linear in the change of its surplus.
bool IncrementalBalance::settle_group(int g, const Surplus& delta, FlowChange& change) {
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
    put_opening(path, path.flow, after, change);
  }
  return true;
}

/// Some groups parted anew, since their openings are others than they were.
struct IncrementalBalance::Regrouped {
  std::vector<int> spaces, paths;
  std::map<std::size_t, int> local;  ///< place of a space in `spaces`
  network::Parts parts;              ///< of these places
  std::vector<bool> grounded;        ///< by part
  std::vector<int> node;             ///< by place: unknown of the potentials, or ground
  std::vector<double> injection;     ///< mol/s, by unknown
  double largest = 0.0;              ///< of the injections

  int local_of(const Side& side) const { return local.at(side->value); }
  int node_of(const Side& side) const {
    return side ? node[static_cast<std::size_t>(local_of(side))] : linalg::Conductance::ground;
  }
};

IncrementalBalance::Regrouped IncrementalBalance::regrouped(std::span<const int> groups, std::span<const int> removed,
                                                            std::span<const int> added) const {
  Regrouped out;
  for (const int g : groups) {
    const auto members = groups_.of(g);
    out.spaces.insert(out.spaces.end(), members.begin(), members.end());
    for (const int k : group_[static_cast<std::size_t>(g)].paths) {
      if (std::find(removed.begin(), removed.end(), k) == removed.end()) out.paths.push_back(k);
    }
  }
  out.paths.insert(out.paths.end(), added.begin(), added.end());
  for (std::size_t k = 0; k < out.spaces.size(); ++k)
    out.local.emplace(static_cast<std::size_t>(out.spaces[k]), static_cast<int>(k));
  std::vector<network::Edge> edges;
  for (const int k : out.paths) {
    const Path& path = paths_[static_cast<std::size_t>(k)];
    if (path.a && path.b) edges.push_back({out.local_of(path.a), out.local_of(path.b)});
  }
  out.parts = network::connected_parts(static_cast<int>(out.spaces.size()), edges);
  out.grounded.assign(static_cast<std::size_t>(out.parts.count), false);
  for (const int k : out.paths) {
    const Path& path = paths_[static_cast<std::size_t>(k)];
    if (path.a && path.b) continue;
    const auto place = static_cast<std::size_t>(out.local_of(path.a ? path.a : path.b));
    out.grounded[static_cast<std::size_t>(out.parts.part_of[place])] = true;
  }
  out.node.assign(out.spaces.size(), linalg::Conductance::ground);
  return out;
}

/// What the openings of a part have to carry away, once it has leaked what it has to.
bool IncrementalBalance::inject(int part, const Surplus& delta, Regrouped& in, FlowChange& change) const {
  std::vector<int> members;
  std::vector<double> surplus;
  double through = 0.0;
  for (const int k : in.parts.of(part)) {
    const auto i = static_cast<std::size_t>(in.spaces[static_cast<std::size_t>(k)]);
    const auto found = delta.find(i);
    const double more = found == delta.end() ? 0.0 : found->second;
    members.push_back(static_cast<int>(i));
    surplus.push_back(surplus_[i] + more);
    through += through_[i] + std::abs(more);
  }
  const bool grounded = in.grounded[static_cast<std::size_t>(part)];
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
    in.node[static_cast<std::size_t>(in.parts.of(part)[k])] = static_cast<int>(in.injection.size());
    in.injection.push_back(std::abs(s) > surplus_round_off * through ? s : 0.0);
    in.largest = std::max(in.largest, std::abs(in.injection.back()));
  }
  return true;
}

/// Groups whose openings are others than they were: parted and balanced anew, but only they.
bool IncrementalBalance::settle_anew(std::span<const int> groups, const Surplus& delta, std::span<const int> removed,
                                     std::span<const int> added, FlowChange& change) {
  Regrouped anew = regrouped(groups, removed, added);
  for (int part = 0; part < anew.parts.count; ++part) {
    if (!inject(part, delta, anew, change)) return false;
  }
  std::vector<linalg::Conductance> links;
  for (const int k : anew.paths) {
    const Path& path = paths_[static_cast<std::size_t>(k)];
    add_link(links, anew.node_of(path.a), anew.node_of(path.b));
  }
  const auto potential = linalg::potentials(static_cast<int>(anew.injection.size()), links, anew.injection);
  const auto at = [&](const Side& side) {
    const int k = anew.node_of(side);
    return k >= 0 ? potential[static_cast<std::size_t>(k)] : 0.0;
  };
  for (const int k : anew.paths) {
    const Path& path = paths_[static_cast<std::size_t>(k)];
    const double before = path.on ? path.flow : 0.0;
    double after = at(path.a) - at(path.b);
    if (std::abs(after) <= flow_round_off * std::max(std::abs(before), anew.largest)) after = 0.0;
    if (std::abs(after - before) <= flow_round_off * std::max(std::abs(before), anew.largest)) continue;
    put_opening(path, before, after, change);
  }
  for (const int k : removed)
    put_opening(paths_[static_cast<std::size_t>(k)], paths_[static_cast<std::size_t>(k)].flow, 0.0, change);
  return true;
}

}  // namespace leanside::airflow
