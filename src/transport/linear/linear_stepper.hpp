// SPDX-License-Identifier: Apache-2.0
/// Stretches in which flows and releases stay as they are: linear equations with constant coefficients.
#pragma once

#include <span>
#include <variant>

#include "leanside/advanced/airflow.hpp"
#include "transport/linear/segment.hpp"
#include "transport/run/setup.hpp"
#include "transport/run/stepper.hpp"

namespace leanside::transport {

/// See run/stepper.hpp. `setup` must outlive the stepper.
class LinearStepper {
 public:
  explicit LinearStepper(const RunSetup& setup) : setup_{setup} {}

  std::variant<Balanced, FlowFault> balance(const Stretch& stretch, const RunState& state) const;
  Result<double> advance(const Stretch& stretch, FlowField& flows, RunState& state, RunSignals& signals) const;

 private:
  const RunSetup& setup_;
};

/// Carries the fractions of `state`, and what is gone, through a segment. Parts of the network that no stream joins
/// step on their own; a part without gas is left alone. `source`: mol/s of each column into each cell, column-major. A
/// burst reports no pieces. False if the step became too small.
bool advance_segment(const RunSetup& setup, const Segment& segment, std::span<const double> source, RunState& state,
                     RunSignals& signals);

}  // namespace leanside::transport
