// SPDX-License-Identifier: Apache-2.0
/// What happens all at once when a sealed space opens or a space changes its temperature.
#pragma once

#include <optional>

#include "leanside/advanced/airflow.hpp"
#include "transport/run/setup.hpp"
#include "transport/run/signals.hpp"
#include "transport/run/state.hpp"

namespace leanside::transport {

/// Brings the spaces of `run` to the temperatures of `state`, the state of the airways at `t` s with the flows `field`.
/// A vessel that held pressure and is no longer sealed vents its surplus at once, at the composition that it had. So
/// does a space that warms up; one that cools down draws in what it lacks.
std::optional<Fault> vent_surplus(const RunSetup& setup, const SiteState& state, const FlowField& field, double t,
                                  RunState& run, RunSignals& signals);

}  // namespace leanside::transport
