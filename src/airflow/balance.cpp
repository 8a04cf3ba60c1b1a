// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cassert>
#include <cmath>

#include <fmt/format.h>

#include "leanside/airflow.hpp"
#include "linalg/sparse.hpp"
#include "network/graph.hpp"

namespace leanside {
namespace {

/// Flows of an exchange smaller than this share of the largest surplus of their group are round-off of the solution for
/// the relief flows, and would tie together what no air ties together.
constexpr double flow_round_off = 1e-14;
/// A surplus below this share of what streams through the group is round-off of the sum.
constexpr double surplus_round_off = 1e-13;

/// A way that carries, in either direction, what balance needs.
struct ReliefPath {
  Side a, b;
  std::optional<AirwayIndex> airway;  ///< empty: the air changes of space a with outside
  double flow = 0.0;                  ///< mol/s from a to b, once solved
};

class Balance {
 public:
  Balance(const Site& site, const SiteState& state) : site_{site}, state_{state} {
    const std::size_t n = site.spaces.size();
    field_.airways.resize(site.airways.size());
    field_.release.assign(n, 0.0);
    field_.storage.assign(n, 0.0);
    field_.tight.assign(n, false);
    surplus_.assign(n, 0.0);
    through_.assign(n, 0.0);
    overflows_.assign(site.airways.size(), false);
    breathes_out_.assign(n, false);
  }

  std::variant<FlowField, FlowFault> run() {
    prescribe();
    return settle();
  }

  std::variant<FlowField, FlowFault> run_burst(std::span<const double> surplus) {
    for (std::size_t i = 0; i < surplus.size(); ++i) {
      surplus_[i] = surplus[i];
      through_[i] = surplus[i];
      field_.storage[i] = -surplus[i];
    }
    list_reliefs();
    return settle();
  }

 private:
  double temperature_of(const Side& side) const {
    return side ? site_.spaces[side->value].temperature : site_.conditions.outside_temperature;
  }

  double molar(double volume_flow, const Side& from) const {
    return molar_flow(volume_flow, site_.conditions.pressure, temperature_of(from));
  }

  void stream(const Side& from, const Side& to, double rate) {
    if (rate <= 0.0) return;
    field_.flows.push_back({from, to, rate});
    for (const Side& side : {from, to}) {
      if (side) through_[side->value] += rate;
    }
    if (from) surplus_[from->value] -= rate;
    if (to) surplus_[to->value] += rate;
  }

  void list_reliefs() {
    for (std::size_t i = 0; i < site_.airways.size(); ++i) {
      const auto* relief = std::get_if<Relief>(&site_.airways[i].kind);
      if (relief != nullptr && state_.airway_on[i]) {
        reliefs_.push_back({relief->first, relief->second, AirwayIndex{i}});
      }
    }
  }

