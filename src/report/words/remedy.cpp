// SPDX-License-Identifier: Apache-2.0
/// What would help, in words: the source first, then ignition sources and people, then air or openings.
#include <string>
#include <vector>

#include "leanside/report.hpp"
#include "report/words/remedy_parts.hpp"
#include "report/words/storage.hpp"
#include "report/words/words.hpp"

namespace leanside {
namespace report {
namespace {

std::string capital(std::string text) {
  if (!text.empty() && text.front() >= 'a' && text.front() <= 'z') text.front() = static_cast<char>(text.front() - 32);
  return text;
}

bool is_oxygen(const Warning& warning) { return warning.severity == Severity::oxygen; }

bool oxygen_is_low(const Site& site, const Warning& warning) { return warning.oxygen < site.conditions.oxygen_in_air; }

std::string margin_of(const Site& site) { return "the margin of " + percent(site.criteria.warn_at); }

/// What advice that works does: "keeps it under the margin of 25 %"; `verb` is "keeps" or "keep".
std::string achieved(const Site& site, const Warning& warning, const std::string& verb) {
  if (!is_oxygen(warning)) return verb + " it under " + margin_of(site);
  const bool low = oxygen_is_low(site, warning);
  return verb + " the oxygen " + (low ? "over " : "under ") +
         percent(low ? site.criteria.oxygen_low : site.criteria.oxygen_high);
}

/// How bad it still is: "61 % of the lower flammable limit for 20 min".
std::string left_words(const Site& site, const Warning& warning, const Outcome& outcome) {
  std::string out;
  if (is_oxygen(warning)) {
    out = percent_of_oxygen(outcome.worst, site.criteria) + " oxygen";
  } else if (warning.severity == Severity::pressure) {
    return format_quantity(outcome.worst, "kPa", 3) + " absolute";
  } else {
    out = percent_of_limit(outcome.worst, site.criteria) + " of the lower flammable limit";
  }
  if (outcome.over && outcome.steady_over) return out + " in the steady state";
  if (outcome.over && outcome.over_time > 0.0)
    return out + " (over the margin for " + format_duration(outcome.over_time) + ")";
  return out;
}

/// Of advice that holds within the computed time alone.
std::string within(const Site& site, const Outcome& outcome) {
  return outcome.steady ? "" : " within the computed " + format_duration(site.criteria.horizon);
}

std::string also_stopped(const Site& site, const Warning& warning) {
  const StopAdvice& stop = warning.remedy.stop;
  if (!stop.after_first) return ".";
  if (!stop.after_first->over) {
    constexpr double hardly_any = 1e-3;
    if (!is_oxygen(warning) && warning.severity != Severity::pressure && stop.after_first->worst < hardly_any) {
      return ": nothing else brings gas here" + within(site, *stop.after_first) + ".";
    }
    return ": the rest then leaves " + left_words(site, warning, *stop.after_first) + " at worst" +
           within(site, *stop.after_first) + ".";
  }
  if (stop.releases.size() == 1) {
    return ". Even then " + left_words(site, warning, *stop.after_first) + " remains.";
  }
  std::string out = ". With only \"" + label(site, stop.releases.front()) + "\" stopped, " +
                    left_words(site, warning, *stop.after_first) + " remains";
  if (!stop.after_all) return out + ".";
  return out + (stop.after_all->over ? "; with all stopped, still " : "; with all stopped, ") +
         left_words(site, warning, *stop.after_all) + (stop.after_all->over ? "." : " at worst.");
}

/// "Stop the gas from \"Bench tap left open\" ...", and what that does.
std::string source_part(const Site& site, const Warning& warning) {
  const StopAdvice& stop = warning.remedy.stop;
  std::string out;
  if (!warning.causes.empty() && warning.causes.front().initial_of) {
    const SpaceIndex held = *warning.causes.front().initial_of;
    out = "The gas is in " + label(site, held) + " from the start";
    const bool vessel = site.spaces[held.value].kind == SpaceKind::vessel;
    out += vessel && !is_oxygen(warning) ? ": empty and purge it with an inert gas such as nitrogen first." : ".";
  } else if (!stop.releases.empty()) {
    out = capital(stop_all_words(site, stop.releases)) + also_stopped(site, warning);
  } else if (!warning.causes.empty() && warning.causes.front().release) {
    out = capital(stop_words(site, *warning.causes.front().release)) + ".";
  } else {
    out = "Stop the source.";
  }
  if (const auto& reduction = warning.remedy.reduction) {
    const bool one = reduction->releases.size() == 1;
    out += " Or use less: " + less_words(site, *reduction) + " " + achieved(site, warning, one ? "keeps" : "keep") +
           " with the air of today" + within(site, reduction->after) + ".";
  }
  return out;
}

/// Who and what stays away until it is over.
std::string people_part(const Site& site, const Warning& warning) {
  const Space& space = site.spaces[warning.space.value];
  const std::string name = label(site, warning.space);
  constexpr double enterable = 1.0;  // m3; nobody gets into less. Common practice, no source
  const bool entered = space.kind == SpaceKind::room || space.volume >= enterable;
  if (is_oxygen(warning)) {
    const bool low = oxygen_is_low(site, warning);
    if (low && !entered) return " Open " + name + " only where the air is fresh.";
    if (low) return " Nobody goes in before the oxygen has been measured.";
    return " Keep ignition sources, oil and grease away from " + name + " until the oxygen has been measured.";
  }
  if (warning.severity == Severity::margin) return " Until then keep ignition sources away from " + name + ".";
  return entered ? " Until then keep ignition sources and people out of " + name + "."
                 : " Until then keep every ignition source away from " + name + ".";
}

/// "at least 320 m3/h more fresh air into Prep room (6.4 air changes an hour) and lead as much outside".
std::string air_words(const Site& site, const Warning& warning, double extra) {
  const Space& space = site.spaces[warning.space.value];
  std::string flow = hourly(extra, true);
  constexpr double small = 0.1 / 3600.0;  // m3/s; below it people think in litres a minute
  if (extra < small) flow += " (" + format_quantity(rounded_up(6e4 * extra) / 6e4, "L/min", 2) + ")";
  std::string out = "at least " + flow + " more fresh air into " + label(site, warning.space);
  const double changes = air_changes_an_hour(space, extra);
  if (changes > 0.0) out += " (" + format_number(changes, 2) + " air changes an hour)";
  return out + " and lead as much outside";
}

/// What air or openings do: "that keeps it under the margin of 25 % at all times".
std::string air_achieves(const Site& site, const Warning& warning) {
  const auto& after = warning.remedy.after_air;
  std::string out = ": that " + achieved(site, warning, "keeps");
  if (!after && warning.remedy.kind == RemedyKind::more_air_for_peak) return out + " at all times.";
  if (!after) return out + " in the steady state; what passes before was not computed.";
  if (!after->over) return out + (after->steady ? " at all times." : within(site, *after) + ".");
  return out + " in the steady state, but before that " + left_words(site, warning, *after) + " remains.";
}

std::string vents_part(const Site& site, const Warning& warning) {
  const std::string area = area_words(*warning.remedy.vent_area);
  std::string out = " Or give " + label(site, warning.space) + " an opening of at least " + area +
                    " free area to outside at the ceiling and another of " + area + " at the floor";
  if (!is_oxygen(warning) && warning.remedy.value_after > site.criteria.warn_at) {
    return out + ": that brings the layer down to " + percent_of_limit(warning.remedy.value_after, site.criteria) +
           " of the lower flammable limit in the steady state; so close to the leak it cannot come under " +
           margin_of(site) + ".";
  }
  return out + air_achieves(site, warning);
}

std::string no_air_part(const Site& site, const Warning& warning) {
  const Remedy& remedy = warning.remedy;
  const std::string name = label(site, warning.space);
  const AirLimit limit = remedy.kind == RemedyKind::keep_air_out ? AirLimit::holds_fuel : remedy.air_limit;
  switch (limit) {
    case AirLimit::holds_fuel:
      return " Let no air into " + name +
             ": purge it with an inert gas such as nitrogen, not with air, before gas goes in and before it is opened.";
    case AirLimit::too_much: {
      const std::string most = format_number(most_air_changes) + " air changes an hour";
      if (!remedy.after_air || !remedy.after_air->over)
        return " More air alone cannot do it: it would take more than " + most + ".";
      return " More air alone cannot do it: with " + most + " " + left_words(site, warning, *remedy.after_air) +
             " remains.";
    }
    case AirLimit::at_start:
      return " No airflow is quick enough: the gas is there from the start.";
    case AirLimit::too_small:
      return "";
    case AirLimit::none:
      break;
  }
  if (remedy.kind == RemedyKind::vents) {
    return " Or give " + name +
           " openings to outside at the ceiling and at the floor; how large they must be could "
           "not be computed.";
  }
  if (remedy.kind == RemedyKind::stop_source) return " No airflow or opening was found that is enough.";
  return " Or bring more fresh air into " + name + "; how much is enough could not be computed.";
}

/// Air or openings, or why not.
std::string air_part(const Site& site, const Warning& warning) {
  const Remedy& remedy = warning.remedy;
  std::string out;
  if (remedy.vent_area) {
    out = vents_part(site, warning);
  } else if (remedy.extra_air) {
    out = " Or bring " + air_words(site, warning, *remedy.extra_air) + air_achieves(site, warning);
  } else {
    out = no_air_part(site, warning);
  }
  const bool lets_air_in = remedy.vent_area || remedy.extra_air || remedy.kind == RemedyKind::more_fresh_air ||
                           remedy.kind == RemedyKind::more_air_for_peak;
  if (remedy.passes_through_range && lets_air_in) {
    out +=
        " It is too rich to burn at first: air takes it through the flammable range before it is clear, so keep "
        "every ignition source away until then.";
  }
  return out;
}

std::string pressure_remedy(const Site& site, const Warning& warning) {
  const std::string name = label(site, warning.space);
  return source_part(site, warning) + " Or give " + name +
         " a vent line that leads outside. Do either before the pressure bursts it, and keep people away until then.";
}

/// What to do about gas that can be ignited at its source: ignition sources first, since nothing else is as quick.
std::string remove_source(const Site& site, const Warning& warning) {
  const std::string release = "\"" + label(site, warning.source->release) + "\"";
  if (warning.source->hazard == SourceHazard::pyrophoric) {
    return "Leave, and shut off " + release +
           " from outside. No ventilation makes this safe: the gas needs no ignition source.";
  }
  std::string ignition;
  for (const std::string& source : site.spaces[warning.space.value].ignition) {
    ignition += (ignition.empty() ? "" : ", ") + plain_text(source);
  }
  const std::string first =
      ignition.empty() ? "Keep every flame, spark and hot surface away from "
                       : "Turn off first: " + ignition + ". Keep every other flame, spark and hot surface away from ";
  return first + release +
         ". Cover the liquid or take it away, or use less of it; more air lowers the average but not what is at the "
         "surface.";
}

std::string leave(const Site& site, const Warning& warning) {
  return "Leave, and do not go back in without breathing apparatus. " + source_part(site, warning) +
         " Do that where nobody has to go in for it, then air " + label(site, warning.space) +
         " until a measurement shows less than " + concentration_words(warning.toxic->idlh) + ".";
}

}  // namespace
}  // namespace report

std::string remedy_sentence(const Site& site, const Warning& warning) {
  using namespace report;
  if (warning.storage) return storage_remedy(*warning.storage);
  switch (warning.remedy.kind) {
    case RemedyKind::remove_source:
      return remove_source(site, warning);
    case RemedyKind::leave:
      return leave(site, warning);
    case RemedyKind::air_before_opening:
      return "Air " + label(site, warning.space) + " before anyone opens it or leans into it.";
    default:
      break;
  }
  if (warning.remedy.kind == RemedyKind::watch && is_open(site, warning)) {
    return "Stop what leaks, and keep ignition sources away from where it leaks: the average says nothing about that "
           "place. Look again when anything in " +
           label(site, warning.space) + " changes.";
  }
  if (warning.remedy.kind == RemedyKind::watch) {
    return "No more air is called for. What leaks should be stopped all the same; look again when anything in " +
           label(site, warning.space) + " changes.";
  }
  if (warning.remedy.kind == RemedyKind::vent_vessel) return pressure_remedy(site, warning);
  return source_part(site, warning) + people_part(site, warning) + air_part(site, warning);
}

}  // namespace leanside
