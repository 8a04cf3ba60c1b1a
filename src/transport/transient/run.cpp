// SPDX-License-Identifier: Apache-2.0
#include "transport/transient/run.hpp"

#include <algorithm>
#include <functional>
#include <utility>

#include "transport/coupled/coupled_stepper.hpp"
#include "transport/layered/layered_stepper.hpp"
#include "transport/linear/linear_stepper.hpp"
#include "transport/linear/linear_system.hpp"
#include "transport/linear/vent_surplus.hpp"
#include "transport/run/flow_notes.hpp"
#include "transport/run/mole_balance.hpp"
#include "transport/run/pressure_traces.hpp"
#include "transport/run/release_traces.hpp"
#include "transport/run/timeline.hpp"

namespace leanside::transport {
namespace {

static_assert(Stepper<LinearStepper> && Stepper<CoupledStepper> && Stepper<LayeredStepper>);

/// The observers whose notes make up the result.
struct Notes {
  Notes(const RunSetup& setup, const RunState& start, double horizon, FlowNotes of_flows)
      : flows(std::move(of_flows)),
        pressures(setup.site),
        releases(setup.site, setup.schedule, horizon),
        balance(setup, start) {}

  void subscribe_to(RunSignals& signals) {
    signals.flows.subscribe([this](const FlowField& field) { flows.note(field); });
    signals.pressures.subscribe([this](const PressureRise& rise) { pressures.note(rise); });
    signals.releases.subscribe([this](const ReleaseGiven& given) { releases.note(given); });
    signals.steps.subscribe([this](const StepCount& count) {
      steps.steps += count.steps;
      steps.factorisations += count.factorisations;
      steps.rejected += count.rejected;
    });
  }

  FlowNotes flows;
  PressureTraces pressures;
  ReleaseTraces releases;
  MoleBalance balance;
  StepCount steps;
};

/// Carries the run through one stretch: the flows at its start, what happens all at once, then the time. Gives the
/// instant reached, s.
template <Stepper S>
Result<double> carry(S& stepper, const RunSetup& setup, const Stretch& stretch, RunState& state, RunSignals& signals,
                     FlowField& flows) {
  auto start = stepper.balance(stretch, state);
  if (const auto* fault = std::get_if<FlowFault>(&start)) {
    return fault_at(setup, stretch.from, fault->message, fault->kind);
  }
  Balanced& balanced = std::get<Balanced>(start);
  flows = std::move(balanced.flows);
  if (auto fault = vent_surplus(setup, balanced.state, flows, stretch.from, state, signals)) return std::move(*fault);
  auto reached = stepper.advance(stretch, flows, state, signals);
  const double* const t = std::get_if<double>(&reached);
  if (t != nullptr && !(*t > stretch.from)) {
    return fault_at(setup, stretch.from, "the equations change too often to be followed", FaultKind::unsolved);
  }
  return reached;
}

TransientResult result_of(const RunSetup& setup, const RunState& end, const Notes& notes) {
  TransientResult result;
  result.end = FractionField(setup.site.spaces.size(), setup.columns.asked);
  for (std::size_t i = 0; i < setup.site.spaces.size(); ++i) {
    for (std::size_t c = 0; c < setup.columns.asked; ++c) {
      result.end(SpaceIndex{i}, c) = end.x(SpaceIndex{i}, setup.columns.first + c);
    }
  }
  notes.flows.write(result);
  result.pressures = notes.pressures.traces(end.pressure);
  result.releases = notes.releases.traces();
  result.balance = notes.balance.close(end, result.releases);
  result.steps = notes.steps.steps;
  result.factorisations = notes.steps.factorisations;
  result.rejected = notes.steps.rejected;
  return result;
}

/// Carries a run through a stretch and leaves the flows at its start in the last argument.
using Carry = std::function<Result<double>(const Stretch&, RunState&, RunSignals&, FlowField&)>;

Result<TransientResult> run_timeline(const RunSetup& setup, double horizon, const RunObservers& observers,
                                     FlowNotes of_flows, const Carry& carry_on) {
  const Timeline timeline(setup, horizon);
  RunState state = initial_state(setup.site, setup.case_index, setup.columns.tracers);
  RunSignals signals(setup.site.spaces.size());
  Notes notes(setup, state, horizon, std::move(of_flows));
  notes.subscribe_to(signals);
  signals.pieces.subscribe(observers.pieces);
  signals.layers.subscribe(observers.layers);
  signals.segments.subscribe(observers.segments);
  FlowField first_flows;
  for (double t = 0.0; t < horizon;) {
    const Stretch stretch = timeline.stretch(t, state);
    FlowField flows;
    const auto reached = carry_on(stretch, state, signals, flows);
    if (const auto* fault = std::get_if<Fault>(&reached)) return *fault;
    if (t == 0.0) first_flows = std::move(flows);
    t = std::min(std::get<double>(reached), stretch.to);
  }
  TransientResult result = result_of(setup, state, notes);
  result.first_flows = std::move(first_flows);
  return result;
}

}  // namespace

Result<RunOutcome> run(const Site& site, CaseIndex case_index, std::span<const Tracer> tracers, double horizon,
                       const RunObservers& observers) {
  const RunSetup setup(site, case_index, carried_columns(site, tracers, may_follow_gas(site)));
  LinearStepper linear(setup);
  CoupledStepper coupled(setup);
  const Carry carry_on = [&](const Stretch& stretch, RunState& state, RunSignals& signals, FlowField& flows) {
    return CoupledStepper::needed(setup, stretch) ? carry(coupled, setup, stretch, state, signals, flows)
                                                  : carry(linear, setup, stretch, state, signals, flows);
  };
  auto result = run_timeline(setup, horizon, observers, FlowNotes(site), carry_on);
  if (auto* fault = std::get_if<Fault>(&result)) return std::move(*fault);
  return RunOutcome{std::move(std::get<TransientResult>(result))};
}

Result<RunOutcome> run(LayeredSite& layers, CaseIndex case_index, std::span<const Tracer> tracers, double horizon,
                       const RunObservers& observers) {
  const RunSetup setup(layers.site(), case_index, carried_columns(layers.site(), tracers, true));
  LayeredStepper layered(setup, layers, observers.layered_tolerance);
  const Carry carry_on = [&](const Stretch& stretch, RunState& state, RunSignals& signals, FlowField& flows) {
    return carry(layered, setup, stretch, state, signals, flows);
  };
  FlowNotes notes(layers.site(), [&](const std::vector<StarvedFan>& fans) { return layers.collapsed(fans); });
  auto result = run_timeline(setup, horizon, observers, std::move(notes), carry_on);
  if (auto* fault = std::get_if<Fault>(&result)) return std::move(*fault);
  return RunOutcome{std::move(std::get<TransientResult>(result)), layered.broken(), layered.far_end()};
}

}  // namespace leanside::transport