  /// Fans, exchanges, air changes and releases as given.
  void prescribe() {
    list_reliefs();
    field_.flows.reserve(2 * site_.airways.size() + 2 * site_.spaces.size());
    for (std::size_t i = 0; i < site_.airways.size(); ++i) {
      if (!state_.airway_on[i]) continue;
      if (const auto* fan = std::get_if<Fan>(&site_.airways[i].kind)) {
        const double rate = molar(state_.airway_flow[i], fan->from);
        stream(fan->from, fan->to, rate);
        field_.airways[i].forward = rate;
      } else if (const auto* exchange = std::get_if<Exchange>(&site_.airways[i].kind)) {
        const double rate = molar(state_.airway_flow[i], exchange->first);
        stream(exchange->first, exchange->second, rate);
        stream(exchange->second, exchange->first, rate);
        field_.airways[i] = {rate, rate};
      }
    }
    for (std::size_t i = 0; i < site_.spaces.size(); ++i) {
      const double rate = site_.spaces[i].air_changes * moles_held(site_.spaces[i], site_.conditions);
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

  /// Groups joined by reliefs; whether each reaches outside by one.
  void group() {
    std::vector<network::Edge> edges;
    for (const ReliefPath& path : reliefs_) {
      if (path.a && path.b) edges.push_back({static_cast<int>(path.a->value), static_cast<int>(path.b->value)});
    }
    groups_ = network::connected_parts(static_cast<int>(site_.spaces.size()), edges);
    grounded_.assign(static_cast<std::size_t>(groups_.count), false);
    for (const ReliefPath& path : reliefs_) {
      if (path.a && path.b) continue;
      const Side& inside = path.a ? path.a : path.b;
      grounded_[static_cast<std::size_t>(groups_.part_of[inside->value])] = true;
    }
  }

  struct Sum {
    double surplus = 0.0, through = 0.0, release = 0.0;
    bool rooms = false, vessels = false;
    bool balanced() const { return std::abs(surplus) <= surplus_round_off * through; }
  };

  Sum sum_of(int g) const {
    Sum sum;
    for (const int member : groups_.of(g)) {
      const auto i = static_cast<std::size_t>(member);
      sum.surplus += surplus_[i];
      sum.through += through_[i];
      sum.release += field_.release[i];
      const SpaceKind kind = site_.spaces[i].kind;
      sum.rooms = sum.rooms || kind == SpaceKind::room || kind == SpaceKind::cabinet;
      sum.vessels = sum.vessels || kind == SpaceKind::vessel;
    }
    return sum;
  }

  bool exchanges_carry_more(const Airway& airway, std::size_t index) const {
    return std::holds_alternative<Exchange>(airway.kind) && state_.airway_on[index] && state_.airway_flow[index] > 0.0;
  }

  /// Lets the exchanges of vessels that are not in balance and have no other way carry their surplus. True where any
  /// did.
  bool open_exchanges() {
    std::vector<bool> wanting(static_cast<std::size_t>(groups_.count), false);
    bool any = false;
    for (int g = 0; g < groups_.count; ++g) {
      if (grounded_[static_cast<std::size_t>(g)]) continue;
      const Sum sum = sum_of(g);
      if (!sum.balanced() && !sum.rooms && sum.vessels) any = wanting[static_cast<std::size_t>(g)] = true;
    }
    if (!any) return false;
    const auto wants = [&](const Side& side) {
      return side && site_.spaces[side->value].kind == SpaceKind::vessel &&
             wanting[static_cast<std::size_t>(groups_.part_of[side->value])];
    };
    bool opened = false;
    for (std::size_t i = 0; i < site_.airways.size(); ++i) {
      const Airway& airway = site_.airways[i];
      if (!exchanges_carry_more(airway, i)) continue;
      const auto& exchange = std::get<Exchange>(airway.kind);
      if (overflows_[i] || !(wants(exchange.first) || wants(exchange.second))) continue;
      overflows_[i] = true;
      reliefs_.push_back({exchange.first, exchange.second, AirwayIndex{i}});
      field_.overflowing.push_back(AirwayIndex{i});
      opened = true;
    }
    for (std::size_t i = 0; i < site_.spaces.size(); ++i) {
      if (site_.spaces[i].air_changes <= 0.0 || !wants(SpaceIndex{i})) continue;
      if (breathes_out_[i]) continue;
      breathes_out_[i] = true;
      reliefs_.push_back({SpaceIndex{i}, std::nullopt, std::nullopt});
      opened = true;
    }
    return opened;
  }

  FlowFault cannot_balance(int g, const Sum& sum) const {
    std::string names;
    SpaceIndex first{static_cast<std::size_t>(groups_.of(g).front())};
    for (const int member : groups_.of(g)) {
      const Space& space = site_.spaces[static_cast<std::size_t>(member)];
      if (!names.empty()) names += ", ";
      names += "'" + space.id + "'";
    }
    const double volume =
        std::abs(sum.surplus) * gas_constant * site_.conditions.temperature / site_.conditions.pressure;
    const char* const what = sum.vessels ? "a vessel has no other way for it" : "a junction can neither leak nor store";
    return {fmt::format("{} {} {} more than it {}, and {}: add a relief airway, or change the fans so that they match",
                        names, sum.surplus > 0.0 ? "gets" : "loses", format_quantity(volume, "m3/h", 4),
                        sum.surplus > 0.0 ? "passes on" : "gets", what),
            first};
  }

  /// What no relief can carry outside: rooms leak it, tight vessels keep it.
  std::optional<FlowFault> close_groups() {
    for (int g = 0; g < groups_.count; ++g) {
      if (grounded_[static_cast<std::size_t>(g)]) continue;
      const Sum sum = sum_of(g);
      if (sum.balanced()) continue;
      if (sum.rooms) {
        leak(g, sum.surplus);
      } else if (sum.vessels && sum.surplus > 0.0 &&
                 std::abs(sum.surplus - sum.release) <= surplus_round_off * sum.through) {
        store(g, sum.surplus);
      } else {
        return cannot_balance(g, sum);
      }
    }
    return std::nullopt;
  }

  /// Vessels that no relief, exchange or air change joins, however far along, to a room, a cabinet or outside.
  void mark_tight() {
    std::vector<network::Edge> edges;
    std::vector<bool> open(site_.spaces.size(), false);
    const auto join = [&](const Side& a, const Side& b) {
      if (a && b) edges.push_back({static_cast<int>(a->value), static_cast<int>(b->value)});
      if (!a != !b) open[(a ? a : b)->value] = true;
    };
    for (const ReliefPath& path : reliefs_) join(path.a, path.b);
    for (std::size_t i = 0; i < site_.airways.size(); ++i) {
      if (!exchanges_carry_more(site_.airways[i], i)) continue;
      const auto& exchange = std::get<Exchange>(site_.airways[i].kind);
      join(exchange.first, exchange.second);
    }
    const auto parts = network::connected_parts(static_cast<int>(site_.spaces.size()), edges);
    std::vector<bool> part_open(static_cast<std::size_t>(parts.count), false);
    for (std::size_t i = 0; i < site_.spaces.size(); ++i) {
      const SpaceKind kind = site_.spaces[i].kind;
      const bool leaks = kind == SpaceKind::room || kind == SpaceKind::cabinet;
      if (open[i] || leaks || site_.spaces[i].air_changes > 0.0) {
        part_open[static_cast<std::size_t>(parts.part_of[i])] = true;
      }
    }
    for (std::size_t i = 0; i < site_.spaces.size(); ++i) {
      field_.tight[i] = !part_open[static_cast<std::size_t>(parts.part_of[i])];
    }
  }

  void leak(int g, double surplus) {
    const double sign = surplus > 0.0 ? 1.0 : -1.0;
    double total = 0.0;
    std::size_t rooms = 0;
    const auto can_leak = [&](int member) {
      const SpaceKind kind = site_.spaces[static_cast<std::size_t>(member)].kind;
      return kind == SpaceKind::room || kind == SpaceKind::cabinet;
    };
    for (const int member : groups_.of(g)) {
      if (!can_leak(member)) continue;
      ++rooms;
      total += std::max(0.0, sign * surplus_[static_cast<std::size_t>(member)]);
    }
    for (const int member : groups_.of(g)) {
      if (!can_leak(member)) continue;
      const auto i = static_cast<std::size_t>(member);
      const double share = total > 0.0 ? std::max(0.0, sign * surplus_[i]) / total : 1.0 / static_cast<double>(rooms);
      const double rate = share * std::abs(surplus);
      if (rate <= 0.0) continue;
      field_.leaks.push_back({SpaceIndex{i}, -sign * rate});
      if (sign > 0.0) {
        stream(SpaceIndex{i}, std::nullopt, rate);
      } else {
        stream(std::nullopt, SpaceIndex{i}, rate);
      }
    }
  }

  void store(int g, double surplus) {
    double held = 0.0;
    for (const int member : groups_.of(g)) {
      held += moles_held(site_.spaces[static_cast<std::size_t>(member)], site_.conditions);
    }
    for (const int member : groups_.of(g)) {
      const auto i = static_cast<std::size_t>(member);
      field_.storage[i] = surplus * moles_held(site_.spaces[i], site_.conditions) / held;
      surplus_[i] -= field_.storage[i];
    }
  }

  /// Relief flows: potentials of the graph of equal conductances, one node of a group without ground held at 0.
  void solve_reliefs() {
    std::vector<double> largest(static_cast<std::size_t>(groups_.count), 0.0);
    for (std::size_t i = 0; i < surplus_.size(); ++i) {
      double& group_largest = largest[static_cast<std::size_t>(groups_.part_of[i])];
      if (std::abs(surplus_[i]) > surplus_round_off * through_[i]) {
        group_largest = std::max(group_largest, std::abs(surplus_[i]));
      }
    }
    std::vector<int> node(site_.spaces.size(), -1);
    std::vector<double> injection;
    const auto node_of = [&](const Side& side) { return side ? node[side->value] : linalg::Conductance::ground; };
    const auto active = [&](const ReliefPath& path) {
      const Side& inside = path.a ? path.a : path.b;
      return inside && largest[static_cast<std::size_t>(groups_.part_of[inside->value])] > 0.0 && path.a != path.b;
    };
    for (int g = 0; g < groups_.count; ++g) {
      if (largest[static_cast<std::size_t>(g)] == 0.0) continue;
      const auto members = groups_.of(g);
      // The first node of a group without ground is left out: it is the zero of the potential.
      for (std::size_t k = grounded_[static_cast<std::size_t>(g)] ? 0 : 1; k < members.size(); ++k) {
        node[static_cast<std::size_t>(members[k])] = static_cast<int>(injection.size());
        injection.push_back(surplus_[static_cast<std::size_t>(members[k])]);
      }
    }
    std::vector<linalg::Conductance> links;
    for (const ReliefPath& path : reliefs_) {
      if (!active(path)) continue;
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
    for (ReliefPath& path : reliefs_) {
      if (!active(path)) continue;
      const Side& inside = path.a ? path.a : path.b;
      const double flow = at(path.a) - at(path.b);
      const double scale = largest[static_cast<std::size_t>(groups_.part_of[inside->value])];
      if (std::abs(flow) > flow_round_off * scale) path.flow = flow;
    }
  }

  std::variant<FlowField, FlowFault> settle() {
    const bool vessels = std::any_of(site_.spaces.begin(), site_.spaces.end(),
                                     [](const Space& space) { return space.kind == SpaceKind::vessel; });
    if (vessels) mark_tight();
    do {
      group();
    } while (open_exchanges());
    if (auto fault = close_groups()) return *fault;
    solve_reliefs();
    for (const ReliefPath& path : reliefs_) {
      stream(path.a, path.b, path.flow);
      stream(path.b, path.a, -path.flow);
      if (path.airway) {
        AirwayFlow& airway = field_.airways[path.airway->value];
        (path.flow > 0.0 ? airway.forward : airway.backward) += std::abs(path.flow);
      }
    }
    return std::move(field_);
  }

  const Site& site_;
  const SiteState& state_;
  FlowField field_;
  std::vector<double> surplus_;  ///< mol/s that a space gets more than it passes on
  std::vector<double> through_;  ///< mol/s in, out and released, the scale of round-off
  std::vector<ReliefPath> reliefs_;
  std::vector<bool> overflows_;     ///< exchanges that act as reliefs too
  std::vector<bool> breathes_out_;  ///< spaces whose air changes do
  network::Parts groups_;
  std::vector<bool> grounded_;
};

}  // namespace

std::variant<FlowField, FlowFault> balance_flows(const Site& site, const SiteState& state) {
  return Balance(site, state).run();
}

std::variant<FlowField, FlowFault> burst_flows(const Site& site, const SiteState& state,
                                               std::span<const double> surplus) {
  assert(surplus.size() == site.spaces.size());
  return Balance(site, state).run_burst(surplus);
}

}  // namespace leanside
