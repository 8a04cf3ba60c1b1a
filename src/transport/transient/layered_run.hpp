// SPDX-License-Identifier: Apache-2.0
/// Runs of sites with rooms in layers.
#pragma once

#include <span>
#include <variant>

#include "leanside/advanced/transport.hpp"
#include "transport/transient/run.hpp"

namespace leanside::transport {

/// As solve_transient, for a site that has rooms in layers.
Result<TransientResult> run_layered(const Site& site, CaseIndex case_index, std::span<const Tracer> tracers,
                                    double horizon, const RunObservers& observers);

}  // namespace leanside::transport
