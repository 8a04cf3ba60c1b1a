// SPDX-License-Identifier: Apache-2.0
/// What would help, in words: the source first, then ignition sources and people, then air or openings.
#include <string>
#include <vector>

#include "base/text/lists.hpp"
#include "leanside/report.hpp"
#include "report/words/experiments.hpp"
#include "report/words/remedy_parts.hpp"
#include "report/words/storage.hpp"
#include "report/words/words.hpp"

namespace leanside {
namespace report {
namespace {

bool is_oxygen(const Warning& warning) { return warning.severity == Severity::oxygen; }

bool oxygen_is_low(const Site& site, const Warning& warning) { return warning.oxygen < site.conditions.oxygen_in_air; }

std::string margin_of(const Site& site) { return "the margin of " + percent(site.criteria.warn_at); }

/// What advice that works does: "keeps it below the margin of 25 %"; `verb` is "keeps" or "keep".
std::string achieved(const Site& site, const Warning& warning, const std::string& verb) {
  if (!is_oxygen(warning)) return verb + " it below " + margin_of(site);
  const bool low = oxygen_is_low(site, warning);
  return verb + " the oxygen " + (low ? "above " : "below ") +
         percent(low ? site.criteria.oxygen_low : site.criteria.oxygen_high);
}

/// What it then comes to: "it still reaches 61 % of the lower flammable limit (above the margin for 20 min)".
std::string left_words(const Site& site, const Warning& warning, const Outcome& outcome) {
  const std::string steady = outcome.over && outcome.steady_over ? " in steady state" : "";
  if (is_oxygen(warning)) {
    const bool low = oxygen_is_low(site, warning);
    const std::string worst = percent_of_oxygen(outcome.worst, site.criteria);
    if (!outcome.over) return "the oxygen stays at " + worst + (low ? " or above" : " or below");
    return "the oxygen still " + std::string{low ? "falls to " : "rises to "} + worst + steady;
  }
  if (warning.severity == Severity::pressure) {
    return std::string{"the pressure "} + (outcome.over ? "still " : "") + "reaches " +
           format_quantity(outcome.worst, "kPa", 3, site.conditions.units) + " absolute";
  }
  constexpr double hardly_any = 1e-3;
  if (outcome.worst < hardly_any) return "next to no gas is left";
  std::string out = std::string{outcome.over ? "it still reaches " : "it reaches at most "} +
                    limit_words(outcome.worst, site.criteria) + steady;
  if (outcome.over && !outcome.steady_over && outcome.over_time > 0.0) {
    out += " (above the margin for " + format_duration(outcome.over_time) + ")";
  }
  return out;
}

/// Of advice that holds within the computed time alone.
std::string within(const Site& site, const Outcome& outcome) {
  return outcome.steady ? "" : " within the computed " + format_duration(site.criteria.horizon);
}

/// What advice that ends one danger leaves of the others: " (propane then still reaches 3600 ppm, above its IDLH)".
std::string other_dangers(const Site& site, const Outcome& outcome) {
  if (outcome.over) return "";
  std::vector<std::string> left;
  if (outcome.fuel) left.push_back("gas then still reaches " + limit_words(*outcome.fuel, site.criteria));
  if (outcome.toxic) {
    left.push_back(gas_name(site, outcome.toxic->gas) + " then still reaches " +
                   concentration_words(outcome.toxic->worst) + ", above its IDLH");
  }
  if (outcome.oxygen) {
    left.push_back(std::string{"the oxygen then still "} +
                   (*outcome.oxygen < site.conditions.oxygen_in_air ? "falls to " : "rises to ") +
                   percent_of_oxygen(*outcome.oxygen, site.criteria));
  }
  return left.empty() ? "" : " (" + listed(left) + ")";
}

std::string also_stopped(const Site& site, const Warning& warning) {
  const StopAdvice& stop = warning.remedy.stop;
  if (!stop.after_first) return ".";
  if (!stop.after_first->over) {
    constexpr double hardly_any = 1e-3;
    if (!is_oxygen(warning) && warning.severity != Severity::pressure && stop.after_first->worst < hardly_any) {
      return ": nothing else brings gas here" + within(site, *stop.after_first) + ".";
    }
    return ": then " + left_words(site, warning, *stop.after_first) + within(site, *stop.after_first) +
           other_dangers(site, *stop.after_first) + ".";
  }
  if (stop.releases.size() == 1) {
    return ". Even then " + left_words(site, warning, *stop.after_first) + ".";
  }
  std::string out = ". With only \"" + label(site, stop.releases.front()) + "\" stopped, " +
                    left_words(site, warning, *stop.after_first);
  if (!stop.after_all) return out + ".";
  return out + (stop.releases.size() == 2 ? "; with both stopped, " : "; with all of them stopped, ") +
         left_words(site, warning, *stop.after_all) + other_dangers(site, *stop.after_all) + ".";
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
           " with today's airflow" + within(site, reduction->after) + other_dangers(site, reduction->after) + ".";
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
    if (low) return " Nobody should go in until the oxygen has been measured.";
    return " Keep ignition sources, oil and grease away from " + name + " until the oxygen has been measured.";
  }
  if (warning.severity == Severity::margin) return " Until then keep ignition sources away from " + name + ".";
  return entered ? " Until then keep ignition sources and people out of " + name + "."
                 : " Until then keep every ignition source away from " + name + ".";
}

/// "at least 320 m3/h more fresh air to Prep room (6.4 air changes an hour) and extract as much to outside".
std::string air_words(const Site& site, const Warning& warning, double extra) {
  const Space& space = site.spaces[warning.space.value];
  std::string flow = hourly(site, extra, true);
  constexpr double small = 0.1 / 3600.0;  // m3/s; below it people think in litres a minute
  if (extra < small) {
    flow += " (" + format_number(rounded_up(in_unit(site, extra, "L/min")), 2) + " " + unit_words(site, "L/min") + ")";
  };
  std::string out = "at least " + flow + " more fresh air to " + label(site, warning.space);
  const double changes = air_changes_an_hour(space, extra);
  if (changes > 0.0) out += " (" + format_number(changes, 2) + " air changes an hour)";
  return out + " and extract as much to outside";
}

/// What air or openings do: "that keeps it below the margin of 25 % at all times".
std::string air_achieves(const Site& site, const Warning& warning, const std::optional<Outcome>& after) {
  std::string out = ": that " + achieved(site, warning, "keeps");
  if (!after && warning.remedy.kind == RemedyKind::more_air_for_peak) return out + " at all times.";
  if (!after) return out + " in steady state; what happens before that was not computed.";
  if (!after->over) {
    return out + (after->steady ? " at all times" : within(site, *after)) + other_dangers(site, *after) + ".";
  }
  if (after->steady_over) return ": then " + left_words(site, warning, *after) + ".";
  return out + " in steady state, but before that " + left_words(site, warning, *after) + ".";
}

std::string vents_part(const Site& site, const Warning& warning) {
  const std::string area = area_words(site, *warning.remedy.vent_area);
  std::string out = " Or give " + label(site, warning.space) + " an opening of at least " + area +
                    " free area to outside at the ceiling and another of " + area + " at the floor";
  if (!is_oxygen(warning) && warning.remedy.value_after > site.criteria.warn_at) {
    return out + ": that brings the layer down to " + limit_words(warning.remedy.value_after, site.criteria) +
           " in steady state; this close to the leak it cannot get below " + margin_of(site) + ".";
  }
  return out + air_achieves(site, warning, warning.remedy.after_air);
}

/// The opening that a starved fan of the space lacks.
std::string opening_part(const Site& site, const Warning& warning) {
  const auto& opening = warning.remedy.opening;
  if (!opening) return "";
  return " Or give the fan " + plain_text(site.airways[opening->fan.value].id) + " an " +
         (opening->inlet ? "inlet into " : "outlet from ") + label(site, warning.space) + " of at least " +
         area_words(site, opening->area) + " free area" +
         (opening->after.over ? ": then " + left_words(site, warning, opening->after) + "."
                              : air_achieves(site, warning, opening->after));
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
        return " More air alone is not enough: it would take more than " + most + ".";
      return " More air alone is not enough: even with " + most + ", " + left_words(site, warning, *remedy.after_air) +
             ".";
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
           " openings to outside at the ceiling and at the floor; how large they must be could not be computed.";
  }
  if (remedy.kind == RemedyKind::stop_source) return " No airflow or opening was found that is enough.";
  return " Or supply more fresh air to " + name + "; how much is enough could not be computed.";
}

/// Air or openings, or why not.
std::string air_part(const Site& site, const Warning& warning) {
  const Remedy& remedy = warning.remedy;
  std::string out = opening_part(site, warning);
  if (remedy.kind == RemedyKind::open_inlet) {
    // It is enough.
  } else if (remedy.vent_area) {
    out += vents_part(site, warning);
  } else if (remedy.extra_air) {
    out += " Or supply " + air_words(site, warning, *remedy.extra_air) + air_achieves(site, warning, remedy.after_air);
  } else {
    out += no_air_part(site, warning);
  }
  const bool lets_air_in = remedy.vent_area || remedy.opening || remedy.extra_air ||
                           remedy.kind == RemedyKind::more_fresh_air || remedy.kind == RemedyKind::more_air_for_peak;
  if (remedy.passes_through_range && lets_air_in) {
    out +=
        " Once it is too rich to burn, fresh air takes it back through the flammable range: then keep every ignition "
        "source away until it is clear.";
  }
  return out;
}

std::string pressure_remedy(const Site& site, const Warning& warning) {
  const std::string name = label(site, warning.space);
  return source_part(site, warning) + " Or give " + name +
         " a vent line to outside. Do one of the two before the pressure bursts it, and keep people away until then.";
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
  if (warning.source->hazard == SourceHazard::zone) {
    return capital(stop_words(site, warning.source->release)) + "." +
           (ignition.empty() ? std::string{}
                             : " Ignition sources there: " + ignition +
                                   ". Remove them or switch them off before gas comes, not while it is there.") +
           " Keep every flame, spark and hot surface that far away. More air in the space does not shorten it: only a "
           "smaller hole, less pressure or less gas does.";
  }
  const std::string first =
      ignition.empty() ? "Keep every flame, spark and hot surface away from "
                       : "Ignition sources there: " + ignition +
                             ". Remove them or switch them off before the liquid is open, not beside the vapour. Keep "
                             "every other flame, spark and hot surface away from ";
  return first + release +
         ". Cover the liquid or take it away, or use less of it; more air lowers the average, but not the vapour at "
         "the surface.";
}

std::string leave(const Site& site, const Warning& warning) {
  const std::string clear = " until a measurement shows less than " + concentration_words(warning.toxic->idlh) + ".";
  if (warning.toxic->tenth_of_limit) return source_part(site, warning) + " Stay out" + clear;
  return "Leave, and do not go back in without breathing apparatus. " + source_part(site, warning) +
         " Do this only where nobody has to go in for it. Then ventilate " + label(site, warning.space) + clear;
}

}  // namespace
}  // namespace report

std::string remedy_sentence(const Site& site, const Warning& warning) {
  using namespace report;
  if (warning.storage) return storage_remedy(*warning.storage);
  if (is_experiment(warning)) return experiment_act(site, warning);
  switch (warning.remedy.kind) {
    case RemedyKind::remove_source:
      return remove_source(site, warning);
    case RemedyKind::leave:
      return leave(site, warning);
    case RemedyKind::air_before_opening:
      return "Ventilate " + label(site, warning.space) + " before anyone opens it or leans in.";
    default:
      break;
  }
  if (warning.remedy.kind == RemedyKind::watch && is_open(site, warning)) {
    return "Stop what releases the gas, and keep ignition sources away from it: the average says nothing about the gas "
           "close by. Check again when anything in " +
           label(site, warning.space) + " changes.";
  }
  if (warning.remedy.kind == RemedyKind::watch) {
    return "No more air is needed. What leaks should be stopped all the same; check again when anything in " +
           label(site, warning.space) + " changes.";
  }
  if (warning.remedy.kind == RemedyKind::vent_vessel) return pressure_remedy(site, warning);
  return source_part(site, warning) + people_part(site, warning) + air_part(site, warning) +
         experiment_test(site, warning);
}

}  // namespace leanside
