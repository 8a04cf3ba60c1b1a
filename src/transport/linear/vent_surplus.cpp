// SPDX-License-Identifier: Apache-2.0
#include "transport/linear/vent_surplus.hpp"

#include <cmath>

#include <fmt/format.h>

#include "transport/linear/linear_stepper.hpp"
#include "transport/linear/segment.hpp"

namespace leanside::transport {
namespace {

/// What each space has too many, and what it holds before and after it has lost that.
struct Surplus {
  std::vector<double> moles, before, after;
  bool any = false, draws = false;  ///< `draws`: some space has too few
};

/// In so many parts a space is filled whose moles grow: in each of them what it draws in keeps its composition. With 16
/// the error is 2e-7 of what is drawn from a space that loses a hundredth of its gas by that.
constexpr int parts_of_drawing = 16;

/// The constant capacity with which a mixture changes just as it does while its moles grow from N0 to N1 in step with
/// what enters, in part `k` of `parts`.
double capacity_in(const Surplus& surplus, std::size_t i, int k, int parts) {
  if (surplus.moles[i] == 0.0) return surplus.after[i];
  const double step = (surplus.after[i] - surplus.before[i]) / parts, from = surplus.before[i] + k * step;
  return step / std::log1p(step / from);
}

/// New temperatures, and the pressure that follows where a space is sealed.
Surplus change_temperatures(const RunSetup& setup, const SiteState& state, const FlowField& field, double t,
                            RunState& run, const RunSignals& signals) {
  const std::size_t n = setup.site.spaces.size();
  Surplus surplus{std::vector<double>(n, 0.0), std::vector<double>(n, 0.0), std::vector<double>(n, 0.0)};
  for (std::size_t i = 0; i < n; ++i) {
    const double before = run.pressure[i] * ambient_moles(setup.site, run, i);
    run.pressure[i] *= state.temperature[i] / run.temperature[i];
    run.temperature[i] = state.temperature[i];
    const double after = ambient_moles(setup.site, run, i);
    surplus.before[i] = before;
    surplus.after[i] = after;
    if (run.pressure[i] == 1.0 || setup.site.spaces[i].kind == SpaceKind::junction) continue;
    if (field.sealed[i]) {
      signals.pressures.notify({SpaceIndex{i}, t, t, std::span{&run.pressure[i], 1}});
      continue;
    }
    surplus.moles[i] = before - after;
    run.pressure[i] = 1.0;
    surplus.any = true;
    surplus.draws = surplus.draws || surplus.moles[i] < 0.0;
  }
  return surplus;
}

std::optional<Fault> joined_at_different_pressures(const RunSetup& setup, const SiteState& state,
                                                   const FlowField& field, double t, const RunState& run) {
  for (std::size_t i = 0; i < setup.site.airways.size(); ++i) {
    const Airway& airway = setup.site.airways[i];
    const Side a = first_side(airway), b = second_side(airway);
    if (!state.airway_on[i] || !a || !b || std::holds_alternative<Fan>(airway.kind)) continue;
    if (!field.sealed[a->value] || !field.sealed[b->value]) continue;
    constexpr double round_off = 1e-9;
    if (std::abs(run.pressure[a->value] - run.pressure[b->value]) <= round_off) continue;
    const std::string message = fmt::format(
        "airway '{}' joins '{}' and '{}', two sealed vessels at different pressures; the program cannot follow the "
        "rush "
        "of gas between them. Join them before gas is released, or open one of them to a room first",
        airway.id, setup.site.spaces[a->value].id, setup.site.spaces[b->value].id);
    return fault_at(setup, t, message, FaultKind::bad_input);
  }
  return std::nullopt;
}

}  // namespace

std::optional<Fault> vent_surplus(const RunSetup& setup, const SiteState& state, const FlowField& field, double t,
                                  RunState& run, RunSignals& signals) {
  const Surplus surplus = change_temperatures(setup, state, field, t, run, signals);
  if (auto fault = joined_at_different_pressures(setup, state, field, t, run)) return fault;
  if (!surplus.any) return std::nullopt;
  const auto burst = burst_flows(setup.site, state, surplus.moles);
  if (const auto* fault = std::get_if<FlowFault>(&burst)) return fault_at(setup, t, fault->message, fault->kind);
  const Cells cells = make_cells(setup.site, state, std::get<FlowField>(burst), surplus.moles);
  const std::vector<double> none(cells.count * setup.columns.count(), 0.0);
  const int parts = surplus.draws ? parts_of_drawing : 1;
  for (int k = 0; k < parts; ++k) {
    Segment segment{t, t, 1.0 / parts, cells, std::vector<double>(cells.count, 0.0), {}};
    for (std::size_t i = 0; i < surplus.moles.size(); ++i) {
      segment.cells.capacity[i] = capacity_in(surplus, i, k, parts) * run.pressure[i];
    }
    if (!advance_segment(setup, segment, none, run, signals)) {
      return fault_at(setup, t, "the gas that bursts out of a space could not be followed", FaultKind::unsolved);
    }
    signals.segments.notify(segment);
  }
  return std::nullopt;
}

}  // namespace leanside::transport
