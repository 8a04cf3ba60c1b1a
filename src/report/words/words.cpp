// SPDX-License-Identifier: Apache-2.0
#include "report/words/words.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include "base/text/lists.hpp"
#include "leanside/report.hpp"
#include "report/words/experiments.hpp"
#include "report/words/storage.hpp"

namespace leanside {
namespace report {
namespace {

std::string quoted(const std::string& text) { return "\"" + text + "\""; }

std::string named(const std::string& id, const std::string& name) { return plain_text(name.empty() ? id : name); }

bool burns(const Site& site, const std::vector<GasShare>& shares) {
  return std::any_of(shares.begin(), shares.end(),
                     [&](const GasShare& s) { return site.gases[s.gas.value].limits.has_value() && s.fraction > 0.0; });
}

/// Names of the gases of a filling that matter for a fire.
std::vector<std::string> fuels_of(const Site& site, const std::vector<GasShare>& shares) {
  std::vector<std::string> out;
  for (const GasShare& share : shares) {
    const Gas& gas = site.gases[share.gas.value];
    if (gas.limits && share.fraction > 0.0) out.push_back(spoken(gas.substance.id));
  }
  return out;
}

std::string share_words(double share) { return percent(share, 2); }

/// Who is to blame: "all of it comes from ...", "83 % of it comes from ... and 17 % from ...".
std::string blame_words(const Site& site, const Warning& warning, const std::string& it) {
  const auto& causes = warning.causes;
  if (causes.empty() || !(causes.front().share > 0.0)) return {};
  constexpr double all = 0.9995;
  constexpr double nearly_all = 0.995;
  const std::string first = source_words(site, causes.front());
  if (causes.front().share >= all) return "; all of " + it + " comes from " + first;
  if (causes.front().share >= nearly_all || causes.size() == 1) {
    return "; nearly all of " + it + " comes from " + first;
  }
  std::string out = "; " + share_words(causes.front().share) + " of " + it + " comes from " + first;
  if (causes.front().share + causes[1].share >= nearly_all) {
    return out + " and " + share_words(causes[1].share) + " from " + source_words(site, causes[1]);
  }
  const std::size_t others = causes.size() - 1;
  return out + ", the rest from " + std::to_string(others) + (others == 1 ? " other source" : " other sources");
}

std::string horizon_words(const Site& site) { return "the first " + format_duration(site.criteria.horizon); }

std::string level_words(const Site& site, const Warning& warning) {
  return limit_words(warning.lfl_fraction, site.criteria);
}

/// Added to the level where the worst is only reached in steady state, although the threshold is passed before.
std::string steady_words(const Warning& warning) { return warning.worst_is_steady ? " in steady state" : ""; }

/// When it gets there after the horizon that the file gives.
std::string later_words(const Warning& warning) {
  return warning.later ? " (after " + format_duration(*warning.later) + ")" : "";
}

/// For what is only true of the steady state: ", though not within the first 8 h".
std::string not_before(const Site& site) { return ", though not within " + horizon_words(site); }

std::string flammable_words(const Site& site, const Warning& warning) {
  const std::string gas = gas_words(site, warning);
  if (!warning.time) {
    return gas + " can be ignited here in steady state" + later_words(warning) + not_before(site) + ", at " +
           level_words(site, warning);
  }
  std::string out = gas + " can be ignited here " + after_words(*warning.time);
  if (warning.worst_state == MixtureState::rich) {
    if (warning.flammable_time > 0.0) out += ", for " + format_duration(warning.flammable_time) + " in all";
    if (warning.stoichiometric && *warning.stoichiometric > 0.0) {
      out += ", most violently around " + format_duration(*warning.stoichiometric);
    }
    return out;
  }
  if (warning.worst_state == MixtureState::inerted) return out;
  return out + " and reaches " + level_words(site, warning) + steady_words(warning);
}

/// What is worth knowing of a mixture that can be ignited beyond its level, as further sentences.
std::string beyond_flammable(const Site& site, const Warning& warning) {
  std::string out;
  if (warning.violent) {
    out += std::string{". It contains more oxygen than air does"} +
           (warning.near_stoichiometric ? ", just enough to burn all of it (near stoichiometric)" : "") +
           ", so it burns far more violently than in air and can detonate";
  }
  const std::string level = level_words(site, warning) + steady_words(warning);
  if (warning.worst_state == MixtureState::rich) {
    out += ". At its worst (" + level + ") it is too rich to burn, but not safe: when air gets in, it can be ignited";
  }
  if (warning.worst_state == MixtureState::inerted) {
    out += ". At its worst (" + level +
           ") only the lack of oxygen keeps it from burning: when air gets in, it can be ignited";
  }
  return out;
}

std::string rich_words(const Site& site, const Warning& warning) {
  const std::string gas = gas_words(site, warning);
  const std::string when = warning.time ? after_words(*warning.time) : "in steady state";
  if (warning.worst_state == MixtureState::inerted) {
    return gas + " is above its lower flammable limit " + when + " (" + level_words(site, warning) +
           "), and only the lack of oxygen keeps it from burning";
  }
  return gas + " is too rich to burn " + when + " (" + level_words(site, warning) + ")";
}

std::string margin_words(const Site& site, const Warning& warning) {
  const std::string gas = gas_words(site, warning);
  const std::string margin = "the margin of " + percent(site.criteria.warn_at);
  const std::string level = level_words(site, warning);
  if (!warning.time) {
    return gas + " reaches " + level + " in steady state, above " + margin + later_words(warning) + not_before(site);
  }
  return gas + (*warning.time > 0.0 ? " passes " : " is above ") + margin + " " + after_words(*warning.time) +
         " and reaches " + level + steady_words(warning);
}

std::string oxygen_words(const Site& site, const Warning& warning) {
  const bool low = warning.oxygen < site.criteria.oxygen_low;
  const bool at_once = warning.time && !(*warning.time > 0.0);
  const std::string limit = "the limit of " + percent(low ? site.criteria.oxygen_low : site.criteria.oxygen_high);
  std::string out = "oxygen ";
  if (at_once) {
    out += std::string{low ? "is below " : "is above "} + limit + " from the start, ";
  } else {
    out += std::string{low ? "falls below " : "rises above "} + limit + " " +
           (warning.time ? after_words(*warning.time) + ", to " : "in steady state" + not_before(site) + ", to ");
  }
  out += percent_of_oxygen(warning.oxygen, site.criteria) + (low ? " at its lowest" : " at its highest");
  if (warning.time) out += steady_words(warning);
  return out + (low ? ": too little to breathe safely" : ": things catch fire more easily and burn more fiercely");
}

std::string pressure_words(const Site& site, const Warning& warning) {
  const double factor = warning.pressure / site.conditions.pressure;
  const std::string level = format_number(factor, 3) + " times the pressure outside (" +
                            format_quantity(warning.pressure, "kPa", 3, site.conditions.units) + " absolute)";
  std::string out = "nothing can leave this sealed vessel: its pressure ";
  if (warning.time) out += "rises by 10 % " + after_words(*warning.time) + (warning.pressure_twice ? ", " : " and ");
  if (warning.pressure_twice) out += "doubles " + after_words(*warning.pressure_twice) + " and ";
  return out + "reaches " + level;
}

std::string note_words(const Site& site, const Warning& warning) {
  const std::string gas = gas_words(site, warning);
  const std::string level = level_words(site, warning);
  const std::string margin = ", below the margin of " + percent(site.criteria.warn_at);
  if (!warning.time) return gas + " reaches " + level + " in steady state" + margin;
  return gas + (*warning.time > 0.0 ? " passes " : " is above ") + percent(site.criteria.note_at) + " " +
         after_words(*warning.time) + " and reaches " + level + steady_words(warning) + margin;
}

/// What happens and from what, whatever the kind of warning.
std::string gas_and_blame_words(const Site& site, const Warning& warning) {
  switch (warning.severity) {
    case Severity::flammable:
      return flammable_words(site, warning) + blame_words(site, warning, "it") + beyond_flammable(site, warning);
    case Severity::rich:
      return rich_words(site, warning) + blame_words(site, warning, "it") +
             ". That is not safe: when air gets in, it can be ignited";
    case Severity::margin:
      return margin_words(site, warning) + blame_words(site, warning, "it");
    case Severity::oxygen:
      return oxygen_words(site, warning) + blame_words(site, warning, "the change");
    case Severity::pressure:
      return pressure_words(site, warning) + blame_words(site, warning, "the gain");
    case Severity::near_source:
      return near_source_words(site, warning);
    case Severity::toxic:
      return toxic_words(site, warning) + blame_words(site, warning, "it");
    case Severity::note:
      return warning.remedy.kind == RemedyKind::air_before_opening
                 ? cabinet_air_words(site, warning) + blame_words(site, warning, "the change")
                 : note_words(site, warning) + blame_words(site, warning, "it");
  }
  return {};
}

}  // namespace

std::string label(const Site& site, SpaceIndex space) {
  return named(site.spaces[space.value].id, site.spaces[space.value].name);
}

std::string label(const Site& site, CaseIndex case_index) {
  return named(site.cases[case_index.value].id, site.cases[case_index.value].name);
}

std::string label(const Site& site, ReleaseIndex release) {
  return named(site.releases[release.value].id, site.releases[release.value].name);
}

std::string label(const Site& site, SystemIndex system) {
  return named(site.systems[system.value].id, site.systems[system.value].name);
}

std::string label(const Site& site, Side side) { return side ? label(site, *side) : "outside"; }

std::string after_words(double time) {
  constexpr double at_once = 1.0;  // s
  if (!(time > 0.0)) return "from the start";
  return time < at_once ? "immediately" : "after " + format_duration(time);
}

std::string capital(std::string text) {
  if (!text.empty() && text.front() >= 'a' && text.front() <= 'z') text.front() = static_cast<char>(text.front() - 32);
  return text;
}

std::string spoken(const std::string& id) {
  std::string out = plain_text(id);
  if (out == "lpg") return "LPG";  // an abbreviation
  const auto is_word = [&](std::size_t from, std::size_t to) {
    constexpr std::size_t least = 3;  // letters: shorter parts are prefixes of chemistry, as in "n-butane"
    return to - from >= least &&
           std::all_of(out.begin() + static_cast<std::ptrdiff_t>(from), out.begin() + static_cast<std::ptrdiff_t>(to),
                       [](char c) { return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z'); });
  };
  std::size_t from = 0;
  for (std::size_t at = out.find('-'); at != std::string::npos; at = out.find('-', at + 1)) {
    const std::size_t end = std::min(out.find('-', at + 1), out.size());
    if (is_word(from, at) && is_word(at + 1, end)) out[at] = ' ';
    from = at + 1;
  }
  return out;
}

std::string gas_name(const Site& site, GasIndex gas) { return spoken(site.gases[gas.value].substance.id); }

std::string source_words(const Site& site, const Cause& cause) {
  if (cause.release) {
    const Release& release = site.releases[cause.release->value];
    std::string size = plain_text(release.gas.name);
    if (!release.as_written.empty()) size += (size.empty() ? "" : ", ") + plain_text(release.as_written);
    return quoted(label(site, *cause.release)) + (size.empty() ? "" : " (" + size + ")");
  }
  if (cause.initial_of) return "what " + quoted(label(site, *cause.initial_of)) + " held at the start";
  return "an unknown source";
}

std::string gas_words(const Site& site, const Warning& warning) {
  std::vector<std::string> names;
  const auto add = [&](const std::string& name) {
    if (!name.empty() && std::find(names.begin(), names.end(), name) == names.end()) names.push_back(name);
  };
  constexpr double too_little_to_name = 0.01;
  for (const Cause& cause : warning.causes) {
    if (cause.share < too_little_to_name) continue;
    if (cause.release) {
      const Composition& gas = site.releases[cause.release->value].gas;
      if (burns(site, gas.shares)) add(spoken(gas.name));
    } else if (cause.initial_of) {
      for (const std::string& name : fuels_of(site, site.spaces[cause.initial_of->value].initial)) add(name);
    }
  }
  constexpr std::size_t most_names = 3;
  if (names.empty() || names.size() > most_names) return "flammable gas";
  return names.size() == 1 ? names.front() : "a mixture of " + listed(names);
}

std::string where_words(const Site& site, const Warning& warning) {
  const std::string space = label(site, warning.space);
  return warning.case_index.value == 0 ? space : space + ", in the case " + quoted(label(site, warning.case_index));
}

std::string what_words(const Site& site, const Warning& warning) {
  if (warning.storage) return storage_words(site, *warning.storage);
  if (is_experiment(warning)) {
    const bool pressure = warning.severity == Severity::pressure;
    return experiment_when(site, warning) + blame_words(site, warning, pressure ? "the gain" : "it");
  }
  return gas_and_blame_words(site, warning) +
         (warning.layer ? ". The layer reaches " + height_words(site, warning.space, *warning.layer) : "");
}

Site with_computed_time(const Site& site, const Assessment& assessment) {
  Site timed = site;
  if (assessment.horizon > 0.0) timed.criteria.horizon = assessment.horizon;
  return timed;
}

bool without_transient(const Site& site, const Assessment& assessment) {
  if (!(site.criteria.horizon > 0.0)) return true;
  for (const CaseResult& result : assessment.cases) {
    for (const SpaceResult& space : result.spaces) {
      if (space.end.time > 0.0) return false;
    }
  }
  return true;
}

}  // namespace report

std::string summary_sentence(const Site& site, const Warning& warning) {
  return report::where_words(site, warning) + ": " + report::what_words(site, warning) + ".";
}

}  // namespace leanside
