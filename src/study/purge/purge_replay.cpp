// SPDX-License-Identifier: Apache-2.0
#include "leanside/study/purge_replay.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "leanside/substance_file.hpp"

namespace leanside {
namespace {

/// Long enough that the vessel ends with the pure gas, or with air: e^-20 of the old contents is left.
constexpr double volumes_after = 20.0;
constexpr double hour = 3600.0;
/// s for which the vessel stands open between two cycles; nothing flows then.
constexpr double open_between = 60.0;

constexpr AirwayIndex vent{0};
constexpr ReleaseIndex purging{0};

/// Adds a part to the subject; the reason where that cannot be.
std::optional<std::string> add_part(PurgeSubject& subject, const Substance& part, double share) {
  Gas gas{part, choose_limits(part, "cautious")};
  if (part.flammable() && !gas.limits) {
    return fmt::format("'{}' burns, but no source of the table gives both its limits", part.id);
  }
  subject.shares.push_back({GasIndex{subject.gases.size()}, share});
  if (gas.limits && part.autoignition) {
    subject.autoignition = std::min(part.autoignition->value, subject.autoignition.value_or(part.autoignition->value));
  }
  subject.gases.push_back(std::move(gas));
  return std::nullopt;
}

void find_boiling_point(PurgeSubject& subject) {
  double highest = 0.0;
  for (const Gas& gas : subject.gases) {
    if (!gas.substance.boiling_point) return;
    highest = std::max(highest, gas.substance.boiling_point->value);
  }
  subject.boiling_point = highest;
}

/// The place of a substance among the gases of the site; added where it is not there.
GasIndex gas_named(Site& site, const std::string& id) {
  for (std::size_t k = 0; k < site.gases.size(); ++k) {
    if (site.gases[k].substance.id == id) return GasIndex{k};
  }
  Gas gas;
  if (const Substance* known = built_in_substances().find(id)) gas.substance = *known;
  site.gases.push_back(std::move(gas));
  return GasIndex{site.gases.size() - 1};
}

Release release_of(std::string id, std::vector<GasShare> shares, double rate, double start) {
  Release release;
  release.id = id;
  release.into = SpaceIndex{0};
  release.gas = {std::move(shares), std::move(id)};
  release.start = start;
  release.kind = SteadyRelease{rate, std::nullopt};
  return release;
}

/// Fills and openings of the closed vessel; returns when the last is over, s.
double schedule_cycles(Site& site, double cycles) {
  std::vector<Event>& events = site.cases[0].events;
  double now = 0.0;
  for (double k = 0.0; k < cycles; k += 1.0) {
    events.push_back({now, SetAirwayOn{vent, false}, {}});
    events.push_back({now, SetReleaseOn{purging, true}, {}});
    now += hour;
    events.push_back({now, SetReleaseOn{purging, false}, {}});
    events.push_back({now, SetAirwayOn{vent, true}, {}});
    now += open_between;
  }
  return now;
}

/// Replays every way of a leg; whether one enters the range.
Result<bool> leg_enters_range(const PurgeSubject& subject, const PurgeQuestion& question, PurgeDirection direction,
                              const PurgeLeg& leg) {
  std::vector<std::pair<PurgeWay, double>> ways{{PurgeWay::sweep, leg.sweep}};
  if (leg.pressure) ways.emplace_back(PurgeWay::pressure_cycles, leg.pressure->cycles);
  if (leg.vacuum) ways.emplace_back(PurgeWay::vacuum_cycles, leg.vacuum->cycles);
  for (const auto& [way, amount] : ways) {
    auto entered = enters_range(purge_site(subject, question, direction, way, amount));
    const bool* inside = std::get_if<bool>(&entered);
    if (inside == nullptr || *inside) return entered;
  }
  return false;
}

}  // namespace

std::variant<PurgeSubject, std::string> purge_subject(const SubstanceTable& table, const std::string& name) {
  const std::string meant = table.meant(name), id = meant.empty() ? name : meant;
  PurgeSubject subject;
  subject.id = id;
  std::optional<std::string> fault;
  if (const Substance* substance = table.find(id)) {
    subject.name = substance->name;
    fault = add_part(subject, *substance, 1.0);
  } else if (const Mixture* mixture = table.find_mixture(id)) {
    subject.name = mixture->name;
    for (const MixturePart& part : mixture->parts) {
      const Substance* known = table.find(part.substance);  // what is not known there is air
      if (known != nullptr && part.fraction > 0.0 && !fault) fault = add_part(subject, *known, part.fraction);
    }
  } else {
    const std::string near = table.nearest(id);
    return fmt::format("there is no substance or mixture '{}'{} `leanside substances` lists all", id,
                       near.empty() || near == id ? "." : fmt::format("; did you mean '{}'?", near));
  }
  if (fault) return *fault;
  if (std::ranges::none_of(subject.gases, [](const Gas& gas) { return gas.limits.has_value(); })) {
    return fmt::format("'{}' does not burn, so there is no flammable range to keep out of", id);
  }
  if (subject.name.empty()) subject.name = id;
  find_boiling_point(subject);
  return subject;
}

VesselGas vessel_gas(const PurgeSubject& subject, double temperature) {
  Site site;
  site.gases = subject.gases;
  const auto fuels = fuels_at(site, temperature);
  VesselGas out;
  double tracked = 0.0;
  for (const GasShare& share : subject.shares) {
    const Substance& part = subject.gases[share.gas.value].substance;
    tracked += share.fraction;
    if (part.oxidiser()) out.oxygen += share.fraction;
    if (part.nitrogen_equivalent) out.idle += share.fraction * (1.0 - part.nitrogen_equivalent->value);
    if (const auto& fuel = fuels[share.gas.value]) {
      out.fuels.push_back(*fuel);
      out.shares.push_back(share.fraction);
    }
  }
  out.oxygen += oxygen_in_dry_air * std::max(0.0, 1.0 - tracked);
  return out;
}

Site purge_site(const PurgeSubject& subject, const PurgeQuestion& question, PurgeDirection direction, PurgeWay way,
                double amount) {
  Site site;
  const bool vacuum = way == PurgeWay::vacuum_cycles;
  const double low = vacuum ? question.low.value_or(question.ambient) : question.ambient;
  const double high = vacuum ? question.ambient : question.high.value_or(question.ambient);
  site.conditions.temperature = site.conditions.outside_temperature = question.temperature;
  site.conditions.pressure = low;
  site.conditions.oxygen_in_air = question.oxygen_in_air;
  site.gases = subject.gases;
  // A plan takes the fuel for a gas at any temperature: find_boiling_point() tells where it is none.
  for (Gas& gas : site.gases) {
    gas.substance.antoine.reset();
    gas.substance.vapour_pressure.reset();
    gas.substance.critical_pressure.reset();
  }
  const GasIndex nitrogen = gas_named(site, "nitrogen"), oxygen = gas_named(site, "oxygen");
  site.cases.push_back({"normal", "", {}});

  const bool filling = direction == PurgeDirection::into_service;
  Space vessel;
  vessel.id = "vessel";
  vessel.kind = SpaceKind::vessel;
  vessel.volume = question.volume;
  vessel.temperature = question.temperature;
  if (!filling) vessel.initial = subject.shares;
  site.spaces.push_back(std::move(vessel));
  Airway opening;
  opening.id = "vent";
  opening.kind = Opening{SpaceIndex{0}, std::nullopt};
  site.airways.push_back(std::move(opening));

  const double a_volume = low * question.volume / (gas_constant * question.temperature);  // mol
  const std::vector<GasShare> purge_gas{{nitrogen, 1.0 - question.oxygen_in_gas}, {oxygen, question.oxygen_in_gas}};
  double purged = amount * hour;
  if (way == PurgeWay::sweep && amount > 0.0) {
    Release sweep = release_of("purge", purge_gas, a_volume / hour, 0.0);
    sweep.kind = SteadyRelease{a_volume / hour, purged};
    site.releases.push_back(std::move(sweep));
  } else if (amount > 0.0) {
    site.releases.push_back(release_of("purge", purge_gas, a_volume * (high / low - 1.0) / hour, 0.0));
    site.releases.back().on = false;
    purged = schedule_cycles(site, amount);
  }
  site.releases.push_back(
      release_of("then", filling ? subject.shares : std::vector<GasShare>{}, a_volume / hour, purged));
  site.criteria.horizon = purged + volumes_after * hour;
  return site;
}

Result<bool> enters_range(const Site& site) {
  AssessOptions options;
  options.explain = false;
  const auto outcome = assess(site, options);
  if (const auto* fault = std::get_if<Fault>(&outcome)) return *fault;
  for (const CaseResult& result : std::get<Assessment>(outcome).cases) {
    for (const SpaceResult& space : result.spaces) {
      if (space.flammable_from || space.flammable_time > 0.0) return true;
    }
  }
  return false;
}

Result<PurgePlan> replayed(const PurgeSubject& subject, const PurgeQuestion& question, PurgePlan plan) {
  for (const auto& [direction, leg] : {std::pair{PurgeDirection::into_service, &plan.into_service},
                                       std::pair{PurgeDirection::out_of_service, &plan.out_of_service}}) {
    if (!leg->possible) continue;
    const auto entered = leg_enters_range(subject, question, direction, *leg);
    if (const auto* fault = std::get_if<Fault>(&entered)) return *fault;
    if (!std::get<bool>(entered)) continue;
    leg->possible = false;
    leg->refusal = PurgeRefusal::replay;
  }
  return plan;
}

}  // namespace leanside
