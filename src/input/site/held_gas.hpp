// SPDX-License-Identifier: Apache-2.0
/// Gas under pressure that an ideal gas cannot stand for.
#pragma once

#include "input/site/site_draft.hpp"

namespace leanside::input {

enum class Holder { cylinder, line };

/// Refuses a gas that is partly liquid at this pressure, Pa, and temperature, K, or so dense that the ideal gas law
/// gives far too little of it; notes in the draft how far off it is where that is more than 5 %.
void check_held_gas(const TableReader& table, const Release& release, Holder holder, double pressure,
                    double temperature, Draft& draft);

}  // namespace leanside::input
