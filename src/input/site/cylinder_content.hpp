// SPDX-License-Identifier: Apache-2.0
/// What a cylinder holds, by its label.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "input/site/site_draft.hpp"

namespace leanside::input {

enum class Content { compressed, liquefied, dissolved };

/// A gas in a cylinder before anything leaks.
struct CylinderContent {
  Content kind = Content::compressed;
  std::vector<GasPart> parts;
  HeldGas gas;
  double pressure = 0.0;    ///< Pa; of a liquefied gas its vapour pressure
  double amount = 0.0;      ///< mol
  double volume = 0.0;      ///< m3 of water; 0 where it does not matter
  double density = 0.0;     ///< kg/m3 of its liquid; 0 where there is none or it is not known
  bool known = true;        ///< false: nothing tells how far the gas is from ideal
  bool liquid_out = false;  ///< it lies or stands on its head
  std::string remark;       ///< what was assumed; may be empty
};

/// From `contents`, `water_volume`, `pressure`, `filled` and `position` of the table; empty, with a fault, where they
/// do not tell.
std::optional<CylinderContent> read_content(const TableReader& table, const Release& release, const HeldGas& gas,
                                            const Draft& draft);

/// The cylinder with a hole in it.
CylinderRelease leaking(const CylinderContent& content, const Hole& hole, double ambient);

}  // namespace leanside::input
