// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include <fmt/format.h>

#include "leanside/advanced/release.hpp"
#include "transport/transient/run.hpp"

namespace leanside::transport {

void Run::follow_pressures(const CollocationStep& step, double from) {
  for (std::size_t i = 0; i < n_; ++i) {
    const double moles = moles_in(i);
    if (!(step.held[stages][i] > step.held[0][i])) continue;
    if (layers_ != nullptr && layers_->is_layer(i)) continue;
    PressureTrace& trace = traces_[i];
    trace.largest_factor = std::max(trace.largest_factor, step.held[stages][i] / moles);
    std::array<double, dense_degree + 1> factor{};
    for (std::size_t j = 0; j <= dense_degree; ++j) {
      for (std::size_t s = 0; s <= stages; ++s) factor[j] += radau().bernstein[j][s] * step.held[s][i] / moles;
    }
    const auto find = [&](double level, std::optional<double>& when) {
      if (when || factor[dense_degree] < level) return;
      double low = 0.0, high = 1.0;
      for (int k = 0; k < 60; ++k) {
        const double middle = 0.5 * (low + high);
        (bernstein_value(factor, middle) < level ? low : high) = middle;
      }
      when = from + step.begin + high * (step.end - step.begin);
    };
    find(1.1, trace.reaches_110_percent);
    find(2.0, trace.reaches_200_percent);
  }
}

std::optional<SolveFault> Run::let_out(const SiteState& state, const FlowField& field, double t) {
  std::vector<double> surplus(n_, 0.0), capacity(n_, 0.0);
  bool any = false;
  for (std::size_t i = 0; i < n_; ++i) {
    const double before = pressure_[i] * moles_in(i);
    pressure_[i] *= state.temperature[i] / temperature_[i];
    temperature_[i] = state.temperature[i];
    const double after = moles_in(i);
    capacity[i] = after;
    if (pressure_[i] == 1.0 || site_.spaces[i].kind == SpaceKind::junction) continue;
    if (field.tight[i]) {
      note_pressure(i, t);
      continue;
    }
    surplus[i] = before - after;
    // While moles grow from N0 to N1 in step with what enters, the mixture changes as with this constant capacity.
    if (surplus[i] != 0.0) capacity[i] = (after - before) / std::log(after / before);
    pressure_[i] = 1.0;
    any = true;
  }
  if (auto fault = joined_at_different_pressures(state, field, t)) return fault;
  if (!any) return std::nullopt;
  auto burst = burst_flows(site_, state, surplus);
  if (const auto* fault = std::get_if<FlowFault>(&burst)) return fault_at(t, fault->message, !fault->numerical);
  const FlowField& out = std::get<FlowField>(burst);
  Segment segment{t, t, 1.0, make_cells(site_, state, out, surplus), {}, {}};
  const auto count = static_cast<std::size_t>(segment.cells.count);
  segment.growth.assign(count, 0.0);
  for (std::size_t i = 0; i < n_; ++i) segment.cells.capacity[i] = capacity[i] * pressure_[i];
  const std::vector<double> none(count * m_, 0.0);
  if (!advance_parts(segment, none, {})) {
    return fault_at(t, "the gas that bursts out of a space could not be followed", false);
  }
  if (log_) log_->segments.push_back(std::move(segment));
  return std::nullopt;
}

void Run::note_pressure(std::size_t i, double t) {
  PressureTrace& trace = traces_[i];
  trace.largest_factor = std::max(trace.largest_factor, pressure_[i]);
  if (!trace.reaches_110_percent && pressure_[i] >= 1.1) trace.reaches_110_percent = t;
  if (!trace.reaches_200_percent && pressure_[i] >= 2.0) trace.reaches_200_percent = t;
}

std::optional<SolveFault> Run::joined_at_different_pressures(const SiteState& state, const FlowField& field,
                                                             double t) const {
  for (std::size_t i = 0; i < site_.airways.size(); ++i) {
    const Airway& airway = site_.airways[i];
    const Side a = first_side(airway), b = second_side(airway);
    if (!state.airway_on[i] || !a || !b || std::holds_alternative<Fan>(airway.kind)) continue;
    if (!field.tight[a->value] || !field.tight[b->value]) continue;
    if (std::abs(pressure_[a->value] - pressure_[b->value]) > 1e-9) {
      return fault_at(
          t,
          fmt::format("airway '{}' joins '{}' and '{}', closed vessels at different pressures, and the rush of gas "
                      "between them cannot be followed: join them before gas is released, or open one to a room first",
                      airway.id, site_.spaces[a->value].id, site_.spaces[b->value].id),
          true);
    }
  }
  return std::nullopt;
}

void Run::gain_pressure(std::size_t i, double storage, double from, double to) {
  if (storage <= 0.0) return;
  const double moles = moles_in(i);
  const double before = pressure_[i];
  pressure_[i] += storage * (to - from) / moles;
  PressureTrace& trace = traces_[i];
  trace.largest_factor = std::max(trace.largest_factor, pressure_[i]);
  const auto find = [&](double level, std::optional<double>& when) {
    if (!when && pressure_[i] >= level) when = from + std::max(0.0, (level - before) * moles / storage);
  };
  find(1.1, trace.reaches_110_percent);
  find(2.0, trace.reaches_200_percent);
}

}  // namespace leanside::transport
