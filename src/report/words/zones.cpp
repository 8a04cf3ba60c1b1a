// SPDX-License-Identifier: Apache-2.0
/// Where gas can be ignited close to a release, in words.
#include <algorithm>
#include <cmath>
#include <map>

#include "leanside/report.hpp"
#include "report/words/words.hpp"

namespace leanside::report {
std::string zone_words(const Site& site, const SourceZone& zone) {
  const std::string space = label(site, zone.space);
  if (zone.fills_space && zone.background >= 1.0) return "throughout " + space;
  if (zone.fills_space) return "anywhere in " + space + ", which is too small for the gas to mix first";
  if (zone.zone.shape == ZoneShape::pool) {
    return "within " + reach_words(site, zone.zone.reach) + " of the liquid, and near the floor within " +
           reach_words(site, zone.zone.keep_out);
  }
  return "within " + reach_words(site, zone.zone.reach) + " of it (keep ignition sources " +
         reach_words(site, zone.zone.keep_out) + " away)";
}

std::string zone_limits(const SourceZone& zone) {
  if (zone.zone.shape == ZoneShape::pool) return "the distance is common practice, not computed";
  return std::string{"this is an estimate, good to about a quarter, for "} +
         (zone.zone.shape == ZoneShape::jet ? "a free jet" : "gas that leaves without pressure") +
         ": along a wall or against an obstacle it reaches up to half as far again";
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

std::vector<std::string> zone_sentences(const Site& site, const Assessment& assessment) {
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
    out.push_back("gas from \"" + label(site, ReleaseIndex{release}) + "\" can be ignited " + zone_words(site, *zone));
  }
  return out;
}

}  // namespace leanside::report
