// SPDX-License-Identifier: Apache-2.0
#include "airflow/driven.hpp"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <limits>
#include <utility>

namespace leanside::airflow {
namespace {

double outside_density(const Conditions& conditions) {
  return conditions.pressure * molar_mass_of_air / (gas_constant * conditions.outside_temperature);
}

double wind_pressure(const Site& site, const std::optional<double>& wind_coefficient, double density) {
  const double v = site.conditions.wind_speed;
  return 0.5 * density * wind_coefficient.value_or(0.0) * v * v;
}

/// Adds `more` to the net flow, a last digit of it.
void correct(OpeningFlow& flow, double more) {
  const bool onwards = flow.forward >= flow.backward;
  double& larger = onwards ? flow.forward : flow.backward;
  double& smaller = onwards ? flow.backward : flow.forward;
  larger += (onwards ? 1.0 : -1.0) * more;
  if (larger < 0.0) smaller -= std::exchange(larger, 0.0);
}

}  // namespace

double height_above_datum(const Site& site, const Airway& airway, double height) {
  const Side first = first_side(airway), second = second_side(airway);
  const Side& floor_of = first ? first : second;
  return (floor_of ? site.spaces[floor_of->value].elevation : 0.0) + height;
}

DrivenFlows::DrivenFlows(const Site& site, const SiteState& state, std::span<const double> density,
                         std::span<const Tie> ties, DrivenWays ways)
    : site_{site}, state_{state}, density_{density}, ways_{ways}, outside_density_{outside_density(site.conditions)} {
  tie(ties);
  for (const AirwayIndex index : ways_.airways) {
    curves_.emplace_back();
    const auto* fan = std::get_if<Fan>(&kind_now(site, state, index.value));
    if (fan == nullptr) continue;
    for (const FanPoint& point : fan->curve) curves_.back().push_back({point.pressure, point.flow});
    if (fan->curve.empty()) {
      curves_.back() = {{fan_pressure, state.airway_flow[index.value]}, {fan_pressure + fan_fade, 0.0}};
    }
  }
}

bool flows_follow_gas(const Site& site, const SiteState& state) {
  for (std::size_t i = 0; i < site.airways.size(); ++i) {
    if (state.airway_on[i] && follows_pressure(site.airways[i])) return true;
  }
  return false;
}

/// An opening makes the pressures on its two sides equal at its height: a walk along the openings of a bond gives each
/// space its offset. A bond with an opening to outside starts there.
void DrivenFlows::tie(std::span<const Tie> ties) {
  const std::size_t n = site_.spaces.size();
  std::vector<network::Edge> edges;
  std::vector<std::vector<std::pair<std::size_t, double>>> next(n);  // space, offset gained on the way
  const auto over = [&](std::size_t i, double z) {
    return (outside_density_ - density_[i]) * standard_gravity * (z - site_.spaces[i].elevation);
  };
  std::vector<std::pair<std::size_t, double>> roots;
  for (const Tie& t : ties) {
    if (t.a && t.b) {
      const std::size_t a = t.a->value, b = t.b->value;
      edges.push_back({static_cast<int>(a), static_cast<int>(b)});
      const double gain = over(a, t.z) - over(b, t.z);
      next[a].emplace_back(b, gain);
      next[b].emplace_back(a, -gain);
    } else if (const Side inside = t.a ? t.a : t.b) {
      roots.emplace_back(inside->value, -over(inside->value, t.z));
    }
  }
  bonds_.parts = network::connected_parts(static_cast<int>(n), edges);
  bonds_.grounded.assign(static_cast<std::size_t>(bonds_.parts.count), false);
  bonds_.offset.assign(n, std::numeric_limits<double>::quiet_NaN());
  std::vector<std::size_t> front;
  const auto walk = [&](std::size_t from, double offset) {
    if (!std::isnan(bonds_.offset[from])) return;
    bonds_.offset[from] = offset;
    front.assign(1, from);
    while (!front.empty()) {
      const std::size_t at = front.back();
      front.pop_back();
      for (const auto& [to, gain] : next[at]) {
        if (!std::isnan(bonds_.offset[to])) continue;
        bonds_.offset[to] = bonds_.offset[at] + gain;
        front.push_back(to);
      }
    }
  };
  for (const auto& [space, offset] : roots) {
    bonds_.grounded[static_cast<std::size_t>(bonds_.parts.part_of[space])] = true;
    walk(space, offset);
  }
  for (std::size_t i = 0; i < n; ++i) walk(i, 0.0);
}

SideState DrivenFlows::side_state(const Side& side) const {
  SideState s;
  if (!side) {
    s.density = outside_density_;
    s.molar_volume = gas_constant * site_.conditions.outside_temperature / site_.conditions.pressure;
    return s;
  }
  const std::size_t i = side->value;
  s.density = density_[i];
  s.molar_volume = gas_constant * state_.temperature[i] / site_.conditions.pressure;
  s.lift = (outside_density_ - density_[i]) * standard_gravity;
  s.floor = site_.spaces[i].elevation;
  s.added = bonds_.offset[i];
  return s;
}

Side DrivenFlows::first_of(std::size_t way) const {
  const std::size_t airways = ways_.airways.size();
  return way < airways ? first_side(site_.airways[ways_.airways[way].value]) : ways_.gaps[way - airways].a;
}

Side DrivenFlows::second_of(std::size_t way) const {
  const std::size_t airways = ways_.airways.size();
  return way < airways ? second_side(site_.airways[ways_.airways[way].value]) : ways_.gaps[way - airways].b;
}

/// The bonds that take part get a node each, unless their pressure is known.
void DrivenFlows::number_nodes(const std::vector<bool>& pinned) {
  node_.assign(static_cast<std::size_t>(bonds_.parts.count), absent);
  const std::size_t count = ways_.airways.size() + ways_.gaps.size();
  for (std::size_t way = 0; way < count; ++way) {
    for (const Side& side : {first_of(way), second_of(way)}) {
      if (side) node_[bond_of(side)] = known;
    }
  }
  std::vector<bool> held = bonds_.grounded;
  for (std::size_t i = 0; i < pinned.size(); ++i) {
    if (pinned[i]) held[bond_of(SpaceIndex{i})] = true;
  }
  for (std::size_t bond = 0; bond < node_.size(); ++bond) {
    if (node_[bond] != known || held[bond]) continue;
    node_[bond] = static_cast<int>(bond_of_node_.size());
    bond_of_node_.push_back(static_cast<int>(bond));
  }
}

std::vector<DrivenOpening> DrivenFlows::openings() const {
  std::vector<DrivenOpening> out;
  out.reserve(ways_.airways.size() + ways_.gaps.size());
  const auto add = [&](const Side& a, const Side& b) -> DrivenOpening& {
    DrivenOpening& opening = out.emplace_back(DrivenOpening{side_state(a), side_state(b), GapShape{}});
    if (a) opening.first.node = node_[bond_of(a)];
    if (b) opening.second.node = node_[bond_of(b)];
    return opening;
  };
  for (std::size_t k = 0; k < ways_.airways.size(); ++k) {
    const std::size_t index = ways_.airways[k].value;
    const Airway& airway = site_.airways[index];
    const AirwayKind& kind = kind_now(site_, state_, index);
    DrivenOpening& opening = add(first_side(airway), second_side(airway));
    const auto blow = [&](const std::optional<double>& wind_coefficient) {
      const double wind = wind_pressure(site_, wind_coefficient, outside_density_);
      if (!first_side(airway)) opening.first.added = wind;
      if (!second_side(airway)) opening.second.added = wind;
    };
    if (const auto* gap = std::get_if<Gap>(&kind)) {
      opening.shape = GapShape{gap->leakage_area * state_.airway_open[index], gap->exponent,
                               height_above_datum(site_, airway, gap->height)};
      blow(gap->wind_coefficient);
    } else if (const auto* door = std::get_if<Doorway>(&kind)) {
      opening.shape = DoorwayShape{door->width * state_.airway_open[index], door->height,
                                   height_above_datum(site_, airway, door->sill), door->discharge};
      blow(door->wind_coefficient);
    } else {
      const double height = std::get<Fan>(kind).height.value_or(0.0);
      opening.shape = CurveShape{curves_[k], height_above_datum(site_, airway, height)};
    }
  }
  for (const AssumedGap& gap : ways_.gaps) {
    add(gap.a, gap.b).shape = GapShape{gap.leakage_area, leakage_exponent, gap.z};
  }
  return out;
}

void DrivenFlows::keep_flow(std::size_t way, const DrivenOpening& opening, const OpeningFlow& flow, FlowField& field) {
  if (way >= ways_.airways.size()) {
    gap_flows_.push_back(flow.forward - flow.backward);
    return;
  }
  const AirwayIndex airway = ways_.airways[way];
  field.airways[airway.value] = {flow.forward, flow.backward, flow.pressure_difference};
  const auto* fan = std::get_if<Fan>(&site_.airways[airway.value].kind);
  if (fan == nullptr || fan->curve.empty()) return;
  const auto& curve = std::get<CurveShape>(opening.shape).curve;
  const double against = -flow.pressure_difference;
  if (against < curve.front().pressure || against > curve.back().pressure) field.off_curve.push_back(airway);
}

std::optional<double> DrivenFlows::pressure_at(const Side& side, double z, const FlowField& field) const {
  if (!side) return 0.0;
  const std::size_t bond = bond_of(side), i = side->value;
  if (unvented_[bond] || (node_[bond] == absent && !bonds_.grounded[bond])) return std::nullopt;
  const double at_floor = node_[bond] == absent ? bonds_.offset[i] : field.pressure[i];
  return at_floor + (outside_density_ - density_[i]) * standard_gravity * (z - site_.spaces[i].elevation);
}

bool DrivenFlows::solve(std::span<const double> surplus, const std::vector<bool>& pinned, Memory& memory,
                        FlowField& field, SpaceIndex& worst) {
  number_nodes(pinned);
  std::vector<double> injection(bond_of_node_.size(), 0.0), pressure(injection);
  for (std::size_t k = 0; k < injection.size(); ++k) {
    const auto members = bonds_.parts.of(bond_of_node_[k]);
    for (const int member : members) injection[k] += surplus[static_cast<std::size_t>(member)];
    const auto first = static_cast<std::size_t>(members.front());
    if (!memory.pressure.empty()) pressure[k] = memory.pressure[first] - bonds_.offset[first];
  }
  // Openings between two known pressures have no part in the equations; the others make the matrix.
  const std::vector<DrivenOpening> all = openings();
  std::vector<DrivenOpening> coupled;
  std::copy_if(all.begin(), all.end(), std::back_inserter(coupled),
               [](const DrivenOpening& opening) { return opening.first.node != opening.second.node; });
  std::vector<std::pair<int, int>> links;
  for (const DrivenOpening& opening : coupled) links.emplace_back(opening.first.node, opening.second.node);
  const int nodes = static_cast<int>(bond_of_node_.size());
  if (!memory.solver || memory.links != links || memory.nodes != nodes) {
    memory.solver.emplace(nodes, coupled);
    memory.links = std::move(links);
    memory.nodes = nodes;
  }
  if (const auto bad = memory.solver->solve(coupled, injection, pressure)) {
    const int bond = bond_of_node_[static_cast<std::size_t>(*bad)];
    worst = SpaceIndex{static_cast<std::size_t>(bonds_.parts.of(bond).front())};
    return false;
  }

  const auto pressure_of = [&](int n) { return n < 0 ? 0.0 : pressure[static_cast<std::size_t>(n)]; };
  const auto correction = memory.solver->correction();
  const auto correction_of = [&](int n) {
    return n < 0 || correction.empty() ? 0.0 : correction[static_cast<std::size_t>(n)];
  };
  const auto slopes = memory.solver->slopes();
  std::size_t coupled_before = 0;
  for (std::size_t k = 0; k < all.size(); ++k) {
    const int a = all[k].first.node, b = all[k].second.node;
    OpeningFlow flow = flow_through(all[k], pressure_of(a) - pressure_of(b));
    if (a != b) correct(flow, slopes[coupled_before++] * (correction_of(a) - correction_of(b)));
    keep_flow(k, all[k], flow, field);
  }
  for (std::size_t i = 0; i < site_.spaces.size(); ++i) {
    const int n = node_[bond_of(SpaceIndex{i})];
    if (n != absent) field.pressure[i] = pressure_of(n) + bonds_.offset[i];
  }
  memory.pressure = field.pressure;
  unvented_.assign(node_.size(), false);
  for (const SpaceIndex space : field.unvented) unvented_[bond_of(space)] = true;
  return true;
}

}  // namespace leanside::airflow
