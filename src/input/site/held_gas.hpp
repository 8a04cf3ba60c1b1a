// SPDX-License-Identifier: Apache-2.0
/// Gas under pressure: what it is behind a hole.
#pragma once

#include <optional>
#include <vector>

#include "input/site/site_draft.hpp"

namespace leanside::input {

/// The parts of the gas of a release, but for air.
std::vector<GasPart> parts_of(const Release& release, const Site& site);

/// Molar mass and heat capacity ratio of an ideal gas; empty, with a fault, where they are not known.
std::optional<HeldGas> held_gas(const TableReader& table, const Release& release, const Site& site, double temperature);

/// The gas of an 'orifice' as it is at `pressure`, Pa. A fault where it is partly liquid there; noted in the draft
/// where nothing tells.
void hold_in_line(const TableReader& table, const Release& release, double pressure, HeldGas& held, Draft& draft);

/// Cp/Cv with which a flow is computed where the table has none: the flow hardly depends on it.
inline constexpr double usual_heat_capacity_ratio = 1.3;

}  // namespace leanside::input
