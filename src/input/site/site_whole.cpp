// SPDX-License-Identifier: Apache-2.0
/// What is judged of the site as a whole: junctions that lead nowhere, and what the file left open.
#include <algorithm>
#include <functional>

#include <fmt/format.h>

#include "input/site/site_draft.hpp"

namespace leanside::input {
namespace {

constexpr std::size_t most_named = 4;

/// "'a', 'b' and 3 more".
std::string some_of(const std::vector<std::string>& ids) {
  std::vector<std::string> words;
  for (std::size_t i = 0; i < std::min(ids.size(), most_named); ++i) words.push_back(shown(ids[i]));
  if (ids.size() > most_named) words.push_back(fmt::format("{} more", ids.size() - most_named));
  return listed(words);
}

std::string spaces_named(const std::vector<SpaceIndex>& which, const Site& site) {
  std::vector<std::string> ids;
  for (const auto index : which) ids.push_back(site.spaces[index.value].id);
  return fmt::format("{} {}", ids.size() == 1 ? "the space" : "the spaces", some_of(ids));
}

void state_mixing(Draft& draft) {
  const auto& site = draft.site;
  if (draft.well_mixed.empty()) return;
  const auto junctions = std::ranges::count(site.spaces, SpaceKind::junction, &Space::kind);
  const bool all = draft.well_mixed.size() + static_cast<std::size_t>(junctions) == site.spaces.size();
  draft.site.assumptions.push_back(fmt::format(
      "{} well mixed (no mixing_factor is given, so 1): gas that gathers under a ceiling or near its source "
      "does not show",
      all                            ? "every space is"
      : draft.well_mixed.size() == 1 ? spaces_named(draft.well_mixed, site) + " is"
                                     : spaces_named(draft.well_mixed, site) + " are"));
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
  std::vector<SpaceIndex> leaky, tight;
  for (std::size_t i = 0; i < site.spaces.size(); ++i) {
    if (open[i] || site.spaces[i].air_changes > 0 || site.spaces[i].kind == SpaceKind::cabinet) continue;
    (site.spaces[i].kind == SpaceKind::vessel ? tight : leaky).push_back({i});
  }
  if (!leaky.empty()) {
    site.assumptions.push_back(
        fmt::format("no way for air is given for {}: closed, except that as much leaks to outside as is "
                    "released",
                    spaces_named(leaky, site)));
  }
  for (std::size_t i = 0; i < site.spaces.size(); ++i) {
    const Space& space = site.spaces[i];
    if (!space.stands_in || !space.stands_in->inferred || owns_opening[i]) continue;
    site.assumptions.push_back(
        fmt::format("the cabinet {} stands in {}, the only room that an airway joins it to (stands_in is not given)",
                    shown(space.id), shown(site.spaces[space.stands_in->place->value].id)));
  }
  if (!tight.empty()) {
    site.assumptions.push_back(
        fmt::format("no opening is given for {}: sealed, so that gas released into it raises its pressure",
                    spaces_named(tight, site)));
  }
}

void state_gases(Draft& draft) {
  for (const auto& id : draft.gases.mixtures_used) {
    const auto* mixture = draft.substances.find_mixture(id);
    auto parts = mixture->parts;
    std::ranges::stable_sort(parts, std::greater{}, &MixturePart::fraction);
    std::vector<std::string> words;
    for (const auto& part : parts) {
      words.push_back(fmt::format("{} {}", part.substance, format_quantity(part.fraction, "%")));
    }
    draft.site.assumptions.push_back(fmt::format("{} consists of {}", id, listed(words)));
  }
  if (!draft.gases.fallen_back.empty()) {
    draft.site.assumptions.push_back(
        fmt::format("the source {} does not give both limits of {}: the cautious pair is used",
                    shown(draft.site.criteria.limits), some_of(draft.gases.fallen_back)));
  }
}

/// What fuels are taken for under pressure, with inert gas other than nitrogen and with oxidisers other than oxygen.
void state_surroundings_of_fuel(Site& site) {
  if (std::ranges::none_of(site.gases, [](const Gas& gas) { return gas.limits.has_value(); })) return;
  auto& out = site.assumptions;
  if (std::ranges::any_of(site.spaces, [](const Space& space) { return space.kind == SpaceKind::vessel; })) {
    out.emplace_back(
        "limits are those at ambient pressure: at a higher pressure in a vessel the upper limit is higher and the "
        "range "
        "wider");
  }
  for (const Gas& gas : site.gases) {
    const Substance& substance = gas.substance;
    if (substance.nitrogen_equivalent && substance.nitrogen_equivalent->value < 1.0) {
      out.push_back(
          fmt::format("{} inerts less well than nitrogen: where oxygen is short, a mol of it counts as {} mol of "
                      "nitrogen. Lower limits are those in air and may be lower with it",
                      substance.id, format_number(substance.nitrogen_equivalent->value)));
    }
    if (substance.oxidiser() && substance.id != "oxygen") {
      out.push_back(
          fmt::format("{} feeds a fire as oxygen does and is counted as oxygen where it decides whether a mixture "
                      "burns. The limits are those in air, though: in {} gases burn at lower concentrations, some at "
                      "far lower ones",
                      substance.id, substance.id));
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
  Site& site = draft.site;
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
                                           shown(site.spaces[i].id), format_quantity(hottest[i], "degC", 3),
                                           gas.substance.id, format_quantity(autoignition->value, "degC", 3));
      draft.faults.notice({site.spaces[i].place.line, site.spaces[i].place.column}, what);
      site.assumptions.push_back(what);
    }
  }
}

template <class Kind>
bool any_of_kind(const Site& site) {
  return std::ranges::any_of(site.releases, [](const Release& r) { return std::holds_alternative<Kind>(r.kind); });
}

/// What is assumed about cylinders, holes given by words and pools, one sentence each.
void state_cylinders(Draft& draft) {
  auto& out = draft.site.assumptions;
  if (any_of_kind<CylinderRelease>(draft.site)) out.emplace_back("gas under pressure keeps its temperature");
  for (const auto* sentences : {&draft.stores, &draft.usual_holes, &draft.pools}) {
    out.insert(out.end(), sentences->begin(), sentences->end());
  }
  if (!draft.standing.empty()) {
    out.push_back(
        fmt::format("{} merely stand{} there: nothing leaks as a rule. Three cases for each: its fitting seeps through "
                    "0.36 mm (0.1 "
                    "mm2, IEC 60079-10-1, table of suggested openings, from memory), its hose or regulator breaks (4 "
                    "mm, the bore of "
                    "a cylinder valve, common practice, no source), all of it comes out in a minute",
                    some_of(standing_ids(draft)), draft.standing.size() == 1 ? "s" : ""));
  }
  if (!draft.dense.empty()) {
    out.push_back(
        fmt::format("the gas of {} is so dense that it may become liquid in the hole: the flow is that of a liquid, "
                    "which is the most",
                    some_of(draft.dense)));
  }
}

/// What is assumed about holes, cylinders, spills, reactions and batteries.
void state_sources(Draft& draft) {
  auto& out = draft.site.assumptions;
  const auto releases = [](const std::vector<std::string>& ids) {
    return fmt::format("{} {}", ids.size() == 1 ? "the release" : "the releases", some_of(ids));
  };
  if (!draft.default_discharge.empty()) {
    out.push_back(fmt::format("no discharge is given for {}: 0.85 of the flow through a perfect hole",
                              releases(draft.default_discharge)));
  }
  if (!draft.default_air_speed.empty()) {
    out.push_back(
        fmt::format("no air_speed is given for {}: 0.2 m/s over the pool", releases(draft.default_air_speed)));
  }
  state_cylinders(draft);
  if (!draft.not_checked.empty()) {
    out.push_back(fmt::format(
        "the gas of {} is ideal and free of liquid: its critical point is not known, so neither could be checked. If "
        "it can be liquefied, far more may come out",
        releases(draft.not_checked)));
  }
  if (any_of_kind<SpillRelease>(draft.site)) {
    out.emplace_back(
        "spilled liquid keeps its temperature and its area until it is dry, and its vapour mixes through the whole "
        "space; over the pool and along the floor there is far more of it");
  }
  if (!draft.boiling.empty()) {
    out.push_back(fmt::format(
        "the liquid of {} boils: it stays at its boiling point and takes up at most 200 kW for each m2 of its surface, "
        "as over a strong burner; how much it is heated is not in the file",
        releases(draft.boiling)));
  }
  if (any_of_kind<ReactionRelease>(draft.site)) {
    out.emplace_back("reactions give off all the gas of their equation; none of it stays dissolved");
  }
  const bool by_class = std::ranges::any_of(draft.site.releases, [](const Release& r) {
    const auto* charging = std::get_if<ChargingRelease>(&r.kind);
    return charging && charging->battery;
  });
  if (by_class) {
    out.emplace_back(
        "batteries give off gas with the current of IEC 62485-2 for their class, which includes a factor of 5 for "
        "faulty "
        "and aged cells");
  }
}

}  // namespace

