// SPDX-License-Identifier: Apache-2.0
/// Assumptions whose sentence is the same for every site.
#pragma once

#include <string_view>

#include "leanside/assumptions.hpp"

namespace leanside::report {

/// Empty where the sentence of the kind depends on the fields of the assumption.
std::string_view fixed_sentence(AssumptionKind kind);

/// Which limits are used where an oxidiser other than oxygen gets out, by its id.
std::string_view limits_beside(std::string_view oxidiser);

}  // namespace leanside::report
