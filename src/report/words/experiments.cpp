// SPDX-License-Identifier: Apache-2.0
#include "report/words/experiments.hpp"

#include <algorithm>
#include <cmath>

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

using P = Phrase;

std::string bars(Told site, double pascal) {
  return site.tell(P::absolute, {{"pressure", format_quantity(pascal, "bar", 2, site->conditions.units)}});
}

/// `what` with what a fire inside would do: "Lit inside, it gives off 1.2 kJ at once and reaches 8 bar absolute ...".
std::string with_force(Told site, const Experiment& e, const std::string& what) {
  if (!(e.heat > 0.0)) return what;
  constexpr double low = 8e5, high = 11e5;  // Pa
  std::string out =
      e.closed_pressure
          ? site.tell(P::lit_inside,
                      {{"what", what}, {"heat", heat_words(e.heat)}, {"pressure", bars(site, *e.closed_pressure)}})
          : site.tell(P::lit_inside_range, {{"what", what},
                                            {"heat", heat_words(e.heat)},
                                            {"low", format_number(in_unit(site, low, "bar"), 2)},
                                            {"high", format_quantity(high, "bar", 2, site->conditions.units)}});
  if (e.with_oxygen) out = site.tell(P::twice_detonating, {{"what", out}});
  const std::string& material = apparatus_of(site, e).material;
  return site.tell(material == "metal" || material == "plastic" ? P::lids_fly : P::no_glass_stands, {{"what", out}});
}

std::string with_poison(Told site, const Experiment& e, const std::string& what) {
  if (!e.poison) return what;
  return site.tell(P::do_not_breathe,
                   {{"what", what}, {"gas", gas_name(site, *e.poison)}, {"times", format_number(e.poison_times, 2)}});
}

/// "2 mol of oxygen for each mol of methane; 2 burn all of it".
std::string ratio_words(Told site, const Experiment& e) {
  if (!e.oxygen_per_fuel || !e.oxygen_demand) return {};
  std::string fuel = site.tell(P::fuel);
  std::size_t fuels = 0;
  for (std::size_t k = 0; k < e.content.size(); ++k) {
    if (!(e.content[k] > 0.0) || !site->gases[k].limits) continue;
    fuel = gas_name(site, GasIndex{k});
    ++fuels;
  }
  if (fuels > 1) fuel = site.tell(P::fuel);
  return site.tell(
      P::oxygen_ratio,
      {{"ratio", format_number(*e.oxygen_per_fuel, 2)}, {"fuel", fuel}, {"all", format_number(*e.oxygen_demand, 3)}});
}

std::string with_ratio(Told site, const Experiment& e, const std::string& what) {
  const std::string ratio = ratio_words(site, e);
  return ratio.empty() ? what : site.tell(P::and_ratio, {{"what", what}, {"ratio", ratio}});
}

