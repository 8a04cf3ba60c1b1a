// SPDX-License-Identifier: Apache-2.0
#include "report/words/experiments.hpp"

#include <algorithm>
#include <cmath>

#include "base/text/lists.hpp"
#include "base/text/plain.hpp"
#include "leanside/advanced/bench.hpp"
#include "leanside/purge.hpp"
#include "leanside/substance_file.hpp"
#include "leanside/units.hpp"
#include "report/words/experiment_parts.hpp"
#include "report/words/findings.hpp"
#include "report/words/words.hpp"

namespace leanside::report {
namespace {

constexpr double litre = 1e-3;

std::string bars(const Site& site, double pascal) {
  return format_quantity(pascal, "bar", 2, site.conditions.units) + " absolute";
}

/// What a fire inside would do: ". Inside it gives off 1.2 kJ; in a closed vessel it would reach 8 bar absolute".
std::string force_words(const Site& site, const Experiment& e) {
  if (!(e.heat > 0.0)) return {};
  std::string out = ". Lit inside, it gives off " + heat_words(e.heat) + " at once";
  out += e.closed_pressure ? " and reaches " + bars(site, *e.closed_pressure) + " if it is closed"
                           : " and reaches " + format_number(in_unit(site, 8e5, "bar"), 2) + " to " +
                                 format_quantity(11e5, "bar", 2, site.conditions.units) + " absolute if it is closed";
  if (e.with_oxygen) out += ", twice that where it detonates";
  const std::string& material = apparatus_of(site, e).material;
  return out + (material == "metal" || material == "plastic" ? ": lids and tubes fly" : ": no glass stands that");
}

std::string poison_words(const Site& site, const Experiment& e) {
  if (!e.poison) return {};
  return ". Do not breathe it: " + gas_name(site, *e.poison) + " reaches " + format_number(e.poison_times, 2) +
         " times its IDLH inside";
}

/// "2 mol of oxygen for each mol of methane; 2 burn all of it".
std::string ratio_words(const Site& site, const Experiment& e) {
  if (!e.oxygen_per_fuel || !e.oxygen_demand) return {};
  std::string fuel = "fuel";
  std::size_t fuels = 0;
  for (std::size_t k = 0; k < e.content.size(); ++k) {
    if (!(e.content[k] > 0.0) || !site.gases[k].limits) continue;
    fuel = gas_name(site, GasIndex{k});
    ++fuels;
  }
  if (fuels > 1) fuel = "fuel";
  return format_number(*e.oxygen_per_fuel, 2) + " mol of oxygen for each mol of " + fuel + " (" +
         format_number(*e.oxygen_demand, 3) + " burn all of it)";
}

/// " (its gas comes from Flask)".
std::string feeder_words(const Site& site, const Experiment& e) {
  return e.fed_by.empty() ? std::string{}
                          : " (its gas comes through the tube from " + label(site, e.fed_by.front()) + ")";
}

/// s in the range while gas comes and no air gets in.
double inside_while_filling(const Experiment& e) {
  double inside = 0.0;
  for (const StateSpan& span : e.unmixed) {
    if (span.state != FlameState::may_strike) continue;
    inside += std::max(0.0, (e.fed ? span.end : std::min(span.end, e.left_alone)) - span.begin);
  }
  return inside;
}

/// Of gas that comes before the vessel is left alone: "after 29 s, for 4 min, what it holds can be ignited while the
/// gas comes; ".
std::string filling_words(const Site& site, const Warning& warning) {
  const Experiment& e = *warning.experiment;
  const double from = warning.time.value_or(HUGE_VAL);
  if (e.fed || !(from < e.left_alone)) return {};
  const double inside = inside_while_filling(e);
  return moment_words(site, warning.case_index, from) +
         (inside > 0.0 ? ", for " + format_duration(inside) + "," : std::string{}) +
         " what it holds can be ignited while the gas comes" + feeder_words(site, e) + "; ";
}

std::string window_words(const Site& site, const Warning& warning) {
  const Experiment& e = *warning.experiment;
  const FlameWindow& window = *e.window;
  const auto moment = [&](double time) { return moment_words(site, warning.case_index, e.left_alone + time); };
  const bool at_once = !(window.from > 0.0);
  std::string out;
  if (e.lit) {
    out = moment(window.from) + " the flame may strike back into it";
    if (window.at_latest > window.from) out += ", " + moment(window.at_latest) + " at the latest";
    if (!at_once) out += "; until then it burns steadily outside, what is inside is too rich";
  } else {
    out = at_once ? (e.left_alone > 0.0 ? moment(0.0) : std::string{"from the start"}) +
                        " there is a mixture at the mouth that any flame ignites"
                  : moment(window.from) + " a flame may make it explode" + (e.fed ? "" : ": air gets in by itself");
    if (window.at_latest > window.from) out += "; all of it can explode " + moment(window.at_latest) + " at the latest";
  }
  if (std::isfinite(window.until)) out += ". " + capital(moment(window.until)) + " it is too lean to burn";
  if (!e.passes_flame) out += ". Its openings are narrower than the safe gap: a flame there does not pass them";
  return out;
}

/// ". Air gets in against the weak flow out of it (20 mL/min; 1.2 L/min keep it out): it may burn as long as gas
/// comes".
std::string counterflow_words(const Site& site, const Experiment& e) {
  if (!lets_air_in(e) || !e.counterflow->from) return {};
  const Counterflow& against = *e.counterflow;
  constexpr double much_longer = 1.05;
  if (against.until && against.flammable_time < much_longer * inside_while_filling(e)) return {};
  return ". Air gets in against the weak flow of gas (" + litres_a_minute(site, against.outflow) + "; " +
         flow_needed(site, against.keeps_out) + " keep it out): it can burn for " +
         (against.until ? format_duration(against.flammable_time) : std::string{"as long as gas comes"});
}

std::string oxygen_words(const Site& site, const Warning& warning) {
  const Experiment& e = *warning.experiment;
  const double from = warning.time.value_or(0.0);
  std::string out = moment_words(site, warning.case_index, from) + ": " + percent(e.fuel) + " fuel with " +
                    percent(e.oxygen) + " oxygen";
  const std::string ratio = ratio_words(site, e);
  if (!ratio.empty()) out += ", " + ratio;
  return out + ". That is more oxygen than air has" +
         (warning.near_stoichiometric ? ", just enough to burn all of it (near stoichiometric)" : "") +
         ": it burns far more violently than in air and can detonate, in any amount";
}

/// "jar 1: 45 % fuel, 11 % oxygen, explodes when lit".
std::string jar_words(const CollectedJar& jar, std::size_t number) {
  const char* const what = jar.state == MixtureState::flammable ? "explodes when lit"
                           : jar.state == MixtureState::rich || jar.state == MixtureState::inerted
                               ? "too rich to explode"
                               : "too lean to burn";
  return "jar " + std::to_string(number) + " holds " + percent(jar.fuel, 2) + " fuel with " + percent(jar.oxygen, 2) +
         " oxygen (" + what + ")";
}

std::string collection_words(const Site& site, const Warning& warning) {
  const Experiment& e = *warning.experiment;
  const Collection& jars = *e.collection;
  std::string out = (warning.time ? moment_words(site, warning.case_index, *warning.time) : std::string{"later"});
  if (warning.flammable_time > 0.0) out += ", for " + format_duration(warning.flammable_time);
  out += ": what leaves " + label(site, e.space) + " explodes when lit, back into it";
  std::vector<std::string> told;
  for (std::size_t k = 0; k < std::min<std::size_t>(2, jars.jars.size()); ++k) {
    told.push_back(jar_words(jars.jars[k], k + 1));
  }
  if (!told.empty()) out += ". " + capital(listed(told));
  if (jars.jars_in_all > told.size()) out += ", of " + std::to_string(jars.jars_in_all) + " in all";
  return out;
}

std::string burst_words(const Site& site, const Warning& warning) {
  const Experiment& e = *warning.experiment;
  const std::string passed = warning.rated_pressure ? "its rating of " + format_quantity(*warning.rated_pressure, "kPa",
                                                                                         3, site.conditions.units)
                                                    : "10 % above the air (no rating; glass is not made for pressure)";
  std::string out = (warning.time ? moment_words(site, warning.case_index, *warning.time) : std::string{"later"}) +
                    ": the pressure passes " + passed + " and reaches " +
                    format_quantity(warning.pressure, "kPa", 3, site.conditions.units) + " absolute, " +
                    format_number(warning.pressure / site.conditions.pressure, 2) + " times that of the air";
  if (e.heat > 0.0) out += ". What it holds can be ignited too, when it bursts";
  return out;
}

}  // namespace

std::string gas_volume_words(const Site& site, double volume) {
  return format_quantity(volume, volume < litre ? "mL" : "L", 2, site.conditions.units);
}

std::string heat_words(double heat) {
  constexpr double kilo = 1e3;
  return heat < kilo ? format_number(heat, 2) + " J" : format_number(heat / kilo, 2) + " kJ";
}

std::string content_words(const Site& site, const Experiment& experiment) {
  std::vector<std::string> names;
  for (std::size_t k = 0; k < experiment.content.size(); ++k) {
    if (experiment.content[k] > 1e-3 && site.gases[k].limits) names.push_back(gas_name(site, GasIndex{k}));
  }
  constexpr std::size_t most = 3;
  if (names.empty()) return "gas";
  if (names.size() > most) names = {"flammable gas"};
  if (experiment.with_oxygen) names.push_back("oxygen");
  return listed(names);
}

bool is_experiment(const Warning& warning) {
  if (!warning.experiment) return false;
  const Experiment& e = *warning.experiment;
  if (warning.severity == Severity::pressure) return e.sealed;
  if (warning.severity != Severity::flammable) return false;
  return e.window || e.with_oxygen || e.collection || e.sweeping;
}

std::string experiment_danger(const Site& site, const Warning& warning) {
  const Experiment& e = *warning.experiment;
  const std::string name = label(site, e.space);
  if (warning.severity == Severity::pressure) return name + " can burst";
  if (e.with_oxygen) return content_words(site, e) + " in " + name + " explode violently in any amount";
  if (e.window && e.lit) return "the flame on " + name + " may strike back";
  return name + " can explode if its " + content_words(site, e) + " is lit";
}

std::string experiment_when(const Site& site, const Warning& warning) {
  const Experiment& e = *warning.experiment;
  if (warning.severity == Severity::pressure) return burst_words(site, warning) + poison_words(site, e);
  std::string out;
  if (e.with_oxygen) {
    out = oxygen_words(site, warning);
  } else if (e.collection) {
    out = collection_words(site, warning);
  } else if (e.window) {
    out = filling_words(site, warning) + window_words(site, warning);
  } else {
    out = (warning.time ? moment_words(site, warning.case_index, *warning.time) : std::string{"in the long run"});
    if (warning.flammable_time > 0.0) out += ", for " + format_duration(warning.flammable_time) + " in all";
    out += ": what it holds can be ignited" + feeder_words(site, e);
  }
  if (!e.with_oxygen && !e.collection) out += counterflow_words(site, e);
  return out + force_words(site, e) + poison_words(site, e);
}

std::vector<std::string> experiment_sentences(const Site& site, const CaseResult& result) {
  std::vector<std::string> out;
  for (const Experiment& e : result.experiments) {
    std::string text =
        label(site, e.space) + ": gas space " + gas_volume_words(site, site.spaces[e.space.value].volume);
    if (e.fuel > 0.0) text += ", in the end " + percent(e.fuel) + " fuel and " + percent(e.oxygen) + " oxygen";
    if (const std::string ratio = ratio_words(site, e); !ratio.empty()) text += ", " + ratio;
    text += force_words(site, e);
    if (e.air_flow > 0.0) {
      text += ". " + litres_a_minute(site, e.air_flow) + " of air get in by themselves at first";
    }
    if (e.counterflow) {
      const Counterflow& against = *e.counterflow;
      text += ". The gas that leaves it flows at " + litres_a_minute(site, against.outflow) + " at the weakest; " +
              flow_needed(site, against.keeps_out) + " keep all air out";
      if (!against.kept_out) {
        text += ", so air gets in: if it mixes at once the vessel ends at " + percent(against.settles) + " fuel";
      }
    }
    if (!e.fed_by.empty()) text += ". Its gas comes through the tube from " + label(site, e.fed_by.front());
    if (e.window && !e.fed) {
      const FlameWindow& w = *e.window;
      text += ". Its content comes into the flammable range after " + format_duration(w.mixed_from) +
              " where the air mixes at once, after " + format_duration(w.unmixed) + " where it stays unmixed";
    }
    if (e.trapped > 0.0) text += ". " + capital(gas_volume_words(site, e.trapped)) + " of it stay behind the opening";
    if (e.quenching_distance) {
      text += ". Quenching distance " + format_quantity(*e.quenching_distance, "mm", 2, site.conditions.units);
      if (e.safe_gap) text += ", safe gap " + format_quantity(*e.safe_gap, "mm", 2, site.conditions.units);
    }
    out.push_back(text + ".");
    if (!e.collection) continue;
    std::vector<std::string> jars;
    for (std::size_t k = 0; k < e.collection->jars.size(); ++k) jars.push_back(jar_words(e.collection->jars[k], k + 1));
    if (!jars.empty()) out.push_back(capital(listed(jars)) + ".");
  }
  return out;
}

}  // namespace leanside::report
