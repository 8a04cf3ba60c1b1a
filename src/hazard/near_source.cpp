// SPDX-License-Identifier: Apache-2.0
/// What can be ignited at its source, and what the answer leaves open.
#include <algorithm>
#include <numeric>

#include "hazard/judge.hpp"
#include "leanside/advanced/release.hpp"

namespace leanside {

std::string_view word_of(SourceHazard hazard) {
  switch (hazard) {
    case SourceHazard::hot_liquid:
      return "hot-liquid";
    case SourceHazard::pyrophoric:
      return "pyrophoric";
    case SourceHazard::zone:
      break;
  }
  return "zone";
}

namespace hazard {
namespace {

/// The share of the lower limit that vapour over a liquid reaches where the air is saturated with it: of a mixture
/// while it is fresh, by Raoult's law.
double saturated_lfl_fraction(const Site& site, const Release& release, const SpillRelease& spill, bool nitrous) {
  const double saturated = std::min(1.0, spill.pool.vapour_pressure / spill.ambient);
  const auto fuels = fuels_beside(site, spill.pool.temperature, nitrous);
  const bool mixture = !spill.stages.empty();
  double sum = 0.0, all = 0.0;
  for (const GasShare& share : release.gas.shares) {
    const Substance& part = site.gases[share.gas.value].substance;
    const double vapour =
        share.fraction * (mixture ? vapour_pressure(part, spill.pool.temperature).value_or(spill.ambient) : 1.0);
    all += vapour;
    if (const auto& fuel = fuels[share.gas.value]) sum += vapour / fuel->lower;
  }
  return all > 0.0 ? saturated * sum / all : 0.0;
}

/// A liquid is ignitable at its surface from its flash point on. Where saturated air reaches the lower limit below the
/// flash point that the table gives, the vapour decides: the cautious side of two figures that should agree.
std::optional<NearSource> hot_liquid(const Site& site, ReleaseIndex index, bool nitrous) {
  const Release& release = site.releases[index.value];
  const auto* spill = std::get_if<SpillRelease>(&release.kind);
  if (spill == nullptr) return std::nullopt;
  NearSource source{index, SourceHazard::hot_liquid, spill->pool.temperature};
  source.surface_lfl_fraction = saturated_lfl_fraction(site, release, *spill, nitrous);
  for (const GasShare& share : release.gas.shares) {
    const Gas& gas = site.gases[share.gas.value];
    const auto& flash = gas.substance.flash_point;
    if (gas.limits && flash) source.flash_point = std::min(flash->value, source.flash_point.value_or(flash->value));
  }
  const bool above = source.flash_point && source.temperature >= *source.flash_point;
  if (!above && source.surface_lfl_fraction < 1.0) return std::nullopt;
  return source;
}

std::optional<NearSource> pyrophoric(const Site& site, ReleaseIndex index) {
  const auto& shares = site.releases[index.value].gas.shares;
  const bool any = std::any_of(shares.begin(), shares.end(), [&](const GasShare& share) {
    return share.fraction > 0.0 && site.gases[share.gas.value].substance.is_classed("pyrophoric");
  });
  if (!any) return std::nullopt;
  return NearSource{index, SourceHazard::pyrophoric};
}

/// Whether a warning says that this space burns as a whole: the zone close to a release adds nothing there.
bool burns_as_a_whole(const std::vector<Warning>& known, SpaceIndex space) {
  return std::any_of(known.begin(), known.end(), [&](const Warning& w) {
    return w.space == space && (w.severity == Severity::flammable || w.severity == Severity::rich);
  });
}

/// The zone of a release in this case, or null.
const SourceZone* zone_in(const CaseResult& result, ReleaseIndex release) {
  const auto found = std::find_if(result.zones.begin(), result.zones.end(),
                                  [&](const SourceZone& zone) { return zone.release == release; });
  return found == result.zones.end() ? nullptr : &*found;
}

}  // namespace

std::optional<Emitting> emitting(const Site& site, const CaseResult& result, ReleaseIndex index) {
  const auto spans = emission(site.releases[index.value], index, site.cases[result.case_index.value].events);
  if (spans.empty() || spans.front().begin > site.criteria.horizon) return std::nullopt;
  Emitting out{spans.front().begin, std::nullopt};
  if (spans.back().end <= site.criteria.horizon) out.until = spans.back().end;
  if (index.value < result.releases.size() && result.releases[index.value].spent) {
    out.until = result.releases[index.value].spent;
  }
  return out;
}

std::optional<NearSource> source_hazard(const Site& site, ReleaseIndex release, bool nitrous) {
  auto source = pyrophoric(site, release);
  return source ? source : hot_liquid(site, release, nitrous);
}

std::vector<Warning> near_source_warnings(const Site& site, const CaseResult& result,
                                          const std::vector<Warning>& known) {
  std::vector<Warning> warnings;
  const bool nitrous = has_nitrous_oxide(site, result.case_index);
  for (std::size_t r = 0; r < site.releases.size(); ++r) {
    const ReleaseIndex index{r};
    const SpaceIndex into = site.releases[r].into;
    const SourceZone* const zone = zone_in(result, index);
    auto source = source_hazard(site, index, nitrous);
    if (!source && zone != nullptr && is_notable(site, *zone) && !burns_as_a_whole(known, into)) {
      source = NearSource{index, SourceHazard::zone};
    }
    if (!source) continue;
    const auto when = emitting(site, result, index);
    if (!when) continue;
    source->until = when->until;
    if (zone != nullptr) source->zone = *zone;
    Warning warning;
    warning.severity = Severity::near_source;
    warning.case_index = result.case_index;
    warning.space = into;
    warning.time = when->from;
    const SpaceResult& space = result.spaces[into.value];
    warning.worst_is_steady = space.worst.is_steady;
    const Instant& worst = warning.worst_is_steady ? space.steady.at : space.peak;
    warning.lfl_fraction = worst.lfl_fraction;
    warning.worst_state = worst.state;
    warning.source = source;
    warnings.push_back(std::move(warning));
  }
  return warnings;
}

std::vector<NotJudged> open_questions(const Site& site) {
  std::vector<NotJudged> open;
  for (std::size_t r = 0; r < site.releases.size(); ++r) {
    const bool tried = std::any_of(site.cases.begin(), site.cases.end(), [&](const Case& other) {
      return !emission(site.releases[r], ReleaseIndex{r}, other.events).empty();
    });
    if (tried || site.releases[r].on) continue;
    open.push_back({OpenQuestion::release_off, ReleaseIndex{r}, site.releases[r].into});
  }
  for (std::size_t k = 0; k < site.gases.size(); ++k) {
    const Substance& substance = site.gases[k].substance;
    const bool flammable = substance.is_classed("flammable-gas") || substance.is_classed("flammable-liquid");
    const bool unknown = (flammable && !site.gases[k].limits) || (substance.is_classed("toxic") && !substance.idlh);
    if (!unknown) continue;
    NotJudged limits{OpenQuestion::unknown_limits};
    limits.gas = GasIndex{k};
    open.push_back(limits);
  }
  return open;
}

}  // namespace hazard

bool brings_hazard(const Site& site, CaseIndex case_index, ReleaseIndex release) {
  if (emission(site.releases[release.value], release, site.cases[case_index.value].events).empty()) return false;
  const auto& shares = site.releases[release.value].gas.shares;
  return std::any_of(shares.begin(), shares.end(), [&](const GasShare& share) {
    const Gas& gas = site.gases[share.gas.value];
    return share.fraction > 0.0 && (gas.limits || gas.substance.idlh || gas.substance.is_classed("toxic") ||
                                    gas.substance.is_classed("pyrophoric"));
  });
}

}  // namespace leanside