/// `what` with where the gas of a vessel comes from.
std::string with_feeder(Told site, const Experiment& e, const std::string& what) {
  if (e.fed_by.empty()) return what;
  return site.tell(P::through_tube, {{"what", what}, {"space", label(site, e.fed_by.front())}});
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

/// Before `then`, of gas that comes before the vessel is left alone: "after 29 s, for 4 min, what it holds can be
/// ignited while the gas comes; ".
std::string with_filling(Told site, const Warning& warning, const std::string& then) {
  const Experiment& e = *warning.experiment;
  const double from = warning.time.value_or(HUGE_VAL);
  if (e.fed || !(from < e.left_alone)) return then;
  const double inside = inside_while_filling(e);
  const std::string when = moment_words(site, warning.case_index, from);
  const std::string ignited = with_feeder(site, e, site.tell(P::while_gas_comes));
  if (!(inside > 0.0)) return site.tell(P::filling, {{"when", when}, {"ignited", ignited}, {"then", then}});
  return site.tell(P::filling_for,
                   {{"when", when}, {"span", format_duration(inside)}, {"ignited", ignited}, {"then", then}});
}

/// Of gas that is not lit: when a flame makes it explode.
std::string unlit_words(Told site, const Warning& warning) {
  const Experiment& e = *warning.experiment;
  const FlameWindow& window = *e.window;
  const auto moment = [&](double time) { return moment_words(site, warning.case_index, e.left_alone + time); };
  std::string out;
  if (window.from > 0.0) {
    out = site.tell(e.fed ? P::may_make_explode : P::may_make_explode_air, {{"when", moment(window.from)}});
  } else {
    out = site.tell(P::mixture_at_mouth, {{"when", e.left_alone > 0.0 ? moment(0.0) : site.tell(P::from_the_start)}});
  }
  if (!(window.at_latest > window.from)) return out;
  return site.tell(P::all_can_explode, {{"what", out}, {"when", moment(window.at_latest)}});
}

std::string window_words(Told site, const Warning& warning) {
  const Experiment& e = *warning.experiment;
  const FlameWindow& window = *e.window;
  const auto moment = [&](double time) { return moment_words(site, warning.case_index, e.left_alone + time); };
  std::string out;
  if (e.lit) {
    out = site.tell(P::may_strike_back, {{"when", moment(window.from)}});
    if (window.at_latest > window.from) {
      out = site.tell(P::at_the_latest, {{"what", out}, {"when", moment(window.at_latest)}});
    }
    if (window.from > 0.0) out = site.tell(P::burns_outside, {{"what", out}});
  } else {
    out = unlit_words(site, warning);
  }
  if (std::isfinite(window.until)) {
    out = site.tell(P::too_lean_when, {{"what", out}, {"when", capital(moment(window.until))}});
  }
  return e.passes_flame ? out : site.tell(P::narrower_than_gap, {{"what", out}});
}

/// `what` with: "Air gets in against the weak flow out of it (20 mL/min; 1.2 L/min keep it out): it may burn as long as
/// gas comes".
std::string with_counterflow(Told site, const Experiment& e, const std::string& what) {
  if (!lets_air_in(e) || !e.counterflow->from) return what;
  const Counterflow& against = *e.counterflow;
  constexpr double much_longer = 1.05;
  if (against.until && against.flammable_time < much_longer * inside_while_filling(e)) return what;
  return site.tell(P::air_against_flow, {{"what", what},
                                         {"flow", litres_a_minute(site, against.outflow)},
                                         {"needed", flow_needed(site, against.keeps_out)},
                                         {"span", against.until ? format_duration(against.flammable_time)
                                                                : site.tell(P::as_long_as_gas_comes)}});
}

std::string oxygen_words(Told site, const Warning& warning) {
  const Experiment& e = *warning.experiment;
  const std::string when = moment_words(site, warning.case_index, warning.time.value_or(0.0));
  const std::string out = with_ratio(
      site, e,
      site.tell(P::fuel_with_oxygen, {{"when", when}, {"fuel", percent(e.fuel)}, {"oxygen", percent(e.oxygen)}}));
  return site.tell(warning.near_stoichiometric ? P::more_oxygen_just_enough : P::more_oxygen_any_amount,
                   {{"what", out}});
}

/// "jar 1: 45 % fuel, 11 % oxygen, explodes when lit".
std::string jar_words(Told site, const CollectedJar& jar, std::size_t number) {
  const bool rich = jar.state == MixtureState::rich || jar.state == MixtureState::inerted;
  return site.tell(jar.state == MixtureState::flammable ? P::jar_explodes
                   : rich                               ? P::jar_rich
                                                        : P::jar_lean,
                   {{"n", std::to_string(number)}, {"fuel", percent(jar.fuel, 2)}, {"oxygen", percent(jar.oxygen, 2)}});
}

/// When a warning begins, or `otherwise`.
std::string time_of(Told site, const Warning& warning, Phrase otherwise) {
  return warning.time ? moment_words(site, warning.case_index, *warning.time) : site.tell(otherwise);
}

std::string collection_words(Told site, const Warning& warning) {
  const Experiment& e = *warning.experiment;
  const Collection& jars = *e.collection;
  std::string when = time_of(site, warning, P::later);
  if (warning.flammable_time > 0.0) {
    when = site.tell(P::span_for, {{"start", when}, {"span", format_duration(warning.flammable_time)}});
  }
  std::string out = site.tell(P::leaving_explodes, {{"when", when}, {"space", label(site, e.space)}});
  std::vector<std::string> told;
  for (std::size_t k = 0; k < std::min<std::size_t>(2, jars.jars.size()); ++k) {
    told.push_back(jar_words(site, jars.jars[k], k + 1));
  }
  if (!told.empty()) out = site.tell(P::jars_told, {{"what", out}, {"jars", capital(site.listed(told))}});
  if (jars.jars_in_all <= told.size()) return out;
  return site.tell(P::jars_of, {{"what", out}, {"n", std::to_string(jars.jars_in_all)}});
}

std::string burst_words(Told site, const Warning& warning) {
  const auto kilopascals = [&](double p) { return format_quantity(p, "kPa", 3, site->conditions.units); };
  const std::string passed = warning.rated_pressure
                                 ? site.tell(P::passes_rating, {{"pressure", kilopascals(*warning.rated_pressure)}})
                                 : site.tell(P::no_rating);
  const std::string out =
      site.tell(P::when_pressure, {{"start", time_of(site, warning, P::later)},
                                   {"passed", passed},
                                   {"pressure", kilopascals(warning.pressure)},
                                   {"times", format_number(warning.pressure / site->conditions.pressure, 2)}});
  return warning.experiment->heat > 0.0 ? site.tell(P::ignited_when_bursting, {{"what", out}}) : out;
}

/// The facts on how gas flows out of a vessel and air in.
std::string with_flows(Told site, const Experiment& e, std::string text) {
  if (e.air_flow > 0.0) {
    text = site.tell(P::fact_air_gets_in, {{"what", text}, {"flow", litres_a_minute(site, e.air_flow)}});
  }
  if (e.counterflow) {
    const Counterflow& against = *e.counterflow;
    text = site.tell(P::fact_outflow, {{"what", text},
                                       {"flow", litres_a_minute(site, against.outflow)},
                                       {"needed", flow_needed(site, against.keeps_out)}});
    if (!against.kept_out) {
      text = site.tell(P::fact_settles, {{"what", text}, {"percent", percent(against.settles)}});
    }
  }
  if (e.fed_by.empty()) return text;
  return site.tell(P::fact_fed, {{"what", text}, {"space", label(site, e.fed_by.front())}});
}

/// Every fact about a vessel, without a full stop.
std::string facts_of(Told site, const Experiment& e) {
  const auto millimetres = [&](double d) { return format_quantity(d, "mm", 2, site->conditions.units); };
  std::string text = site.tell(
      P::fact_gas_space,
      {{"space", label(site, e.space)}, {"volume", gas_volume_words(site, site->spaces[e.space.value].volume)}});
  if (e.fuel > 0.0) {
    text = site.tell(P::fact_in_the_end, {{"what", text}, {"fuel", percent(e.fuel)}, {"oxygen", percent(e.oxygen)}});
  }
  text = with_flows(site, e, with_force(site, e, with_ratio(site, e, text)));
  if (e.window && !e.fed) {
    text = site.tell(P::fact_range, {{"what", text},
                                     {"mixed", format_duration(e.window->mixed_from)},
                                     {"unmixed", format_duration(e.window->unmixed)}});
  }
  if (e.trapped > 0.0) {
    text = site.tell(P::fact_trapped, {{"what", text}, {"volume", capital(gas_volume_words(site, e.trapped))}});
  }
  if (e.quenching_distance) {
    text = site.tell(P::fact_quenching, {{"what", text}, {"distance", millimetres(*e.quenching_distance)}});
    if (e.safe_gap) text = site.tell(P::fact_safe_gap, {{"what", text}, {"gap", millimetres(*e.safe_gap)}});
  }
  return text;
}

}  // namespace

