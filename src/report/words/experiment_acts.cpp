// SPDX-License-Identifier: Apache-2.0
/// What to do about a vessel on a bench.
#include <algorithm>
#include <cctype>
#include <cmath>

#include "base/text/plain.hpp"
#include "leanside/purge.hpp"
#include "leanside/substance_file.hpp"
#include "leanside/units.hpp"
#include "report/words/experiment_parts.hpp"
#include "report/words/experiments.hpp"
#include "report/words/findings.hpp"
#include "report/words/words.hpp"

namespace leanside::report {

const Apparatus& apparatus_of(Told site, const Experiment& e) { return site->spaces[e.space.value].apparatus; }

bool burns_alone(Told site, const Experiment& e) {
  for (std::size_t k = 0; k < e.content.size(); ++k) {
    constexpr double nearly_all = 0.999;
    if (e.content[k] > 0.0 && site->gases[k].limits && site->gases[k].limits->upper > nearly_all) return true;
  }
  return false;
}

std::string litres_a_minute(Told site, double flow) {
  constexpr double small = 1e-3 / 60.0;  // m3/s
  return format_quantity(flow, flow < small ? "mL/min" : "L/min", 2, site->conditions.units);
}

std::string flow_needed(Told site, double flow) {
  constexpr double small = 1e-3 / 60.0;  // m3/s
  const std::string_view unit = flow < small ? "mL/min" : "L/min";
  return format_number(rounded_up_to(in_unit(site, flow, unit), 2), 2) + " " + unit_words(site, unit);
}

bool lets_air_in(const Experiment& e) { return e.counterflow && !e.counterflow->kept_out; }

namespace {

using P = Phrase;

/// "0.21 g of zinc", of the reactions in a vessel.
std::string reagents_words(Told site, const Experiment& e, double share) {
  std::vector<std::string> words;
  for (const Release& release : site->releases) {
    if (release.into != e.space) continue;
    if (auto one = reagent_words(site, release, share); !one.empty()) words.push_back(std::move(one));
  }
  return words.empty() ? std::string{} : site.listed(words);
}

std::string burst_act(Told site, const Warning& warning) {
  const Experiment& e = *warning.experiment;
  if (!e.harmless_gas || !(e.gas_in > 0.0)) return site.tell(P::never_stopper);
  const double volume = *e.harmless_gas * gas_constant * e.temperature / e.pressure;
  constexpr double litre = 1e-3;
  const std::string_view unit = volume < litre ? "mL" : "L";
  const std::string stands =
      format_number(rounded_down_to(in_unit(site, volume, unit), 2), 2) + " " + unit_words(site, unit);
  const std::string reagents =
      std::isfinite(e.gas_in) ? reagents_words(site, e, *e.harmless_gas / e.gas_in) : std::string{};
  if (reagents.empty()) return site.tell(P::never_stopper_stands, {{"volume", stands}});
  return site.tell(P::never_stopper_reagents, {{"volume", stands}, {"reagents", reagents}});
}

std::string oxygen_act(Told site, const Warning& warning) {
  const Experiment& e = *warning.experiment;
  const bool electrolysis = std::any_of(site->releases.begin(), site->releases.end(), [&](const Release& release) {
    const auto* steady = std::get_if<SteadyRelease>(&release.kind);
    return release.into == e.space && steady != nullptr && steady->current;
  });
  return site.tell(electrolysis ? P::no_amount_electrolysis : P::no_amount);
}

std::string collection_act(Told site, const Warning& warning) {
  const Experiment& e = *warning.experiment;
  const Collection& jars = *e.collection;
  const std::string name = label(site, e.space), tube = gas_volume_words(site, test_tube);
  if (burns_alone(site, e)) return site.tell(P::jars_burn_alone, {{"space", name}, {"tube", tube}});
  const std::string volumes = format_number(jars.volumes, 2);
  if (!jars.ready) {
    return site.tell(P::jars_never,
                     {{"space", name}, {"swept", format_number(jars.swept, 2)}, {"volumes", volumes}, {"tube", tube}});
  }
  return site.tell(P::jars_ready, {{"space", name},
                                   {"discard", gas_volume_words(site, jars.discard)},
                                   {"volumes", volumes},
                                   {"when", moment_words(site, warning.case_index, *jars.ready)},
                                   {"test", site.tell(P::test_first)},
                                   {"tube", tube}});
}

/// Whether all that gets into the vessel is vapour of a liquid in it: no gas then has to be pushed out.
bool only_vapour(Told site, const Experiment& e) {
  bool any = false;
  for (const Release& release : site->releases) {
    if (release.into != e.space) continue;
    if (!std::holds_alternative<SpillRelease>(release.kind)) return false;
    any = true;
  }
  return any;
}

std::string window_act(Told site, const Warning& warning) {
  const Experiment& e = *warning.experiment;
  const std::string name = label(site, e.space);
  if (only_vapour(site, e)) return site.tell(P::vapour_act, {{"space", name}});
  const std::string then = burns_alone(site, e)
                               ? site.tell(P::explodes_hard)
                               : site.tell(P::light_a_test_tube, {{"tube", gas_volume_words(site, test_tube)}});
  if (e.lit) {
    const bool glass = apparatus_of(site, e).material != "metal" && apparatus_of(site, e).material != "plastic";
    constexpr double apart = 2.0;  // m
    const std::string when =
        e.window->from > 0.0
            ? site.tell(P::flame_out_before, {{"time", format_duration(e.left_alone + e.window->from)}})
            : site.tell(P::flame_out_at_once);
    return site.tell(
        glass ? P::lit_act_glass : P::lit_act,
        {{"distance", format_quantity(apart, "m", 2, site->conditions.units)}, {"when", when}, {"then", then}});
  }
  if (!e.keeps_out || !(e.fed || lets_air_in(e))) {
    return site.tell(P::unlit_act, {{"space", name}, {"then", then}});
  }
  return site.tell(P::unlit_act_flow, {{"space", name}, {"flow", flow_needed(site, *e.keeps_out)}, {"then", then}});
}

std::string sweeping_words(Told site, const Warning& warning) {
  const Experiment& e = *warning.experiment;
  if (!e.sweeping) return {};
  const Sweeping& sweep = *e.sweeping;
  const std::string volumes = format_number(sweep.volumes, 2);
  if (!sweep.time) {
    return site.tell(P::sweeping_never, {{"swept", format_number(sweep.swept, 2)}, {"volumes", volumes}});
  }
  return site.tell(P::sweeping, {{"volumes", volumes},
                                 {"when", moment_words(site, warning.case_index, *sweep.time)},
                                 {"test", site.tell(P::test_first)}});
}

}  // namespace

std::string reagent_words(Told site, const Release& release, double share) {
  const auto* reaction = std::get_if<ReactionRelease>(&release.kind);
  const Reaction* table = reaction != nullptr ? find_reaction(reaction->reaction) : nullptr;
  if (table == nullptr || reaction->limiting >= reaction->reagents.size()) return {};
  const ReactionPart& reagent = table->reagents[reaction->limiting];
  std::string name = reagent.name;
  name.front() = static_cast<char>(std::tolower(static_cast<unsigned char>(name.front())));
  constexpr double grams = 1e3;
  constexpr int figures = 3;  // rounded down: the answer must not allow more than was found
  const double mass = grams * reaction->reagents[reaction->limiting] * share * reagent.molar_mass;
  return site.tell(P::grams_of, {{"mass", mass > 0.0 ? format_number(rounded_down_to(mass, figures), figures) : "0"},
                                 {"reagent", name}});
}

std::string experiment_act(Told site, const Warning& warning) {
  const Experiment& e = *warning.experiment;
  if (warning.severity == Severity::pressure) return burst_act(site, warning);
  if (e.with_oxygen) return oxygen_act(site, warning);
  if (e.collection) return collection_act(site, warning);
  if (e.window) return window_act(site, warning);
  const std::string name = label(site, e.space);
  if (burns_alone(site, e)) return site.tell(P::sweep_first_alone, {{"space", name}});
  return site.tell(P::sweep_first, {{"space", name}, {"sweeping", sweeping_words(site, warning)}});
}

std::string experiment_test(Told site, const Warning& warning) {
  if (!warning.experiment || !warning.experiment->sweeping || warning.severity != Severity::rich) return {};
  return " " + sweeping_words(site, warning);
}

}  // namespace leanside::report
