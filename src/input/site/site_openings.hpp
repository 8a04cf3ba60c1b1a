// SPDX-License-Identifier: Apache-2.0
/// Airways that follow pressures: gaps, doorways and the curve of a fan.
#pragma once

#include <vector>

#include "input/site/site_draft.hpp"

namespace leanside::input {

Gap read_gap(const TableReader& table, Side first, Side second, const Draft& draft);
Doorway read_doorway(const TableReader& table, Side first, Side second, const Draft& draft);
/// Points of `curve`, pressures ascending and flows not; empty where a fault was found.
std::vector<FanPoint> read_curve(const TableReader& table);

}  // namespace leanside::input
