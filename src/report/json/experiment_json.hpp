// SPDX-License-Identifier: Apache-2.0
/// What vessels on a bench may do, for programs.
#pragma once

#include "leanside/assess.hpp"
#include "report/json/json.hpp"

namespace leanside::report {

Json experiment_json(const Site& site, const Experiment& experiment);

}  // namespace leanside::report
