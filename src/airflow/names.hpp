// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <span>
#include <string>

#include "leanside/site.hpp"

namespace leanside::airflow {

/// Names of some spaces for a message: at most five, then how many more.
std::string list_names(const Site& site, std::span<const SpaceIndex> spaces);

}  // namespace leanside::airflow
