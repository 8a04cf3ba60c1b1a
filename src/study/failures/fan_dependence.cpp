// SPDX-License-Identifier: Apache-2.0
/// The graph of fresh air has outside, the spaces and the fans as vertices and the streams as edges. A fan that every
/// way from outside to a space passes through (a dominator), or every way from the space to outside, is suspect; it is
/// named where the balance without it leaves the space no way that air from outside takes.
#include "study/failures/fan_dependence.hpp"

#include <algorithm>
#include <map>
#include <utility>

#include "airflow/incremental_balance.hpp"
#include "base/graph/graph.hpp"

namespace leanside::study {
namespace {

/// A stream below this share of what the fan moves counts as none.
constexpr double least_share = 1e-9;

class FreshAir {
 public:
  FreshAir(const Site& site, const SiteState& state, const FlowField& field)
      : site_{site},
        state_{state},
        field_{field},
        balance_{site, state, field},
        outside_{static_cast<int>(site.spaces.size())} {
    streams_of(field, state, streams_);
    out_.resize(site.spaces.size() + 1);
    for (const auto& [ends, rate] : streams_) out_[static_cast<std::size_t>(ends.first)].push_back(ends.second);
  }

  std::vector<FanDependence> find() {
    std::vector<FanDependence> out;
    for (auto& [fan, spaces] : suspects()) {
      std::vector<SpaceIndex> left = without_fresh_air(fan, spaces);
      if (!left.empty()) out.push_back({fan, std::move(left)});
    }
    return out;
  }

 private:
  using Ends = std::pair<int, int>;
  int vertex(const Side& side) const { return side ? static_cast<int>(side->value) : outside_; }

  /// All streams but those of assumed leaks and air changes come from airways.
  void streams_of(const FlowField& field, const SiteState& state, std::map<Ends, double>& streams) const {
    const auto put = [&](const Side& from, const Side& to, double rate) {
      if (rate > 0.0) streams[{vertex(from), vertex(to)}] += rate;
    };
    for (std::size_t i = 0; i < site_.airways.size(); ++i) {
      const Side a = first_side(site_.airways[i]), b = second_side(site_.airways[i]);
      put(a, b, field.airways[i].forward);
      put(b, a, field.airways[i].backward);
    }
    for (std::size_t i = 0; i < site_.spaces.size(); ++i) {
      const double rate =
          site_.spaces[i].air_changes * moles_held(site_.spaces[i], site_.conditions, state.temperature[i]);
      put(SpaceIndex{i}, std::nullopt, rate);
      put(std::nullopt, SpaceIndex{i}, rate);
    }
    for (const AssumedLeak& leak : field.leaks) {
      put(leak.other, leak.space, leak.rate);
      put(leak.space, leak.other, -leak.rate);
    }
  }

  /// Spaces that a fan dominates on the way in or on the way out, by fan.
  std::map<AirwayIndex, std::vector<SpaceIndex>> suspects() const {
    std::vector<AirwayIndex> fans;
    std::vector<network::Edge> edges;
    std::map<Ends, double> others = streams_;
    for (std::size_t i = 0; i < site_.airways.size(); ++i) {
      const double rate = field_.airways[i].forward;
      if (!std::holds_alternative<Fan>(site_.airways[i].kind) || rate <= 0.0) continue;
      const int a = vertex(first_side(site_.airways[i])), b = vertex(second_side(site_.airways[i]));
      const int v = outside_ + 1 + static_cast<int>(fans.size());
      edges.push_back({a, v});
      edges.push_back({v, b});
      fans.push_back(AirwayIndex{i});
      double& rest = others.at({a, b});
      rest = rest - rate > 1e-12 * rate ? rest - rate : 0.0;
    }
    for (const auto& [ends, rate] : others) {
      if (rate > 0.0) edges.push_back({ends.first, ends.second});
    }
    std::map<AirwayIndex, std::vector<SpaceIndex>> out;
    const int vertices = outside_ + 1 + static_cast<int>(fans.size());
    for (const bool inwards : {true, false}) {
      if (!inwards) {
        for (network::Edge& edge : edges) std::swap(edge.from, edge.to);
      }
      const auto parent = network::dominators(vertices, edges, outside_);
      for (std::size_t i = 0; i < site_.spaces.size(); ++i) {
        if (site_.spaces[i].kind == SpaceKind::junction) continue;
        for (int v = parent[i]; v >= 0; v = parent[static_cast<std::size_t>(v)]) {
          if (v > outside_) out[fans[static_cast<std::size_t>(v - outside_ - 1)]].push_back(SpaceIndex{i});
        }
      }
    }
    return out;
  }

