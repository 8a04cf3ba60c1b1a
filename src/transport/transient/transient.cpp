// SPDX-License-Identifier: Apache-2.0
#include <utility>

#include "leanside/advanced/transport.hpp"
#include "transport/transient/layered_run.hpp"
#include "transport/transient/run.hpp"

namespace leanside {

Result<TransientResult> solve_transient(const Site& site, CaseIndex case_index, std::span<const Tracer> tracers,
                                        double horizon, const PieceObserver& observe,
                                        const LayerObserver& observe_layers) {
  const transport::RunObservers observers{observe, observe_layers};
  if (has_layers(site)) return transport::run_layered(site, case_index, tracers, horizon, observers);
  auto outcome = transport::run(site, case_index, tracers, horizon, observers);
  if (auto* fault = std::get_if<Fault>(&outcome)) return std::move(*fault);
  return std::move(std::get<transport::RunOutcome>(outcome).result);
}

}  // namespace leanside