/// A junction holds nothing: what enters must be able to leave.
void check_junctions(Draft& draft) {
  const auto& site = draft.site;
  // An airway with faults may be the one that is missed.
  if (draft.faults.damaged() || !std::ranges::all_of(draft.airway_sound, std::identity{})) return;
  std::vector<int> ways(site.spaces.size(), 0);
  for (const auto& airway : site.airways) {
    for (const auto& side : {first_side(airway), second_side(airway)}) {
      if (side) ++ways[side->value];
    }
  }
  for (const auto& release : site.releases) {
    if (release.into.value < ways.size()) ++ways[release.into.value];
  }
  for (std::size_t i = 0; i < site.spaces.size(); ++i) {
    const auto& space = site.spaces[i];
    if (space.kind != SpaceKind::junction || ways[i] >= 2) continue;
    draft.faults.error({space.place.line, space.place.column},
                       fmt::format("space {}: a junction joins airways and holds nothing, but {} it; give it at least "
                                   "two, or make it a room, cabinet or vessel",
                                   shown(space.id), ways[i] == 0 ? "no airway names" : "only one airway names"));
  }
}

namespace {

/// By space: whether an opening of its own, open or shut, or an exchange leads out of it.
std::vector<bool> with_openings(const Site& site) {
  std::vector<bool> out(site.spaces.size(), false);
  for (std::size_t i = 0; i < out.size(); ++i) out[i] = site.spaces[i].air_changes > 0.0;
  for (const Airway& airway : site.airways) {
    if (std::holds_alternative<Fan>(airway.kind)) continue;
    for (const auto& side : {first_side(airway), second_side(airway)}) {
      if (side) out[side->value] = true;
    }
  }
  return out;
}

}  // namespace

