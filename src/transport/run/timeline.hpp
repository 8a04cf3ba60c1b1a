// SPDX-License-Identifier: Apache-2.0
/// The time of a run, divided into stretches without events.
#pragma once

#include <span>
#include <vector>

#include "leanside/advanced/airflow.hpp"
#include "transport/run/setup.hpp"
#include "transport/run/state.hpp"

namespace leanside::transport {

/// The time from one breakpoint to the next. No event and no start or stop of a release lies within it.
struct Stretch {
  double from = 0.0, to = 0.0;        ///< s
  SiteState state;                    ///< after all events at `from`; varying releases at their rate at `from`
  std::vector<ReleaseIndex> varying;  ///< releases that emit at a rate that varies
};

class Timeline {
 public:
  /// From 0 to `horizon` s. `setup` must outlive the timeline.
  Timeline(const RunSetup& setup, double horizon);

  double horizon() const { return horizon_; }

  /// Every instant known before the run at which the equations change, in order, each once: 0, the events, the starts
  /// and stops of releases and the breakpoints of their rates, the horizon.
  std::span<const double> breakpoints() const { return breakpoints_; }

  /// What holds from `from` < horizon until the next breakpoint. `now` is the state of the run at `from`: a spill
  /// follows the vapour around it and ends when its stock is used up.
  Stretch stretch(double from, const RunState& now) const;

 private:
  const RunSetup& setup_;
  double horizon_;
  std::vector<double> breakpoints_;
};

/// Pa of the gas of a release at `fraction` in a space that holds `over_ambient` times its moles at ambient pressure.
double partial_pressure(const Site& site, double fraction, double over_ambient);

/// The part of a vapour that there is most of: the one that its spill follows.
GasShare most_of(std::span<const GasShare> vapour);

}  // namespace leanside::transport
