// SPDX-License-Identifier: Apache-2.0
/// What had to be assumed, in words. docs/results.md lists the kinds.
#include <algorithm>
#include <cmath>
#include <unordered_map>
#include <utility>

#include <fmt/format.h>

#include "base/text/lists.hpp"
#include "base/text/plain.hpp"
#include "leanside/report.hpp"
#include "report/words/fixed_assumptions.hpp"
#include "report/words/words.hpp"

namespace leanside {
namespace report {
namespace {

using Kind = AssumptionKind;

constexpr std::size_t most_named = 4;

std::string in_quotes(const std::string& id) { return "'" + plain_text(id) + "'"; }

/// "'a', 'b' and 3 more".
std::string some_of(const std::vector<std::string>& ids) {
  std::vector<std::string> words;
  for (std::size_t i = 0; i < std::min(ids.size(), most_named); ++i) words.push_back(in_quotes(ids[i]));
  if (ids.size() > most_named) words.push_back(fmt::format("{} more", ids.size() - most_named));
  return listed(words);
}

/// "the space 'a'", "the spaces 'a' and 'b'".
std::string spaces_named(const Site& site, const Assumption& assumption) {
  std::vector<std::string> ids;
  for (const SpaceIndex space : assumption.spaces) ids.push_back(site.spaces[space.value].id);
  return (ids.size() == 1 ? "the space " : "the spaces ") + some_of(ids);
}

std::string releases_named(const Site& site, const Assumption& assumption) {
  std::vector<std::string> ids;
  for (const ReleaseIndex release : assumption.releases) ids.push_back(site.releases[release.value].id);
  return (ids.size() == 1 ? "the release " : "the releases ") + some_of(ids);
}

// ---- of the site

std::string default_criteria(const Assumption& assumption) {
  static const std::unordered_map<std::string, std::string> meanings{
      {"warn_at", "a warning at 25 % of the lower limit"},
      {"note_at", "a note at 10 % of it"},
      {"oxygen_low", "too little oxygen below 19.5 %"},
      {"oxygen_high", "too much oxygen above 23.5 %"},
      {"horizon", "computing until the verdict can no longer change (at least 8 h)"},
      {"limits", "the cautious pair of published limits for each gas"}};
  std::vector<std::string> taken;
  for (const std::string& key : assumption.names) {
    const auto known = meanings.find(key);
    taken.push_back(known == meanings.end() ? plain_text(key) : known->second);
  }
  return "not given in [criteria], so assumed: " + listed(taken);
}

std::string parts_of_mixture(const Assumption& assumption) {
  std::vector<std::string> parts;
  for (std::size_t i = 0; i < assumption.values.size(); ++i) {
    parts.push_back(plain_text(assumption.names[i + 1]) + " " + format_quantity(assumption.values[i], "%"));
  }
  return spoken(assumption.names.front()) + " consists of " + listed(parts);
}

std::string cautious_limits(const Assumption& assumption) {
  return "the source " + in_quotes(assumption.names.front()) + " does not give both limits of " +
         some_of({assumption.names.begin() + 1, assumption.names.end()}) + ": the cautious pair is used";
}

std::string ideal_under_pressure(const Site& site, const Assumption& assumption) {
  std::vector<std::string> errors;
  for (std::size_t i = 0; i < std::min(assumption.releases.size(), most_named); ++i) {
    const Release& release = site.releases[assumption.releases[i].value];
    const double ratio = assumption.values[i];
    errors.push_back(fmt::format("{} {} about {} {} than that", in_quotes(release.id),
                                 std::holds_alternative<CylinderRelease>(release.kind) ? "holds" : "emits",
                                 format_quantity(std::abs(ratio - 1.0), "%", 2), ratio > 1.0 ? "more" : "less"));
  }
  if (assumption.releases.size() > most_named) errors.emplace_back("so on for the others");
  return "gas under pressure is ideal and keeps its temperature" + std::string{errors.empty() ? "" : ": "} +
         listed(errors);
}

std::string best_values(const Site& site) {
  std::string out = site.ranges.size() == 1 ? "a value is given as a range, and its best one is taken: "
                                            : "values are given as ranges, and their best ones are taken: ";
  for (std::size_t i = 0; i < site.ranges.size(); ++i) {
    const Range& range = site.ranges[i];
    out += (i > 0 ? "; " : "") + range.name + " " + range.best_text + " (" + range.low_text + " to " + range.high_text +
           ")";
  }
  return plain_text(out) + ". A study of the spread of these values tells what the ranges do";
}

/// "Monday at 08:00", of s from Monday 0:00.
std::string clock_words(double seconds) {
  constexpr std::array<std::string_view, 7> days = {"Monday", "Tuesday",  "Wednesday", "Thursday",
                                                    "Friday", "Saturday", "Sunday"};
  const auto minutes = static_cast<std::size_t>(std::lround(seconds / 60.0));
  return fmt::format("{} at {:02}:{:02}", days[minutes / 1440 % 7], minutes / 60 % 24, minutes % 60);
}

/// What the file gives no value for.
std::string default_sentence(const Site& site, const Assumption& a) {
  switch (a.kind) {
    case Kind::default_temperature:
      return "no temperature is given in [conditions]: " +
             format_quantity(a.values.front(), "degC", 3, site.conditions.units) +
             " outside and in every space that gives none";
    case Kind::default_inside_temperature:
      return "no temperature is given in [conditions]: " +
             format_quantity(a.values.front(), "degC", 3, site.conditions.units) + " in every space that gives none";
    case Kind::default_outside_temperature:
      return "no outside_temperature is given: " + format_quantity(a.values.front(), "degC", 3, site.conditions.units) +
             ", as inside";
    case Kind::default_pressure:
      return "no pressure is given: " + format_quantity(a.values.front(), "kPa", 6, site.conditions.units) +
             ", the standard atmosphere";
    case Kind::default_criteria:
      return default_criteria(a);
    case Kind::default_discharge:
      return "no discharge is given for " + releases_named(site, a) + ": " + format_number(a.values.front()) +
             " of the flow through a perfect hole";
    case Kind::default_air_speed:
      return "no air_speed is given for " + releases_named(site, a) + ": " +
             format_quantity(a.values.front(), "m/s", 3, site.conditions.units) + " over the pool";
    case Kind::fitted_flow: {
      const double given = a.values[0], now = a.values[1];
      return "the flow of " + in_quotes(site.airways[a.airways.front().value].id) + " is fitted: " + hourly(site, now) +
             " in place of " + hourly(site, given) + " (" + (now > given ? "+" : "-") +
             percent(std::abs(now / given - 1.0), 2) + "), so that the flows add up";
    }
    case Kind::recirculation:
      return "return air makes up " + percent(a.values.front()) + " of the supply of the system " +
             in_quotes(a.names.front()) + ", mixed from all of its extracts; no filter holds gas back";
    case Kind::window_ajar:
      return "the window " + in_quotes(site.airways[a.airways.front().value].id) + " has a free area of " +
             area_words(site, a.values.front()) + " as it stands ajar, taken to be spread evenly over its height";
    case Kind::events_repeat:
      return "the run begins on " + clock_words(a.values[1]) + "; events of a timetable are repeated for " +
             format_duration(a.values[0]);
    case Kind::best_values:
      return best_values(site);
    case Kind::stated:
      return plain_text(a.names.front());
    default:
      return {};
  }
}

std::string site_sentence(const Site& site, const Assumption& a) {
  switch (a.kind) {
    case Kind::well_mixed:
      return (a.spaces.empty() ? "every space is" : spaces_named(site, a) + (a.spaces.size() == 1 ? " is" : " are")) +
             " well mixed (no mixing_factor is given, so 1): gas that gathers under a ceiling or near its source does "
             "not show";
    case Kind::closed_but_for_releases:
      return "no way for air is given for " + spaces_named(site, a) +
             ": closed, except that as much leaks to outside as is released";
    case Kind::stands_in_room:
      return "the cabinet " + in_quotes(site.spaces[a.spaces[0].value].id) + " stands in " +
             in_quotes(site.spaces[a.spaces[1].value].id) +
             ", the only room that an airway joins it to (stands_in is not given)";
    case Kind::sealed:
      return "no opening is given for " + spaces_named(site, a) +
             ": sealed, so that gas released into it raises its pressure";
    case Kind::parts_of_mixture:
      return parts_of_mixture(a);
    case Kind::cautious_limits:
      return cautious_limits(a);
    case Kind::weaker_inert_gas:
      return plain_text(a.names.front()) +
             " inerts less well than nitrogen: where oxygen is short, a mol of it counts as " +
             format_number(a.values.front()) +
             " mol of nitrogen. Lower limits are those in air and may be lower with it";
    case Kind::counted_as_oxygen:
      return fmt::format(
          "{0} feeds a fire as oxygen does and is counted as oxygen where it decides whether a mixture burns. {1}",
          plain_text(a.names.front()), limits_beside(a.names.front()));
    case Kind::ideal_under_pressure:
      return ideal_under_pressure(site, a);
    case Kind::ideal_unchecked:
      return "the gas of " + releases_named(site, a) +
             " is ideal and free of liquid: its critical point is not known, so neither could be checked. If it can be "
             "liquefied, far more may come out";
    case Kind::boiling_spill:
      return "the liquid of " + releases_named(site, a) +
             " boils: it stays at its boiling point and takes up at most " + format_number(a.values.front() / 1000.0) +
             " kW for each m2 of its surface, as over a strong burner; how much it is heated is not in the file";
    case Kind::battery_standard:
      return "batteries give off gas with the current of IEC 62485-2 for their class, which includes a factor of " +
             format_number(a.values.front()) + " for faulty and aged cells";
    default:
      return {};
  }
}

// ---- of some cases

std::string leak_sentence(const Site& site, const Assumption& leak) {
  const std::string space = label(site, leak.spaces.front());
  const bool out = leak.values.front() < 0.0, outside = leak.spaces.size() == 1;
  const std::string other = outside ? "outside" : label(site, leak.spaces[1]);
  std::string amount = hourly(site, std::abs(leak.values.back()));
  // Two cases that differ in the digits that are not shown leak the same.
  const std::string least = hourly(site, std::abs(leak.values.front()));
  if (least != amount) amount = least + " to " + amount;
  return "assumed: " + amount + " leaks " +
         (out ? "out of " + space + " to " + other + ", because more comes into it than its airways carry away"
              : "into " + space + " from " + other + ", because its airways carry away more than comes into it") +
         " and no opening in the file carries the difference" + (outside ? " outside" : "") +
         (out ? "" : ". If the place is tighter than that, its fans get less air");
}

std::string unvented_sentence(const Site& site, const std::vector<SpaceIndex>& spaces) {
  constexpr std::size_t most = 5;
  std::string names;
  for (std::size_t i = 0; i < std::min(most, spaces.size()); ++i) names += (i > 0 ? ", " : "") + label(site, spaces[i]);
  if (spaces.size() > most) names += " and others";
  return "no gap, doorway or opening leads from " + names +
         " to outside, so only differences of pressure are known there; add the gap under the door or at the window "
         "that there surely is";
}

/// "way between a and b".
std::string between(const Site& site, AirwayIndex airway) {
  const Airway& way = site.airways[airway.value];
  return plain_text(way.id) + " between " + label(site, first_side(way)) + " and " + label(site, second_side(way));
}

std::string case_sentence(const Site& site, const Assumption& a) {
  switch (a.kind) {
    case Kind::leak:
      return leak_sentence(site, a);
    case Kind::shut_opening_leaks:
      return "assumed: " + between(site, a.airways.front()) +
             " leaks although it is shut, because no open way carries the difference (at most 1 cm2 of leakage area to "
             "each m2 of floor, and not more than the smallest opening that is shut there)";
    case Kind::exchange_overflows:
      return "assumed: the exchange " + between(site, a.airways.front()) +
             " carries more one way than the other, because what is too much in the vessel or cabinet has no other way";
    case Kind::fan_off_curve:
      return "the fan " + plain_text(site.airways[a.airways.front().value].id) +
             " works outside the pressures of its curve; its flow is held at the end of it, which is a guess";
    case Kind::condensation: {
      const Release& release = site.releases[a.releases.front().value];
      return "only " + percent(a.values.front(), 2) + " of the " + spoken(release.gas.name) + " from \"" +
             label(site, a.releases.front()) +
             "\" stays in the air and the rest condenses at once, because saturated air holds no more";
    }
    case Kind::mist:
      return label(site, a.spaces.front()) + " is computed to hold up to " + percent(a.values.front(), 2) + " " +
             plain_text(a.names.front()) + ", but air as cold as there holds at most " + percent(a.values.back(), 2) +
             " of it as vapour: the rest is mist, or wets cold surfaces. Mist burns as vapour does, so it counts "
             "towards the lower limit, but it makes no mixture too rich to burn";
    case Kind::air_against_name:
      return "air goes through " + plain_text(site.airways[a.airways.front().value].id) +
             " against what its name suggests: " + hourly(site, std::abs(a.values.front())) +
             (a.values.front() > 0.0 ? " into " : " out of ") + label(site, a.spaces.front()) + " at the start";
    case Kind::doorway_carries_nothing:
      return "the doorway " + plain_text(site.airways[a.airways.front().value].id) +
             " carries nothing at the start: the air on its two sides is equally warm and no pressure drives it. A "
             "real doorway lets some air through both ways";
    case Kind::unvented:
      return unvented_sentence(site, a.spaces);
    default:
      return {};
  }
}

// ---- of studies, and of layers

std::string counted_sentence(const Assumption& a) {
  const auto count = [&](std::size_t i) { return static_cast<std::size_t>(a.values[i]); };
  switch (a.kind) {
    case Kind::plumes_and_layers: {
      std::string values;
      for (const double value : a.values) values += (values.empty() ? "" : ", ") + format_number(value);
      return "in a layered room gas rises (or sinks) as one plume from each release, which draws in air on its way "
             "(entrainment coefficient " +
             values +
             "), and gathers in one layer; only diffusion in air at rest takes it across the edge. In the plume itself "
             "and close to the leak the gas is richer. Figures of such a room are those right under its ceiling or on "
             "its floor, where the layer is richest";
    }
    case Kind::detector_alarm:
      return "a detector answers when the gas of one release alone comes to " + percent(a.values.front()) +
             " of its lower flammable limit on the average of the space; the time that the instrument and its sampling "
             "take is not in it";
    case Kind::failures_pairs_kept:
      return "the worst " + std::to_string(count(0)) + " of " + count_of(count(1), "such pair") + " are kept";
    case Kind::failures_moments_left_out:
      return "at " + count_of(count(0), "more moment") +
             " a release was not started, since there are too many or it could not be computed";
    default:
      return {};
  }
}

/// Sentences with the cases that each holds in, in the order met.
class ByCase {
 public:
  void add(std::string sentence, const std::vector<CaseIndex>& cases) {
    const auto [known, is_new] = at_.try_emplace(sentence, entries_.size());
    if (is_new) entries_.push_back({std::move(sentence), {}});
    for (const CaseIndex case_index : cases) entries_[known->second].cases.push_back(case_index);
  }
  struct Entry {
    std::string sentence;
    std::vector<CaseIndex> cases;
  };
  const std::vector<Entry>& entries() const { return entries_; }

