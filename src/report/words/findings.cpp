// SPDX-License-Identifier: Apache-2.0
#include "report/words/findings.hpp"

#include <algorithm>
#include <cmath>
#include <set>

#include "leanside/advanced/release.hpp"
#include "leanside/report.hpp"
#include "report/words/experiments.hpp"
#include "report/words/words.hpp"

namespace leanside::report {
namespace {

using P = Phrase;

const SpaceResult* result_of(const Assessment& assessment, const Warning& warning) {
  for (const CaseResult& result : assessment.cases) {
    if (result.case_index == warning.case_index) return &result.spaces[warning.space.value];
  }
  return nullptr;
}

/// "9 % hydrogen", of the only fuel that a space holds; empty where there are several.
std::string fuel_words(Told site, const Instant& at) {
  std::string out;
  for (std::size_t k = 0; k < at.fraction.size(); ++k) {
    if (!site->gases[k].limits || !(at.fraction[k] > 0.0)) continue;
    if (!out.empty()) return {};
    out = site.tell(P::share_of_gas, {{"percent", percent(at.fraction[k], 2)}, {"gas", gas_name(site, GasIndex{k})}});
  }
  return out;
}

/// "31 % of the lower limit", "26 times the lower limit".
std::string level_words(Told site, double lfl_fraction) {
  constexpr double many = 10.0;
  return lfl_fraction > many ? site.tell(P::level_short_times, {{"times", format_number(lfl_fraction, 2)}})
                             : site.tell(P::level_short, {{"percent", percent_of_limit(site, lfl_fraction)}});
}

/// "at most 9 % hydrogen, 2.3 times the lower flammable limit".
std::string most_words(Told site, const Assessment& assessment, const Warning& warning) {
  const std::string level = level_words(site, warning.lfl_fraction);
  const SpaceResult* const result = result_of(assessment, warning);
  const std::string fuel =
      result == nullptr ? "" : fuel_words(site, warning.worst_is_steady ? result->steady.at : result->peak);
  std::string out = fuel.empty() ? site.tell(P::at_most_level, {{"level", level}})
                                 : site.tell(P::at_most_fuel, {{"fuel", fuel}, {"level", level}});
  if (warning.worst_is_steady) out = site.tell(P::most_steady, {{"most", out}});
  if (warning.worst_state == MixtureState::rich) out = site.tell(P::most_rich, {{"most", out}});
  if (warning.worst_state == MixtureState::inerted) out = site.tell(P::most_inerted, {{"most", out}});
  return out;
}

std::string start_of(Told site, const Warning& warning) {
  if (warning.time) return moment_words(site, warning.case_index, *warning.time);
  if (warning.later) {
    return site.tell(P::start_beyond_horizon, {{"moment", moment_words(site, warning.case_index, *warning.later)}});
  }
  return site.tell(P::start_steady, {{"horizon", format_duration(site->criteria.horizon)}});
}

/// "after 2 h, for 1 h 38 min in all"; without the span where it is not known.
std::string span_of(Told site, const Warning& warning) {
  std::string start = start_of(site, warning);
  if (!warning.time || !(warning.flammable_time > 0.0)) return start;
  const double to_the_end = site->criteria.horizon - *warning.time;
  if (warning.flammable_time >= 0.99 * to_the_end) return site.tell(P::span_to_end, {{"start", start}});
  return site.tell(P::span_in_all, {{"start", start}, {"span", format_duration(warning.flammable_time)}});
}

std::string oxygen_when(Told site, const Warning& warning) {
  const bool low = warning.oxygen < site->criteria.oxygen_low;
  return site.tell(low ? P::when_oxygen_low : P::when_oxygen_high,
                   {{"start", start_of(site, warning)},
                    {"limit", percent(low ? site->criteria.oxygen_low : site->criteria.oxygen_high)},
                    {"oxygen", percent_of_oxygen(site, warning.oxygen)}});
}

std::string pressure_when(Told site, const Warning& warning) {
  const auto kilopascals = [&](double p) { return format_quantity(p, "kPa", 3, site->conditions.units); };
  const std::string passed = warning.rated_pressure
                                 ? site.tell(P::passes_rating, {{"pressure", kilopascals(*warning.rated_pressure)}})
                                 : site.tell(P::passes_tenth);
  return site.tell(P::when_pressure, {{"start", start_of(site, warning)},
                                      {"passed", passed},
                                      {"pressure", kilopascals(warning.pressure)},
                                      {"times", format_number(warning.pressure / site->conditions.pressure, 2)}});
}

std::string vapour_when(Told site, const NearSource& source, const std::string& start) {
  const auto degrees = [&](double t) { return format_quantity(t, "degC", 3, site->conditions.units); };
  const std::string out =
      source.flash_point ? site.tell(P::when_vapour_flash, {{"start", start},
                                                            {"temperature", degrees(source.temperature)},
                                                            {"flash", degrees(*source.flash_point)}})
                         : site.tell(P::when_vapour, {{"start", start}, {"temperature", degrees(source.temperature)}});
  if (!source.zone) return out;
  return site.tell(P::when_vapour_zone, {{"vapour", out}, {"zone", zone_words(site, *source.zone)}});
}

std::string source_when(Told site, const Assessment& assessment, const Warning& warning) {
  const NearSource& source = *warning.source;
  std::string start = start_of(site, warning);
  if (source.until && warning.time) {
    start = site.tell(P::span_for, {{"start", start}, {"span", format_duration(*source.until - *warning.time)}});
  }
  std::string out;
  if (source.hazard == SourceHazard::pyrophoric) {
    out = site.tell(P::when_pyrophoric, {{"start", start}});
  } else if (source.hazard == SourceHazard::hot_liquid) {
    out = vapour_when(site, source, start);
  } else {
    out = site.tell(P::when_zone, {{"start", start}, {"zone", zone_words(site, *source.zone)}});
  }
  const SpaceResult* const result = result_of(assessment, warning);
  if (result != nullptr && warning.lfl_fraction > 0.0 && warning.lfl_fraction < site->criteria.warn_at) {
    out = site.tell(P::when_whole_space, {{"when", out}, {"level", level_words(site, warning.lfl_fraction)}});
  }
  return out;
}

std::string toxic_when(Told site, const Warning& warning) {
  const ToxicGas& toxic = *warning.toxic;
  return site.tell(P::when_toxic, {{"start", start_of(site, warning)},
                                   {"gas", gas_name(site, toxic.gas)},
                                   {"idlh", concentration_words(toxic.idlh)},
                                   {"most", concentration_words(toxic.worst)}});
}

std::string when_of(Told site, const Assessment& assessment, const Warning& warning) {
  if (is_experiment(warning)) return experiment_when(site, warning);
  switch (subject_of(warning)) {
    case Subject::oxygen:
      return oxygen_when(site, warning);
    case Subject::pressure:
      return pressure_when(site, warning);
    case Subject::source:
      return source_when(site, assessment, warning);
    case Subject::toxic:
      return toxic_when(site, warning);
    case Subject::storage:
      return what_words(site, warning);
    case Subject::fuel:
      break;
  }
  const bool flammable = warning.severity == Severity::flammable;
  std::string out = site.tell(P::when_fuel, {{"start", flammable ? span_of(site, warning) : start_of(site, warning)},
                                             {"most", most_words(site, assessment, warning)}});
  if (warning.violent) out = site.tell(P::when_violent, {{"when", out}});
  if (!warning.layer) return out;
  const std::string heights = height_words(site, warning.space, *warning.layer);
  out = site.tell(flammable ? P::when_layer_ignitable : P::when_layer, {{"when", out}, {"heights", heights}});
  if (!warning.mixed_lfl_fraction) return out;
  return site.tell(P::or_mixed, {{"where", out}, {"level", level_words(site, *warning.mixed_lfl_fraction)}});
}

/// A further warning of a finding: "Corridor: 31 % of the limit after 2 h", "toxic in Store after 40 s".
std::string further(Told site, const Warning& warning, SpaceIndex first) {
  const std::string name = label(site, warning.space);
  const bool here = warning.space == first;
  const std::string when =
      warning.time ? moment_words(site, warning.case_index, *warning.time) : site.tell(P::in_steady_state);
  switch (subject_of(warning)) {
    case Subject::fuel: {
      const std::string level = level_words(site, warning.lfl_fraction);
      if (here) return site.tell(P::also_whole_space, {{"space", name}, {"level", level}});
      if (warning.severity != Severity::flammable) return site.tell(P::also_space, {{"space", name}, {"level", level}});
      return site.tell(P::also_space_flammable, {{"space", name}, {"level", level}, {"when", when}});
    }
    case Subject::toxic: {
      const std::string gas = gas_name(site, warning.toxic->gas);
      return here ? site.tell(P::also_toxic_here, {{"gas", gas}, {"when", when}})
                  : site.tell(P::also_toxic_in, {{"gas", gas}, {"space", name}, {"when", when}});
    }
    case Subject::oxygen: {
      const std::string share = percent_of_oxygen(site, warning.oxygen);
      return here ? site.tell(P::also_oxygen_here, {{"percent", share}})
                  : site.tell(P::also_oxygen_in, {{"percent", share}, {"space", name}});
    }
    case Subject::source:
      return site.tell(P::also_ignitable, {{"zone", zone_words(site, *warning.source->zone)}});
    case Subject::pressure:
      return site.tell(P::also_pressure, {{"space", name}});
    case Subject::storage:
      break;
  }
  return name;
}

/// `when` with what else the finding does.
std::string with_also(Told site, const Assessment& assessment, const Finding& finding, std::string when) {
  constexpr std::size_t most = 3;
  const Warning& first = assessment.warnings[finding.warnings.front()];
  std::vector<std::string> words;
  std::size_t more = 0;
  for (std::size_t k = 1; k < finding.warnings.size(); ++k) {
    const Warning& warning = assessment.warnings[finding.warnings[k]];
    if (warning.storage || (subject_of(warning) == Subject::source && !warning.source->zone)) continue;
    const bool said = first.source && warning.space == first.space && warning.severity == Severity::note;
    if (said) continue;
    if (words.size() < most) {
      words.push_back(further(site, warning, first.space));
    } else {
      ++more;
    }
  }
  if (words.empty()) return when;
  if (more > 0) words.push_back(site.tell(P::more, {{"n", std::to_string(more)}}));
  return site.tell(P::also, {{"when", when}, {"list", site.listed(words)}});
}

/// `where` with the cases of a finding.
std::string in_cases(Told site, const Assessment& assessment, const Finding& finding, const std::string& where) {
  const std::size_t computed = assessment.cases.size();
  if (finding.cases.size() == computed)
    return computed > 1 ? site.tell(P::where_every_case, {{"where", where}}) : where;
  const CaseIndex first = finding.cases.front();
  std::string out = where;
  if (first.value != 0) {
    const std::string name = label(site, first);
    out = name.starts_with("if ") ? site.tell(P::where_if, {{"where", where}, {"condition", name}})
                                  : site.tell(P::where_case, {{"where", where}, {"case", name}});
  }
  if (finding.cases.size() == 1) return out;
  return site.tell(P::where_of_cases,
                   {{"where", out}, {"n", std::to_string(finding.cases.size())}, {"all", std::to_string(computed)}});
}

/// What can be ignited close to a source.
std::string near_danger(Told site, const Warning& warning) {
  const SourceHazard hazard = warning.source->hazard;
  return site.tell(hazard == SourceHazard::pyrophoric   ? P::danger_pyrophoric
                   : hazard == SourceHazard::hot_liquid ? P::danger_vapour
                                                        : P::danger_near,
                   {{"source", label(site, warning.source->release)}, {"space", label(site, warning.space)}});
}

/// What can happen there, in the words of the verdict: "hydrogen can be ignited in Store".
std::string danger_words(Told site, const Warning& warning) {
  if (is_experiment(warning)) return experiment_danger(site, warning);
  const std::string space = label(site, warning.space);
  switch (warning.severity) {
    case Severity::flammable:
      return site.tell(P::danger_flammable, {{"gas", gas_words(site, warning)}, {"space", space}});
    case Severity::pressure:
      return site.tell(P::danger_burst, {{"space", space}});
    case Severity::rich:
      return site.tell(P::danger_rich, {{"gas", gas_words(site, warning)}, {"space", space}});
    case Severity::near_source:
      return near_danger(site, warning);
    case Severity::toxic:
      return site.tell(P::danger_toxic, {{"gas", gas_name(site, warning.toxic->gas)}, {"space", space}});
    case Severity::margin:
      return site.tell(P::danger_margin, {{"gas", gas_words(site, warning)},
                                          {"space", space},
                                          {"percent", percent_of_limit(site, warning.lfl_fraction)}});
    case Severity::oxygen:
      return site.tell(warning.oxygen < site->criteria.oxygen_low ? P::danger_oxygen_low : P::danger_oxygen_high,
                       {{"space", space}});
    case Severity::note:
      break;
  }
  return site.tell(P::danger_none, {{"space", space}});
}

}  // namespace

std::string moment_words(Told site, CaseIndex case_index, double time) {
  const Case& in = site->cases[case_index.value];
  if (!in.added_for) return after_words(site, time);
  const auto spans = emission(site->releases[in.added_for->value], *in.added_for, in.events);
  if (spans.empty() || time < spans.front().begin) return after_words(site, time);
  const double since = time - spans.front().begin;
  return since < 1.0 ? site.tell(P::as_soon_as_it_starts)
                     : site.tell(P::after_it_starts, {{"span", format_duration(since)}});
}

FindingWords finding_words(Told site, const Assessment& assessment, const Finding& finding) {
  const Warning& first = assessment.warnings[finding.warnings.front()];
  FindingWords out;
  out.severity = first.severity;
  out.where = in_cases(site, assessment, finding, label(site, first.space));
  if (first.source) {
    out.where = site.tell(P::where_source, {{"source", label(site, first.source->release)}, {"where", out.where}});
  }
  out.when = capital(with_also(site, assessment, finding, when_of(site, assessment, first)) + ".");
  out.act = brief_remedy(site, first);
  for (std::size_t k = 1; k < finding.warnings.size() && first.source; ++k) {
    const Warning& other = assessment.warnings[finding.warnings[k]];
    if (other.severity != Severity::margin || other.space != first.space) continue;
    out.act += brief_ways(site, other);
    break;
  }
  return out;
}

std::string verdict_sentence(Told site, const Assessment& assessment) {
  const std::size_t computed = assessment.cases.size();
  if (assessment.findings.empty()) return {};
  const Finding& worst = assessment.findings.front();
  const Warning& first = assessment.warnings[worst.warnings.front()];
  const std::string danger = danger_words(site, first);
  std::string out = in_cases(site, assessment, worst, danger);
  if (first.severity != Severity::note && first.severity != Severity::rich) {
    const bool plain = out == danger && !is_experiment(first);
    const std::string when =
        first.time ? moment_words(site, first.case_index, *first.time) : site.tell(P::in_steady_state);
    out = site.tell(plain ? P::verdict_when : P::verdict_when_apart, {{"danger", out}, {"when", when}});
  }
  out += ".";
  const std::size_t n = assessment.findings.size();
  if (n > 1 || computed > 1) {
    out = site.tell(P::verdict_findings, {{"verdict", out},
                                          {"findings", site.count(n, P::one_finding, P::findings)},
                                          {"cases", site.count(computed, P::one_case, P::cases)}});
  }
  return capital(out);
}

}  // namespace leanside::report