std::string gas_volume_words(Told site, double volume) {
  return format_quantity(volume, volume < litre ? "mL" : "L", 2, site->conditions.units);
}

std::string heat_words(double heat) {
  constexpr double kilo = 1e3;
  return heat < kilo ? format_number(heat, 2) + " J" : format_number(heat / kilo, 2) + " kJ";
}

std::string content_words(Told site, const Experiment& experiment) {
  std::vector<std::string> names;
  for (std::size_t k = 0; k < experiment.content.size(); ++k) {
    if (experiment.content[k] > 1e-3 && site->gases[k].limits) names.push_back(gas_name(site, GasIndex{k}));
  }
  constexpr std::size_t most = 3;
  if (names.empty()) return site.tell(P::content_gas);
  if (names.size() > most) names = {site.tell(P::flammable_gas)};
  if (experiment.with_oxygen) names.push_back(site.tell(P::oxygen));
  return site.listed(names);
}

bool is_experiment(const Warning& warning) {
  if (!warning.experiment) return false;
  const Experiment& e = *warning.experiment;
  if (warning.severity == Severity::pressure) return e.sealed;
  if (warning.severity != Severity::flammable) return false;
  return e.window || e.with_oxygen || e.collection || e.sweeping;
}

std::string experiment_danger(Told site, const Warning& warning) {
  const Experiment& e = *warning.experiment;
  const std::string name = label(site, e.space);
  if (warning.severity == Severity::pressure) return site.tell(P::danger_burst, {{"space", name}});
  if (e.window && e.lit && !e.with_oxygen) return site.tell(P::danger_strike_back, {{"space", name}});
  return site.tell(e.with_oxygen ? P::danger_violent : P::danger_explode,
                   {{"gas", content_words(site, e)}, {"space", name}});
}

std::string experiment_when(Told site, const Warning& warning) {
  const Experiment& e = *warning.experiment;
  if (warning.severity == Severity::pressure) return with_poison(site, e, burst_words(site, warning));
  std::string out;
  if (e.with_oxygen) {
    out = oxygen_words(site, warning);
  } else if (e.collection) {
    out = collection_words(site, warning);
  } else if (e.window) {
    out = with_filling(site, warning, window_words(site, warning));
  } else {
    std::string when = time_of(site, warning, P::in_the_long_run);
    if (warning.flammable_time > 0.0) {
      when = site.tell(P::span_in_all, {{"start", when}, {"span", format_duration(warning.flammable_time)}});
    }
    out = with_feeder(site, e, site.tell(P::holds_ignitable, {{"when", when}}));
  }
  if (!e.with_oxygen && !e.collection) out = with_counterflow(site, e, out);
  return with_poison(site, e, with_force(site, e, out));
}

std::vector<std::string> experiment_sentences(Told site, const CaseResult& result) {
  std::vector<std::string> out;
  for (const Experiment& e : result.experiments) {
    out.push_back(facts_of(site, e) + ".");
    if (!e.collection) continue;
    std::vector<std::string> jars;
    for (std::size_t k = 0; k < e.collection->jars.size(); ++k) {
      jars.push_back(jar_words(site, e.collection->jars[k], k + 1));
    }
    if (!jars.empty()) out.push_back(capital(site.listed(jars)) + ".");
  }
  return out;
}

}  // namespace leanside::report
