// SPDX-License-Identifier: Apache-2.0
/// What to do about a vessel on a bench.
#include <algorithm>
#include <cctype>
#include <cmath>

#include "base/text/lists.hpp"
#include "base/text/plain.hpp"
#include "leanside/purge.hpp"
#include "leanside/substance_file.hpp"
#include "leanside/units.hpp"
#include "report/words/experiment_parts.hpp"
#include "report/words/experiments.hpp"
#include "report/words/findings.hpp"
#include "report/words/words.hpp"

namespace leanside::report {

const Apparatus& apparatus_of(const Site& site, const Experiment& e) { return site.spaces[e.space.value].apparatus; }

bool burns_alone(const Site& site, const Experiment& e) {
  for (std::size_t k = 0; k < e.content.size(); ++k) {
    constexpr double nearly_all = 0.999;
    if (e.content[k] > 0.0 && site.gases[k].limits && site.gases[k].limits->upper > nearly_all) return true;
  }
  return false;
}

std::string litres_a_minute(const Site& site, double flow) {
  constexpr double small = 1e-3 / 60.0;  // m3/s
  return format_quantity(flow, flow < small ? "mL/min" : "L/min", 2, site.conditions.units);
}

std::string flow_needed(const Site& site, double flow) {
  constexpr double small = 1e-3 / 60.0;  // m3/s
  const std::string_view unit = flow < small ? "mL/min" : "L/min";
  return format_number(rounded_up_to(in_unit(site, flow, unit), 2), 2) + " " + unit_words(site, unit);
}

bool lets_air_in(const Experiment& e) { return e.counterflow && !e.counterflow->kept_out; }

namespace {

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
    constexpr double litre = 1e-3;
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

/// Whether all that gets into the vessel is vapour of a liquid in it: no gas then has to be pushed out.
bool only_vapour(const Site& site, const Experiment& e) {
  bool any = false;
  for (const Release& release : site.releases) {
    if (release.into != e.space) continue;
    if (!std::holds_alternative<SpillRelease>(release.kind)) return false;
    any = true;
  }
  return any;
}

std::string window_act(const Site& site, const Warning& warning) {
  const Experiment& e = *warning.experiment;
  const std::string name = label(site, e.space);
  if (only_vapour(site, e)) {
    return "Keep every flame, hot plate and spark away from " + name +
           ". Use as little liquid as you can, stand it on a tray, and cover it when nothing is poured. Warm it with "
           "hot water alone, never over a flame (common practice).";
  }
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
    if (e.keeps_out && (e.fed || lets_air_in(e))) {
      out += "A flow of " + flow_needed(site, *e.keeps_out) + " keeps the air out (common practice, no source). ";
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
  constexpr int figures = 3;  // rounded down: the answer must not allow more than was found
  const double mass = grams * reaction->reagents[reaction->limiting] * share * reagent.molar_mass;
  return (mass > 0.0 ? format_number(rounded_down_to(mass, figures), figures) : "0") + " g of " + name;
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

}  // namespace leanside::report