void find_rooms_of_cabinets(Draft& draft) {
  Site& site = draft.site;
  std::vector<std::optional<SpaceIndex>> room(site.spaces.size());
  std::vector<bool> several(site.spaces.size(), false), used(site.spaces.size(), false);
  const auto join = [&](const Side& side, const Side& other) {
    if (!side || !other || site.spaces[other->value].kind != SpaceKind::room) return;
    if (room[side->value] && *room[side->value] != *other) several[side->value] = true;
    room[side->value] = *other;
  };
  for (const Airway& airway : site.airways) {
    const Side first = first_side(airway), second = second_side(airway);
    join(first, second);
    join(second, first);
    for (const auto& side : {first, second}) {
      if (side) used[side->value] = true;
    }
  }
  for (const Release& release : site.releases) {
    if (release.into.value < used.size()) used[release.into.value] = true;
  }
  const std::vector<bool> open = with_openings(site);
  const bool sound = !draft.faults.damaged() && std::ranges::all_of(draft.airway_sound, std::identity{});
  for (std::size_t i = 0; i < site.spaces.size(); ++i) {
    Space& space = site.spaces[i];
    if (space.kind != SpaceKind::cabinet || space.stands_in) continue;
    if (room[i] && !several[i]) {
      space.stands_in = StandsIn{room[i], true};
    } else if (sound && used[i] && !open[i]) {
      draft.faults.error(
          {space.place.line, space.place.column},
          fmt::format("space {}: no opening is given to this cabinet, and the file does not say which room it stands "
                      "in; add stands_in = \"ID\" with the id of that room (or \"outside\"), or the opening itself",
                      shown(space.id)));
    }
  }
}

void state_assumptions(Draft& draft) {
  std::ranges::move(draft.defaults, std::back_inserter(draft.site.assumptions));
  state_mixing(draft);
  state_closed(draft);
  state_gases(draft);
  state_surroundings_of_fuel(draft.site);
  state_autoignition(draft);
  state_sources(draft);
}

}  // namespace leanside::input
