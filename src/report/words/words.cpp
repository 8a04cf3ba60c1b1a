// SPDX-License-Identifier: Apache-2.0
#include "report/words/words.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include "leanside/report.hpp"
#include "report/words/experiments.hpp"
#include "report/words/storage.hpp"

namespace leanside {
namespace report {
namespace {

using P = Phrase;

std::string quoted(const std::string& text) { return "\"" + text + "\""; }

std::string named(const std::string& id, const std::string& name) { return plain_text(name.empty() ? id : name); }

bool burns(Told site, const std::vector<GasShare>& shares) {
  return std::any_of(shares.begin(), shares.end(), [&](const GasShare& s) {
    return site->gases[s.gas.value].limits.has_value() && s.fraction > 0.0;
  });
}

/// Names of the gases of a filling that matter for a fire.
std::vector<std::string> fuels_of(Told site, const std::vector<GasShare>& shares) {
  std::vector<std::string> out;
  for (const GasShare& share : shares) {
    const Gas& gas = site->gases[share.gas.value];
    if (gas.limits && share.fraction > 0.0) out.push_back(spoken(gas.substance.id));
  }
  return out;
}

std::string share_words(double share) { return percent(share, 2); }

/// What the causes of a warning bring.
enum class Blamed { gas, change, gain };

/// The templates of one of them, the shares in falling order.
struct BlamePhrases {
  Phrase all, nearly_all, two, one_more, more;
};
BlamePhrases phrases_of(Blamed what) {
  switch (what) {
    case Blamed::gas:
      break;
    case Blamed::change:
      return {P::blame_change_all, P::blame_change_nearly_all, P::blame_change_two, P::blame_change_one_more,
              P::blame_change_more};
    case Blamed::gain:
      return {P::blame_gain_all, P::blame_gain_nearly_all, P::blame_gain_two, P::blame_gain_one_more,
              P::blame_gain_more};
  }
  return {P::blame_all, P::blame_nearly_all, P::blame_two, P::blame_one_more, P::blame_more};
}

/// `what` with who is to blame: "all of it comes from ...", "83 % of it comes from ... and 17 % from ...".
std::string with_blame(Told site, const Warning& warning, Blamed blamed, const std::string& what) {
  const auto& causes = warning.causes;
  if (causes.empty() || !(causes.front().share > 0.0)) return what;
  constexpr double all = 0.9995;
  constexpr double nearly_all = 0.995;
  const BlamePhrases phrases = phrases_of(blamed);
  const std::string first = source_words(site, causes.front());
  if (causes.front().share >= all) return site.tell(phrases.all, {{"what", what}, {"source", first}});
  if (causes.front().share >= nearly_all || causes.size() == 1) {
    return site.tell(phrases.nearly_all, {{"what", what}, {"source", first}});
  }
  const std::string share = share_words(causes.front().share);
  if (causes.front().share + causes[1].share >= nearly_all) {
    return site.tell(phrases.two, {{"what", what},
                                   {"share", share},
                                   {"source", first},
                                   {"other_share", share_words(causes[1].share)},
                                   {"other", source_words(site, causes[1])}});
  }
  const std::size_t others = causes.size() - 1;
  if (others == 1) return site.tell(phrases.one_more, {{"what", what}, {"share", share}, {"source", first}});
  return site.tell(phrases.more, {{"what", what}, {"share", share}, {"source", first}, {"n", std::to_string(others)}});
}

/// The level, and that it is only reached in steady state where the threshold is passed before.
std::string level_words(Told site, const Warning& warning) {
  std::string level = limit_words(site, warning.lfl_fraction);
  return warning.worst_is_steady ? site.tell(P::level_steady, {{"level", level}}) : level;
}

/// For what is only true of the steady state: "..., though not within the first 8 h".
std::string not_before(Told site, const std::string& steady) {
  return site.tell(P::steady_not_before, {{"steady", steady}, {"horizon", format_duration(site->criteria.horizon)}});
}

std::string flammable_words(Told site, const Warning& warning) {
  const std::string gas = gas_words(site, warning);
  if (!warning.time) {
    const std::string level = limit_words(site, warning.lfl_fraction);
    return site.tell(P::ignited_steady, {{"gas", gas}, {"when", when_words(site, warning)}, {"level", level}});
  }
  const std::string when = after_words(site, *warning.time);
  if (warning.worst_state == MixtureState::rich) {
    std::string out = site.tell(P::ignited, {{"gas", gas}, {"when", when}});
    if (warning.flammable_time > 0.0) {
      out = site.tell(P::ignited_for, {{"ignited", out}, {"span", format_duration(warning.flammable_time)}});
    }
    if (warning.stoichiometric && *warning.stoichiometric > 0.0) {
      const std::string time = format_duration(*warning.stoichiometric);
      out = site.tell(P::ignited_most_violently, {{"ignited", out}, {"time", time}});
    }
    return out;
  }
  if (warning.worst_state == MixtureState::inerted) return site.tell(P::ignited, {{"gas", gas}, {"when", when}});
  return site.tell(P::ignited_and_reaches, {{"gas", gas}, {"when", when}, {"level", level_words(site, warning)}});
}

/// `what` with what is worth knowing of a mixture that can be ignited beyond its level, as further sentences.
std::string beyond_flammable(Told site, const Warning& warning, std::string what) {
  if (warning.violent) {
    what = site.tell(warning.near_stoichiometric ? P::more_oxygen_stoichiometric : P::more_oxygen_than_air,
                     {{"what", what}});
  }
  const std::string level = level_words(site, warning);
  if (warning.worst_state == MixtureState::rich) {
    what = site.tell(P::worst_too_rich, {{"what", what}, {"level", level}});
  }
  if (warning.worst_state == MixtureState::inerted) {
    what = site.tell(P::worst_inerted, {{"what", what}, {"level", level}});
  }
  return what;
}

std::string rich_words(Told site, const Warning& warning) {
  const std::string when = warning.time ? after_words(site, *warning.time) : site.tell(P::in_steady_state);
  return site.tell(
      warning.worst_state == MixtureState::inerted ? P::inerted : P::too_rich,
      {{"gas", gas_words(site, warning)}, {"when", when}, {"level", limit_words(site, warning.lfl_fraction)}});
}

std::string margin_words(Told site, const Warning& warning) {
  const std::string gas = gas_words(site, warning);
  const std::string margin = the_margin(site);
  if (!warning.time) {
    const std::string level = limit_words(site, warning.lfl_fraction);
    if (!warning.later) {
      return not_before(site, site.tell(P::margin_steady, {{"gas", gas}, {"level", level}, {"margin", margin}}));
    }
    return not_before(
        site,
        site.tell(P::margin_steady_after,
                  {{"gas", gas}, {"level", level}, {"margin", margin}, {"later", format_duration(*warning.later)}}));
  }
  return site.tell(*warning.time > 0.0 ? P::passes_and_reaches : P::above_and_reaches,
                   {{"gas", gas},
                    {"margin", margin},
                    {"when", after_words(site, *warning.time)},
                    {"level", level_words(site, warning)}});
}

std::string oxygen_words(Told site, const Warning& warning) {
  const bool low = warning.oxygen < site->criteria.oxygen_low;
  const bool at_once = warning.time && !(*warning.time > 0.0);
  const std::string limit = percent(low ? site->criteria.oxygen_low : site->criteria.oxygen_high);
  std::string lowest =
      site.tell(low ? P::at_its_lowest : P::at_its_highest, {{"oxygen", percent_of_oxygen(site, warning.oxygen)}});
  if (warning.time && warning.worst_is_steady) lowest = site.tell(P::level_steady, {{"level", lowest}});
  if (at_once) {
    return site.tell(low ? P::oxygen_below_at_once : P::oxygen_above_at_once, {{"limit", limit}, {"lowest", lowest}});
  }
  const std::string when =
      warning.time ? after_words(site, *warning.time) : not_before(site, site.tell(P::in_steady_state));
  return site.tell(low ? P::oxygen_falls : P::oxygen_rises, {{"limit", limit}, {"when", when}, {"lowest", lowest}});
}

std::string pressure_words(Told site, const Warning& warning) {
  const double factor = warning.pressure / site->conditions.pressure;
  const std::string level =
      site.tell(P::sealed_level, {{"times", format_number(factor, 3)},
                                  {"pressure", format_quantity(warning.pressure, "kPa", 3, site->conditions.units)}});
  const std::string when = warning.time ? after_words(site, *warning.time) : std::string{};
  const std::string twice = warning.pressure_twice ? after_words(site, *warning.pressure_twice) : std::string{};
  if (warning.time && warning.pressure_twice) {
    return site.tell(P::sealed_rises_and_doubles, {{"when", when}, {"twice", twice}, {"level", level}});
  }
  if (warning.time) return site.tell(P::sealed_rises, {{"when", when}, {"level", level}});
  if (warning.pressure_twice) return site.tell(P::sealed_doubles, {{"twice", twice}, {"level", level}});
  return site.tell(P::sealed_reaches, {{"level", level}});
}

std::string note_words(Told site, const Warning& warning) {
  const std::string gas = gas_words(site, warning);
  const std::string margin = the_margin(site);
  if (!warning.time) {
    const std::string level = limit_words(site, warning.lfl_fraction);
    return site.tell(P::note_steady, {{"gas", gas}, {"level", level}, {"margin", margin}});
  }
  return site.tell(*warning.time > 0.0 ? P::note_passes : P::note_is_above, {{"gas", gas},
                                                                             {"note", percent(site->criteria.note_at)},
                                                                             {"when", after_words(site, *warning.time)},
                                                                             {"level", level_words(site, warning)},
                                                                             {"margin", margin}});
}

/// What happens and from what, whatever the kind of warning.
std::string gas_and_blame_words(Told site, const Warning& warning) {
  const auto blamed = [&](Blamed blame, const std::string& what) { return with_blame(site, warning, blame, what); };
  switch (warning.severity) {
    case Severity::flammable:
      return beyond_flammable(site, warning, blamed(Blamed::gas, flammable_words(site, warning)));
    case Severity::rich:
      return site.tell(P::not_safe, {{"what", blamed(Blamed::gas, rich_words(site, warning))}});
    case Severity::margin:
      return blamed(Blamed::gas, margin_words(site, warning));
    case Severity::oxygen:
      return blamed(Blamed::change, oxygen_words(site, warning));
    case Severity::pressure:
      return blamed(Blamed::gain, pressure_words(site, warning));
    case Severity::near_source:
      return near_source_words(site, warning);
    case Severity::toxic:
      return blamed(Blamed::gas, toxic_words(site, warning));
    case Severity::note:
      return warning.remedy.kind == RemedyKind::air_before_opening
                 ? blamed(Blamed::change, cabinet_air_words(site, warning))
                 : blamed(Blamed::gas, note_words(site, warning));
  }
  return {};
}

}  // namespace

std::string when_words(Told site, const Warning& warning) {
  if (warning.time) return after_words(site, *warning.time);
  const std::string steady = warning.later ? site.tell(P::steady_after, {{"later", format_duration(*warning.later)}})
                                           : site.tell(P::in_steady_state);
  return not_before(site, steady);
}

std::string the_margin(Told site) { return site.tell(P::the_margin, {{"percent", percent(site->criteria.warn_at)}}); }

std::string label(Told site, SpaceIndex space) {
  return named(site->spaces[space.value].id, site->spaces[space.value].name);
}

std::string label(Told site, CaseIndex case_index) {
  return named(site->cases[case_index.value].id, site->cases[case_index.value].name);
}

std::string label(Told site, ReleaseIndex release) {
  return named(site->releases[release.value].id, site->releases[release.value].name);
}

std::string label(Told site, SystemIndex system) {
  return named(site->systems[system.value].id, site->systems[system.value].name);
}

std::string label(Told site, Side side) { return side ? label(site, *side) : site.tell(P::outside); }

std::string after_words(Told site, double time) {
  constexpr double at_once = 1.0;  // s
  if (!(time > 0.0)) return site.tell(P::from_the_start);
  return time < at_once ? site.tell(P::immediately) : site.tell(P::after, {{"span", format_duration(time)}});
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

std::string gas_name(Told site, GasIndex gas) { return spoken(site->gases[gas.value].substance.id); }

std::string source_words(Told site, const Cause& cause) {
  if (cause.release) {
    const Release& release = site->releases[cause.release->value];
    std::string size = spoken(release.gas.name);
    if (!release.as_written.empty()) size += (size.empty() ? "" : ", ") + plain_text(release.as_written);
    return quoted(label(site, *cause.release)) + (size.empty() ? "" : " (" + size + ")");
  }
  if (cause.initial_of) return site.tell(P::source_held, {{"space", label(site, *cause.initial_of)}});
  return site.tell(P::source_unknown);
}

std::string gas_words(Told site, const Warning& warning) {
  std::vector<std::string> names;
  const auto add = [&](const std::string& name) {
    if (!name.empty() && std::find(names.begin(), names.end(), name) == names.end()) names.push_back(name);
  };
  constexpr double too_little_to_name = 0.01;
  for (const Cause& cause : warning.causes) {
    if (cause.share < too_little_to_name) continue;
    if (cause.release) {
      const Composition& gas = site->releases[cause.release->value].gas;
      if (burns(site, gas.shares)) add(spoken(gas.name));
    } else if (cause.initial_of) {
      for (const std::string& name : fuels_of(site, site->spaces[cause.initial_of->value].initial)) add(name);
    }
  }
  constexpr std::size_t most_names = 3;
  if (names.empty() || names.size() > most_names) return site.tell(P::flammable_gas);
  return names.size() == 1 ? names.front() : site.tell(P::mixture_of, {{"gases", site.listed(names)}});
}

std::string where_words(Told site, const Warning& warning) {
  const std::string space = label(site, warning.space);
  if (warning.case_index.value == 0) return space;
  return site.tell(P::in_the_case, {{"space", space}, {"case", label(site, warning.case_index)}});
}

std::string what_words(Told site, const Warning& warning) {
  if (warning.storage) return storage_words(site, *warning.storage);
  if (is_experiment(warning)) {
    const bool pressure = warning.severity == Severity::pressure;
    return with_blame(site, warning, pressure ? Blamed::gain : Blamed::gas, experiment_when(site, warning));
  }
  const std::string what = gas_and_blame_words(site, warning);
  if (!warning.layer) return what;
  return site.tell(warning.severity == Severity::flammable ? P::layer_can_burn : P::layer_reaches,
                   {{"what", what}, {"heights", height_words(site, warning.space, *warning.layer)}});
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
