// SPDX-License-Identifier: Apache-2.0
/// The interface between a run and the ways to carry it through a stretch of time. A new way, for example another model
/// of layers, has to offer these two functions and nothing else.
#pragma once

#include <concepts>
#include <variant>

#include "leanside/advanced/airflow.hpp"
#include "transport/run/signals.hpp"
#include "transport/run/state.hpp"
#include "transport/run/timeline.hpp"

namespace leanside::transport {

/// Balanced flows, and the state of the airways that they belong to.
struct Balanced {
  SiteState state;
  FlowField flows;
};

/// `balance` gives the flows at the start of a stretch. `advance` carries the run to the end of the stretch, or to an
/// earlier instant at which the equations change, and gives that instant, s. It gets the flows at the start and may
/// improve them; it takes the state from the start to the end and notifies the observers of what happens in between.
template <class S>
concept Stepper = requires(S stepper, const Stretch& stretch, FlowField& flows, RunState& state, RunSignals& signals) {
  { stepper.balance(stretch, state) } -> std::same_as<std::variant<Balanced, FlowFault>>;
  { stepper.advance(stretch, flows, state, signals) } -> std::same_as<Result<double>>;
};

}  // namespace leanside::transport
