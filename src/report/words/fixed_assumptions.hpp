// SPDX-License-Identifier: Apache-2.0
/// Assumptions whose sentences are the same for every site.
#pragma once

#include <string_view>

#include "leanside/assumptions.hpp"

namespace leanside::report {

/// Empty where the sentence of the kind depends on the fields of the assumption.
std::string_view fixed_sentence(AssumptionKind kind);

}  // namespace leanside::report
