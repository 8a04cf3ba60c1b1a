// SPDX-License-Identifier: Apache-2.0
#include "transport/steady/steady_system.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

#include <fmt/format.h>

#include "airflow/round_off.hpp"
#include "airflow/solver.hpp"
#include "base/linalg/worse.hpp"

namespace leanside {

using transport::Stream;

std::string list_names(const Site& site, std::span<const SpaceIndex> spaces) {
  constexpr std::size_t most = 5;
  std::string text;
  for (std::size_t i = 0; i < std::min(most, spaces.size()); ++i) {
    if (i > 0) text += i + 1 == spaces.size() ? " and " : ", ";
    text += "'" + site.spaces[spaces[i].value].id + "'";
  }
  if (spaces.size() > most) text += fmt::format(" and {} more", spaces.size() - most);
  return text;
}

namespace {

SolveFault fault_in_the_long_run(const Site& site, CaseIndex which, const std::string& message, bool bad_input) {
  return {fmt::format("case '{}', once every event has happened: {}", site.cases[which.value].id, message), bad_input};
}

}  // namespace

std::variant<SustainedSystem, SolveFault> SustainedSystem::build(const Site& site, CaseIndex which) {
  if (has_layers(site)) return build_layered(site, which);
  SiteState state = state_at(site, which, std::numeric_limits<double>::infinity());
  if (transport::flows_follow_gas(site, state)) return settle(site, which, state);
  auto flows = balance_flows(site, state);
  if (const auto* fault = std::get_if<FlowFault>(&flows)) {
    return fault_in_the_long_run(site, which, fault->message, !fault->numerical);
  }
  return SustainedSystem(site, std::move(state), std::move(std::get<FlowField>(flows)));
}

// Fractions for given flows, flows for those fractions, and again, only part of the way each time: buoyant gas that
// drives its own outflow would otherwise swing about the answer.
std::variant<SustainedSystem, SolveFault> SustainedSystem::settle(const Site& site, CaseIndex which,
                                                                  const SiteState& state) {
  constexpr int most = 600;
  constexpr double settled = 1e-10, nearly_settled = 1e-8;
  // Rooms that draw level through a doorway do so as far as densities differ in more than their last digit; a
  // difference of 1e-14 of the fractions still does, and nothing hangs on it.
  constexpr double small_fraction = 1e-4;
  airflow::Memory memory;
  const auto tracers = gas_tracers(site);
  const std::size_t n = site.spaces.size(), m = tracers.size();
  std::vector<double> x(n * m, 0.0);  // column-major
  double part_of_the_way = 0.7;
  double previous = std::numeric_limits<double>::infinity();
  for (int pass = 0; pass < most; ++pass) {
    auto flows = airflow::balance(site, state, transport::densities(site, state, x, n), memory);
    if (const auto* fault = std::get_if<FlowFault>(&flows)) {
      return fault_in_the_long_run(site, which, fault->message, !fault->numerical);
    }
    SustainedSystem system(site, state, std::move(std::get<FlowField>(flows)));
    auto solved = system.solve(tracers);
    if (const auto* fault = std::get_if<SolveFault>(&solved)) return *fault;
    const FractionField& found = std::get<SustainedFractions>(solved).fractions;
    const std::vector<bool>& reached = std::get<SustainedFractions>(solved).reached;
    double change = 0.0;
    for (std::size_t i = 0; i < n; ++i) {
      if (!reached[i]) continue;  // nothing comes in: it has no value of its own and keeps the one it has
      for (std::size_t c = 0; c < m; ++c) {
        const double step = found(SpaceIndex{i}, c) - x[c * n + i];
        change = linalg::worse(change, std::abs(step) / (std::abs(found(SpaceIndex{i}, c)) + small_fraction));
        x[c * n + i] += part_of_the_way * step;
      }
    }
    if (change <= settled || (pass + 1 == most && change <= nearly_settled)) return system;
    if (change > 0.9 * previous && pass > 10) part_of_the_way = std::max(0.02, 0.8 * part_of_the_way);
    previous = change;
  }
  return fault_in_the_long_run(site, which, "flows and fractions do not come into agreement", false);
}

SustainedSystem::SustainedSystem(const Site& site, SiteState state, FlowField field)
    : site_{&site},
      state_{std::move(state)},
      field_{std::move(field)},
      cells_{transport::make_cells(site, state_, field_)} {
  parts_ = network::strong_parts(cells_.count, cells_.edges());
  row_of_.assign(static_cast<std::size_t>(cells_.count), 0);
  for (int part = 0; part < parts_.count; ++part) {
    int row = 0;
    for (const int cell : parts_.of(part)) row_of_[static_cast<std::size_t>(cell)] = row++;
  }
  find_where_gas_may_be();
}

/// Spaces that gas can get to by any airway, whichever way and whether on or off: a bound that errs on the cautious
/// side.
void SustainedSystem::find_where_gas_may_be() {
  std::vector<network::Edge> edges;
  for (const Airway& airway : site_->airways) {
    const Side a = first_side(airway), b = second_side(airway);
    if (a && b) edges.push_back({static_cast<int>(a->value), static_cast<int>(b->value)});
  }
  const auto groups = network::connected_parts(cells_.spaces, edges);
  std::vector<bool> gas(static_cast<std::size_t>(groups.count), false);
  for (std::size_t i = 0; i < site_->spaces.size(); ++i) {
    if (!site_->spaces[i].initial.empty()) gas[static_cast<std::size_t>(groups.part_of[i])] = true;
  }
  for (const Release& release : site_->releases) {
    if (!release.gas.shares.empty()) gas[static_cast<std::size_t>(groups.part_of[release.into.value])] = true;
  }
  may_hold_gas_.resize(site_->spaces.size());
  for (std::size_t i = 0; i < may_hold_gas_.size(); ++i) {
    may_hold_gas_[i] = gas[static_cast<std::size_t>(groups.part_of[i])];
  }
}

bool SustainedSystem::closed(int part) const {
  for (const int cell : parts_.of(part)) {
    const auto i = static_cast<std::size_t>(cell);
    if (cells_.dead[i]) continue;
    double from_within = 0.0;
    for (const Stream& s : cells_.into(cell)) {
      if (parts_.part_of[static_cast<std::size_t>(s.from)] == part) from_within += s.rate;
    }
    if (cells_.through(cell) - from_within > airflow::surplus_round_off * cells_.through(cell)) {
      // Fresh air, upstream air or a release takes the place of what was there: unless it is kept for good.
      return field_.storage[static_cast<std::size_t>(cells_.space_of[i])] > 0.0;
    }
  }
  return true;
}

std::string SustainedSystem::why_not_reached(int part, SpaceIndex space) const {
  if (site_->spaces[space.value].kind == SpaceKind::junction) {
    return "nothing but its own air flows through it: where it stands open to a space, it holds what that space holds";
  }
  if (field_.storage[space.value] > 0.0) {
    return "what is released there has no way out: the pressure rises for as long as the release goes on";
  }
  std::vector<SpaceIndex> members;
  for (const int cell : parts_.of(part)) {
    if (cells_.is_outlet(cell)) continue;
    const SpaceIndex member{static_cast<std::size_t>(cell)};
    members.push_back(layers_ ? layers_->original(member) : member);
  }
  if (layers_) {  // both layers of a room are the room
    std::sort(members.begin(), members.end());
    members.erase(std::unique(members.begin(), members.end()), members.end());
  }
  if (members.size() > 1) {
    return fmt::format("air only goes round between {}: the gas that gets in has no way out",
                       list_names(*site_, members));
  }
  return "no air passes through it: the gas that gets in has no way out";
}

SustainedSystem::PartSystem* SustainedSystem::factorised(int part) {
  const auto known = systems_.find(part);
  if (known != systems_.end()) return &known->second;
  PartSystem system;
  std::vector<int> rows(static_cast<std::size_t>(cells_.count), -1);
  for (const int cell : parts_.of(part)) rows[static_cast<std::size_t>(cell)] = row_of_[static_cast<std::size_t>(cell)];
  system.a = transport::operator_of(cells_, parts_.of(part), rows);
  if (!system.lu.factorise(system.a)) return nullptr;
  return &systems_.emplace(part, std::move(system)).first->second;
}

// Where much air goes round and little gets in, the diagonal is nearly the sum of its row, and the factors lose as many
// digits as there are between the two. What is left over is computed from differences of fractions, which lose none.
void SustainedSystem::refine(int part, const PartSystem& system, std::span<const double> right, std::span<double> x,
                             std::size_t columns) const {
  const auto members = parts_.of(part);
  const std::size_t rows = members.size();
  std::vector<double> left(right.size());
  for (int round = 0; round < 2; ++round) {
    for (std::size_t c = 0; c < columns; ++c) {
      const double* const of = x.data() + c * rows;
      for (std::size_t k = 0; k < rows; ++k) {
        const auto cell = static_cast<std::size_t>(members[k]);
        double& rest = left[c * rows + k];
        rest = right[c * rows + k];
        if (cells_.dead[cell]) {
          rest += of[k];
          continue;
        }
        double replaced = cells_.fresh[cell] + cells_.release[cell];
        for (const Stream& s : cells_.into(members[k])) {
          const auto from = static_cast<std::size_t>(s.from);
          if (parts_.part_of[from] == part) {
            rest -= s.rate * (of[row_of_[from]] - of[k]);
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

std::variant<SustainedFractions, SolveFault> SustainedSystem::solve(std::span<const Tracer> tracers) {
  const std::size_t m = tracers.size();
  const auto n = static_cast<std::size_t>(cells_.count);
  const std::vector<double> source = transport::sources(cells_, *site_, state_, tracers);
  std::vector<double> x(n * m, 0.0);  // column-major
  SustainedFractions result{field_, FractionField(site_->spaces.size(), m),
                            std::vector<bool>(site_->spaces.size(), true),
                            std::vector<std::string>(site_->spaces.size())};
  std::vector<double> right;
  for (int part = 0; part < parts_.count; ++part) {
    const auto members = parts_.of(part);
    if (closed(part)) {
      for (const int cell : members) {
        if (cells_.is_outlet(cell)) continue;
        const SpaceIndex space{static_cast<std::size_t>(cell)};
        if (!may_hold_gas_[space.value]) continue;
        result.reached[space.value] = false;
        result.reason[space.value] = why_not_reached(part, space);
      }
      continue;
    }
    right.assign(members.size() * m, 0.0);
    for (std::size_t k = 0; k < members.size(); ++k) {
      const auto i = static_cast<std::size_t>(members[k]);
      for (std::size_t c = 0; c < m; ++c) right[c * members.size() + k] = -source[c * n + i];
      if (cells_.dead[i]) continue;
      for (const Stream& s : cells_.into(members[k])) {
        const auto from = static_cast<std::size_t>(s.from);
        if (parts_.part_of[from] == part) continue;
        for (std::size_t c = 0; c < m; ++c) right[c * members.size() + k] -= s.rate * x[c * n + from];
      }
    }
    if (std::all_of(right.begin(), right.end(), [](double r) { return r == 0.0; })) continue;
    if (members.size() == 1) {
      const double through = cells_.through(members[0]);
      for (double& r : right) r /= -through;
    } else {
      PartSystem* const system = factorised(part);
      if (system == nullptr) {
        return SolveFault{fmt::format(
            "the sustained state around '{}' could not be computed: its equations are singular",
            site_->spaces[static_cast<std::size_t>(cells_.space_of[static_cast<std::size_t>(members[0])])].id)};
      }
      const std::vector<double> given = right;
      system->lu.solve(right, m);
      refine(part, *system, given, right, m);
    }
    for (std::size_t k = 0; k < members.size(); ++k) {
      for (std::size_t c = 0; c < m; ++c)
        x[c * n + static_cast<std::size_t>(members[k])] = right[c * members.size() + k];
    }
  }
  for (std::size_t i = 0; i < site_->spaces.size(); ++i) {
    for (std::size_t c = 0; c < m; ++c) {
      const double value = x[c * n + i];
      if (!std::isfinite(value)) {
        return SolveFault{fmt::format("the sustained state of '{}' could not be computed", site_->spaces[i].id)};
      }
      result.fractions(SpaceIndex{i}, c) = value;
    }
  }
  solution_ = std::move(x);
  result.mixed = mixed_;
  return layers_ ? collapsed(std::move(result)) : result;
}

// x = -A^-1 G, so that e_i'x = y'G with A'y = -e_i: from the part of the space upstream, part by part.
std::vector<double> SustainedSystem::origins(SpaceIndex space) {
  std::vector<double> y(static_cast<std::size_t>(cells_.count), 0.0), asked(y.size(), 0.0), right;
  asked[cell_of(space)] = 1.0;
  for (int part = parts_.part_of[cell_of(space)]; part >= 0; --part) {
    const auto members = parts_.of(part);
    if (closed(part)) continue;
    right.clear();
    for (const int cell : members) right.push_back(-asked[static_cast<std::size_t>(cell)]);
    if (std::all_of(right.begin(), right.end(), [](double r) { return r == 0.0; })) continue;
    if (members.size() == 1) {
      right[0] /= -cells_.through(members[0]);
    } else if (PartSystem* const system = factorised(part)) {
      system->lu.solve_transposed(right, 1);
    }
    for (std::size_t k = 0; k < members.size(); ++k) {
      const auto to = static_cast<std::size_t>(members[k]);
      y[to] = right[k];
      if (cells_.dead[to]) continue;
      for (const Stream& s : cells_.into(members[k])) {
        const auto from = static_cast<std::size_t>(s.from);
        if (parts_.part_of[from] != part) asked[from] += s.rate * y[to];
      }
    }
  }
  std::vector<double> brought(cause_tracers(layers_ ? layers_->written() : *site_).tracers.size(), 0.0);
  for (std::size_t r = 0; r < site_->releases.size(); ++r) {
    brought[r] = state_.release_rate[r] * y[site_->releases[r].into.value];
  }
  return brought;
}

// With F mol/s of fresh air into space i, kappa = 1/K of it mixing, and F more leaving its outlet o, the matrix becomes
// A + F (-kappa e_i e_i' + kappa e_o e_i' - e_o e_o'): by the Woodbury identity two solutions tell v for every F.
std::optional<SustainedSystem::ExtraAir> SustainedSystem::extra_air(SpaceIndex space, std::span<const double> weight,
                                                                    double target) {
  if (layers_) return std::nullopt;  // the layers would move with the air
  const int cell = static_cast<int>(space.value);
  const int part = parts_.part_of[space.value];
  if (closed(part)) return std::nullopt;
  const auto value_at = [&](int at) {
    double value = 0.0;
    for (std::size_t c = 0; c < weight.size(); ++c) {
      value += weight[c] * solution_[c * static_cast<std::size_t>(cells_.count) + static_cast<std::size_t>(at)];
    }
    return value;
  };
  const double v = value_at(cell);
  if (v <= target) return std::nullopt;

  int outlet = cell;
  for (int other = cells_.spaces; other < cells_.count; ++other) {
    if (cells_.space_of[static_cast<std::size_t>(other)] == cell) outlet = other;
  }
  const double kappa = outlet == cell ? 1.0 : 1.0 / site_->spaces[space.value].mixing_factor;
  PartSystem* const system = factorised(part);
  if (system == nullptr) return std::nullopt;
  const std::size_t rows = parts_.of(part).size();
  const auto i = static_cast<std::size_t>(row_of_[space.value]);
  std::vector<double> from_i(rows, 0.0);
  from_i[i] = 1.0;
  system->lu.solve(from_i, 1);
  if (outlet == cell || parts_.part_of[static_cast<std::size_t>(outlet)] != part) {
    // Nothing of what leaves comes back: v falls as v0 / (1 + kappa F |A^-1_ii|).
    const double rate = (v / target - 1.0) / (-kappa * from_i[i]);
    return ExtraAir{rate, v / (1.0 - kappa * rate * from_i[i])};
  }
  const auto o = static_cast<std::size_t>(row_of_[static_cast<std::size_t>(outlet)]);
  std::vector<double> from_o(rows, 0.0);
  from_o[o] = 1.0;
  system->lu.solve(from_o, 1);
  // A^-1 applied to u1 = -kappa (e_i - e_o) and u2 = -e_o, seen at i and at o.
  const double a1 = -kappa * (from_i[i] - from_o[i]), a2 = -from_o[i];
  const double b1 = -kappa * (from_i[o] - from_o[o]), b2 = -from_o[o];
  const double v_outlet = value_at(outlet);
  const auto value_with = [&](double rate) {
    const double m11 = 1.0 + rate * a1, m12 = rate * a2, m21 = rate * b1, m22 = 1.0 + rate * b2;
    const double determinant = m11 * m22 - m12 * m21;
    const double s1 = (m22 * v - m12 * v_outlet) / determinant;
    const double s2 = (m11 * v_outlet - m21 * v) / determinant;
    return v - rate * (a1 * s1 + a2 * s2);
  };
  double low = 0.0, high = std::max(cells_.through(cell), 1e-12);
  while (value_with(high) > target) {
    low = high;
    high *= 2.0;
    if (!std::isfinite(high)) return std::nullopt;
  }
  for (int k = 0; k < 200 && high - low > 1e-14 * high; ++k) {
    const double middle = 0.5 * (low + high);
    (value_with(middle) > target ? low : high) = middle;
  }
  return ExtraAir{high, value_with(high)};
}

std::variant<SustainedFractions, SolveFault> solve_sustained(const Site& site, CaseIndex which,
                                                             std::span<const Tracer> tracers) {
  auto system = SustainedSystem::build(site, which);
  if (const auto* fault = std::get_if<SolveFault>(&system)) return *fault;
  return std::get<SustainedSystem>(system).solve(tracers);
}

}  // namespace leanside
