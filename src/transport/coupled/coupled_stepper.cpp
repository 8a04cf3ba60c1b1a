// SPDX-License-Identifier: Apache-2.0
#include "transport/coupled/coupled_stepper.hpp"

#include <utility>

#include "airflow/driven.hpp"
#include "leanside/advanced/release.hpp"
#include "transport/coupled/collocation.hpp"
#include "transport/coupled/coupled_equations.hpp"
#include "transport/coupled/step_pieces.hpp"
#include "transport/coupled/turning_point.hpp"

namespace leanside::transport {
namespace {

/// Where a spill makes the air reverse, the error is larger than its estimate: flows that follow no pressures are
/// solved more closely.
constexpr double fine_tolerance = 1e-11;

/// What the stretch leaves behind in the state of the run.
void keep_end(const RunSetup& setup, const RoomModel& model, std::span<const double> x, std::span<const double> held,
              RunState& state) {
  take_columns(x, held.size(), state.x);
  for (std::size_t i = 0; i < state.pressure.size(); ++i) {
    if (model.expands[i] || setup.site.spaces[i].kind != SpaceKind::vessel || !(held[i] > 0.0)) continue;
    state.pressure[i] = held[i] / ambient_moles(setup.site, state, i);
  }
}

/// What the varying releases gave from the start of the stretch to `reached` s; `left` is what is left then of the
/// stage of each spill.
void report_releases(const RunSetup& setup, const Stretch& stretch, const std::vector<ReleaseIndex>& spills,
                     std::span<const double> left, double reached, RunState& state, const RunSignals& signals) {
  for (std::size_t k = 0; k < spills.size(); ++k) {
    double& stock = state.stock[spills[k].value];
    const double now = spill_now(setup.site.releases[spills[k].value], stock).later + left[k];
    const double given = stock - now;
    stock = now;
    signals.releases.notify({spills[k], given, stock <= 0.0 ? std::optional{reached} : std::nullopt});
  }
  for (const ReleaseIndex r : stretch.varying) {
    if (follows_vapour(setup.site.releases[r.value])) continue;
    signals.releases.notify({r, setup.schedule.given(r, stretch.from, reached), std::nullopt});
  }
}

}  // namespace

std::vector<double> densities_now(const RunSetup& setup, const SiteState& site_state, const RunState& state) {
  // Without airways that follow pressures the columns need not be gases, and nothing asks for densities.
  if (!airflow::flows_follow_gas(setup.site, site_state)) return {};
  const std::size_t rows = setup.site.spaces.size();
  return densities(setup.site, site_state, column_major(state.x, rows), rows);
}

Result<CoupledEnd> advance_coupled_stretch(const RunSetup& setup, const Stretch& stretch, const RoomModel& model,
                                           FlowField& flows, RunState& state, RunSignals& signals) {
  CoupledEquations equations(setup, stretch, model, state);
  equations.fields()[stages] = std::move(flows);
  std::vector<double> held = equations.capacity();
  const std::size_t rows = held.size();
  std::vector<double> x = column_major(state.x, rows), left;
  for (const ReleaseIndex spill : equations.spills()) {
    left.push_back(spill_now(setup.site.releases[spill.value], state.stock[spill.value]).left);
  }

  const bool follows = equations.follows_gas() || model.follows_composition;
  const bool fixed = !follows && equations.spills().empty();
  const double to = fixed ? turning_point(setup, stretch) : stretch.to;
  const MomentAt moment_at = [&](const StagePoint& point) { return equations.at(point); };
  CoupledStretch coupled{setup.columns.count(), to - stretch.from, moment_at, fixed};
  if (!follows) coupled.relative_tolerance = fine_tolerance;
  if (model.follows_composition) coupled.relative_tolerance = model.tolerance;
  if (!stretch.varying.empty()) {
    coupled.longest_step = [&](double begin) {
      return setup.schedule.longest_step(stretch.varying, stretch.from + begin);
    };
  }
  coupled.observe = [&](const CollocationStep& step) {
    for (const FlowField& field : equations.fields()) signals.flows.notify(field);
    report_pressures(setup, model, step, stretch.from, state, signals);
    report_fractions(setup, model, step, stretch.from, rows, signals);
    if (model.on_step) model.on_step(step);
  };
  StepCount count;
  const auto advanced = advance_coupled(coupled, x, held, left, state.gone, count);
  signals.steps.notify(count);
  if (const auto* fault = std::get_if<std::string>(&advanced))
    return fault_at(setup, stretch.from, *fault, FaultKind::unsolved);
  flows = std::move(equations.fields()[stages]);
  const double seconds = std::get<double>(advanced);
  const double reached = seconds < to - stretch.from ? stretch.from + seconds : to;
  keep_end(setup, model, x, held, state);
  report_releases(setup, stretch, equations.spills(), left, reached, state, signals);
  return CoupledEnd{reached, std::move(held)};
}

bool CoupledStepper::needed(const RunSetup& setup, const Stretch& stretch) {
  return !stretch.varying.empty() || airflow::flows_follow_gas(setup.site, stretch.state);
}

std::variant<Balanced, FlowFault> CoupledStepper::balance(const Stretch& stretch, const RunState& state) const {
  auto flows = balance_flows(setup_.site, stretch.state, densities_now(setup_, stretch.state, state));
  if (auto* fault = std::get_if<FlowFault>(&flows)) return std::move(*fault);
  return Balanced{stretch.state, std::move(std::get<FlowField>(flows))};
}

Result<double> CoupledStepper::advance(const Stretch& stretch, FlowField& flows, RunState& state,
                                       RunSignals& signals) const {
  auto end = advance_coupled_stretch(setup_, stretch, rooms_, flows, state, signals);
  if (auto* fault = std::get_if<Fault>(&end)) return std::move(*fault);
  return std::get<CoupledEnd>(end).reached;
}

}  // namespace leanside::transport
