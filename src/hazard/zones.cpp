// SPDX-License-Identifier: Apache-2.0
/// How far from each release its gas can be ignited.
#include <algorithm>
#include <cmath>

#include "hazard/judge.hpp"
#include "leanside/advanced/release.hpp"

namespace leanside::hazard {
namespace {

/// m round an open liquid above its flash point, and m over the floor round it, in which an ignition source may reach
/// its vapour (common practice, no source; NFPA 30 uses distances of this size, from memory).
constexpr double pool_reach = 1.0, pool_keep_out = 3.0;
/// In a cabinet of less than this many times the zone to half of the limit, the gas has nowhere to mix with fresh air
/// (common practice, no source).
constexpr double enclosing = 50.0;

/// The hole and the pressure of a release under pressure.
struct UnderPressure {
  const HeldGas* held = nullptr;
  const Hole* hole = nullptr;
  double pressure = 0.0, ambient = 0.0;
};

UnderPressure under_pressure(const Release& release) {
  if (const auto* r = std::get_if<OrificeRelease>(&release.kind)) return {&r->held, &r->hole, r->pressure, r->ambient};
  if (const auto* r = std::get_if<CylinderRelease>(&release.kind)) return {&r->held, &r->hole, r->pressure, r->ambient};
  return {};
}

/// The fractions of all gases in what a release emits, by GasIndex.
std::vector<double> emitted(const Site& site, const Release& release) {
  std::vector<double> x(site.gases.size(), 0.0);
  for (const GasShare& share : release.gas.shares) x[share.gas.value] += share.fraction;
  return x;
}

SourceJet jet_of(const Site& site, const Release& release, double rate) {
  const double temperature = site.spaces[release.into.value].temperature, pressure = site.conditions.pressure;
  SourceJet source;
  source.molar_mass = molar_mass(release.gas, site.gases);
  source.air_molar_mass = molar_mass_of_air;
  source.flow = rate * gas_constant * temperature / pressure;
  source.density = pressure * source.molar_mass / (gas_constant * temperature);
  source.ambient_density = pressure * molar_mass_of_air / (gas_constant * temperature);
  const double amount = total_amount(release);
  if (std::isfinite(amount)) source.amount = amount * gas_constant * temperature / pressure;
  const UnderPressure from = under_pressure(release);
  if (release.momentum) {
    source.momentum = release.momentum;
  } else if (from.held != nullptr) {
    // The whole hole, without its discharge coefficient: the longer jet.
    const double at_rest = from.pressure * source.molar_mass / (gas_constant * from.held->temperature);
    source.exit = exit_plane(at_rest, from.pressure, from.held->heat_capacity_ratio, from.ambient);
    source.diameter = from.hole->diameter;
  }
  return source;
}

/// mol/s of the strongest single leak of a release: of many small ones each has a zone of its own.
double strongest(const Release& release, double rate) {
  const auto* fittings = std::get_if<FittingsRelease>(&release.kind);
  return fittings != nullptr ? fittings->each : rate;
}

/// Whether gas from the source passes the flammable range as it mixes with what the space holds at some time.
bool can_ignite(const MixtureModel& model, const Space& space, const SpaceResult& result,
                const std::vector<double>& source) {
  std::vector<double> start(source.size(), 0.0);
  for (const GasShare& share : space.initial) start[share.gas.value] += share.fraction;
  if (model.range_between(start, source)) return true;
  for (const Instant* at : {&result.peak, &result.end, result.steady.reached ? &result.steady.at : nullptr}) {
    if (at != nullptr && at->fraction.size() == source.size() && model.range_between(at->fraction, source)) return true;
  }
  return false;
}

double worst_fraction(const SpaceResult& result) {
  return std::max(result.peak.lfl_fraction, result.steady.reached ? result.steady.at.lfl_fraction : 0.0);
}

}  // namespace

std::optional<SourceZone> source_zone(const Site& site, ReleaseIndex index, double rate, const SpaceResult& result,
                                      bool nitrous) {
  const Release& release = site.releases[index.value];
  const Space& space = site.spaces[release.into.value];
  if (space.kind == SpaceKind::junction) return std::nullopt;
  SourceZone out{index, release.into, {}};
  if (std::holds_alternative<SpillRelease>(release.kind)) {
    const auto hazard = source_hazard(site, index, nitrous);
    if (!hazard || hazard->hazard != SourceHazard::hot_liquid) return std::nullopt;
    out.zone = {ZoneShape::pool, pool_reach, pool_keep_out, 0.0, 0.0};
    return out;
  }
  const MixtureModel model = mixture_model(site, space.temperature, space.temperature, nitrous);
  const std::vector<double> source = emitted(site, release);
  const double of_limit = model.lfl_fraction(source);  // pure gas, in lower limits
  if (!(of_limit > 1.0) || !can_ignite(model, space, result, source)) return std::nullopt;
  out.background = worst_fraction(result);
  const double limit = 1.0 / of_limit;
  const auto zone =
      zone_of(jet_of(site, release, strongest(release, rate)), limit, std::min(1.0, out.background) * limit);
  if (!zone) {
    out.fills_space = out.background >= 1.0;
    return out.fills_space ? std::optional{out} : std::nullopt;
  }
  out.zone = *zone;
  const double to_half = zone->volume * std::pow(zone->keep_out / zone->reach, 3.0);
  out.fills_space = space.kind != SpaceKind::room && space.volume < enclosing * to_half;
  return out;
}

std::vector<SourceZone> source_zones(const Site& site, const CaseResult& result) {
  std::vector<SourceZone> zones;
  const bool nitrous = has_nitrous_oxide(site, result.case_index);
  for (std::size_t r = 0; r < site.releases.size(); ++r) {
    const ReleaseIndex index{r};
    const auto when = emitting(site, result, index);
    if (!when) continue;
    double rate = 0.0;
    for (const EmissionSpan& span : emission(site.releases[r], index, site.cases[result.case_index.value].events)) {
      rate = std::max(rate, span.rate);
    }
    auto zone = source_zone(site, index, rate, result.spaces[site.releases[r].into.value], nitrous);
    if (!zone) continue;
    zone->from = when->from;
    zone->until = when->until;
    zones.push_back(std::move(*zone));
  }
  return zones;
}

bool is_notable(const Site& site, const SourceZone& zone) {
  const Space& space = site.spaces[zone.space.value];
  if (zone.fills_space || zone.zone.shape == ZoneShape::pool) return true;
  if (zone.zone.cloud > zone_volume || zone.zone.cloud > zone_share * space.volume) return true;
  return !space.ignition.empty() && zone.zone.reach >= zone_reach;
}

}  // namespace leanside::hazard
