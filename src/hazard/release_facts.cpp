// SPDX-License-Identifier: Apache-2.0
#include "hazard/release_facts.hpp"

#include "leanside/advanced/release.hpp"

namespace leanside::hazard {
namespace {

/// Lower limit of the whole gas of a release, Le Chatelier; empty where nothing of it burns.
std::optional<double> lower_limit(const Site& site, const Release& release) {
  double sum = 0.0;
  const double temperature = site.spaces[release.into.value].temperature;
  for (const GasShare& share : release.gas.shares) {
    const Gas& gas = site.gases[share.gas.value];
    if (!gas.limits) continue;
    std::optional<double> heat;
    if (gas.substance.net_heat) heat = gas.substance.net_heat->value;
    sum += share.fraction / lower_limit_at(gas.limits->lower, heat, temperature);
  }
  return sum > 0.0 ? std::optional{1.0 / sum} : std::nullopt;
}

}  // namespace

double volume_of(const Site& site, double moles) {
  return moles * gas_constant * site.conditions.temperature / site.conditions.pressure;
}

ReleaseFacts release_facts(const Site& site, const Assessment& assessment, ReleaseIndex index) {
  const Release& release = site.releases[index.value];
  ReleaseFacts facts;
  facts.peak = emission_rate(release, 0.0);
  facts.total = total_amount(release);
  facts.lasts = emission_time(release);
  facts.molar_mass = molar_mass(release.gas, site.gases);
  facts.lower = lower_limit(site, release);
  if (!assessment.cases.empty() && index.value < assessment.cases[0].releases.size()) {
    facts.spent = assessment.cases[0].releases[index.value].spent;
    facts.given = assessment.cases[0].releases[index.value].amount;
  }
  return facts;
}

double air_to_limit(const Site& site, const ReleaseFacts& facts, double moles) {
  return volume_of(site, moles) * (1.0 / *facts.lower - 1.0);
}

std::vector<ReleaseIndex> releases_asked_for(const Site& site, std::optional<ReleaseIndex> only) {
  if (only) return {*only};
  std::vector<ReleaseIndex> all;
  for (std::size_t r = 0; r < site.releases.size(); ++r) all.push_back(ReleaseIndex{r});
  return all;
}

}  // namespace leanside::hazard
