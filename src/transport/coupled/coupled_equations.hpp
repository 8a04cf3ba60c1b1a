// SPDX-License-Identifier: Apache-2.0
/// The equations of a coupled stretch at any point of it.
#pragma once

#include <array>
#include <cstddef>
#include <string>
#include <variant>
#include <vector>

#include "leanside/advanced/airflow.hpp"
#include "transport/coupled/moment.hpp"
#include "transport/coupled/room_model.hpp"
#include "transport/run/setup.hpp"
#include "transport/run/state.hpp"
#include "transport/run/timeline.hpp"

namespace leanside::transport {

class CoupledEquations {
 public:
  /// All arguments must outlive the equations. `state` is that at the start of the stretch.
  CoupledEquations(const RunSetup& setup, const Stretch& stretch, const RoomModel& model, const RunState& state);

  /// Whether the flows follow the composition.
  bool follows_gas() const { return follows_gas_; }
  /// The spills among the varying releases: those that draw on a stock, in the order of Moment::draws.
  const std::vector<ReleaseIndex>& spills() const { return spills_; }
  /// mol that each cell holds at the start; 0 for junctions and outlets.
  std::vector<double> capacity() const;

  std::variant<Moment, std::string> at(const StagePoint& point);

  /// The flows computed last for each stage, and for the start of the stretch. Of an accepted step they are its flows.
  std::array<FlowField, stages + 1>& fields() { return fields_; }

 private:
  /// A spill: its rate falls linearly with the fraction of its gas, to nothing where the air is saturated.
  Draw draw_of(ReleaseIndex spill, const StagePoint& point) const;
  /// mol/s of a varying release other than a spill, at one stage: chosen so that the quadrature of the step adds up to
  /// exactly what is released.
  double stage_rate(ReleaseIndex release, const StagePoint& point) const;

  const RunSetup& setup_;
  const Stretch& stretch_;
  const RoomModel& model_;
  const RunState& state_;
  bool follows_gas_ = false;
  std::size_t rows_ = 0;
  std::vector<ReleaseIndex> spills_;
  std::array<FlowField, stages + 1> fields_;
};

}  // namespace leanside::transport
