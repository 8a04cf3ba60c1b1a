// SPDX-License-Identifier: Apache-2.0
/// One run of a case in time: hands the stretches of the timeline to steppers and collects what observers noted.
#pragma once

#include <functional>
#include <optional>
#include <span>
#include <string>
#include <variant>
#include <vector>

#include "leanside/advanced/transport.hpp"
#include "transport/layered/layered_site.hpp"
#include "transport/linear/segment.hpp"

namespace leanside::transport {

/// Relative tolerance of a step in layered rooms: of an answer, and of what is only tried on the way to advice. Where
/// an interface passes an opening, the flows bend, and the error is larger than its estimate.
inline constexpr double fine_layers = 1e-8, rough_layers = 1e-4;

/// Observers of a run besides those whose notes make up the result.
struct RunObservers {
  PieceObserver pieces = {};
  LayerObserver layers = {};
  std::function<void(const Segment&)> segments = {};
  double layered_tolerance = fine_layers;  ///< of rooms in layers
  /// Forgets what the observers have seen: a run finds at its end that layers are broken up, and is made again with
  /// these rooms mixed. Without it, a rough run that nobody observes finds that out first.
  std::function<void()> start_again = {};
};

struct RunOutcome {
  TransientResult result;  ///< in terms of the site of the run: for layers, of the expanded one
  std::vector<std::optional<std::string>> broken = {};  ///< see LayeredStepper::broken
  std::vector<std::vector<double>> far_end = {};        ///< see LayeredStepper::far_end
};

/// Runs a case of a site without layers from 0 to `horizon` s.
Result<RunOutcome> run(const Site& site, CaseIndex case_index, std::span<const Tracer> tracers, double horizon,
                       const RunObservers& observers);

/// The same for a site in layers; `tracers` are those of layers.site(). The layers are left as they are at the end.
Result<RunOutcome> run(LayeredSite& layers, CaseIndex case_index, std::span<const Tracer> tracers, double horizon,
                       const RunObservers& observers);

}  // namespace leanside::transport