 private:
  std::vector<Entry> entries_;
  std::unordered_map<std::string, std::size_t> at_;
};

std::string case_words(const Site& site, std::vector<CaseIndex> cases, std::size_t computed) {
  if (computed < 2 || cases.empty()) return {};
  std::sort(cases.begin(), cases.end());
  cases.erase(std::unique(cases.begin(), cases.end()), cases.end());
  if (cases.size() == computed) return " (in every case)";
  std::string out = cases.size() == 1 ? " (in the case " : " (in the cases ";
  for (std::size_t i = 0; i < cases.size(); ++i) {
    if (i > 0) out += ", ";
    out += plain_text(site.cases[cases[i].value].id);
  }
  return out + ")";
}

/// What is said of even mixing is not true of vessels with openings: both bounds are computed there.
std::string without_open_vessels(const Site& site, Kind kind, std::string sentence) {
  constexpr std::string_view each = "each space";
  const bool mixing =
      kind == Kind::even_mixing || kind == Kind::even_mixing_beside_layers || kind == Kind::partial_mixing;
  const bool open = std::any_of(site.spaces.begin(), site.spaces.end(),
                                [](const Space& space) { return !space.apparatus.openings.empty(); });
  if (!mixing || !open) return sentence;
  const std::size_t at = sentence.find_first_of(".;", sentence.find(each));
  return at == std::string::npos ? sentence : sentence.insert(at, ", but for vessels with openings");
}

}  // namespace

std::string case_words(const Site& site, const Assumption& assumption, std::size_t cases_computed) {
  return case_words(site, assumption.cases, cases_computed);
}

std::vector<std::string> assumption_sentences(const Site& site, const Assessment& assessment) {
  ByCase found;
  for (const Assumption& one : assessment.assumptions) found.add(assumption_sentence(site, one), one.cases);
  std::vector<std::string> out;
  for (const auto& [sentence, cases] : found.entries()) {
    out.push_back(sentence + case_words(site, cases, assessment.cases.size()));
  }
  return out;
}

std::vector<std::string> assumption_sentences(const Site& site, const std::vector<Assumption>& assumptions) {
  std::vector<std::string> out;
  for (const Assumption& one : assumptions) out.push_back(assumption_sentence(site, one));
  return out;
}

}  // namespace report

std::string assumption_sentence(const Site& site, const Assumption& assumption) {
  using namespace report;
  if (const std::string_view text = fixed_sentence(assumption.kind); !text.empty()) {
    return without_open_vessels(site, assumption.kind, std::string{text});
  }
  for (const auto sentence_of : {default_sentence, site_sentence, case_sentence}) {
    if (std::string text = sentence_of(site, assumption); !text.empty()) return text;
  }
  return counted_sentence(assumption);
}

}  // namespace leanside
