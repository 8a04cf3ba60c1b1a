// SPDX-License-Identifier: Apache-2.0
/// Where gas can be ignited close to a release, in words.
#include <algorithm>
#include <cmath>
#include <map>

#include "leanside/report.hpp"
#include "report/words/words.hpp"

namespace leanside::report {
using P = Phrase;

namespace {

/// Whether no other release has the name that people read: else its space has to be told too.
bool is_only_name(const Site& site, ReleaseIndex release) {
  const std::string name = label(site, release);
  for (std::size_t r = 0; r < site.releases.size(); ++r) {
    if (r != release.value && label(site, ReleaseIndex{r}) == name) return false;
  }
  return true;
}

}  // namespace

std::string zone_words(Told site, const SourceZone& zone) {
  const std::string space = label(site, zone.space);
  if (zone.fills_space) {
    return site.tell(zone.background >= 1.0 ? P::zone_whole : P::zone_small_space, {{"space", space}});
  }
  return site.tell(
      zone.zone.shape == ZoneShape::pool ? P::zone_pool : P::zone,
      {{"reach", reach_words(site, zone.zone.reach)}, {"keep_out", reach_words(site, zone.zone.keep_out)}});
}

std::string zone_limits(Told site, const SourceZone& zone) {
  if (zone.zone.shape == ZoneShape::pool) return site.tell(P::zone_limits_pool);
  return site.tell(zone.zone.shape == ZoneShape::jet ? P::zone_limits_jet : P::zone_limits_slow);
}

const SourceZone* longest_zone(const Assessment& assessment) {
  const SourceZone* longest = nullptr;
  for (const CaseResult& result : assessment.cases) {
    for (const SourceZone& zone : result.zones) {
      if (longest == nullptr || zone.zone.reach > longest->zone.reach) longest = &zone;
    }
  }
  return longest;
}

std::vector<std::string> zone_sentences(Told site, const Assessment& assessment) {
  std::map<std::size_t, const SourceZone*> worst;
  for (const CaseResult& result : assessment.cases) {
    for (const SourceZone& zone : result.zones) {
      const SourceZone*& known = worst[zone.release.value];
      if (known == nullptr || zone.zone.reach > known->zone.reach) known = &zone;
    }
  }
  for (const Warning& warning : assessment.warnings) {
    if (warning.source) worst.erase(warning.source->release.value);
    if (warning.severity != Severity::flammable && warning.severity != Severity::rich) continue;
    std::erase_if(worst, [&](const auto& entry) { return entry.second->space == warning.space; });
  }
  std::vector<std::string> out;
  for (const auto& [release, zone] : worst) {
    const std::string name = label(site, ReleaseIndex{release}), words = zone_words(site, *zone);
    out.push_back(
        is_only_name(site, ReleaseIndex{release})
            ? site.tell(P::zone_of_gas, {{"source", name}, {"zone", words}})
            : site.tell(P::zone_of_gas_in, {{"source", name}, {"space", label(site, zone->space)}, {"zone", words}}));
  }
  return out;
}

}  // namespace leanside::report
