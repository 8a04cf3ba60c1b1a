// SPDX-License-Identifier: Apache-2.0
#include "base/graph/graph.hpp"

#include <numeric>
#include <utility>

#include <boost/graph/adjacency_list.hpp>
#include <boost/graph/breadth_first_search.hpp>
#include <boost/graph/compressed_sparse_row_graph.hpp>
#include <boost/graph/dominator_tree.hpp>
#include <boost/graph/strong_components.hpp>
#include <boost/pending/disjoint_sets.hpp>

namespace leanside::network {
namespace {

using Directed = boost::compressed_sparse_row_graph<boost::directedS>;

Directed directed_graph(int vertices, std::span<const Edge> edges) {
  std::vector<std::pair<std::size_t, std::size_t>> pairs;
  pairs.reserve(edges.size());
  for (const Edge& e : edges) pairs.emplace_back(static_cast<std::size_t>(e.from), static_cast<std::size_t>(e.to));
  return Directed(boost::edges_are_unsorted_multi_pass, pairs.begin(), pairs.end(), static_cast<std::size_t>(vertices));
}

void list_members(Parts& parts) {
  parts.start.assign(static_cast<std::size_t>(parts.count) + 1, 0);
  for (const int part : parts.part_of) ++parts.start[static_cast<std::size_t>(part) + 1];
  std::partial_sum(parts.start.begin(), parts.start.end(), parts.start.begin());
  auto next = parts.start;
  parts.members.resize(parts.part_of.size());
  for (std::size_t v = 0; v < parts.part_of.size(); ++v) {
    parts.members[next[static_cast<std::size_t>(parts.part_of[v])]++] = static_cast<int>(v);
  }
}

}  // namespace

Parts connected_parts(int vertices, std::span<const Edge> edges) {
  // Asked some times at every evaluation of balanced flows: disjoint sets need no graph.
  const auto count = static_cast<std::size_t>(vertices);
  std::vector<std::size_t> rank(count, 0), parent(count);
  std::iota(parent.begin(), parent.end(), std::size_t{0});
  boost::disjoint_sets sets(boost::make_iterator_property_map(rank.begin(), boost::identity_property_map{}),
                            boost::make_iterator_property_map(parent.begin(), boost::identity_property_map{}));
  for (const Edge& e : edges) sets.union_set(static_cast<std::size_t>(e.from), static_cast<std::size_t>(e.to));
  Parts parts;
  parts.part_of.assign(count, -1);
  std::vector<int> number(count, -1);  // by representative, in the order of the first vertex of each part
  for (std::size_t v = 0; v < count; ++v) {
    int& part = number[sets.find_set(v)];
    if (part < 0) part = parts.count++;
    parts.part_of[v] = part;
  }
  list_members(parts);
  return parts;
}

Parts strong_parts(int vertices, std::span<const Edge> edges) {
  Parts parts;
  parts.part_of.assign(static_cast<std::size_t>(vertices), 0);
  if (vertices > 0) {
    const Directed graph = directed_graph(vertices, edges);
    const auto ids = boost::make_iterator_property_map(parts.part_of.begin(), boost::get(boost::vertex_index, graph));
    parts.count = static_cast<int>(boost::strong_components(graph, ids));
    // Tarjan's algorithm closes sinks first.
    for (int& part : parts.part_of) part = parts.count - 1 - part;
  }
  list_members(parts);
  return parts;
}

std::vector<bool> reachable(int vertices, std::span<const Edge> edges, std::span<const int> sources) {
  std::vector<bool> reached(static_cast<std::size_t>(vertices), false);
  if (vertices == 0) return reached;
  const Directed graph = directed_graph(vertices, edges);
  std::vector<boost::default_color_type> colours(static_cast<std::size_t>(vertices), boost::white_color);
  const auto colour_map = boost::make_iterator_property_map(colours.begin(), boost::get(boost::vertex_index, graph));
  boost::queue<std::size_t> queue;
  for (const int source : sources) {
    const auto s = static_cast<std::size_t>(source);
    if (colours[s] == boost::white_color) {
      boost::breadth_first_visit(graph, s, queue, boost::default_bfs_visitor{}, colour_map);
    }
  }
  for (std::size_t v = 0; v < reached.size(); ++v) reached[v] = colours[v] != boost::white_color;
  return reached;
}

std::vector<int> dominators(int vertices, std::span<const Edge> edges, int root) {
  // The algorithm asks for the edges that enter a vertex too.
  using Both = boost::adjacency_list<boost::vecS, boost::vecS, boost::bidirectionalS>;
  Both graph(static_cast<std::size_t>(vertices));
  // It takes every vertex that an edge comes from for one that can be reached.
  const auto reached = reachable(vertices, edges, std::span{&root, 1});
  for (const Edge& e : edges) {
    const auto from = static_cast<std::size_t>(e.from);
    if (reached[from]) boost::add_edge(from, static_cast<std::size_t>(e.to), graph);
  }
  const std::size_t none = Both::null_vertex();
  std::vector<std::size_t> parent(static_cast<std::size_t>(vertices), none);
  boost::lengauer_tarjan_dominator_tree(
      graph, static_cast<std::size_t>(root),
      boost::make_iterator_property_map(parent.begin(), boost::get(boost::vertex_index, graph)));
  std::vector<int> out(parent.size(), -1);
  for (std::size_t v = 0; v < parent.size(); ++v) {
    if (parent[v] != none) out[v] = static_cast<int>(parent[v]);
  }
  return out;
}

}  // namespace leanside::network
