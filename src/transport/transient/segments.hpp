// SPDX-License-Identifier: Apache-2.0
/// The segments of a whole run, kept so that they can be solved backwards (see linear/origins.hpp).
#pragma once

#include <optional>
#include <variant>
#include <vector>

#include "leanside/advanced/transport.hpp"
#include "transport/linear/segment.hpp"

namespace leanside::transport {

/// The segments of a case up to `horizon` s. Empty if the coefficients of some stretch are not constant.
Result<std::optional<std::vector<Segment>>> segments_of(const Site& site, CaseIndex case_index, double horizon);

}  // namespace leanside::transport
