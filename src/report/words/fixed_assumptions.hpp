// SPDX-License-Identifier: Apache-2.0
/// Assumptions whose sentences are the same for every site.
#pragma once

#include <optional>
#include <string_view>

#include "leanside/assumptions.hpp"
#include "report/words/phrases.hpp"

namespace leanside::report {

/// Empty where the sentence of the kind depends on the fields of the assumption.
std::optional<Phrase> fixed_sentence(AssumptionKind kind);

/// Which limits are used where an oxidiser other than oxygen gets out, by its id.
Phrase limits_beside(std::string_view oxidiser);

}  // namespace leanside::report
