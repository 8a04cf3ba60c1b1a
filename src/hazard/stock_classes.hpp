// SPDX-License-Identifier: Apache-2.0
/// What a stored gas or liquid is: the classes of its parts, and what they mean where it stands.
#pragma once

#include <vector>

#include "leanside/stock.hpp"

namespace leanside::hazard {

/// Classes of a gas with these shares; `burns`: it has a fuel. Classes of the substances, where a share counts: any
/// share of a pyrophoric gas, a toxic share above its IDLH, half of a decomposing gas, 1 % of a corrosive one.
std::vector<StorageClass> storage_classes(const Site& site, const std::vector<GasShare>& shares, bool burns);

/// Whether a release is a stock that can get out: a cylinder, a bottle, a charge.
bool is_stored(const Release& release);

/// Whether nitrous oxide is held in a space, or in one that an airway joins to it: a fuel that leaks there may meet it.
bool beside_nitrous_oxide(const Site& site, SpaceIndex space);

/// Sorted, each once; `inert` only where it is the only one.
std::vector<StorageClass> in_order(std::vector<StorageClass> classes);

/// How many times the IDLH of its worst part the undiluted gas is; 0 where no part has one.
double times_idlh(const Site& site, const std::vector<GasShare>& shares);

/// m3 of liquid in `mass` kg at 20 degC, volumes added up; 0 where the density of a part is not known.
double liquid_volume(const Site& site, const std::vector<GasShare>& shares, double mass);

/// A cabinet at least 8 K colder than the site: a refrigerator or a freezer.
bool is_cold_cabinet(const Site& site, SpaceIndex space);

/// Whether a part of a liquid is at or above its flash point there; also where the flash point is not known.
bool burns_when_as_warm_as(const Site& site, const std::vector<GasShare>& shares, SpaceIndex space);

}  // namespace leanside::hazard
