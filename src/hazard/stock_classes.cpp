// SPDX-License-Identifier: Apache-2.0
#include "hazard/stock_classes.hpp"

#include <algorithm>
#include <string_view>
#include <utility>

#include "hazard/mixture.hpp"

namespace leanside {

std::string_view word_of(StorageClass of) {
  switch (of) {
    case StorageClass::pyrophoric:
      return "pyrophoric";
    case StorageClass::toxic:
      return "toxic";
    case StorageClass::flammable:
      return "flammable";
    case StorageClass::decomposing:
      return "decomposing";
    case StorageClass::oxidising:
      return "oxidising";
    case StorageClass::corrosive:
      return "corrosive";
    case StorageClass::inert:
      break;
  }
  return "inert";
}

std::string_view word_of(StorageConcern concern) {
  switch (concern) {
    case StorageConcern::pyrophoric_with_others:
      return "pyrophoric_with_others";
    case StorageConcern::oxidiser_with_fuel:
      return "oxidiser_with_fuel";
    case StorageConcern::oxidiser_beside_fuel:
      return "oxidiser_beside_fuel";
    case StorageConcern::poisons_room:
      return "poisons_room";
    case StorageConcern::cold_liquid:
      return "cold_liquid";
    case StorageConcern::decomposes:
      return "decomposes";
    case StorageConcern::displaces_oxygen:
      break;
  }
  return "displaces_oxygen";
}

bool concerns_two(StorageConcern concern) {
  return concern == StorageConcern::pyrophoric_with_others || concern == StorageConcern::oxidiser_with_fuel ||
         concern == StorageConcern::oxidiser_beside_fuel;
}

namespace hazard {

bool is_stored(const Release& release) {
  if (release.happens_to) return false;  // counted with the cylinder that it happens to
  return std::holds_alternative<DumpRelease>(release.kind) || std::holds_alternative<CylinderRelease>(release.kind) ||
         std::holds_alternative<SpillRelease>(release.kind) || std::holds_alternative<BoilingRelease>(release.kind);
}

bool beside_nitrous_oxide(const Site& site, SpaceIndex space) {
  const auto holds_it = [&](SpaceIndex at) {
    if (is_nitrous_oxide(site, site.spaces[at.value].initial)) return true;
    return std::any_of(site.releases.begin(), site.releases.end(), [&](const Release& release) {
      return release.into == at && is_stored(release) && is_nitrous_oxide(site, release.gas.shares);
    });
  };
  if (holds_it(space)) return true;
  return std::any_of(site.airways.begin(), site.airways.end(), [&](const Airway& airway) {
    const Side a = first_side(airway), b = second_side(airway);
    return a && b && ((*a == space && holds_it(*b)) || (*b == space && holds_it(*a)));
  });
}

std::vector<StorageClass> in_order(std::vector<StorageClass> classes) {
  std::sort(classes.begin(), classes.end());
  classes.erase(std::unique(classes.begin(), classes.end()), classes.end());
  if (classes.size() > 1 && classes.back() == StorageClass::inert) classes.pop_back();
  return classes;
}

std::vector<StorageClass> storage_classes(const Site& site, const std::vector<GasShare>& shares, bool burns) {
  // Common practice, no source: a trace of a corrosive or decomposing gas does not make the mixture one.
  constexpr double least_corrosive = 0.01, least_decomposing = 0.5;
  std::vector<StorageClass> classes{StorageClass::inert};
  if (burns) classes.push_back(StorageClass::flammable);
  for (const GasShare& share : shares) {
    const Substance& substance = site.gases[share.gas.value].substance;
    if (share.fraction <= 0.0) continue;
    const auto is = [&](std::string_view word) { return substance.is_classed(word); };
    if (is("pyrophoric")) classes.push_back(StorageClass::pyrophoric);
    if (is("toxic") && (!substance.idlh || share.fraction >= substance.idlh->value)) {
      classes.push_back(StorageClass::toxic);
    }
    if (substance.oxidiser()) classes.push_back(StorageClass::oxidising);
    if (is("corrosive") && share.fraction >= least_corrosive) classes.push_back(StorageClass::corrosive);
    if (is("decomposing") && share.fraction >= least_decomposing) classes.push_back(StorageClass::decomposing);
  }
  return in_order(std::move(classes));
}

double times_idlh(const Site& site, const std::vector<GasShare>& shares) {
  double worst = 0.0;
  for (const GasShare& share : shares) {
    const auto& idlh = site.gases[share.gas.value].substance.idlh;
    if (idlh) worst = std::max(worst, share.fraction / idlh->value);
  }
  return worst;
}

double liquid_volume(const Site& site, const std::vector<GasShare>& shares, double mass) {
  double weighed = 0.0, volume = 0.0;  // of one mol
  for (const GasShare& share : shares) {
    const Substance& substance = site.gases[share.gas.value].substance;
    if (!substance.liquid_density) return 0.0;
    const double part = share.fraction * substance.molar_mass.value;
    weighed += part;
    volume += part / substance.liquid_density->value;
  }
  return weighed > 0.0 ? mass * volume / weighed : 0.0;
}

bool is_cold_cabinet(const Site& site, SpaceIndex space) {
  constexpr double much_colder = 8.0;  // K; common practice, no source
  const Space& cabinet = site.spaces[space.value];
  return cabinet.kind == SpaceKind::cabinet && cabinet.temperature <= site.conditions.temperature - much_colder;
}

bool burns_when_as_warm_as(const Site& site, const std::vector<GasShare>& shares, SpaceIndex space) {
  const double temperature = site.spaces[space.value].temperature;
  return std::any_of(shares.begin(), shares.end(), [&](const GasShare& share) {
    const Substance& substance = site.gases[share.gas.value].substance;
    return substance.flammable() && (!substance.flash_point || substance.flash_point->value <= temperature);
  });
}

}  // namespace hazard
}  // namespace leanside
