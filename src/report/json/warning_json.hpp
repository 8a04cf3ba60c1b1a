// SPDX-License-Identifier: Apache-2.0
/// A warning with its causes and its advice, for programs. docs/results.md describes the keys.
#pragma once

#include <cstddef>

#include "leanside/assess.hpp"
#include "leanside/site.hpp"
#include "report/json/json.hpp"

namespace leanside::report {

/// One of `warnings`; `rank` is from 1.
Json warning_json(const Site& site, const Warning& warning, std::size_t rank);

}  // namespace leanside::report
