// SPDX-License-Identifier: Apache-2.0
/// What helps, as short as it can be said: the source, then ignition sources and people, then air or openings.
#include <string>
#include <vector>

#include "leanside/report.hpp"
#include "report/words/experiments.hpp"
#include "report/words/findings.hpp"
#include "report/words/remedy_parts.hpp"
#include "report/words/words.hpp"

namespace leanside::report {
namespace {

using P = Phrase;

/// What advice keeps: "it below 25 % of the lower limit", "the oxygen above 19.5 %".
std::string goal_words(Told site, const Warning& warning) {
  if (warning.severity != Severity::oxygen) {
    return site.tell(P::goal_it_level, {{"percent", percent(site->criteria.warn_at)}});
  }
  const bool low = warning.oxygen < site->criteria.oxygen_low;
  return site.tell(low ? P::goal_oxygen_low : P::goal_oxygen_high,
                   {{"percent", percent(low ? site->criteria.oxygen_low : site->criteria.oxygen_high)}});
}

std::string left_words(Told site, const Warning& warning, const Outcome& outcome) {
  if (warning.severity == Severity::oxygen) {
    return site.tell(P::left_oxygen, {{"percent", percent_of_oxygen(site, outcome.worst)}});
  }
  if (warning.severity == Severity::pressure) {
    return site.tell(P::left_pressure,
                     {{"pressure", format_quantity(outcome.worst, "kPa", 3, site->conditions.units)}});
  }
  const std::string level = percent_of_limit(site, outcome.worst);
  if (!(outcome.over_time > 0.0) || outcome.steady_over) return site.tell(P::left_level, {{"percent", level}});
  return site.tell(P::left_level_for, {{"percent", level}, {"span", format_duration(outcome.over_time)}});
}

/// "Stop the gas from "H2-1"": and what that does not cure.
std::string source_words_of(Told site, const Warning& warning) {
  const StopAdvice& stop = warning.remedy.stop;
  if (!warning.causes.empty() && warning.causes.front().initial_of) {
    const SpaceIndex held = *warning.causes.front().initial_of;
    const bool vessel = site->spaces[held.value].kind == SpaceKind::vessel;
    return site.tell(vessel ? P::empty_and_purge : P::in_from_start, {{"space", label(site, held)}});
  }
  if (stop.releases.empty()) {
    return warning.causes.empty() || !warning.causes.front().release
               ? site.tell(P::stop_source)
               : capital(stop_words(site, *warning.causes.front().release));
  }
  std::string out = capital(stop_all_words(site, stop.releases));
  const auto& after = stop.after_all ? stop.after_all : stop.after_first;
  if (!after || !after->over) return out;
  return site.tell(P::alone_leaves, {{"act", out}, {"left", left_words(site, warning, *after)}});
}

/// Who stays away, as the end of a sentence.
Phrase people_phrase(Told site, const Warning& warning) {
  if (warning.severity == Severity::oxygen) {
    return warning.oxygen < site->criteria.oxygen_low ? P::until_measured : P::keep_oil_away;
  }
  if (warning.severity == Severity::margin || warning.severity == Severity::pressure) return P::act_alone;
  return site->spaces[warning.space.value].kind == SpaceKind::room ? P::keep_people_out : P::keep_ignition_away;
}

/// What keeps it below the margin besides stopping it; empty where nothing was found.
std::vector<std::string> other_ways(Told site, const Warning& warning) {
  const Remedy& remedy = warning.remedy;
  std::vector<std::string> out;
  if (remedy.reduction) out.push_back(site.tell(P::way_less, {{"less", less_words(site, *remedy.reduction)}}));
  if (remedy.opening && !remedy.opening->after.over) {
    out.push_back(site.tell(remedy.opening->inlet ? P::way_inlet : P::way_outlet,
                            {{"area", area_words(site, remedy.opening->area)},
                             {"fan", plain_text(site->airways[remedy.opening->fan.value].id)}}));
  }
  const bool holds = !remedy.after_air || !remedy.after_air->over;
  if (remedy.extra_air && holds) {
    const double changes = air_changes_an_hour(site->spaces[warning.space.value], *remedy.extra_air);
    const std::string flow = hourly(site, *remedy.extra_air, true);
    out.push_back(changes > 0.0
                      ? site.tell(P::way_air_changes, {{"flow", flow}, {"changes", format_number(changes, 2)}})
                      : site.tell(P::way_air, {{"flow", flow}}));
  }
  if (remedy.vent_area && holds && remedy.value_after <= site->criteria.warn_at) {
    out.push_back(site.tell(P::way_vents, {{"area", area_words(site, *remedy.vent_area)}}));
  }
  return out;
}

/// `act` with what air or openings can do.
std::string with_air(Told site, const Warning& warning, std::string act) {
  const auto ways = other_ways(site, warning);
  const Remedy& remedy = warning.remedy;
  if (ways.size() == 1) {
    act = site.tell(P::or_way, {{"act", act}, {"way", ways.front()}, {"goal", goal_words(site, warning)}});
  } else if (!ways.empty()) {
    act = site.tell(P::or_ways, {{"act", act}, {"ways", site.either(ways)}, {"goal", goal_words(site, warning)}});
  } else if (remedy.extra_air && remedy.after_air) {
    act = site.tell(P::air_alone_leaves, {{"act", act},
                                          {"flow", hourly(site, *remedy.extra_air, true)},
                                          {"left", left_words(site, warning, *remedy.after_air)}});
  }
  if (remedy.kind == RemedyKind::keep_air_out || remedy.air_limit == AirLimit::holds_fuel) {
    return site.tell(P::no_air_in, {{"act", act}});
  }
  if (ways.empty() && remedy.air_limit == AirLimit::too_much) return site.tell(P::more_air_not_enough, {{"act", act}});
  return act;
}

std::string at_the_source(Told site, const Warning& warning) {
  if (warning.source->hazard == SourceHazard::pyrophoric) {
    return site.tell(P::brief_pyrophoric, {{"source", label(site, warning.source->release)}});
  }
  std::string act;
  if (warning.source->hazard == SourceHazard::hot_liquid) {
    constexpr double warmed = 5.0;  // K above its surroundings
    const bool warm = warning.source->temperature > site->conditions.temperature + warmed;
    act = site.tell(warm ? P::brief_warm_liquid : P::brief_liquid);
  } else {
    act = site.tell(P::brief_zone, {{"stop", capital(stop_words(site, warning.source->release))}});
  }
  std::vector<std::string> ignition;
  for (const std::string& source : site->spaces[warning.space.value].ignition) ignition.push_back(plain_text(source));
  if (ignition.empty()) return act;
  return site.tell(P::brief_ignition, {{"ignition", site.listed(ignition)}, {"act", act}});
}

}  // namespace

std::string brief_ways(Told site, const Warning& warning) {
  const auto ways = other_ways(site, warning);
  if (ways.empty()) return {};
  return site.tell(P::brief_ways, {{"space", label(site, warning.space)},
                                   {"goal", site.tell(P::goal_level, {{"percent", percent(site->criteria.warn_at)}})},
                                   {"ways", site.either(ways)}});
}

std::string brief_remedy(Told site, const Warning& warning) {
  if (warning.storage) return remedy_told(site, warning);
  if (is_experiment(warning)) return experiment_act(site, warning);
  const std::string source = source_words_of(site, warning);
  switch (warning.remedy.kind) {
    case RemedyKind::remove_source:
      return at_the_source(site, warning);
    case RemedyKind::leave:
      return site.tell(warning.toxic->tenth_of_limit ? P::stay_out : P::leave_and_stop, {{"act", source}});
    case RemedyKind::air_before_opening:
    case RemedyKind::watch:
      return remedy_told(site, warning);
    case RemedyKind::vent_vessel:
      return site.tell(P::vent_line, {{"act", source}});
    default:
      break;
  }
  const std::string act = site.tell(people_phrase(site, warning), {{"act", source}});
  return with_air(site, warning, act) + experiment_test(site, warning);
}

}  // namespace leanside::report
