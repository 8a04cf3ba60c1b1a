// SPDX-License-Identifier: Apache-2.0
#include <utility>

#include "leanside/advanced/transport.hpp"
#include "transport/transient/layered_run.hpp"
#include "transport/transient/run.hpp"

namespace leanside {

std::variant<TransientResult, SolveFault> solve_transient(const Site& site, CaseIndex which,
                                                          std::span<const Tracer> tracers, double horizon,
                                                          const PieceObserver& observe,
                                                          const LayerObserver& observe_layers) {
  const transport::RunObservers observers{observe, observe_layers};
  if (has_layers(site)) return transport::run_layered(site, which, tracers, horizon, observers);
  auto outcome = transport::run(site, which, tracers, horizon, observers);
  if (auto* fault = std::get_if<SolveFault>(&outcome)) return std::move(*fault);
  return std::move(std::get<transport::RunOutcome>(outcome).result);
}

}  // namespace leanside
