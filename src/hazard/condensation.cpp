// SPDX-License-Identifier: Apache-2.0
/// Vapour that cannot stay in the air. Water, and whatever else neither burns nor poisons, is taken out of it; what
/// burns or poisons stays as mist.
#include <algorithm>
#include <cmath>

#include "hazard/judge.hpp"

namespace leanside::hazard {
namespace {

bool harms(const Gas& gas) { return gas.limits || gas.substance.idlh || gas.substance.is_classed("toxic"); }

/// The most of a vapour that a space can hold, mol/mol; empty where it does not condense there or where it matters for
/// more than dilution: what burns or poisons is never taken out of the air.
std::optional<double> saturation(const Site& site, std::size_t gas, const Space& space) {
  const Gas& of = site.gases[gas];
  if (harms(of)) return std::nullopt;
  const auto pressure = vapour_pressure(of.substance, space.temperature);
  if (!pressure || *pressure >= site.conditions.pressure) return std::nullopt;
  return *pressure / site.conditions.pressure;
}

/// The most of a gas that a space was seen to hold.
double most_of(const SpaceResult& space, std::size_t gas) {
  double most = std::max(space.peak.fraction[gas], space.end.fraction[gas]);
  if (space.steady.reached) most = std::max(most, space.steady.at.fraction[gas]);
  if (gas < space.halfway.size()) most = std::max(most, space.halfway[gas]);
  return most;
}

/// What may stay of each mol that is released of a gas; 1 where nothing condenses.
double share_that_stays(const Site& site, const CaseResult& result, std::size_t gas) {
  constexpr double near = 1e-3;
  double share = 1.0;
  for (std::size_t i = 0; i < result.spaces.size(); ++i) {
    const auto limit = saturation(site, gas, site.spaces[i]);
    if (!limit) continue;
    const double held = std::min(most_of(result.spaces[i], gas), 1.0 - 1e-9);
    if (held <= *limit * (1.0 + near)) continue;
    // Mol for each mol of the rest: goes nearly with the release.
    share = std::min(share, *limit * (1.0 - held) / ((1.0 - *limit) * held));
  }
  return share;
}

}  // namespace

bool may_condense(const Site& site) {
  return std::any_of(site.releases.begin(), site.releases.end(), [&](const Release& release) {
    return std::any_of(release.gas.shares.begin(), release.gas.shares.end(), [&](const GasShare& part) {
      return std::any_of(site.spaces.begin(), site.spaces.end(),
                         [&](const Space& space) { return saturation(site, part.gas.value, space).has_value(); });
    });
  });
}

bool condense(const Site& site, const CaseResult& result, std::vector<double>& share) {
  bool any = false;
  for (std::size_t k = 0; k < site.gases.size(); ++k) {
    const double stays = share_that_stays(site, result, k);
    if (stays >= 1.0) continue;
    for (std::size_t r = 0; r < site.releases.size(); ++r) {
      const auto& shares = site.releases[r].gas.shares;
      // Of a mixture the rest does not condense, so only what is released by itself is taken back.
      if (shares.size() != 1 || shares.front().gas.value != k) continue;
      share[r] *= stays;
      any = true;
    }
  }
  return any;
}

std::vector<Assumption> mist_of(const Site& site, const CaseResult& result) {
  std::vector<Assumption> out;
  const MixtureModels models = mixture_models(site, result.case_index);
  constexpr double near = 1e-3;
  for (std::size_t i = 0; i < result.spaces.size(); ++i) {
    const auto& saturated = models.of(SpaceIndex{i}).saturated;
    for (std::size_t k = 0; k < saturated.size(); ++k) {
      if (saturated[k] >= 1.0 || !harms(site.gases[k])) continue;
      const double most = most_of(result.spaces[i], k);
      if (most <= saturated[k] * (1.0 + near)) continue;
      out.push_back(
          {AssumptionKind::mist, {SpaceIndex{i}}, {}, {}, {site.gases[k].substance.id}, {most, saturated[k]}});
    }
  }
  return out;
}

Site with_shares(const Site& site, const std::vector<double>& share) {
  Site changed = site;
  for (std::size_t r = 0; r < share.size(); ++r) {
    const ReleaseIndex release[] = {ReleaseIndex{r}};
    if (share[r] < 1.0) changed = with_share(changed, release, share[r]);
  }
  return changed;
}

}  // namespace leanside::hazard
