// SPDX-License-Identifier: Apache-2.0
/// What would help, in words: the source first, then ignition sources and people, then air or openings.
#include <string>
#include <vector>

#include "leanside/report.hpp"
#include "report/words/experiments.hpp"
#include "report/words/remedy_parts.hpp"
#include "report/words/storage.hpp"
#include "report/words/words.hpp"

namespace leanside {
namespace report {
namespace {

using P = Phrase;

bool is_oxygen(const Warning& warning) { return warning.severity == Severity::oxygen; }

bool oxygen_is_low(const Site& site, const Warning& warning) { return warning.oxygen < site.conditions.oxygen_in_air; }

/// What advice that works keeps: "it below the margin of 25 %", "the oxygen above 19.5 %".
std::string goal_words(Told site, const Warning& warning) {
  if (!is_oxygen(warning)) return site.tell(P::full_goal_level, {{"margin", the_margin(site)}});
  const bool low = oxygen_is_low(site, warning);
  return site.tell(low ? P::goal_oxygen_low : P::goal_oxygen_high,
                   {{"percent", percent(low ? site->criteria.oxygen_low : site->criteria.oxygen_high)}});
}

std::string left_oxygen(Told site, const Warning& warning, const Outcome& outcome) {
  const bool low = oxygen_is_low(site, warning);
  const std::string worst = percent_of_oxygen(site, outcome.worst);
  if (!outcome.over) {
    return site.tell(low ? P::full_left_oxygen_above : P::full_left_oxygen_below, {{"worst", worst}});
  }
  const std::string out = site.tell(low ? P::full_left_oxygen_falls : P::full_left_oxygen_rises, {{"worst", worst}});
  return outcome.steady_over ? site.tell(P::full_left_steady, {{"left", out}}) : out;
}

/// What it then comes to: "it still reaches 61 % of the lower flammable limit (above the margin for 20 min)".
std::string left_words(Told site, const Warning& warning, const Outcome& outcome) {
  if (is_oxygen(warning)) return left_oxygen(site, warning, outcome);
  if (warning.severity == Severity::pressure) {
    return site.tell(outcome.over ? P::full_left_pressure_still : P::full_left_pressure,
                     {{"pressure", format_quantity(outcome.worst, "kPa", 3, site->conditions.units)}});
  }
  constexpr double hardly_any = 1e-3;
  if (outcome.worst < hardly_any) return site.tell(P::full_left_nothing);
  const std::string out = site.tell(outcome.over ? P::full_left_still : P::full_left_at_most,
                                    {{"level", limit_words(site, outcome.worst)}});
  if (!outcome.over) return out;
  if (outcome.steady_over) return site.tell(P::full_left_steady, {{"left", out}});
  if (!(outcome.over_time > 0.0)) return out;
  return site.tell(P::full_left_for, {{"left", out}, {"span", format_duration(outcome.over_time)}});
}

/// `what`, and that it holds within the computed time alone.
std::string within(Told site, const Outcome& outcome, std::string what) {
  if (outcome.steady) return what;
  return site.tell(P::within_computed, {{"what", what}, {"horizon", format_duration(site->criteria.horizon)}});
}

/// `what` with what advice that ends one danger leaves of the others: " (propane then still reaches 3600 ppm, above its
/// IDLH)".
std::string other_dangers(Told site, const Outcome& outcome, std::string what) {
  if (outcome.over) return what;
  std::vector<std::string> left;
  if (outcome.fuel) left.push_back(site.tell(P::other_fuel, {{"level", limit_words(site, *outcome.fuel)}}));
  if (outcome.toxic) {
    left.push_back(site.tell(P::other_toxic, {{"gas", gas_name(site, outcome.toxic->gas)},
                                              {"worst", concentration_words(outcome.toxic->worst)}}));
  }
  if (outcome.oxygen) {
    const bool falls = *outcome.oxygen < site->conditions.oxygen_in_air;
    left.push_back(site.tell(falls ? P::other_oxygen_falls : P::other_oxygen_rises,
                             {{"oxygen", percent_of_oxygen(site, *outcome.oxygen)}}));
  }
  if (left.empty()) return what;
  return site.tell(P::other_dangers, {{"what", what}, {"dangers", site.listed(left)}});
}

/// `act`, which stops the sources, and what that does; a sentence.
std::string with_effect(Told site, const Warning& warning, const std::string& act) {
  const StopAdvice& stop = warning.remedy.stop;
  if (!stop.after_first) return site.tell(P::act_alone, {{"act", act}});
  const Outcome& first = *stop.after_first;
  const std::string left = left_words(site, warning, first);
  if (!first.over) {
    constexpr double hardly_any = 1e-3;
    if (!is_oxygen(warning) && warning.severity != Severity::pressure && first.worst < hardly_any) {
      return site.tell(P::stopped_then, {{"stop", act}, {"then", within(site, first, site.tell(P::nothing_else))}});
    }
    const std::string then = within(site, first, site.tell(P::stopped_then_left, {{"left", left}}));
    return site.tell(P::stopped_then, {{"stop", act}, {"then", other_dangers(site, first, then)}});
  }
  if (stop.releases.size() == 1) return site.tell(P::even_then, {{"stop", act}, {"left", left}});
  const std::string source = label(site, stop.releases.front());
  if (!stop.after_all) return site.tell(P::only_first, {{"stop", act}, {"source", source}, {"left", left}});
  return site.tell(stop.releases.size() == 2 ? P::with_both : P::with_all,
                   {{"stop", act},
                    {"source", source},
                    {"left", left},
                    {"all", other_dangers(site, *stop.after_all, left_words(site, warning, *stop.after_all))}});
}

/// "Stop the gas from \"Bench tap left open\" ...", and what that does.
std::string source_part(Told site, const Warning& warning) {
  const StopAdvice& stop = warning.remedy.stop;
  std::string out;
  if (!warning.causes.empty() && warning.causes.front().initial_of) {
    const SpaceIndex held = *warning.causes.front().initial_of;
    const bool vessel = site->spaces[held.value].kind == SpaceKind::vessel;
    out = site.tell(vessel && !is_oxygen(warning) ? P::held_in_vessel : P::held_from_start,
                    {{"space", label(site, held)}});
  } else if (!stop.releases.empty()) {
    out = with_effect(site, warning, capital(stop_all_words(site, stop.releases)));
  } else if (!warning.causes.empty() && warning.causes.front().release) {
    out = site.tell(P::act_alone, {{"act", capital(stop_words(site, *warning.causes.front().release))}});
  } else {
    out = site.tell(P::act_alone, {{"act", site.tell(P::stop_source)}});
  }
  const auto& reduction = warning.remedy.reduction;
  if (!reduction) return out;
  const std::string aim = other_dangers(
      site, reduction->after,
      within(site, reduction->after, site.tell(P::with_todays_air, {{"goal", goal_words(site, warning)}})));
  return site.tell(reduction->releases.size() == 1 ? P::or_use_less_one : P::or_use_less,
                   {{"act", out}, {"less", less_words(site, *reduction)}, {"aim", aim}});
}

/// Who and what stays away until it is over.
std::string people_part(Told site, const Warning& warning) {
  const Space& space = site->spaces[warning.space.value];
  constexpr double enterable = 1.0;  // m3; nobody gets into less. Common practice, no source
  const bool entered = space.kind == SpaceKind::room || space.volume >= enterable;
  if (is_oxygen(warning) && oxygen_is_low(site, warning) && entered) return site.tell(P::nobody_goes_in);
  const Phrase phrase = is_oxygen(warning) ? oxygen_is_low(site, warning) ? P::open_in_fresh_air : P::oil_and_grease
                        : warning.severity == Severity::margin ? P::ignition_away_margin
                        : entered                              ? P::ignition_and_people
                                                               : P::every_ignition_away;
  return site.tell(phrase, {{"space", label(site, warning.space)}});
}

/// "at least 320 m3/h more fresh air to Prep room (6.4 air changes an hour) and extract as much to outside".
std::string air_words(Told site, const Warning& warning, double extra) {
  std::string flow = hourly(site, extra, true);
  constexpr double small = 0.1 / 3600.0;  // m3/s; below it people think in litres a minute
  if (extra < small) {
    const std::string other =
        format_number(rounded_up(in_unit(site, extra, "L/min")), 2) + " " + unit_words(site, "L/min");
    flow = site.tell(P::two_flows, {{"flow", flow}, {"other", other}});
  }
  const std::string space = label(site, warning.space);
  const double changes = air_changes_an_hour(site->spaces[warning.space.value], extra);
  if (!(changes > 0.0)) return site.tell(P::supply_air, {{"flow", flow}, {"space", space}});
  return site.tell(P::supply_air_changes, {{"flow", flow}, {"space", space}, {"changes", format_number(changes, 2)}});
}

/// `way` with what air or openings do: "that keeps it below the margin of 25 % at all times".
std::string air_achieves(Told site, const Warning& warning, const std::optional<Outcome>& after,
                         const std::string& way) {
  const std::string goal = goal_words(site, warning);
  if (!after) {
    return site.tell(
        warning.remedy.kind == RemedyKind::more_air_for_peak ? P::keeps_at_all_times : P::keeps_in_steady_state,
        {{"way", way}, {"goal", goal}});
  }
  if (!after->over) {
    const std::string kept = after->steady ? site.tell(P::at_all_times, {{"goal", goal}}) : within(site, *after, goal);
    return site.tell(P::keeps, {{"way", way}, {"goal", other_dangers(site, *after, kept)}});
  }
  const std::string left = left_words(site, warning, *after);
  if (after->steady_over) return site.tell(P::way_then_left, {{"way", way}, {"left", left}});
  return site.tell(P::keeps_but_before, {{"way", way}, {"goal", goal}, {"left", left}});
}

std::string vents_part(Told site, const Warning& warning) {
  const std::string way = site.tell(
      P::or_vents, {{"space", label(site, warning.space)}, {"area", area_words(site, *warning.remedy.vent_area)}});
  if (is_oxygen(warning) || !(warning.remedy.value_after > site->criteria.warn_at)) {
    return air_achieves(site, warning, warning.remedy.after_air, way);
  }
  return site.tell(
      P::vents_layer,
      {{"way", way}, {"level", limit_words(site, warning.remedy.value_after)}, {"margin", the_margin(site)}});
}

/// The opening that a starved fan of the space lacks.
std::string opening_part(Told site, const Warning& warning) {
  const auto& opening = warning.remedy.opening;
  if (!opening) return "";
  const std::string way =
      site.tell(opening->inlet ? P::or_inlet : P::or_outlet, {{"fan", plain_text(site->airways[opening->fan.value].id)},
                                                              {"space", label(site, warning.space)},
                                                              {"area", area_words(site, opening->area)}});
  if (!opening->after.over) return air_achieves(site, warning, opening->after, way);
  return site.tell(P::way_then_left, {{"way", way}, {"left", left_words(site, warning, opening->after)}});
}

std::string no_air_part(Told site, const Warning& warning) {
  const Remedy& remedy = warning.remedy;
  const std::string name = label(site, warning.space);
  const AirLimit limit = remedy.kind == RemedyKind::keep_air_out ? AirLimit::holds_fuel : remedy.air_limit;
  switch (limit) {
    case AirLimit::holds_fuel:
      return site.tell(P::let_no_air_in, {{"space", name}});
    case AirLimit::too_much: {
      const std::string most = format_number(most_air_changes);
      if (!remedy.after_air || !remedy.after_air->over) return site.tell(P::air_too_much, {{"changes", most}});
      return site.tell(P::air_too_much_left,
                       {{"changes", most}, {"left", left_words(site, warning, *remedy.after_air)}});
    }
    case AirLimit::at_start:
      return site.tell(P::air_too_slow);
    case AirLimit::too_small:
      return "";
    case AirLimit::none:
      break;
  }
  if (remedy.kind == RemedyKind::stop_source) return site.tell(P::nothing_enough);
  return site.tell(remedy.kind == RemedyKind::vents ? P::vents_unknown : P::air_unknown, {{"space", name}});
}

/// Air or openings, or why not.
std::string air_part(Told site, const Warning& warning) {
  const Remedy& remedy = warning.remedy;
  std::string out = opening_part(site, warning);
  if (remedy.kind == RemedyKind::open_inlet) {
    // It is enough.
  } else if (remedy.vent_area) {
    out += vents_part(site, warning);
  } else if (remedy.extra_air) {
    const std::string way = site.tell(P::or_supply, {{"air", air_words(site, warning, *remedy.extra_air)}});
    out += air_achieves(site, warning, remedy.after_air, way);
  } else {
    out += no_air_part(site, warning);
  }
  const bool lets_air_in = remedy.vent_area || remedy.opening || remedy.extra_air ||
                           remedy.kind == RemedyKind::more_fresh_air || remedy.kind == RemedyKind::more_air_for_peak;
  if (remedy.passes_through_range && lets_air_in) out += site.tell(P::through_range);
  return out;
}

/// What to do about gas that can be ignited at its source: ignition sources first, since nothing else is as quick.
std::string remove_source(Told site, const Warning& warning) {
  const std::string release = label(site, warning.source->release);
  if (warning.source->hazard == SourceHazard::pyrophoric) {
    return site.tell(P::full_pyrophoric, {{"source", release}});
  }
  std::string ignition;
  for (const std::string& source : site->spaces[warning.space.value].ignition) {
    ignition += (ignition.empty() ? "" : ", ") + plain_text(source);
  }
  if (warning.source->hazard == SourceHazard::zone) {
    const std::string stop = capital(stop_words(site, warning.source->release));
    if (ignition.empty()) return site.tell(P::full_zone, {{"stop", stop}});
    return site.tell(P::full_zone_ignition, {{"stop", stop}, {"ignition", ignition}});
  }
  if (ignition.empty()) return site.tell(P::full_liquid, {{"source", release}});
  return site.tell(P::full_liquid_ignition, {{"ignition", ignition}, {"source", release}});
}

std::string leave(Told site, const Warning& warning) {
  const std::string act = source_part(site, warning), idlh = concentration_words(warning.toxic->idlh);
  if (warning.toxic->tenth_of_limit) return site.tell(P::full_stay_out, {{"act", act}, {"idlh", idlh}});
  return site.tell(P::full_leave, {{"act", act}, {"space", label(site, warning.space)}, {"idlh", idlh}});
}

}  // namespace

std::string remedy_told(Told site, const Warning& warning) {
  if (warning.storage) return storage_remedy(site, *warning.storage);
  if (is_experiment(warning)) return experiment_act(site, warning);
  const std::string space = label(site, warning.space);
  switch (warning.remedy.kind) {
    case RemedyKind::remove_source:
      return remove_source(site, warning);
    case RemedyKind::leave:
      return leave(site, warning);
    case RemedyKind::air_before_opening:
      return site.tell(P::ventilate_first, {{"space", space}});
    case RemedyKind::watch:
      return site.tell(is_open(site, warning) ? P::watch_open : P::watch, {{"space", space}});
    case RemedyKind::vent_vessel:
      return site.tell(P::or_vent_line, {{"act", source_part(site, warning)}, {"space", space}});
    default:
      break;
  }
  return source_part(site, warning) + people_part(site, warning) + air_part(site, warning) +
         experiment_test(site, warning);
}

}  // namespace report

std::string remedy_sentence(const Site& site, const Warning& warning) { return report::remedy_told(site, warning); }

}  // namespace leanside
