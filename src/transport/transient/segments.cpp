// SPDX-License-Identifier: Apache-2.0
#include "transport/transient/segments.hpp"

#include <utility>

#include "transport/coupled/coupled_stepper.hpp"
#include "transport/run/timeline.hpp"
#include "transport/transient/run.hpp"

namespace leanside::transport {
namespace {

/// Whether flows and releases stay as they are in every stretch. What varies is known before the run.
bool constant_throughout(const Site& site, CaseIndex case_index, double horizon) {
  const RunSetup setup(site, case_index, {});
  const Timeline timeline(setup, horizon);
  RunState start = initial_state(site, case_index, gas_tracers(site));
  for (const double t : timeline.breakpoints()) {
    if (t < horizon && CoupledStepper::needed(setup, timeline.stretch(t, start))) return false;
  }
  return true;
}

}  // namespace

Result<std::optional<std::vector<Segment>>> segments_of(const Site& site, CaseIndex case_index, double horizon) {
  // The coefficients of layers change all the time.
  if (has_layers(site) || !constant_throughout(site, case_index, horizon)) return std::nullopt;
  std::vector<Segment> segments;
  RunObservers observers;
  observers.segments = [&](const Segment& segment) { segments.push_back(segment); };
  auto outcome = run(site, case_index, {}, horizon, observers);
  if (auto* fault = std::get_if<Fault>(&outcome)) return std::move(*fault);
  return segments;
}

}  // namespace leanside::transport
