// SPDX-License-Identifier: Apache-2.0
#include "airflow/dead_ends.hpp"

#include <variant>

#include "base/graph/graph.hpp"

namespace leanside::airflow {

std::vector<bool> dead_ends(const Site& site, const SiteState& state, const std::vector<bool>& open) {
  const std::size_t n = site.spaces.size();
  std::vector<bool> out(n, false);
  const auto is_junction = [&](const Side& side) {
    return side && site.spaces[side->value].kind == SpaceKind::junction;
  };
  // Every place that is a source of its own is joined to a root; a junction that one vertex parts from the root
  // gets all it has by way of that one.
  const int outdoors = static_cast<int>(n), root = outdoors + 1;
  const auto vertex = [&](const Side& side) { return side ? static_cast<int>(side->value) : outdoors; };
  std::vector<network::Edge> edges;
  std::vector<bool> fed(n + 1, false);
  bool asked = false;  // openings and what is driven carry what they must: only gaps and doorways need to know
  for (std::size_t i = 0; i < site.airways.size(); ++i) {
    const Airway& airway = site.airways[i];
    const Side first = first_side(airway), second = second_side(airway);
    if (!open[i] || (!is_junction(first) && !is_junction(second))) continue;
    const auto* fan = std::get_if<Fan>(&airway.kind);
    const bool driven = fan != nullptr || std::holds_alternative<Exchange>(airway.kind);
    const bool curve = fan != nullptr && !fan->curve.empty();
    if (driven && !curve && !(state.airway_flow[i] > 0.0)) continue;
    const int a = vertex(first), b = vertex(second);
    edges.push_back({a, b});
    edges.push_back({b, a});
    asked = asked || std::holds_alternative<Gap>(airway.kind) || std::holds_alternative<Doorway>(airway.kind);
    for (const Side& side : {first, second}) {
      if (driven || !is_junction(side)) fed[static_cast<std::size_t>(vertex(side))] = true;
    }
  }
  if (!asked) return out;
  for (std::size_t r = 0; r < site.releases.size(); ++r) {
    if (state.release_rate[r] > 0.0) fed[site.releases[r].into.value] = true;
  }
  for (int v = 0; v <= outdoors; ++v) {
    if (fed[static_cast<std::size_t>(v)]) edges.push_back({root, v});
  }
  const auto parent = network::dominators(root + 1, edges, root);
  for (std::size_t i = 0; i < n; ++i) out[i] = is_junction(SpaceIndex{i}) && parent[i] != root;
  return out;
}

}  // namespace leanside::airflow
