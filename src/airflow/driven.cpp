// SPDX-License-Identifier: Apache-2.0
#include "airflow/driven.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

namespace leanside::airflow {
namespace {

double outside_density(const Conditions& conditions) {
  return conditions.pressure * molar_mass_of_air / (gas_constant * conditions.outside_temperature);
}

double wind_pressure(const Site& site, const Airway& airway, double density) {
  const auto* gap = std::get_if<Gap>(&airway.kind);
  if (gap == nullptr || !gap->wind_coefficient) return 0.0;
  const double v = site.conditions.wind_speed;
  return 0.5 * density * *gap->wind_coefficient * v * v;
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
                         std::span<const Tie> ties, std::span<const AirwayIndex> driven)
    : site_{site},
      state_{state},
      density_{density},
      driven_{driven},
      outside_density_{outside_density(site.conditions)} {
  tie(ties);
  for (const AirwayIndex index : driven_) {
    const auto* fan = std::get_if<Fan>(&site.airways[index.value].kind);
    if (fan == nullptr) continue;
    curves_.emplace_back();
    for (const FanPoint& point : fan->curve) curves_.back().push_back({point.pressure, point.flow});
  }
}

/// A relief makes the pressures on its two sides equal at its height: a walk along the reliefs of a bond gives each
/// space its offset. A bond with a relief to outside starts there.
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

SideState DrivenFlows::side_state(const Side& side, const Airway& airway) const {
  SideState s;
  if (!side) {
    s.density = outside_density_;
    s.molar_volume = gas_constant * site_.conditions.outside_temperature / site_.conditions.pressure;
    s.added = wind_pressure(site_, airway, outside_density_);
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

bool DrivenFlows::solve(std::span<const double> surplus, const std::vector<bool>& pinned, Memory& memory,
                        FlowField& field, SpaceIndex& worst) {
  // The bonds that take part get a node each, unless their pressure is known.
  constexpr int absent = -2, known = -1;
  std::vector<int> node(static_cast<std::size_t>(bonds_.parts.count), absent);
  const auto bond_of = [&](const Side& side) { return static_cast<std::size_t>(bonds_.parts.part_of[side->value]); };
  for (const AirwayIndex index : driven_) {
    for (const Side& side : {first_side(site_.airways[index.value]), second_side(site_.airways[index.value])}) {
      if (side) node[bond_of(side)] = known;
    }
  }
  std::vector<bool> held = bonds_.grounded;
  for (std::size_t i = 0; i < pinned.size(); ++i) {
    if (pinned[i]) held[static_cast<std::size_t>(bonds_.parts.part_of[i])] = true;
  }
  int nodes = 0;
  std::vector<int> bond_of_node;
  for (std::size_t bond = 0; bond < node.size(); ++bond) {
    if (node[bond] != known || held[bond]) continue;
    node[bond] = nodes++;
    bond_of_node.push_back(static_cast<int>(bond));
  }
  std::vector<double> injection(static_cast<std::size_t>(nodes), 0.0), pressure(injection);
  for (std::size_t k = 0; k < injection.size(); ++k) {
    const auto members = bonds_.parts.of(bond_of_node[k]);
    for (const int member : members) injection[k] += surplus[static_cast<std::size_t>(member)];
    const auto first = static_cast<std::size_t>(members.front());
    if (!memory.pressure.empty()) pressure[k] = memory.pressure[first] - bonds_.offset[first];
  }

  std::vector<Opening> openings;
  std::vector<std::pair<int, int>> links;
  std::size_t fan_number = 0;
  for (const AirwayIndex index : driven_) {
    const Airway& airway = site_.airways[index.value];
    Opening opening{side_state(first_side(airway), airway), side_state(second_side(airway), airway), GapShape{}};
    if (const Side a = first_side(airway)) opening.first.node = node[bond_of(a)];
    if (const Side b = second_side(airway)) opening.second.node = node[bond_of(b)];
    if (const auto* gap = std::get_if<Gap>(&airway.kind)) {
      opening.shape = GapShape{gap->leakage_area, gap->exponent, height_above_datum(site_, airway, gap->height)};
    } else if (const auto* door = std::get_if<Doorway>(&airway.kind)) {
      opening.shape = DoorwayShape{door->width * state_.airway_open[index.value], door->height,
                                   height_above_datum(site_, airway, door->sill), door->discharge};
    } else {
      const double height = std::get<Fan>(airway.kind).height.value_or(0.0);
      opening.shape = CurveShape{curves_[fan_number++], height_above_datum(site_, airway, height)};
    }
    links.emplace_back(opening.first.node, opening.second.node);
    openings.push_back(opening);
  }
  // Openings between two known pressures have no part in the equations; the others make the matrix.
  std::vector<Opening> coupled;
  std::vector<std::pair<int, int>> coupled_links;
  for (std::size_t k = 0; k < openings.size(); ++k) {
    if (links[k].first == links[k].second) continue;
    coupled.push_back(openings[k]);
    coupled_links.push_back(links[k]);
  }
  if (!memory.solver || memory.links != coupled_links || memory.nodes != nodes) {
    memory.solver.emplace(nodes, coupled);
    memory.links = std::move(coupled_links);
    memory.nodes = nodes;
  }
  if (const auto bad = memory.solver->solve(coupled, injection, pressure)) {
    worst = SpaceIndex{static_cast<std::size_t>(bonds_.parts.of(bond_of_node[static_cast<std::size_t>(*bad)]).front())};
    return false;
  }

  const auto pressure_of = [&](int n) { return n < 0 ? 0.0 : pressure[static_cast<std::size_t>(n)]; };
  const auto correction = memory.solver->correction();
  const auto correction_of = [&](int n) {
    return n < 0 || correction.empty() ? 0.0 : correction[static_cast<std::size_t>(n)];
  };
  const auto slopes = memory.solver->slopes();
  std::size_t coupled_before = 0;
  for (std::size_t k = 0; k < openings.size(); ++k) {
    OpeningFlow flow = flow_through(openings[k], pressure_of(links[k].first) - pressure_of(links[k].second));
    if (links[k].first != links[k].second) {
      const double slope = slopes[coupled_before++];
      correct(flow, slope * (correction_of(links[k].first) - correction_of(links[k].second)));
    }
    field.airways[driven_[k].value] = {flow.forward, flow.backward, flow.pressure_difference};
    if (const auto* fan = std::get_if<CurveShape>(&openings[k].shape)) {
      const double against = -flow.pressure_difference;
      if (against < fan->curve.front().pressure || against > fan->curve.back().pressure)
        field.off_curve.push_back(driven_[k]);
    }
  }
  for (std::size_t i = 0; i < site_.spaces.size(); ++i) {
    const int n = node[static_cast<std::size_t>(bonds_.parts.part_of[i])];
    if (n != absent) field.pressure[i] = pressure_of(n) + bonds_.offset[i];
  }
  memory.pressure = field.pressure;
  return true;
}

}  // namespace leanside::airflow
