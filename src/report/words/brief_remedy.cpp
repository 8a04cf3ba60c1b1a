// SPDX-License-Identifier: Apache-2.0
/// What helps, as short as it can be said: the source, then ignition sources and people, then air or openings.
#include <string>
#include <vector>

#include "base/text/lists.hpp"
#include "leanside/report.hpp"
#include "report/words/experiments.hpp"
#include "report/words/findings.hpp"
#include "report/words/remedy_parts.hpp"
#include "report/words/words.hpp"

namespace leanside::report {
namespace {

std::string margin_words(const Site& site, const Warning& warning) {
  if (warning.severity != Severity::oxygen) return "below " + percent(site.criteria.warn_at) + " of the lower limit";
  const bool low = warning.oxygen < site.criteria.oxygen_low;
  return std::string{"the oxygen "} + (low ? "above " : "below ") +
         percent(low ? site.criteria.oxygen_low : site.criteria.oxygen_high);
}

std::string left_words(const Site& site, const Warning& warning, const Outcome& outcome) {
  std::string out = "leaves ";
  if (warning.severity == Severity::oxygen) return out + percent_of_oxygen(outcome.worst, site.criteria) + " oxygen";
  if (warning.severity == Severity::pressure)
    return out + format_quantity(outcome.worst, "kPa", 3, site.conditions.units);
  out += percent_of_limit(outcome.worst, site.criteria) + " of the lower limit";
  if (outcome.over_time > 0.0 && !outcome.steady_over) out += " for " + format_duration(outcome.over_time);
  return out;
}

/// "Stop the gas from "H2-1"": and what that does not cure.
std::string source_words_of(const Site& site, const Warning& warning) {
  const StopAdvice& stop = warning.remedy.stop;
  if (!warning.causes.empty() && warning.causes.front().initial_of) {
    const SpaceIndex held = *warning.causes.front().initial_of;
    return site.spaces[held.value].kind == SpaceKind::vessel
               ? "Empty and purge " + label(site, held) + " with an inert gas such as nitrogen"
               : "The gas is in " + label(site, held) + " from the start: nobody goes in before it has been measured";
  }
  if (stop.releases.empty()) {
    return warning.causes.empty() || !warning.causes.front().release
               ? "Stop the source"
               : capital(stop_words(site, *warning.causes.front().release));
  }
  std::string out = capital(stop_all_words(site, stop.releases));
  const auto& after = stop.after_all ? stop.after_all : stop.after_first;
  if (after && after->over) out += " (that alone " + left_words(site, warning, *after) + ")";
  return out;
}

/// Who stays away.
std::string people_words(const Site& site, const Warning& warning) {
  const Space& space = site.spaces[warning.space.value];
  if (warning.severity == Severity::oxygen) {
    return warning.oxygen < site.criteria.oxygen_low ? "; nobody goes in before the oxygen has been measured"
                                                     : "; keep ignition sources, oil and grease away";
  }
  if (warning.severity == Severity::margin || warning.severity == Severity::pressure) return {};
  return space.kind == SpaceKind::room ? "; until then keep ignition sources and people out"
                                       : "; until then keep every ignition source away";
}

/// What keeps it below the margin besides stopping it; empty where nothing was found.
std::vector<std::string> other_ways(const Site& site, const Warning& warning) {
  const Remedy& remedy = warning.remedy;
  std::vector<std::string> out;
  if (remedy.reduction) out.push_back("use less (" + less_words(site, *remedy.reduction) + ")");
  if (remedy.opening && !remedy.opening->after.over) {
    out.push_back(std::string{"open "} + (remedy.opening->inlet ? "an inlet" : "an outlet") + " of " +
                  area_words(site, remedy.opening->area) + " free area for " +
                  plain_text(site.airways[remedy.opening->fan.value].id));
  }
  const bool holds = !remedy.after_air || !remedy.after_air->over;
  if (remedy.extra_air && holds) {
    const double changes = air_changes_an_hour(site.spaces[warning.space.value], *remedy.extra_air);
    out.push_back("supply and extract " + hourly(site, *remedy.extra_air, true) + " more fresh air all the time" +
                  (changes > 0.0 ? " (" + format_number(changes, 2) + " air changes an hour)" : ""));
  }
  if (remedy.vent_area && holds && remedy.value_after <= site.criteria.warn_at) {
    const std::string area = area_words(site, *remedy.vent_area);
    out.push_back("give it an opening of " + area + " to outside at the ceiling and one at the floor");
  }
  return out;
}

std::string air_words(const Site& site, const Warning& warning) {
  const auto ways = other_ways(site, warning);
  const Remedy& remedy = warning.remedy;
  std::string out;
  if (!ways.empty()) {
    out = " Or " + listed(ways, ", or ") + (ways.size() > 1 ? ": either keeps it " : ": that keeps it ") +
          margin_words(site, warning) + ".";
  } else if (remedy.extra_air && remedy.after_air) {
    out = " " + capital(hourly(site, *remedy.extra_air, true)) + " more fresh air alone " +
          left_words(site, warning, *remedy.after_air) + ".";
  }
  if (remedy.kind == RemedyKind::keep_air_out || remedy.air_limit == AirLimit::holds_fuel) {
    out += " Let no air in: purge with an inert gas first.";
  } else if (ways.empty() && remedy.air_limit == AirLimit::too_much) {
    out += " More air is not enough.";
  }
  return out;
}

std::string at_the_source(const Site& site, const Warning& warning) {
  const std::string release = "\"" + label(site, warning.source->release) + "\"";
  if (warning.source->hazard == SourceHazard::pyrophoric) {
    return "Leave, and shut off " + release + " from outside. No ventilation makes this safe.";
  }
  std::vector<std::string> ignition;
  for (const std::string& source : site.spaces[warning.space.value].ignition) ignition.push_back(plain_text(source));
  const std::string first = ignition.empty() ? std::string{}
                                             : "Ignition sources there: " + listed(ignition) +
                                                   " (remove them or switch them off beforehand, never "
                                                   "beside the gas). ";
  if (warning.source->hazard == SourceHazard::hot_liquid) {
    constexpr double warmed = 5.0;  // K above its surroundings
    const bool warm = warning.source->temperature > site.conditions.temperature + warmed;
    return first + "Cover the liquid or take it away; keep flames, sparks and hot surfaces away. " +
           (warm ? "Warm it with hot water alone, never over a flame (common practice). " : "") +
           "More air does not help at the surface.";
  }
  return first + capital(stop_words(site, warning.source->release)) +
         "; keep flames, sparks and hot surfaces that far away. More air does not help there.";
}

}  // namespace

std::string brief_ways(const Site& site, const Warning& warning) {
  const auto ways = other_ways(site, warning);
  if (ways.empty()) return {};
  return " To keep all of " + label(site, warning.space) + " " + margin_words(site, warning) + ": " +
         listed(ways, ", or ") + ".";
}

std::string brief_remedy(const Site& site, const Warning& warning) {
  if (warning.storage) return remedy_sentence(site, warning);
  if (is_experiment(warning)) return experiment_act(site, warning);
  switch (warning.remedy.kind) {
    case RemedyKind::remove_source:
      return at_the_source(site, warning);
    case RemedyKind::leave:
      if (warning.toxic->tenth_of_limit)
        return source_words_of(site, warning) + "; stay out until it has been measured.";
      return "Leave; do not go back in without breathing apparatus. " + source_words_of(site, warning) +
             " only where nobody has to go in for it.";
    case RemedyKind::air_before_opening:
    case RemedyKind::watch:
      return remedy_sentence(site, warning);
    case RemedyKind::vent_vessel:
      return source_words_of(site, warning) +
             ", or give it a vent line to outside, before it bursts; keep people away.";
    default:
      break;
  }
  return source_words_of(site, warning) + people_words(site, warning) + "." + air_words(site, warning) +
         experiment_test(site, warning);
}

}  // namespace leanside::report
