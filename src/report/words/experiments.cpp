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
#include "report/words/findings.hpp"
#include "report/words/words.hpp"

namespace leanside::report {
namespace {

constexpr double litre = 1e-3;

std::string bars(const Site& site, double pascal) {
  return format_quantity(pascal, "bar", 2, site.conditions.units) + " absolute";
}

const Apparatus& apparatus_of(const Site& site, const Experiment& e) { return site.spaces[e.space.value].apparatus; }

/// Whether the content burns without air, so that no amount of sweeping makes it too rich.
bool burns_alone(const Site& site, const Experiment& e) {
  for (std::size_t k = 0; k < e.content.size(); ++k) {
    constexpr double nearly_all = 0.999;
    if (e.content[k] > 0.0 && site.gases[k].limits && site.gases[k].limits->upper > nearly_all) return true;
  }
  return false;
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
    out = at_once ? "from the start there is a mixture at the mouth that any flame ignites"
                  : moment(window.from) + " a flame may make it explode: air gets in by itself";
    if (window.at_latest > window.from) out += "; all of it can explode " + moment(window.at_latest) + " at the latest";
  }
  if (std::isfinite(window.until)) out += ". " + capital(moment(window.until)) + " it is too lean to burn";
  if (!e.passes_flame) out += ". Its openings are narrower than the safe gap: a flame there does not pass them";
  return out;
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

/// ": 0.21 g of zinc", of the reactions in a vessel.
std::string reagents_words(const Site& site, const Experiment& e, double share) {
  std::vector<std::string> words;
  for (const Release& release : site.releases) {
    if (release.into != e.space) continue;
    if (auto one = reagent_words(release, share); !one.empty()) words.push_back(std::move(one));
  }
  return words.empty() ? std::string{} : ": " + listed(words);
}

std::string burst_act(const Site& site, const Warning& warning) {
  const Experiment& e = *warning.experiment;
  std::string out = "Never stopper it: leave it open or give it a delivery tube. ";
  if (e.harmless_gas && e.gas_in > 0.0) {
    const double volume = *e.harmless_gas * gas_constant * e.temperature / e.pressure;
    const std::string_view unit = volume < litre ? "mL" : "L";
    out += "Closed it stands no more than " + format_number(rounded_down_to(in_unit(site, volume, unit), 2), 2) + " " +
           unit_words(site, unit) + " of gas";
    if (std::isfinite(e.gas_in)) out += reagents_words(site, e, *e.harmless_gas / e.gas_in);
    out += ". ";
  }
  return out + "Once it is closed stay away; do not pick it up.";
}

std::string oxygen_act(const Site& site, const Warning& warning) {
  const Experiment& e = *warning.experiment;
  const bool electrolysis = std::any_of(site.releases.begin(), site.releases.end(), [&](const Release& release) {
    const auto* steady = std::get_if<SteadyRelease>(&release.kind);
    return release.into == e.space && steady != nullptr && steady->current;
  });
  return std::string{"No amount of it in a vessel is harmless: do not light it there, keep flames and sparks away. "} +
         (electrolysis ? "Collect the two gases apart, a tube for each electrode. "
                       : "Burn the fuel in air, at a burner. ") +
         "Practice lights soap bubbles of it, a few millilitres each, away from the source, with ear protection "
         "(common practice, no source).";
}

std::string test_words() {
  return "then light a test tube of it away from the apparatus: only when that burns quietly is the air gone (common "
         "practice)";
}

std::string collection_act(const Site& site, const Warning& warning) {
  const Experiment& e = *warning.experiment;
  const Collection& jars = *e.collection;
  std::string out = "Keep every flame away from " + label(site, e.space) + " and its tube. ";
  if (burns_alone(site, e)) {
    return out +
           "This gas can explode even without air: no jar of it is harmless, and practice lights no more than a "
           "test tube (" +
           gas_volume_words(site, test_tube) + ") of it, away from the flask (common practice, no source).";
  }
  if (jars.ready) {
    out += "Let the first " + gas_volume_words(site, jars.discard) + " go (" + format_number(jars.volumes, 2) +
           " times its gas space, " + moment_words(site, warning.case_index, *jars.ready) + "), " + test_words() + ".";
  } else {
    out += "It makes only " + format_number(jars.swept, 2) + " times its gas space; " + format_number(jars.volumes, 2) +
           " drive the air out: use a smaller flask or more liquid, and light no jar.";
  }
  return out + " Light no more than a test tube (" + gas_volume_words(site, test_tube) + ") in glass.";
}

std::string window_act(const Site& site, const Warning& warning) {
  const Experiment& e = *warning.experiment;
  const std::string name = label(site, e.space);
  const bool glass = apparatus_of(site, e).material != "metal" && apparatus_of(site, e).material != "plastic";
  std::string out;
  if (e.lit) {
    out = std::string{glass ? "Never in glass: use a metal tin with a loose lid" : "Loose lid"} +
          ", behind a screen, nobody within " + format_quantity(2.0, "m", 2, site.conditions.units) +
          " (common practice). ";
    out +=
        "To end it early, put the flame out " +
        (e.window->from > 0.0 ? "before " + format_duration(e.left_alone + e.window->from) : std::string{"at once"}) +
        " and push the gas out with nitrogen, never with air. ";
  } else {
    out = "Keep every flame away from " + name + "; close it or push the gas out with nitrogen, never with air. ";
    if (e.keeps_out && e.fed) {
      out += "A flow of " + format_quantity(*e.keeps_out, "L/min", 2, site.conditions.units) + " keeps the air out. ";
    }
  }
  if (burns_alone(site, e)) return out + "This gas explodes hard: no amount of it in glass is harmless.";
  return out + "In glass, light no more than a test tube (" + gas_volume_words(site, test_tube) + ", common practice).";
}

std::string sweeping_words(const Site& site, const Warning& warning) {
  const Experiment& e = *warning.experiment;
  if (!e.sweeping) return {};
  const Sweeping& sweep = *e.sweeping;
  if (!sweep.time) {
    return "So much gas never comes (" + format_number(sweep.swept, 2) + " times its gas space, " +
           format_number(sweep.volumes, 2) + " drive the air out): do not light what leaves.";
  }
  return "Light what leaves only when " + format_number(sweep.volumes, 2) + " times the gas space has gone through (" +
         moment_words(site, warning.case_index, *sweep.time) + "), " + test_words() + ".";
}

}  // namespace

std::string reagent_words(const Release& release, double share) {
  const auto* reaction = std::get_if<ReactionRelease>(&release.kind);
  const Reaction* table = reaction != nullptr ? find_reaction(reaction->reaction) : nullptr;
  if (table == nullptr || reaction->limiting >= reaction->reagents.size()) return {};
  const ReactionPart& reagent = table->reagents[reaction->limiting];
  std::string name = reagent.name;
  name.front() = static_cast<char>(std::tolower(static_cast<unsigned char>(name.front())));
  constexpr double grams = 1e3;
  constexpr int figures = 3;  // rounded down: nobody is told more than what was found
  const double mass = grams * reaction->reagents[reaction->limiting] * share * reagent.molar_mass;
  return (mass > 0.0 ? format_number(rounded_down_to(mass, figures), figures) : "0") + " g of " + name;
}

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
    out = window_words(site, warning);
  } else {
    out = (warning.time ? moment_words(site, warning.case_index, *warning.time) : std::string{"in the long run"});
    if (warning.flammable_time > 0.0) out += ", for " + format_duration(warning.flammable_time) + " in all";
    out += ": what it holds can be ignited";
  }
  return out + force_words(site, e) + poison_words(site, e);
}

std::string experiment_act(const Site& site, const Warning& warning) {
  const Experiment& e = *warning.experiment;
  if (warning.severity == Severity::pressure) return burst_act(site, warning);
  if (e.with_oxygen) return oxygen_act(site, warning);
  if (e.collection) return collection_act(site, warning);
  if (e.window) return window_act(site, warning);
  std::string out = "Keep every flame away from " + label(site, e.space) + " until then. ";
  if (burns_alone(site, e)) return out + "Sweep the air out with nitrogen before the gas, never gas with air.";
  return out + sweeping_words(site, warning) + " Or sweep the air out with nitrogen before the gas comes.";
}

std::string experiment_test(const Site& site, const Warning& warning) {
  if (!warning.experiment || !warning.experiment->sweeping || warning.severity != Severity::rich) return {};
  return " " + sweeping_words(site, warning);
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
      text += ". " + format_quantity(e.air_flow, "L/min", 2, site.conditions.units) +
              " of air get in by themselves at first";
    }
    if (e.window) {
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
