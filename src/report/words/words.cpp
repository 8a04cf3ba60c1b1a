// SPDX-License-Identifier: Apache-2.0
#include "report/words/words.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include "base/text/lists.hpp"
#include "leanside/report.hpp"
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
    if (gas.limits && share.fraction > 0.0) out.push_back(plain_text(gas.substance.id));
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

std::string after(double time) { return time > 0.0 ? "after " + format_duration(time) : "from the start"; }

std::string horizon_words(const Site& site) { return "the first " + format_duration(site.criteria.horizon); }

std::string level_words(const Site& site, const Warning& warning) {
  return percent_of_limit(warning.lfl_fraction, site.criteria) + " of the lower flammable limit";
}

/// Added to the level where the worst is only reached in the long run, although the threshold is passed before.
std::string long_run_words(const Warning& warning) { return warning.worst_is_sustained ? " in the long run" : ""; }

/// When it gets there after the horizon that the file gives.
std::string later_words(const Warning& warning) {
  return warning.later ? " (after " + format_duration(*warning.later) + ")" : "";
}

std::string flammable_words(const Site& site, const Warning& warning) {
  const std::string gas = gas_words(site, warning);
  std::string out = warning.time ? gas + " can be ignited here " + after(*warning.time)
                                 : gas + " can be ignited here in the long run" + later_words(warning) +
                                       ", though not within " + horizon_words(site);
  if (warning.violent) {
    out += std::string{", and burns far more violently than in air: it holds more oxygen than air does"} +
           (warning.near_stoichiometric ? ", just the oxygen that burns all of it (near stoichiometric)," : ",") +
           " and can detonate";
  }
  const std::string level = level_words(site, warning);
  if (warning.time && warning.worst_state == MixtureState::rich && warning.flammable_time > 0.0) {
    out += ", for " + format_duration(warning.flammable_time) + " in all";
    if (warning.stoichiometric && *warning.stoichiometric > 0.0) {
      out += ", most violently around " + format_duration(*warning.stoichiometric);
    }
  }
  if (warning.worst_state == MixtureState::rich) {
    return out + "; at its worst" + long_run_words(warning) + ", " + level +
           ", it is too rich to burn, which is no safety: on the way there, or when air gets in, it passes the range "
           "that burns";
  }
  if (warning.worst_state == MixtureState::inerted) {
    return out + "; at its worst" + long_run_words(warning) + ", " + level +
           ", only too little oxygen keeps it from burning";
  }
  return out + (warning.time ? " and reaches " + level + long_run_words(warning) : ", at " + level);
}

std::string rich_words(const Site& site, const Warning& warning) {
  const std::string gas = gas_words(site, warning);
  const std::string when = warning.time ? after(*warning.time) : "in the long run";
  if (warning.worst_state == MixtureState::inerted) {
    return gas + " is over its lower flammable limit " + when + " (" + level_words(site, warning) +
           ") and only too little oxygen keeps it from burning: it can be ignited once air gets in";
  }
  return gas + " is too rich to burn " + when + " (" + level_words(site, warning) +
         "), which is no safety: it can be ignited once air gets in";
}

std::string margin_words(const Site& site, const Warning& warning) {
  const std::string gas = gas_words(site, warning);
  const std::string margin = "the margin of " + percent(site.criteria.warn_at);
  const std::string level = level_words(site, warning);
  if (!warning.time) {
    return gas + " reaches " + level + " in the long run, over " + margin + later_words(warning) +
           ", though not within " + horizon_words(site);
  }
  return gas + (*warning.time > 0.0 ? " passes " : " is over ") + margin + " " + after(*warning.time) +
         " and reaches " + level + long_run_words(warning);
}

std::string oxygen_words(const Site& site, const Warning& warning) {
  const bool low = warning.oxygen < site.criteria.oxygen_low;
  const bool at_once = warning.time && !(*warning.time > 0.0);
  const std::string limit = "the limit of " + percent(low ? site.criteria.oxygen_low : site.criteria.oxygen_high);
  std::string out = "oxygen ";
  if (!warning.time) {
    out += std::string{low ? "falls under " : "rises over "} + limit + " in the long run, though not within " +
           horizon_words(site);
  } else if (at_once) {
    out += std::string{low ? "is under " : "is over "} + limit + " from the start";
  } else {
    out += std::string{low ? "falls under " : "rises over "} + limit + " " + after(*warning.time);
  }
  out += std::string{at_once ? ", " : ", to "} + percent_of_oxygen(warning.oxygen, site.criteria) +
         (low ? " at its lowest" : " at its highest");
  if (warning.time && warning.worst_is_sustained) out += " in the long run";
  return out + (low ? ": too little to breathe safely" : ": things catch fire and burn more fiercely");
}

std::string pressure_words(const Site& site, const Warning& warning) {
  const double factor = warning.pressure / site.conditions.pressure;
  const std::string level = format_number(factor, 3) + " times the pressure outside (" +
                            format_quantity(warning.pressure, "kPa", 3) + " absolute)";
  std::string out = "nothing can leave this tight vessel, and its pressure ";
  if (warning.time) out += "has gained 10 % " + after(*warning.time) + (warning.pressure_twice ? ", " : " and ");
  if (warning.pressure_twice) out += "doubled " + after(*warning.pressure_twice) + " and ";
  return out + "rises to " + level;
}

std::string note_words(const Site& site, const Warning& warning) {
  const std::string gas = gas_words(site, warning);
  const std::string level = level_words(site, warning);
  const std::string margin = ", under the margin of " + percent(site.criteria.warn_at);
  if (!warning.time) return gas + " reaches " + level + " in the long run" + margin;
  return gas + (*warning.time > 0.0 ? " passes " : " is over ") + percent(site.criteria.note_at) + " " +
         after(*warning.time) + " and reaches " + level + long_run_words(warning) + margin;
}

/// What happens and from what, whatever the kind of warning.
std::string gas_and_blame_words(const Site& site, const Warning& warning) {
  switch (warning.severity) {
    case Severity::flammable:
      return flammable_words(site, warning) + blame_words(site, warning, "it");
    case Severity::rich:
      return rich_words(site, warning) + blame_words(site, warning, "it");
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

std::string label(const Site& site, CaseIndex which) {
  return named(site.cases[which.value].id, site.cases[which.value].name);
}

std::string label(const Site& site, ReleaseIndex release) {
  return named(site.releases[release.value].id, site.releases[release.value].name);
}

std::string label(const Site& site, Side side) { return side ? label(site, *side) : "outside"; }

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
      if (burns(site, gas.shares)) add(plain_text(gas.name));
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
  return warning.which.value == 0 ? space : space + ", in the case " + quoted(label(site, warning.which));
}

std::string what_words(const Site& site, const Warning& warning) {
  if (warning.storage) return storage_words(site, *warning.storage);
  return gas_and_blame_words(site, warning) +
         (warning.layer ? "; it is there " + height_words(site, warning.space, *warning.layer) : "");
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
