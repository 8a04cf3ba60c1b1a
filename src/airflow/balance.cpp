// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cassert>
#include <cmath>

#include <fmt/format.h>

#include "airflow/dead_ends.hpp"
#include "airflow/driven.hpp"
#include "airflow/reliefs.hpp"
#include "airflow/solver.hpp"
#include "leanside/airflow.hpp"
#include "network/graph.hpp"

namespace leanside {
namespace {

using airflow::Memory;
using airflow::ReliefPath;
using airflow::surplus_round_off;

class Balance {
 public:
  Balance(const Site& site, const SiteState& state, std::span<const double> density, Memory& memory)
      : site_{site}, state_{state}, density_(density.begin(), density.end()), memory_{memory} {
    const std::size_t n = site.spaces.size();
    field_.airways.resize(site.airways.size());
    field_.release.assign(n, 0.0);
    field_.storage.assign(n, 0.0);
    field_.tight.assign(n, false);
    surplus_.assign(n, 0.0);
    through_.assign(n, 0.0);
    overflows_.assign(site.airways.size(), false);
    breathes_out_.assign(n, false);
    field_.pressure.assign(n, 0.0);
    if (density_.empty()) {
      for (std::size_t i = 0; i < n; ++i) {
        density_.push_back(site.conditions.pressure * molar_mass_of_air / (gas_constant * state.temperature[i]));
      }
    }
  }

  std::variant<FlowField, FlowFault> run() {
    prescribe();
    return settle();
  }

  std::variant<FlowField, FlowFault> run_burst(std::span<const double> surplus) {
    for (std::size_t i = 0; i < surplus.size(); ++i) {
      surplus_[i] = surplus[i];
      through_[i] = std::abs(surplus[i]);
      field_.storage[i] = -surplus[i];
    }
    list_ways();
    // At such a moment gaps and doorways are ways like any other.
    for (const AirwayIndex i : driven_) {
      reliefs_.push_back({first_side(site_.airways[i.value]), second_side(site_.airways[i.value]), i});
    }
    driven_.clear();
    group();
    return settle();
  }

