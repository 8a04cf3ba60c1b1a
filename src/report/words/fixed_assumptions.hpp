// SPDX-License-Identifier: Apache-2.0
/// Assumptions whose sentence is the same for every site.
#pragma once

#include <optional>

#include "leanside/assumptions.hpp"
#include "report/words/phrases.hpp"

namespace leanside::report {

/// Empty where the sentence of the kind depends on the fields of the assumption.
std::optional<Phrase> fixed_sentence(AssumptionKind kind);

}  // namespace leanside::report
