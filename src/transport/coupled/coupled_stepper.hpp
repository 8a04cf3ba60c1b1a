// SPDX-License-Identifier: Apache-2.0
/// Stretches in which flows or releases follow the gas or the time: everything is solved together, step by step.
#pragma once

#include <variant>
#include <vector>

#include "leanside/advanced/airflow.hpp"
#include "transport/coupled/room_model.hpp"
#include "transport/run/setup.hpp"
#include "transport/run/stepper.hpp"

namespace leanside::transport {

/// See run/stepper.hpp. `setup` must outlive the stepper.
class CoupledStepper {
 public:
  explicit CoupledStepper(const RunSetup& setup) : setup_{setup}, rooms_{mixed_rooms(setup.site)} {}

  /// Whether a stretch needs this stepper.
  static bool needed(const RunSetup& setup, const Stretch& stretch);

  std::variant<Balanced, FlowFault> balance(const Stretch& stretch, const RunState& state) const;
  Result<double> advance(const Stretch& stretch, FlowField& flows, RunState& state, RunSignals& signals) const;

 private:
  const RunSetup& setup_;
  RoomModel rooms_;  ///< keeps the pressures of one stretch as a first guess for the next
};

/// Where a stretch of coupled equations ended.
struct CoupledEnd {
  double reached = 0.0;      ///< s; before the end of the stretch if a spill is dry or air reverses
  std::vector<double> held;  ///< mol by cell
};

/// Carries a run through a stretch, the rooms being those of `model`. `flows`: a first guess for the start, without
/// what passes through junctions; becomes the flows at the start.
Result<CoupledEnd> advance_coupled_stretch(const RunSetup& setup, const Stretch& stretch, const RoomModel& model,
                                           FlowField& flows, RunState& state, RunSignals& signals);

/// Density of the gas in each space, kg/m3; empty if no flow of `site_state` follows it.
std::vector<double> densities_now(const RunSetup& setup, const SiteState& site_state, const RunState& state);

}  // namespace leanside::transport