 private:
  double temperature_of(const Side& side) const {
    return side ? state_.temperature[side->value] : site_.conditions.outside_temperature;
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

  bool is_open(std::size_t airway) const {
    const bool shut =
        std::holds_alternative<Doorway>(site_.airways[airway].kind) && !(state_.airway_open[airway] > 0.0);
    return state_.airway_on[airway] && !shut;
  }

  /// Reliefs, and the gaps and doorways that stand open and lead somewhere: rounding must not make gas of what comes
  /// out of a dead end as it came in.
  void list_ways() {
    std::vector<bool> open;
    for (std::size_t i = 0; i < site_.airways.size(); ++i) open.push_back(is_open(i));
    const std::vector<bool> dead = airflow::dead_ends(site_, state_, open);
    const auto blind = [&](const Side& side) { return side && dead[side->value]; };
    for (std::size_t i = 0; i < site_.airways.size(); ++i) {
      if (!open[i]) continue;
      const Airway& airway = site_.airways[i];
      if (const auto* relief = std::get_if<Relief>(&airway.kind)) {
        reliefs_.push_back({relief->first, relief->second, AirwayIndex{i}});
      } else if ((std::holds_alternative<Gap>(airway.kind) || std::holds_alternative<Doorway>(airway.kind)) &&
                 !blind(first_side(airway)) && !blind(second_side(airway))) {
        driven_.push_back(AirwayIndex{i});
      }
    }
  }

  /// Fans, exchanges, air changes and releases as given.
  void prescribe() {
    list_ways();
    group();
    field_.flows.reserve(2 * site_.airways.size() + 2 * site_.spaces.size());
    for (std::size_t i = 0; i < site_.airways.size(); ++i) {
      if (!state_.airway_on[i]) continue;
      if (const auto* fan = std::get_if<Fan>(&site_.airways[i].kind)) {
        if (!fan->curve.empty() && pressures_known(fan->from) && pressures_known(fan->to)) {
          driven_.push_back(AirwayIndex{i});
          continue;
        }
        // Without pressures to work against, a curve counts where it works against none.
        const double flow = fan->curve.empty() ? state_.airway_flow[i] : free_flow(*fan);
        const double rate = molar(flow, fan->from);
        stream(fan->from, fan->to, rate);
        field_.airways[i].forward = rate;
      } else if (const auto* exchange = std::get_if<Exchange>(&site_.airways[i].kind)) {
        const double rate = molar(state_.airway_flow[i], exchange->first);
        stream(exchange->first, exchange->second, rate);
        stream(exchange->second, exchange->first, rate);
        field_.airways[i] = {rate, rate, std::nullopt};
      }
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

  double held_by(std::size_t i) const { return moles_held(site_.spaces[i], site_.conditions, state_.temperature[i]); }

  static double free_flow(const Fan& fan) {
    std::vector<airflow::CurvePoint> curve;
    for (const FanPoint& point : fan.curve) curve.push_back({point.pressure, point.flow});
    return airflow::curve_flow(curve, 0.0).value;
  }

  bool pressures_known(const Side& side) const {
    return !side || grounded_[static_cast<std::size_t>(groups_.part_of[side->value])];
  }

  /// Groups joined by reliefs, gaps and doorways; whether each reaches outside by one.
  void group() {
    std::vector<network::Edge> edges;
    std::vector<Side> to_outside;
    const auto join = [&](const Side& a, const Side& b) {
      if (a && b) {
        edges.push_back({static_cast<int>(a->value), static_cast<int>(b->value)});
      } else if (a || b) {
        to_outside.push_back(a ? a : b);
      }
    };
    for (const ReliefPath& path : reliefs_) join(path.a, path.b);
    for (const AirwayIndex i : driven_) join(first_side(site_.airways[i.value]), second_side(site_.airways[i.value]));
    groups_ = network::connected_parts(static_cast<int>(site_.spaces.size()), edges);
    grounded_.assign(static_cast<std::size_t>(groups_.count), false);
    for (const Side& inside : to_outside) grounded_[static_cast<std::size_t>(groups_.part_of[inside->value])] = true;
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

  /// Where vessels, and the junctions joined to them, are not in balance and have no other way, their exchanges carry
  /// the surplus too. True where any did.
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
      return side && wanting[static_cast<std::size_t>(groups_.part_of[side->value])];
    };
    bool opened = false;
    for (std::size_t i = 0; i < site_.airways.size(); ++i) {
      const Airway& airway = site_.airways[i];
      if (!airflow::is_open_exchange(site_, state_, i)) continue;
      const auto& exchange = std::get<Exchange>(airway.kind);
      if (overflows_[i] || !(wants(exchange.first) || wants(exchange.second))) continue;
      overflows_[i] = true;
      reliefs_.push_back({exchange.first, exchange.second, AirwayIndex{i}});
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
        leak(g, sum);
      } else if (sum.vessels && sum.surplus > 0.0 &&
                 std::abs(sum.surplus - sum.release) <= surplus_round_off * sum.through) {
        store(g, sum.surplus);
      } else {
        return cannot_balance(g, sum);
      }
    }
    return std::nullopt;
  }

  void leak(int g, const Sum& sum) {
    std::vector<SpaceIndex> rooms;
    std::vector<double> surplus;
    for (const int member : groups_.of(g)) {
      const auto i = static_cast<std::size_t>(member);
      const SpaceKind kind = site_.spaces[i].kind;
      if (kind != SpaceKind::room && kind != SpaceKind::cabinet) continue;
      rooms.push_back(SpaceIndex{i});
      surplus.push_back(surplus_[i]);
    }
    const auto shares = airflow::leak_shares(surplus, sum.surplus, sum.through);
    for (std::size_t k = 0; k < rooms.size(); ++k) {
      const double rate = shares[k] * sum.surplus;
      if (rate == 0.0) continue;
      field_.leaks.push_back({rooms[k], -rate});
      if (rate > 0.0) {
        stream(rooms[k], std::nullopt, rate);
      } else {
        stream(std::nullopt, rooms[k], -rate);
      }
    }
  }

  void store(int g, double surplus) {
    double held = 0.0;
    for (const int member : groups_.of(g)) {
      held += held_by(static_cast<std::size_t>(member));
    }
    for (const int member : groups_.of(g)) {
      const auto i = static_cast<std::size_t>(member);
      field_.storage[i] = surplus * held_by(i) / held;
      surplus_[i] -= field_.storage[i];
    }
  }

  /// Flows of the airways that follow pressures, where there are any.
  std::optional<FlowFault> solve_driven() {
    if (driven_.empty()) return std::nullopt;
    std::sort(driven_.begin(), driven_.end());
    std::vector<airflow::Tie> ties;
    for (const ReliefPath& path : reliefs_) {
      const double z = path.airway ? airflow::height_above_datum(site_, site_.airways[path.airway->value], 0.0)
                                   : site_.spaces[path.a->value].elevation;
      ties.push_back({path.a, path.b, z});
    }
    // Where no way leads outside the pressures are known but for a constant: one space of the group is held at 0.
    std::vector<bool> pinned(site_.spaces.size(), false), seen(static_cast<std::size_t>(groups_.count), false);
    for (const AirwayIndex i : driven_) {
      for (const Side& side : {first_side(site_.airways[i.value]), second_side(site_.airways[i.value])}) {
        if (!side) continue;
        const auto g = static_cast<std::size_t>(groups_.part_of[side->value]);
        if (grounded_[g] || seen[g]) continue;
        seen[g] = true;
        pinned[side->value] = true;
        for (const int member : groups_.of(static_cast<int>(g))) {
          field_.adrift.push_back(SpaceIndex{static_cast<std::size_t>(member)});
        }
      }
    }
    airflow::DrivenFlows flows(site_, state_, density_, ties, driven_);
    SpaceIndex worst;
    if (!flows.solve(surplus_, pinned, memory_, field_, worst)) {
      return FlowFault{fmt::format("the pressures could not be balanced; the balance is worst around '{}'",
                                   site_.spaces[worst.value].id),
                       worst, true};
    }
    for (const AirwayIndex i : driven_) {
      const Side a = first_side(site_.airways[i.value]), b = second_side(site_.airways[i.value]);
      stream(a, b, field_.airways[i.value].forward);
      stream(b, a, field_.airways[i.value].backward);
    }
    return std::nullopt;
  }

  /// An exchange may stand beside the way that the surplus takes: what it carries then is rounding.
  bool is_round_off(const ReliefPath& path) const {
    const auto through = [&](const Side& side) { return side ? through_[side->value] : 0.0; };
    return std::abs(path.flow) <= surplus_round_off * std::max(through(path.a), through(path.b));
  }

  std::variant<FlowField, FlowFault> settle() {
    const bool vessels = std::any_of(site_.spaces.begin(), site_.spaces.end(),
                                     [](const Space& space) { return space.kind == SpaceKind::vessel; });
    if (vessels) field_.tight = airflow::tight_spaces(site_, state_, reliefs_, driven_);
    while (open_exchanges()) group();
    if (auto fault = close_groups()) return *fault;
    if (auto fault = solve_driven()) return *fault;
    airflow::solve_reliefs(reliefs_, surplus_, through_);
    for (const ReliefPath& path : reliefs_) {
      stream(path.a, path.b, path.flow);
      stream(path.b, path.a, -path.flow);
      if (path.airway) {
        AirwayFlow& airway = field_.airways[path.airway->value];
        (path.flow > 0.0 ? airway.forward : airway.backward) += std::abs(path.flow);
        if (overflows_[path.airway->value] && !is_round_off(path)) field_.overflowing.push_back(*path.airway);
      }
    }
    std::sort(field_.overflowing.begin(), field_.overflowing.end());
    return std::move(field_);
  }

  const Site& site_;
  const SiteState& state_;
  std::vector<double> density_;  ///< kg/m3, by space
  Memory& memory_;
  FlowField field_;
  std::vector<double> surplus_;  ///< mol/s that a space gets more than it passes on
  std::vector<double> through_;  ///< mol/s in, out and released, the scale of round-off
  std::vector<ReliefPath> reliefs_;
  std::vector<AirwayIndex> driven_;  ///< airways that follow pressures
  std::vector<bool> overflows_;      ///< exchanges that act as reliefs too
  std::vector<bool> breathes_out_;   ///< spaces whose air changes do
  network::Parts groups_;
  std::vector<bool> grounded_;
};

}  // namespace

std::variant<FlowField, FlowFault> airflow::balance(const Site& site, const SiteState& state,
                                                    std::span<const double> density, Memory& memory) {
  return Balance(site, state, density, memory).run();
}

std::variant<FlowField, FlowFault> balance_flows(const Site& site, const SiteState& state,
                                                 std::span<const double> density) {
  Memory memory;
  return airflow::balance(site, state, density, memory);
}

std::variant<FlowField, FlowFault> burst_flows(const Site& site, const SiteState& state,
                                               std::span<const double> surplus, std::span<const double> density) {
  assert(surplus.size() == site.spaces.size());
  Memory memory;
  return Balance(site, state, density, memory).run_burst(surplus);
}

}  // namespace leanside
