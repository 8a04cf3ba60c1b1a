// SPDX-License-Identifier: Apache-2.0
#include "hazard/room_models.hpp"

#include <algorithm>

namespace leanside::hazard {
namespace {

/// What gets into a space.
struct Kinds {
  bool light = false, heavy = false;  ///< than air
};

std::vector<Kinds> kinds_of(const Site& site) {
  std::vector<Kinds> kinds(site.spaces.size());
  for (const Release& release : site.releases) {
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

bool asks_for_both(const Site& site) {
  return std::any_of(site.spaces.begin(), site.spaces.end(),
                     [](const Space& space) { return space.stratification == Stratification::worse_of_both; });
}

// A room whose mixed model is computed as well keeps its layers whatever a jet does: which of the two is true need
// not be decided, and a stronger jet gives no milder answer.
std::vector<Site> sites_to_solve(const Site& site) {
  const auto kinds = kinds_of(site);
  std::vector<Site> sites{with_model(site, Stratification::layered)};
  bool two_layers = false;
  for (std::size_t i = 0; i < kinds.size(); ++i) {
    const auto [light, heavy] = kinds[i];
    const Stratification asked = site.spaces[i].stratification;
    if (asked == Stratification::mixed || (!light && !heavy)) continue;
    two_layers = two_layers || (light && heavy);
    if (asked == Stratification::worse_of_both || (light && heavy)) sites[0].spaces[i].gas_above = light;
  }
  if (two_layers) {
    sites.push_back(sites.front());
    for (std::size_t i = 0; i < kinds.size(); ++i) {
      if (kinds[i].light && kinds[i].heavy) sites[1].spaces[i].gas_above = false;
    }
  }
  if (asks_for_both(site)) sites.push_back(with_model(site, Stratification::mixed));
  return sites;
}

}  // namespace leanside::hazard
