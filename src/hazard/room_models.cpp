// SPDX-License-Identifier: Apache-2.0
#include "hazard/room_models.hpp"

#include "leanside/advanced/release.hpp"

namespace leanside::hazard {
namespace {

/// What gets into a space.
struct Kinds {
  bool light = false, heavy = false;  ///< than air
};

/// By space; of rooms that show the worse of both models only what gets out in this case.
std::vector<Kinds> kinds_of(const Site& site, CaseIndex case_index) {
  std::vector<Kinds> kinds(site.spaces.size());
  for (std::size_t r = 0; r < site.releases.size(); ++r) {
    const Release& release = site.releases[r];
    const bool both = site.spaces[release.into.value].stratification == Stratification::worse_of_both;
    if (both && emission(release, ReleaseIndex{r}, site.cases[case_index.value].events).empty()) continue;
    const double mass = molar_mass(release.gas, site.gases);
    Kinds& here = kinds[release.into.value];
    here.light = here.light || mass < molar_mass_of_air;
    here.heavy = here.heavy || mass > molar_mass_of_air;
  }
  return kinds;
}

Site with_model(Site site, Stratification model) {
  for (Space& space : site.spaces) {
    if (space.stratification == Stratification::worse_of_both) space.stratification = model;
  }
  return site;
}

}  // namespace

// A room whose mixed model is computed as well keeps its layers whatever a jet does: which of the two is true need
// not be decided, and a stronger jet gives no milder answer.
RoomModels models_to_solve(const Site& site, CaseIndex case_index) {
  const auto kinds = kinds_of(site, case_index);
  RoomModels out;
  Site chosen = site;
  for (std::size_t i = 0; i < kinds.size(); ++i) {
    Stratification& asked = chosen.spaces[i].stratification;
    if (asked != Stratification::worse_of_both) continue;
    if (!kinds[i].light && !kinds[i].heavy) asked = Stratification::mixed;
    out.both = out.both || asked == Stratification::worse_of_both;
  }
  out.sites.push_back(with_model(chosen, Stratification::layered));
  bool two_layers = false;
  for (std::size_t i = 0; i < kinds.size(); ++i) {
    const auto [light, heavy] = kinds[i];
    const Stratification asked = chosen.spaces[i].stratification;
    if (asked == Stratification::mixed || (!light && !heavy)) continue;
    // Where the side of the layer has been chosen already, it stays.
    if (site.spaces[i].gas_above) continue;
    two_layers = two_layers || (light && heavy);
    if (asked == Stratification::worse_of_both || (light && heavy)) out.sites[0].spaces[i].gas_above = light;
  }
  if (two_layers) {
    out.sites.push_back(out.sites.front());
    for (std::size_t i = 0; i < kinds.size(); ++i) {
      if (kinds[i].light && kinds[i].heavy && !site.spaces[i].gas_above) out.sites[1].spaces[i].gas_above = false;
    }
  }
  if (out.both) out.sites.push_back(with_model(chosen, Stratification::mixed));
  return out;
}

}  // namespace leanside::hazard
