// SPDX-License-Identifier: Apache-2.0
/// How a quantity changes with a surplus put into one space: the adjoint of what openings and leaks carry.
#include <algorithm>

#include "airflow/incremental_balance.hpp"
#include "airflow/open_paths.hpp"

namespace leanside::airflow {

std::vector<double> IncrementalBalance::by_surplus(const ByInflow& by_inflow) {
  std::vector<double> out(site_.spaces.size(), 0.0);
  for (int g = 0; g < groups_.count; ++g) {
    const auto mu = by_opening_flows(g, by_inflow);
    if (!mu) continue;
    if (!group_[static_cast<std::size_t>(g)].grounded) {
      add_leaks(g, *mu, by_inflow, out);
      continue;
    }
    const auto members = groups_.of(g);
    for (std::size_t k = 0; k < members.size(); ++k) out[static_cast<std::size_t>(members[k])] = (*mu)[k];
  }
  return out;
}

/// By member, what the openings of a group then carry: mu = L^-1 sum over the openings of their own effect times their
/// incidence. Empty where the Laplacian L could not be factorised.
std::optional<std::vector<double>> IncrementalBalance::by_opening_flows(int g, const ByInflow& by_inflow) {
  const Group& group = group_[static_cast<std::size_t>(g)];
  const auto members = groups_.of(g);
  const std::size_t left_out = group.grounded ? 0 : 1;
  std::vector<double> mu(members.size(), 0.0);
  if (group.paths.empty() || members.size() <= left_out) return mu;
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
  if (laplacian == nullptr) return std::nullopt;
  laplacian->solve(right);
  for (std::size_t k = left_out; k < members.size(); ++k) {
    mu[k] = right[static_cast<std::size_t>(node_[static_cast<std::size_t>(members[k])])];
  }
  return mu;
}

/// What a group without a way outside leaks: leak_k = -S p_k / P with S the sum of the surpluses, p_k = max(0, sign
/// s_k) in rooms, P the sum of p.
void IncrementalBalance::add_leaks(int g, const std::vector<double>& mu, const ByInflow& by_inflow,
                                   std::vector<double>& out) const {
  const auto members = groups_.of(g);
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

}  // namespace leanside::airflow
