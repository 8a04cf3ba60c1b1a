// SPDX-License-Identifier: Apache-2.0
#include "transport/steady/steady_system.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <limits>
#include <utility>

#include <fmt/format.h>

#include "airflow/driven.hpp"
#include "airflow/names.hpp"
#include "airflow/round_off.hpp"

namespace leanside {

using transport::no_row;
using transport::Stream;

Fault steady_fault(const Site& site, CaseIndex case_index, const std::string& message, FaultKind kind) {
  return {fmt::format("case '{}', after all events: {}", site.cases[case_index.value].id, message), kind};
}

Result<SteadySystem> SteadySystem::build(const Site& site, CaseIndex case_index) {
  if (has_layers(site)) return build_layered(site, case_index);
  SiteState state = state_at(site, case_index, std::numeric_limits<double>::infinity());
  if (airflow::flows_follow_gas(site, state)) return settle(site, case_index, state);
  auto flows = balance_flows(site, state);
  if (const auto* fault = std::get_if<FlowFault>(&flows)) {
    return steady_fault(site, case_index, fault->message, fault->kind);
  }
  return SteadySystem(site, std::move(state), std::move(std::get<FlowField>(flows)));
}

SteadySystem::SteadySystem(const Site& site, SiteState state, FlowField field)
    : site_{&site},
      state_{std::move(state)},
      field_{std::move(field)},
      cells_{transport::make_cells(site, state_, field_)} {
  parts_ = cells_.strong_parts();
  row_of_.assign(cells_.count, 0);
  for (std::size_t part = 0; part < parts_.count; ++part) {
    std::size_t row = 0;
    for (const std::size_t cell : parts_.of(part)) row_of_[cell] = row++;
  }
  find_where_gas_may_be();
}

/// Spaces that gas can get to by any airway, in any direction, on or off: more than it does reach, to be cautious.
void SteadySystem::find_where_gas_may_be() {
  std::vector<network::Edge> edges;
  for (const Airway& airway : site_->airways) {
    const Side a = first_side(airway), b = second_side(airway);
    if (a && b) edges.push_back(transport::edge(a->value, b->value));
  }
  const auto groups = transport::connected_parts(cells_.spaces, edges);
  std::vector<bool> gas(groups.count, false);
  for (std::size_t i = 0; i < site_->spaces.size(); ++i) {
    if (!site_->spaces[i].initial.empty()) gas[groups.part_of[i]] = true;
  }
  for (const Release& release : site_->releases) {
    if (!release.gas.shares.empty()) gas[groups.part_of[release.into.value]] = true;
  }
  may_hold_gas_.resize(site_->spaces.size());
  for (std::size_t i = 0; i < may_hold_gas_.size(); ++i) may_hold_gas_[i] = gas[groups.part_of[i]];
}

bool SteadySystem::closed(std::size_t part) const {
  for (const std::size_t cell : parts_.of(part)) {
    if (cells_.dead[cell]) continue;
    double from_within = 0.0;
    for (const Stream& s : cells_.into(cell)) {
      if (parts_.part_of[s.from] == part) from_within += s.rate;
    }
    if (cells_.through(cell) - from_within > airflow::surplus_round_off * cells_.through(cell)) {
      // Fresh air, upstream air or a release replaces what was there, unless the space keeps all that it gets.
      return field_.storage[cells_.space_of[cell]] > 0.0;
    }
  }
  return true;
}

std::string SteadySystem::why_not_reached(std::size_t part, SpaceIndex space) const {
  if (site_->spaces[space.value].kind == SpaceKind::junction) {
    return "nothing but its own air flows through it: where it stands open to a space, it holds what that space holds";
  }
  if (field_.storage[space.value] > 0.0) {
    return "what is released there has no way out: the pressure rises for as long as the release goes on";
  }
  std::vector<SpaceIndex> members;
  for (const std::size_t cell : parts_.of(part)) {
    if (cells_.is_outlet(cell)) continue;
    members.push_back(layers_ ? layers_->original(SpaceIndex{cell}) : SpaceIndex{cell});
  }
  if (layers_) {  // both layers of a room are the room
    std::sort(members.begin(), members.end());
    members.erase(std::unique(members.begin(), members.end()), members.end());
  }
  if (members.size() > 1) {
    return fmt::format("air only goes round between {}: the gas that gets in has no way out",
                       airflow::list_names(*site_, members));
  }
  return "no air passes through it: the gas that gets in has no way out";
}

void SteadySystem::mark_not_reached(std::size_t part, SteadyFractions& result) const {
  for (const std::size_t cell : parts_.of(part)) {
    if (cells_.is_outlet(cell) || !may_hold_gas_[cell]) continue;
    result.reached[cell] = false;
    result.reason[cell] = why_not_reached(part, SpaceIndex{cell});
  }
}

SteadySystem::PartSystem* SteadySystem::factorised(std::size_t part) {
  const auto known = systems_.find(part);
  if (known != systems_.end()) return &known->second;
  PartSystem system;
  std::vector<std::size_t> rows(cells_.count, no_row);
  for (const std::size_t cell : parts_.of(part)) rows[cell] = row_of_[cell];
  system.a = transport::operator_of(cells_, parts_.of(part), rows);
  if (!system.lu.factorise(system.a)) return nullptr;
  return &systems_.emplace(part, std::move(system)).first->second;
}

// Where much air goes round and little gets in, the diagonal is nearly the sum of its row, and the factors lose as many
// digits as there are between the two. The residual is computed from differences of fractions, which lose none.
void SteadySystem::refine(std::size_t part, const PartSystem& system, std::span<const double> right,
                          std::span<double> x, std::size_t columns) const {
  const auto members = parts_.of(part);
  const std::size_t rows = members.size();
  std::vector<double> left(right.size());
  for (int round = 0; round < 2; ++round) {
    for (std::size_t c = 0; c < columns; ++c) {
      const auto of = x.subspan(c * rows, rows);
      for (std::size_t k = 0; k < rows; ++k) {
        const std::size_t cell = members[k];
        double& rest = left[c * rows + k];
        rest = right[c * rows + k];
        if (cells_.dead[cell]) {
          rest += of[k];
          continue;
        }
        double replaced = cells_.fresh[cell] + cells_.release[cell];
        for (const Stream& s : cells_.into(cell)) {
          if (parts_.part_of[s.from] == part) {
            rest -= s.rate * (of[row_of_[s.from]] - of[k]);
          } else {
            replaced += s.rate;
          }
        }
        rest += replaced * of[k];
      }
    }
    system.lu.solve(left, columns);
    for (std::size_t k = 0; k < left.size(); ++k) x[k] += left[k];
  }
}

std::vector<double> SteadySystem::right_hand_side(std::size_t part, std::span<const double> source,
                                                  std::span<const double> x, std::size_t columns) const {
  const auto members = parts_.of(part);
  const std::size_t n = cells_.count, rows = members.size();
  std::vector<double> right(rows * columns, 0.0);
  for (std::size_t k = 0; k < rows; ++k) {
    const std::size_t cell = members[k];
    for (std::size_t c = 0; c < columns; ++c) right[c * rows + k] = -source[c * n + cell];
    if (cells_.dead[cell]) continue;
    for (const Stream& s : cells_.into(cell)) {
      if (parts_.part_of[s.from] == part) continue;
      for (std::size_t c = 0; c < columns; ++c) right[c * rows + k] -= s.rate * x[c * n + s.from];
    }
  }
  return right;
}

bool SteadySystem::solve_part(std::size_t part, std::vector<double>& right, std::size_t columns) {
  const auto members = parts_.of(part);
  if (members.size() == 1) {
    const double through = cells_.through(members[0]);
    for (double& r : right) r /= -through;
    return true;
  }
  PartSystem* const system = factorised(part);
  if (system == nullptr) return false;
  const std::vector<double> given = right;
  system->lu.solve(right, columns);
  refine(part, *system, given, right, columns);
  return true;
}

Result<SteadyFractions> SteadySystem::solve_cells(std::span<const Tracer> tracers) {
  const std::size_t m = tracers.size(), n = cells_.count, spaces = site_->spaces.size();
  const std::vector<double> source = transport::sources(cells_, *site_, state_, tracers);
  std::vector<double> x(n * m, 0.0);  // column-major
  SteadyFractions result{field_, FractionField(spaces, m), std::vector<bool>(spaces, true),
                         std::vector<std::string>(spaces)};
  for (std::size_t part = 0; part < parts_.count; ++part) {
    if (closed(part)) {
      mark_not_reached(part, result);
      continue;
    }
    const auto members = parts_.of(part);
    std::vector<double> right = right_hand_side(part, source, x, m);
    if (std::all_of(right.begin(), right.end(), [](double r) { return r == 0.0; })) continue;
    if (!solve_part(part, right, m)) {
      return Fault{fmt::format("the steady state around '{}' could not be computed: its equations are singular",
                               site_->spaces[cells_.space_of[members[0]]].id)};
    }
    for (std::size_t k = 0; k < members.size(); ++k) {
      for (std::size_t c = 0; c < m; ++c) x[c * n + members[k]] = right[c * members.size() + k];
    }
  }
  for (std::size_t i = 0; i < spaces; ++i) {
    for (std::size_t c = 0; c < m; ++c) {
      const double value = x[c * n + i];
      if (!std::isfinite(value)) {
        return Fault{fmt::format("the steady state of '{}' could not be computed", site_->spaces[i].id)};
      }
      result.fractions(SpaceIndex{i}, c) = value;
    }
  }
  solution_ = std::move(x);
  result.mixed = mixed_;
  return result;
}

// x = -A^-1 G, so that e_i'x = y'G with A'y = -e_i: from the part of the space upstream, part by part.
std::vector<double> SteadySystem::origins(SpaceIndex space) {
  std::vector<double> y(cells_.count, 0.0), asked(y.size(), 0.0), right;
  asked[cell_of(space)] = 1.0;
  for (std::size_t part = parts_.part_of[cell_of(space)] + 1; part-- > 0;) {
    const auto members = parts_.of(part);
    if (closed(part)) continue;
    right.clear();
    for (const std::size_t cell : members) right.push_back(-asked[cell]);
    if (std::all_of(right.begin(), right.end(), [](double r) { return r == 0.0; })) continue;
    if (members.size() == 1) {
      right[0] /= -cells_.through(members[0]);
    } else if (PartSystem* const system = factorised(part)) {
      system->lu.solve_transposed(right, 1);
    }
    for (std::size_t k = 0; k < members.size(); ++k) {
      const std::size_t to = members[k];
      y[to] = right[k];
      if (cells_.dead[to]) continue;
      for (const Stream& s : cells_.into(to)) {
        if (parts_.part_of[s.from] != part) asked[s.from] += s.rate * y[to];
      }
    }
  }
  std::vector<double> brought(cause_tracers(layers_ ? layers_->written() : *site_).tracers.size(), 0.0);
  const auto* const far = far_end_of(space);
  for (std::size_t r = 0; r < site_->releases.size(); ++r) {
    brought[r] = state_.release_rate[r] * y[site_->releases[r].into.value];
    if (far == nullptr) continue;
    brought[r] *= far->weight.layer;
    if (far->release == ReleaseIndex{r}) brought[r] += far->weight.release;
  }
  return brought;
}

double SteadySystem::weighted(std::span<const double> weight, std::size_t cell) const {
  double value = 0.0;
  for (std::size_t c = 0; c < weight.size(); ++c) value += weight[c] * solution_[c * cells_.count + cell];
  return value;
}

namespace {

/// Least rate, at or above `first`, at which `value_with`, which falls with the rate, is down to `target`; empty if
/// none.
std::optional<double> least_rate(const std::function<double(double)>& value_with, double target, double first) {
  double low = 0.0, high = first;
  while (value_with(high) > target) {
    low = high;
    high *= 2.0;
    if (!std::isfinite(high)) return std::nullopt;
  }
  for (int k = 0; k < 200 && high - low > 1e-14 * high; ++k) {
    const double middle = 0.5 * (low + high);
    (value_with(middle) > target ? low : high) = middle;
  }
  return high;
}

}  // namespace

// With F mol/s of fresh air into space i, kappa = 1/K of it mixing, and F more leaving its outlet o, the matrix becomes
// A + F (-kappa e_i e_i' + kappa e_o e_i' - e_o e_o'): by the Woodbury identity two solutions give v for every F.
std::optional<SteadySystem::ExtraAir> SteadySystem::extra_air(SpaceIndex space, std::span<const double> weight,
                                                              double target) {
  if (layers_) return std::nullopt;  // the layers would move with the air
  const std::size_t cell = space.value, part = parts_.part_of[cell];
  if (closed(part)) return std::nullopt;
  const double v = weighted(weight, cell);
  if (v <= target) return std::nullopt;

  std::size_t outlet = cell;
  for (std::size_t other = cells_.spaces; other < cells_.count; ++other) {
    if (cells_.space_of[other] == cell) outlet = other;
  }
  const double kappa = outlet == cell ? 1.0 : 1.0 / site_->spaces[cell].mixing_factor;
  PartSystem* const system = factorised(part);
  if (system == nullptr) return std::nullopt;
  const std::size_t rows = parts_.of(part).size(), i = row_of_[cell];
  std::vector<double> from_i(rows, 0.0);
  from_i[i] = 1.0;
  system->lu.solve(from_i, 1);
  if (outlet == cell || parts_.part_of[outlet] != part) {
    // Nothing of what leaves comes back: v falls as v0 / (1 + kappa F |A^-1_ii|).
    const double rate = (v / target - 1.0) / (-kappa * from_i[i]);
    return ExtraAir{rate, v / (1.0 - kappa * rate * from_i[i])};
  }
  const std::size_t o = row_of_[outlet];
  std::vector<double> from_o(rows, 0.0);
  from_o[o] = 1.0;
  system->lu.solve(from_o, 1);
  // A^-1 applied to u1 = -kappa (e_i - e_o) and u2 = -e_o, seen at i and at o.
  const double a1 = -kappa * (from_i[i] - from_o[i]), a2 = -from_o[i];
  const double b1 = -kappa * (from_i[o] - from_o[o]), b2 = -from_o[o];
  const double v_outlet = weighted(weight, outlet);
  const auto value_with = [&](double rate) {
    const double m11 = 1.0 + rate * a1, m12 = rate * a2, m21 = rate * b1, m22 = 1.0 + rate * b2;
    const double determinant = m11 * m22 - m12 * m21;
    const double s1 = (m22 * v - m12 * v_outlet) / determinant;
    const double s2 = (m11 * v_outlet - m21 * v) / determinant;
    return v - rate * (a1 * s1 + a2 * s2);
  };
  const auto rate = least_rate(value_with, target, std::max(cells_.through(cell), 1e-12));
  if (!rate) return std::nullopt;
  return ExtraAir{*rate, value_with(*rate)};
}

Result<SteadyFractions> solve_steady(const Site& site, CaseIndex case_index, std::span<const Tracer> tracers) {
  auto system = SteadySystem::build(site, case_index);
  if (const auto* fault = std::get_if<Fault>(&system)) return *fault;
  return std::get<SteadySystem>(system).solve(tracers);
}

}  // namespace leanside
