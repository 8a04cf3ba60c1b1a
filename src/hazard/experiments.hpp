// SPDX-License-Identifier: Apache-2.0
/// Vessels on a bench: what their content may do, and what that makes of the warnings about them.
#pragma once

#include <vector>

#include "hazard/mixture.hpp"
#include "leanside/assess.hpp"

namespace leanside::hazard {

/// One for each vessel of a case that gas is in or gets into, but for those that people enter. The spaces of `result`
/// have to be known.
std::vector<Experiment> find_experiments(const Site& site, const CaseResult& result, const MixtureModels& models);

/// A vessel whose content comes into the flammable range by the air that gets in by itself is flammable, from the
/// earliest moment on; each warning about a vessel gets its experiment. `result.experiments` has to be known.
void judge_experiments(const CaseResult& result, std::vector<Warning>& warnings);

}  // namespace leanside::hazard
