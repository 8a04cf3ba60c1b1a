// SPDX-License-Identifier: Apache-2.0
/// What the file leaves open and the answer rests on.
#include <algorithm>
#include <functional>
#include <iterator>
#include <utility>

#include <fmt/format.h>

#include "input/site/site_draft.hpp"
#include "input/site/site_sources.hpp"

namespace leanside::input {
namespace {

void state(Draft& draft, Assumption assumption) { draft.site.assumptions.push_back(std::move(assumption)); }

/// Releases by their ids.
std::vector<ReleaseIndex> releases_of(const Site& site, const std::vector<std::string>& ids) {
  std::vector<ReleaseIndex> out;
  for (const std::string& id : ids) {
    const auto found = std::ranges::find(site.releases, id, &Release::id);
    if (found != site.releases.end()) out.push_back({static_cast<std::size_t>(found - site.releases.begin())});
  }
  return out;
}

void state_of_releases(Draft& draft, AssumptionKind kind, const std::vector<std::string>& ids,
                       std::vector<double> values = {}) {
  if (!ids.empty()) state(draft, {kind, {}, {}, releases_of(draft.site, ids), {}, std::move(values)});
}

void state_mixing(Draft& draft) {
  const auto& site = draft.site;
  // Of a vessel with openings both bounds of the mixing are computed; its own sentence says so.
  std::vector<SpaceIndex> mixed;
  std::ranges::copy_if(draft.well_mixed, std::back_inserter(mixed),
                       [&](SpaceIndex space) { return site.spaces[space.value].apparatus.openings.empty(); });
  if (mixed.empty()) return;
  const auto junctions = std::ranges::count(site.spaces, SpaceKind::junction, &Space::kind);
  const bool all = mixed.size() + static_cast<std::size_t>(junctions) == site.spaces.size();
  state(draft, {AssumptionKind::well_mixed, all ? std::vector<SpaceIndex>{} : mixed});
}

/// By space: whether something leads out of it that nothing shuts: an exchange, or an opening that is on in every case.
std::vector<bool> always_open(const Site& site) {
  std::vector<bool> shut(site.airways.size(), false), out(site.spaces.size(), false);
  for (const Case& each : site.cases) {
    for (const Event& event : each.events) {
      const auto* on = std::get_if<SetAirwayOn>(&event.change);
      const auto* open = std::get_if<SetAirwayOpen>(&event.change);
      if (on && !on->on) shut[on->airway.value] = true;
      if (open && !(open->open > 0.0)) shut[open->airway.value] = true;
    }
  }
  for (std::size_t i = 0; i < out.size(); ++i) out[i] = site.spaces[i].air_changes > 0.0;
  for (std::size_t i = 0; i < site.airways.size(); ++i) {
    const Airway& airway = site.airways[i];
    const auto* door = std::get_if<Doorway>(&airway.kind);
    if (!airway.on || shut[i] || std::holds_alternative<Fan>(airway.kind) || (door && !(door->open > 0.0))) continue;
    for (const auto& side : {first_side(airway), second_side(airway)}) {
      if (side) out[side->value] = true;
    }
  }
  return out;
}

/// Spaces that no airway names and that have no air changes.
void state_closed(Draft& draft) {
  auto& site = draft.site;
  std::vector<bool> open(site.spaces.size(), false);
  for (const auto& airway : site.airways) {
    for (const auto& side : {first_side(airway), second_side(airway)}) {
      if (side) open[side->value] = true;
    }
  }
  const std::vector<bool> owns_opening = always_open(site);
  std::vector<SpaceIndex> leaky, sealed;
  for (std::size_t i = 0; i < site.spaces.size(); ++i) {
    if (open[i] || site.spaces[i].air_changes > 0 || site.spaces[i].kind == SpaceKind::cabinet) continue;
    (site.spaces[i].kind == SpaceKind::vessel ? sealed : leaky).push_back({i});
  }
  if (!leaky.empty()) state(draft, {AssumptionKind::closed_but_for_releases, leaky});
  for (std::size_t i = 0; i < site.spaces.size(); ++i) {
    const Space& space = site.spaces[i];
    if (!space.stands_in || !space.stands_in->inferred || owns_opening[i]) continue;
    state(draft, {AssumptionKind::stands_in_room, {SpaceIndex{i}, *space.stands_in->place}});
  }
  if (!sealed.empty()) state(draft, {AssumptionKind::sealed, sealed});
}

void state_gases(Draft& draft) {
  for (const auto& id : draft.gases.mixtures_used) {
    const auto* mixture = draft.substances.find_mixture(id);
    auto parts = mixture->parts;
    std::ranges::stable_sort(parts, std::greater{}, &MixturePart::fraction);
    Assumption out{AssumptionKind::parts_of_mixture};
    out.names.push_back(id);
    for (const auto& part : parts) {
      out.names.push_back(part.substance);
      out.values.push_back(part.fraction);
    }
    state(draft, std::move(out));
  }
  if (draft.gases.fallen_back.empty()) return;
  Assumption out{AssumptionKind::cautious_limits};
  out.names.push_back(draft.site.criteria.limits);
  out.names.insert(out.names.end(), draft.gases.fallen_back.begin(), draft.gases.fallen_back.end());
  state(draft, std::move(out));
}

/// What fuels are taken for under pressure, with inert gas other than nitrogen and with oxidisers other than oxygen.
void state_surroundings_of_fuel(Draft& draft) {
  const Site& site = draft.site;
  if (std::ranges::none_of(site.gases, [](const Gas& gas) { return gas.limits.has_value(); })) return;
  if (std::ranges::any_of(site.spaces, [](const Space& space) { return space.kind == SpaceKind::vessel; })) {
    state(draft, {AssumptionKind::limits_at_ambient_pressure});
  }
  for (const Gas& gas : site.gases) {
    const Substance& substance = gas.substance;
    if (substance.nitrogen_equivalent && substance.nitrogen_equivalent->value < 1.0) {
      state(draft,
            {AssumptionKind::weaker_inert_gas, {}, {}, {}, {substance.id}, {substance.nitrogen_equivalent->value}});
    }
    if (substance.oxidiser() && substance.id != "oxygen") {
      state(draft, {AssumptionKind::counted_as_oxygen, {}, {}, {}, {substance.id}});
    }
  }
}

std::vector<std::string> standing_ids(const Draft& draft) {
  std::vector<std::string> ids;
  for (const auto& [index, standing] : draft.standing) ids.push_back(draft.site.releases[index].id);
  return ids;
}

/// Spaces so hot, at the start or by an event, that a gas of the file ignites there by itself.
void state_autoignition(Draft& draft) {
  const Site& site = draft.site;
  std::vector<double> hottest;
  for (const Space& space : site.spaces) hottest.push_back(space.temperature);
  for (const Case& each : site.cases) {
    for (const Event& event : each.events) {
      const auto* change = std::get_if<SetSpaceTemperature>(&event.change);
      if (change) hottest[change->space.value] = std::max(hottest[change->space.value], change->temperature);
    }
  }
  for (std::size_t i = 0; i < hottest.size(); ++i) {
    for (const Gas& gas : site.gases) {
      const auto& autoignition = gas.substance.autoignition;
      if (!gas.limits || !autoignition || hottest[i] < autoignition->value) continue;
      const std::string what = fmt::format("space {} is as hot as {}: {} ignites by itself from {}, without any spark",
                                           shown(site.spaces[i].id), draft.faults.amount(hottest[i], "degC", 3),
                                           gas.substance.id, draft.faults.amount(autoignition->value, "degC", 3));
      draft.faults.notice(site.spaces[i].place, what);
      state(draft, stated(what));
    }
  }
}

/// Cylinders in store, and what may happen to them.
void state_standing(Draft& draft) {
  if (draft.standing.empty()) return;
  state(draft, stated(fmt::format(
                   "{} merely stand{} there: nothing leaks as a rule. Three cases for each: its fitting seeps through "
                   "0.36 mm (0.1 "
                   "mm2, IEC 60079-10-1, table of suggested openings, from memory), its hose or regulator breaks (4 "
                   "mm, the bore of "
                   "a cylinder valve, common practice, no source), all of it comes out in a minute",
                   some_of(standing_ids(draft)), draft.standing.size() == 1 ? "s" : "")));
}

template <class Kind>
bool any_of_kind(const Site& site) {
  return std::ranges::any_of(site.releases, [](const Release& r) { return std::holds_alternative<Kind>(r.kind); });
}

/// What is assumed about holes, cylinders, spills, reactions and batteries.
void state_sources(Draft& draft) {
  const Site& site = draft.site;
  state_of_releases(draft, AssumptionKind::default_discharge, draft.default_discharge, {Hole{}.discharge});
  state_of_releases(draft, AssumptionKind::default_air_speed, draft.default_air_speed, {SpillRelease{}.air_speed});
  if (any_of_kind<CylinderRelease>(site)) state(draft, stated("gas under pressure keeps its temperature"));
  for (const auto* sentences : {&draft.stores, &draft.usual_holes, &draft.pools, &draft.vessels}) {
    for (const std::string& sentence : *sentences) state(draft, stated(sentence));
  }
  state_standing(draft);
  if (!draft.dense.empty()) {
    state(draft, stated(fmt::format("the gas of {} is so dense that it may become liquid in the hole: the flow is that "
                                    "of a liquid, which is the most",
                                    some_of(draft.dense))));
  }
  state_of_releases(draft, AssumptionKind::ideal_unchecked, draft.not_checked);
  if (any_of_kind<SpillRelease>(site)) state(draft, {AssumptionKind::spill_stays_as_it_is});
  state_of_releases(draft, AssumptionKind::boiling_spill, draft.boiling, {heat_of_boiling});
  if (any_of_kind<ReactionRelease>(site)) state(draft, {AssumptionKind::complete_reaction});
  const bool by_class = std::ranges::any_of(site.releases, [](const Release& r) {
    const auto* charging = std::get_if<ChargingRelease>(&r.kind);
    return charging && charging->battery;
  });
  constexpr double factor_of_standard = 5.0;  // IEC 62485-2, see gas_current_per_capacity
  if (by_class) state(draft, {AssumptionKind::battery_standard, {}, {}, {}, {}, {factor_of_standard}});
}

}  // namespace

constexpr std::size_t most_named = 4;

std::string some_of(const std::vector<std::string>& ids) {
  std::vector<std::string> words;
  for (std::size_t i = 0; i < std::min(ids.size(), most_named); ++i) words.push_back(shown(ids[i]));
  if (ids.size() > most_named) words.push_back(fmt::format("{} more", ids.size() - most_named));
  return listed(words);
}

Assumption stated(std::string sentence) { return {AssumptionKind::stated, {}, {}, {}, {std::move(sentence)}}; }

void state_assumptions(Draft& draft) {
  std::ranges::move(draft.defaults, std::back_inserter(draft.site.assumptions));
  for (auto* remarks : {&draft.ajar, &draft.fitted}) {
    std::ranges::move(*remarks, std::back_inserter(draft.site.assumptions));
  }
  if (draft.repeated_until > 0.0) {
    state(draft, {AssumptionKind::events_repeat, {}, {}, {}, {}, {draft.repeated_until, draft.begins.value_or(0.0)}});
  }
  state_mixing(draft);
  for (const std::string& sentence : draft.stratified) state(draft, stated(sentence));
  state_closed(draft);
  state_gases(draft);
  state_surroundings_of_fuel(draft);
  state_autoignition(draft);
  state_sources(draft);
}

}  // namespace leanside::input
