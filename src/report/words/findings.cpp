// SPDX-License-Identifier: Apache-2.0
#include "report/words/findings.hpp"

#include <algorithm>
#include <cmath>
#include <set>

#include "base/text/lists.hpp"
#include "leanside/advanced/release.hpp"
#include "leanside/report.hpp"
#include "report/words/experiments.hpp"
#include "report/words/words.hpp"

namespace leanside::report {
namespace {

const SpaceResult* result_of(const Assessment& assessment, const Warning& warning) {
  for (const CaseResult& result : assessment.cases) {
    if (result.case_index == warning.case_index) return &result.spaces[warning.space.value];
  }
  return nullptr;
}

/// "9 %" of the only fuel that a space holds; empty where there are several.
std::string fuel_words(const Site& site, const Instant& at) {
  std::string out;
  for (std::size_t k = 0; k < at.fraction.size(); ++k) {
    if (!site.gases[k].limits || !(at.fraction[k] > 0.0)) continue;
    if (!out.empty()) return {};
    out = percent(at.fraction[k], 2) + " " + gas_name(site, GasIndex{k});
  }
  return out;
}

/// "31 % of the lower limit", "26 times the lower limit".
std::string level_words(const Site& site, double lfl_fraction) {
  constexpr double many = 10.0;
  return (lfl_fraction > many ? format_number(lfl_fraction, 2) + " times"
                              : percent_of_limit(lfl_fraction, site.criteria) + " of") +
         " the lower limit";
}

/// "at most 9 % hydrogen, 2.3 times the lower flammable limit".
std::string most_words(const Site& site, const Assessment& assessment, const Warning& warning) {
  const std::string level = level_words(site, warning.lfl_fraction);
  const SpaceResult* const result = result_of(assessment, warning);
  const std::string fuel =
      result == nullptr ? "" : fuel_words(site, warning.worst_is_steady ? result->steady.at : result->peak);
  std::string out = "at most " + (fuel.empty() ? level : fuel + ", " + level);
  if (warning.worst_is_steady) out += ", in steady state";
  if (warning.worst_state == MixtureState::rich) out += " (too rich to burn then; air that gets in makes it burn)";
  if (warning.worst_state == MixtureState::inerted) out += " (then without the oxygen to burn, until air gets in)";
  return out;
}

std::string start_of(const Site& site, const Warning& warning) {
  if (warning.time) return moment_words(site, warning.case_index, *warning.time);
  if (warning.later) return moment_words(site, warning.case_index, *warning.later) + " (beyond the given horizon)";
  return "in steady state, not within the first " + format_duration(site.criteria.horizon);
}

/// ", for 1 h 38 min in all"; empty where it lasts to the end of the computed time.
std::string span_of(const Site& site, const Warning& warning) {
  if (!warning.time || !(warning.flammable_time > 0.0)) return {};
  const double to_the_end = site.criteria.horizon - *warning.time;
  if (warning.flammable_time >= 0.99 * to_the_end) return " and from then on";
  return ", for " + format_duration(warning.flammable_time) + " in all";
}

std::string oxygen_when(const Site& site, const Warning& warning) {
  const bool low = warning.oxygen < site.criteria.oxygen_low;
  return start_of(site, warning) + ": oxygen " + (low ? "below " : "above ") +
         percent(low ? site.criteria.oxygen_low : site.criteria.oxygen_high) + ", " +
         percent_of_oxygen(warning.oxygen, site.criteria) + (low ? " at its lowest" : " at its highest");
}

std::string pressure_when(const Site& site, const Warning& warning) {
  const std::string passed =
      warning.rated_pressure
          ? "its rating of " + format_quantity(*warning.rated_pressure, "kPa", 3, site.conditions.units)
          : "10 % above the air (it has no rating; glass is not made for pressure)";
  return start_of(site, warning) + ": the pressure passes " + passed + " and reaches " +
         format_quantity(warning.pressure, "kPa", 3, site.conditions.units) + " absolute, " +
         format_number(warning.pressure / site.conditions.pressure, 2) + " times that of the air";
}

std::string source_when(const Site& site, const Assessment& assessment, const Warning& warning) {
  const NearSource& source = *warning.source;
  std::string out = start_of(site, warning);
  if (source.until && warning.time) out += ", for " + format_duration(*source.until - *warning.time);
  if (source.hazard == SourceHazard::pyrophoric) {
    out += ": the gas ignites by itself when it meets air, without any ignition source";
  } else if (source.hazard == SourceHazard::hot_liquid) {
    out +=
        ": the vapour at its surface can be ignited (liquid at " +
        format_quantity(source.temperature, "degC", 3, site.conditions.units) +
        (source.flash_point ? ", flash point " + format_quantity(*source.flash_point, "degC", 3, site.conditions.units)
                            : "") +
        ")";
    if (source.zone) out += ", " + zone_words(site, *source.zone);
  } else {
    out += ": gas can be ignited " + zone_words(site, *source.zone);
  }
  const SpaceResult* const result = result_of(assessment, warning);
  if (result != nullptr && warning.lfl_fraction > 0.0 && warning.lfl_fraction < site.criteria.warn_at) {
    out += ". The space as a whole stays at " + level_words(site, warning.lfl_fraction);
  }
  return out;
}

std::string toxic_when(const Site& site, const Warning& warning) {
  const ToxicGas& toxic = *warning.toxic;
  return start_of(site, warning) + ": " + gas_name(site, toxic.gas) + " above its IDLH of " +
         concentration_words(toxic.idlh) + ", at most " + concentration_words(toxic.worst);
}

std::string when_of(const Site& site, const Assessment& assessment, const Warning& warning) {
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
  std::string out = start_of(site, warning);
  if (warning.severity == Severity::flammable) out += span_of(site, warning);
  out += ": " + most_words(site, assessment, warning);
  if (warning.violent) out += ". More oxygen than air has: it burns violently and can detonate";
  if (warning.layer) out += ". The gas lies " + height_words(site, warning.space, *warning.layer);
  return out;
}

/// A further warning of a finding: "Corridor: 31 % of the limit after 2 h", "toxic in Store after 40 s".
std::string further(const Site& site, const Warning& warning, SpaceIndex first) {
  const std::string name = label(site, warning.space);
  const std::string when =
      warning.time ? " " + moment_words(site, warning.case_index, *warning.time) : " in steady state";
  switch (subject_of(warning)) {
    case Subject::fuel:
      if (warning.space == first) return "as a whole " + name + " reaches " + level_words(site, warning.lfl_fraction);
      return name + " (" + level_words(site, warning.lfl_fraction) +
             (warning.severity == Severity::flammable ? ", flammable" + when : "") + ")";
    case Subject::toxic:
      return gas_name(site, warning.toxic->gas) + " above its IDLH" + (warning.space == first ? "" : " in " + name) +
             when;
    case Subject::oxygen:
      return percent_of_oxygen(warning.oxygen, site.criteria) + " oxygen" +
             (warning.space == first ? "" : " in " + name);
    case Subject::source:
      return "ignitable " + zone_words(site, *warning.source->zone);
    case Subject::pressure:
      return "pressure in " + name;
    case Subject::storage:
      break;
  }
  return name;
}

std::string also_words(const Site& site, const Assessment& assessment, const Finding& finding) {
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
  if (words.empty()) return {};
  if (more > 0) words.push_back(std::to_string(more) + " more");
  return ". Also: " + listed(words);
}

std::string cases_words(const Site& site, const Assessment& assessment, const Finding& finding) {
  const std::size_t computed = assessment.cases.size();
  if (finding.cases.size() == computed) return computed > 1 ? ", in every case" : "";
  const CaseIndex first = finding.cases.front();
  std::string out;
  if (first.value != 0) {
    const std::string name = label(site, first);
    out = name.starts_with("if ") ? ", " + name : ", case \"" + name + "\"";
  }
  if (finding.cases.size() > 1) {
    out += " (" + std::to_string(finding.cases.size()) + " of " + std::to_string(computed) + " cases)";
  }
  return out;
}

/// What can happen there, in the words of the verdict: "hydrogen can be ignited in Store".
std::string danger_words(const Site& site, const Warning& warning) {
  if (is_experiment(warning)) return experiment_danger(site, warning);
  const std::string space = label(site, warning.space);
  switch (warning.severity) {
    case Severity::flammable:
      return gas_words(site, warning) + " can be ignited in " + space;
    case Severity::pressure:
      return space + " can burst";
    case Severity::rich:
      return gas_words(site, warning) + " in " + space +
             " is too rich to burn, and can be ignited as soon as air gets in";
    case Severity::near_source:
      if (warning.source->hazard == SourceHazard::pyrophoric) {
        return "gas from \"" + label(site, warning.source->release) + "\" ignites by itself in " + space;
      }
      return (warning.source->hazard == SourceHazard::hot_liquid ? "vapour of \"" : "gas from \"") +
             label(site, warning.source->release) + "\" can be ignited close to it in " + space;
    case Severity::toxic:
      return gas_name(site, warning.toxic->gas) + " endangers life in " + space;
    case Severity::margin:
      return gas_words(site, warning) + " passes the margin in " + space + " (" +
             percent_of_limit(warning.lfl_fraction, site.criteria) + " of the lower limit)";
    case Severity::oxygen:
      return warning.oxygen < site.criteria.oxygen_low ? "there is too little oxygen to breathe in " + space
                                                       : "there is too much oxygen in " + space;
    case Severity::note:
      break;
  }
  return "nothing passes a margin; the highest is " + space;
}

}  // namespace

std::string moment_words(const Site& site, CaseIndex case_index, double time) {
  const Case& in = site.cases[case_index.value];
  if (!in.added_for) return after_words(time);
  const auto spans = emission(site.releases[in.added_for->value], *in.added_for, in.events);
  if (spans.empty() || time < spans.front().begin) return after_words(time);
  const double since = time - spans.front().begin;
  return since < 1.0 ? "as soon as it starts" : format_duration(since) + " after it starts";
}

FindingWords finding_words(const Site& site, const Assessment& assessment, const Finding& finding) {
  const Warning& first = assessment.warnings[finding.warnings.front()];
  FindingWords out;
  out.severity = first.severity;
  out.where = label(site, first.space) + cases_words(site, assessment, finding);
  if (first.source) out.where = "\"" + label(site, first.source->release) + "\" in " + out.where;
  out.when = capital(when_of(site, assessment, first) + also_words(site, assessment, finding) + ".");
  out.act = brief_remedy(site, first);
  for (std::size_t k = 1; k < finding.warnings.size() && first.source; ++k) {
    const Warning& other = assessment.warnings[finding.warnings[k]];
    if (other.severity != Severity::margin || other.space != first.space) continue;
    out.act += brief_ways(site, other);
    break;
  }
  return out;
}

std::string verdict_sentence(const Site& site, const Assessment& assessment) {
  const std::size_t computed = assessment.cases.size();
  if (assessment.findings.empty()) return {};
  const Finding& worst = assessment.findings.front();
  const Warning& first = assessment.warnings[worst.warnings.front()];
  const std::string cases = cases_words(site, assessment, worst);
  std::string out = danger_words(site, first) + cases;
  if (first.severity != Severity::note && first.severity != Severity::rich) {
    out += (cases.empty() && !is_experiment(first) ? " " : ", ") +
           (first.time ? moment_words(site, first.case_index, *first.time) : std::string{"in steady state"});
  }
  out += ".";
  const std::size_t n = assessment.findings.size();
  if (n > 1 || computed > 1) out += " " + count_of(n, "finding") + " in " + count_of(computed, "case") + ".";
  return capital(out);
}

}  // namespace leanside::report