  std::vector<SpaceIndex> without_fresh_air(AirwayIndex fan, std::vector<SpaceIndex>& spaces) {
    std::sort(spaces.begin(), spaces.end());
    spaces.erase(std::unique(spaces.begin(), spaces.end()), spaces.end());
    const double least = least_share * field_.airways[fan.value].forward;
    const airflow::FlowSwitch off{airflow::FlowSwitch::Kind::airway_off, fan};
    std::vector<bool> fresh;
    const auto change = balance_.changed(std::span{&off, 1});
    if (change && !change->fault.empty()) return {};
    if (change) {
      std::map<Ends, double> differing;
      for (const airflow::FlowChange::Inflow& inflow : change->inflows) {
        differing[{vertex(inflow.from), vertex(inflow.to)}] += inflow.change;
      }
      fresh = reached(
          out_,
          [&](int from, int to) {
            const auto known = streams_.find({from, to});
            const auto more = differing.find({from, to});
            return (known == streams_.end() ? 0.0 : known->second) + (more == differing.end() ? 0.0 : more->second) >
                   least;
          },
          differing);
    } else {
      SiteState without = state_;
      without.airway_on[fan.value] = false;
      const auto balanced = balance_flows(site_, without);
      const auto* field = std::get_if<FlowField>(&balanced);
      if (field == nullptr) return {};
      std::map<Ends, double> streams;
      streams_of(*field, without, streams);
      std::vector<std::vector<int>> out(out_.size());
      for (const auto& [ends, rate] : streams) out[static_cast<std::size_t>(ends.first)].push_back(ends.second);
      fresh = reached(out, [&](int from, int to) { return streams.at({from, to}) > least; }, {});
    }
    std::vector<SpaceIndex> left;
    for (const SpaceIndex space : spaces) {
      if (!fresh[space.value]) left.push_back(space);
    }
    return left;
  }

  /// Nodes that air comes to from outside along the streams that `flows` says there are; `added` may be new ones.
  template <class Flows>
  std::vector<bool> reached(const std::vector<std::vector<int>>& out, const Flows& flows,
                            const std::map<Ends, double>& added) const {
    std::vector<bool> seen(out.size(), false);
    std::vector<int> open{outside_};
    seen[static_cast<std::size_t>(outside_)] = true;
    const auto go = [&](int from, int to) {
      if (seen[static_cast<std::size_t>(to)] || !flows(from, to)) return;
      seen[static_cast<std::size_t>(to)] = true;
      open.push_back(to);
    };
    while (!open.empty()) {
      const int from = open.back();
      open.pop_back();
      for (const int to : out[static_cast<std::size_t>(from)]) go(from, to);
      for (auto more = added.lower_bound({from, 0}); more != added.end() && more->first.first == from; ++more) {
        go(from, more->first.second);
      }
    }
    return seen;
  }

  const Site& site_;
  const SiteState& state_;
  const FlowField& field_;
  airflow::IncrementalBalance balance_;
  int outside_;
  std::map<Ends, double> streams_;
  std::vector<std::vector<int>> out_;
};

}  // namespace

std::vector<FanDependence> fan_dependences(const Site& site, const SiteState& state, const FlowField& field) {
  return FreshAir{site, state, field}.find();
}

}  // namespace leanside::study
