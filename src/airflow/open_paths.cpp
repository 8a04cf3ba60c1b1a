// SPDX-License-Identifier: Apache-2.0
#include "airflow/open_paths.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <utility>

#include "base/graph/graph.hpp"
#include "base/linalg/sparse.hpp"

namespace leanside::airflow {
namespace {

/// A flow smaller than this share of the largest surplus of its group is round-off of the solution, and would tie
/// together what no air ties together.
constexpr double flow_round_off = 1e-14;

}  // namespace

void add_link(std::vector<linalg::Conductance>& links, int a, int b, double value) {
  if (a >= 0) {
    links.push_back({a, b, value});
  } else if (b >= 0) {
    links.push_back({b, a, value});
  }
}

namespace {

// Potentials of the graph of conductances, one node of a bond without ground held at 0.
void solve_whole_spaces(std::span<OpenPath> paths, std::span<const double> surplus, std::span<const double> through) {
  const int spaces = static_cast<int>(surplus.size());
  std::vector<network::Edge> edges;
  for (const OpenPath& path : paths) {
    if (path.a && path.b) edges.push_back({static_cast<int>(path.a->value), static_cast<int>(path.b->value)});
  }
  const auto bonds = network::connected_parts(spaces, edges);
  const auto bond_of = [&](std::size_t i) { return static_cast<std::size_t>(bonds.part_of[i]); };
  std::vector<bool> tied(static_cast<std::size_t>(bonds.count), false);
  for (const OpenPath& path : paths) {
    if (!path.a || !path.b) tied[bond_of((path.a ? path.a : path.b)->value)] = true;
  }
  std::vector<double> largest(static_cast<std::size_t>(bonds.count), 0.0);
  for (std::size_t i = 0; i < surplus.size(); ++i) {
    if (std::abs(surplus[i]) > surplus_round_off * through[i]) {
      largest[bond_of(i)] = std::max(largest[bond_of(i)], std::abs(surplus[i]));
    }
  }
  std::vector<int> node(surplus.size(), -1);
  std::vector<double> injection;
  const auto node_of = [&](const Side& side) { return side ? node[side->value] : linalg::Conductance::ground; };
  const auto active = [&](const OpenPath& path) {
    const Side& inside = path.a ? path.a : path.b;
    return inside && largest[bond_of(inside->value)] > 0.0 && path.a != path.b;
  };
  for (int bond = 0; bond < bonds.count; ++bond) {
    const auto g = static_cast<std::size_t>(bond);
    const auto members = bonds.of(bond);
    if (largest[g] == 0.0 || (members.size() == 1 && !tied[g])) continue;
    // One node of a bond without ground is left out, as the zero of the potential. What rounding leaves of the sum of
    // the surplus ends there: it has to be one where that is round-off.
    const int busiest = *std::max_element(members.begin(), members.end(), [&](int a, int b) {
      return through[static_cast<std::size_t>(a)] < through[static_cast<std::size_t>(b)];
    });
    for (const int member : members) {
      if (!tied[g] && member == busiest) continue;
      node[static_cast<std::size_t>(member)] = static_cast<int>(injection.size());
      injection.push_back(surplus[static_cast<std::size_t>(member)]);
    }
  }
  if (injection.empty()) return;
  std::vector<linalg::Conductance> links;
  for (const OpenPath& path : paths) {
    if (!active(path)) continue;
    add_link(links, node_of(path.a), node_of(path.b), path.conductance);
  }
  const auto potential = linalg::potentials(static_cast<int>(injection.size()), links, injection);
  const auto at = [&](const Side& side) {
    const int k = node_of(side);
    return k >= 0 ? potential[static_cast<std::size_t>(k)] : 0.0;
  };
  for (OpenPath& path : paths) {
    if (!active(path)) continue;
    const Side& inside = path.a ? path.a : path.b;
    const double flow = at(path.a) - at(path.b);
    if (std::abs(flow) > flow_round_off * largest[bond_of(inside->value)]) path.flow = path.conductance * flow;
  }
}

/// What crosses each interface, from what all other paths carry.
void cross_interfaces(std::span<OpenPath> paths, std::span<const double> surplus, std::span<const double> through) {
  std::vector<double> left(surplus.begin(), surplus.end());
  for (const OpenPath& path : paths) {
    if (path.interface) continue;
    if (path.a) left[path.a->value] -= path.flow;
    if (path.b) left[path.b->value] += path.flow;
  }
  for (OpenPath& path : paths) {
    if (!path.interface) continue;
    const double flow = left[path.a->value];
    if (std::abs(flow) > flow_round_off * through[path.a->value]) path.flow = flow;
  }
}

}  // namespace

void solve_open_paths(std::span<OpenPath> paths, std::span<const double> surplus, std::span<const double> through) {
  if (paths.empty()) return;
  if (std::none_of(paths.begin(), paths.end(), [](const OpenPath& path) { return path.interface; })) {
    solve_whole_spaces(paths, surplus, through);
    return;
  }
  std::vector<double> whole(surplus.begin(), surplus.end()), passing(through.begin(), through.end());
  std::vector<std::size_t> space(surplus.size());
  std::iota(space.begin(), space.end(), std::size_t{0});
  for (const OpenPath& path : paths) {
    if (!path.interface) continue;
    space[path.b->value] = path.a->value;
    whole[path.a->value] += std::exchange(whole[path.b->value], 0.0);
    passing[path.a->value] += std::exchange(passing[path.b->value], 0.0);
  }
  std::vector<OpenPath> joined(paths.begin(), paths.end());
  for (OpenPath& path : joined) {
    if (path.a) path.a = SpaceIndex{space[path.a->value]};
    if (path.b) path.b = SpaceIndex{space[path.b->value]};
  }
  std::erase_if(joined, [](const OpenPath& path) { return path.interface; });
  solve_whole_spaces(joined, whole, passing);
  std::size_t k = 0;
  for (OpenPath& path : paths) {
    if (!path.interface) path.flow = joined[k++].flow;
  }
  cross_interfaces(paths, surplus, through);
}

std::vector<double> leak_shares(std::span<const double> surplus, double sum, double through) {
  const double sign = sum > 0.0 ? 1.0 : -1.0;
  std::vector<double> shares;
  double total = 0.0;
  for (const double s : surplus) total += shares.emplace_back(std::max(0.0, sign * s));
  const bool told_apart = total > surplus_round_off * through;
  for (double& share : shares) share = told_apart ? share / total : 1.0 / static_cast<double>(shares.size());
  return shares;
}

bool is_open_exchange(const Site& site, const SiteState& state, std::size_t airway) {
  return std::holds_alternative<Exchange>(site.airways[airway].kind) && state.airway_on[airway] &&
         state.airway_flow[airway] > 0.0;
}

std::vector<bool> sealed_spaces(const Site& site, const SiteState& state, std::span<const OpenPath> paths,
                                std::span<const AirwayIndex> driven) {
  std::vector<network::Edge> edges;
  std::vector<bool> open(site.spaces.size(), false);
  const auto join = [&](const Side& a, const Side& b) {
    if (a && b) edges.push_back({static_cast<int>(a->value), static_cast<int>(b->value)});
    if (!a != !b) open[(a ? a : b)->value] = true;
  };
  for (const OpenPath& path : paths) join(path.a, path.b);
  for (const AirwayIndex i : driven) join(first_side(site.airways[i.value]), second_side(site.airways[i.value]));
  for (std::size_t i = 0; i < site.airways.size(); ++i) {
    if (!is_open_exchange(site, state, i)) continue;
    const auto& exchange = std::get<Exchange>(site.airways[i].kind);
    join(exchange.first, exchange.second);
  }
  const auto parts = network::connected_parts(static_cast<int>(site.spaces.size()), edges);
  std::vector<bool> part_open(static_cast<std::size_t>(parts.count), false);
  for (std::size_t i = 0; i < site.spaces.size(); ++i) {
    const SpaceKind kind = site.spaces[i].kind;
    const bool leaks = kind == SpaceKind::room || kind == SpaceKind::cabinet;
    if (open[i] || leaks || site.spaces[i].air_changes > 0.0) {
      part_open[static_cast<std::size_t>(parts.part_of[i])] = true;
    }
  }
  std::vector<bool> sealed(site.spaces.size());
  for (std::size_t i = 0; i < sealed.size(); ++i) sealed[i] = !part_open[static_cast<std::size_t>(parts.part_of[i])];
  return sealed;
}

}  // namespace leanside::airflow
