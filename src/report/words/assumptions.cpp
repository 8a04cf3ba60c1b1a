// SPDX-License-Identifier: Apache-2.0
/// What had to be assumed, in words. docs/results.md lists the kinds.
#include <algorithm>
#include <cmath>
#include <unordered_map>
#include <utility>

#include <fmt/format.h>

#include "base/text/plain.hpp"
#include "leanside/report.hpp"
#include "report/words/fixed_assumptions.hpp"
#include "report/words/words.hpp"

namespace leanside {
namespace report {
namespace {

using Kind = AssumptionKind;
using P = Phrase;

constexpr std::size_t most_named = 4;

std::string in_quotes(const std::string& id) { return "'" + plain_text(id) + "'"; }

/// "'a', 'b' and 3 more".
std::string some_of(Told site, const std::vector<std::string>& ids) {
  std::vector<std::string> words;
  for (std::size_t i = 0; i < std::min(ids.size(), most_named); ++i) words.push_back(in_quotes(ids[i]));
  if (ids.size() > most_named) words.push_back(site.tell(P::more, {{"n", std::to_string(ids.size() - most_named)}}));
  return site.listed(words);
}

/// "the space 'a'", "the spaces 'a' and 'b'".
std::string spaces_named(Told site, const Assumption& assumption) {
  std::vector<std::string> ids;
  for (const SpaceIndex space : assumption.spaces) ids.push_back(site->spaces[space.value].id);
  return site.tell(ids.size() == 1 ? P::the_space : P::the_spaces, {{"list", some_of(site, ids)}});
}

std::string releases_named(Told site, const Assumption& assumption) {
  std::vector<std::string> ids;
  for (const ReleaseIndex release : assumption.releases) ids.push_back(site->releases[release.value].id);
  return site.tell(ids.size() == 1 ? P::the_release : P::the_releases, {{"list", some_of(site, ids)}});
}

// ---- of the site

std::string default_criteria(Told site, const Assumption& assumption) {
  static const std::unordered_map<std::string, Phrase> meanings{
      {"warn_at", P::default_warn_at},         {"note_at", P::default_note_at}, {"oxygen_low", P::default_oxygen_low},
      {"oxygen_high", P::default_oxygen_high}, {"horizon", P::default_horizon}, {"limits", P::default_limits}};
  std::vector<std::string> taken;
  for (const std::string& key : assumption.names) {
    const auto known = meanings.find(key);
    taken.push_back(known == meanings.end() ? plain_text(key) : site.tell(known->second));
  }
  return site.tell(P::default_criteria, {{"list", site.listed(taken)}});
}

std::string parts_of_mixture(Told site, const Assumption& assumption) {
  std::vector<std::string> parts;
  for (std::size_t i = 0; i < assumption.values.size(); ++i) {
    parts.push_back(plain_text(assumption.names[i + 1]) + " " + format_quantity(assumption.values[i], "%"));
  }
  return site.tell(P::parts_of_mixture, {{"gas", spoken(assumption.names.front())}, {"list", site.listed(parts)}});
}

std::string cautious_limits(Told site, const Assumption& assumption) {
  return site.tell(P::cautious_limits,
                   {{"source", in_quotes(assumption.names.front())},
                    {"gases", some_of(site, {assumption.names.begin() + 1, assumption.names.end()})}});
}

std::string ideal_under_pressure(Told site, const Assumption& assumption) {
  std::vector<std::string> errors;
  for (std::size_t i = 0; i < std::min(assumption.releases.size(), most_named); ++i) {
    const Release& release = site->releases[assumption.releases[i].value];
    const double ratio = assumption.values[i];
    const bool holds = std::holds_alternative<CylinderRelease>(release.kind), more = ratio > 1.0;
    errors.push_back(
        site.tell(holds  ? more ? P::holds_more : P::holds_less
                  : more ? P::emits_more
                         : P::emits_less,
                  {{"source", in_quotes(release.id)}, {"share", format_quantity(std::abs(ratio - 1.0), "%", 2)}}));
  }
  if (errors.empty()) return site.tell(P::ideal_under_pressure);
  if (assumption.releases.size() > most_named) errors.push_back(site.tell(P::so_on_for_others));
  return site.tell(P::ideal_under_pressure_by, {{"list", site.listed(errors)}});
}

std::string best_values(Told site) {
  std::string list;
  for (const Range& range : site->ranges) {
    list += (list.empty() ? "" : "; ") + site.tell(P::best_value, {{"name", plain_text(range.name)},
                                                                   {"best", plain_text(range.best_text)},
                                                                   {"low", plain_text(range.low_text)},
                                                                   {"high", plain_text(range.high_text)}});
  }
  return site.tell(site->ranges.size() == 1 ? P::best_value_taken : P::best_values_taken, {{"list", list}});
}

/// "Monday at 08:00", of s from Monday 0:00.
std::string clock_words(Told site, double seconds) {
  constexpr std::array<Phrase, 7> days = {P::monday, P::tuesday,  P::wednesday, P::thursday,
                                          P::friday, P::saturday, P::sunday};
  const auto minutes = static_cast<std::size_t>(std::lround(seconds / 60.0));
  return site.tell(P::day_at, {{"day", site.tell(days[minutes / 1440 % 7])},
                               {"time", fmt::format("{:02}:{:02}", minutes / 60 % 24, minutes % 60)}});
}

std::string fitted_flow(Told site, const Assumption& a) {
  const double given = a.values[0], now = a.values[1];
  return site.tell(P::fitted_flow, {{"airway", in_quotes(site->airways[a.airways.front().value].id)},
                                    {"flow", hourly(site, now)},
                                    {"given", hourly(site, given)},
                                    {"change", (now > given ? "+" : "-") + percent(std::abs(now / given - 1.0), 2)}});
}

/// What the file gives no value for.
std::string default_sentence(Told site, const Assumption& a) {
  const auto quantity = [&](std::string_view unit, int digits) {
    return format_quantity(a.values.front(), unit, digits, site->conditions.units);
  };
  switch (a.kind) {
    case Kind::default_temperature:
      return site.tell(P::default_temperature, {{"temperature", quantity("degC", 3)}});
    case Kind::default_inside_temperature:
      return site.tell(P::default_inside_temperature, {{"temperature", quantity("degC", 3)}});
    case Kind::default_outside_temperature:
      return site.tell(P::default_outside_temperature, {{"temperature", quantity("degC", 3)}});
    case Kind::default_pressure:
      return site.tell(P::default_pressure, {{"pressure", quantity("kPa", 6)}});
    case Kind::default_criteria:
      return default_criteria(site, a);
    case Kind::default_discharge:
      return site.tell(P::default_discharge,
                       {{"releases", releases_named(site, a)}, {"value", format_number(a.values.front())}});
    case Kind::default_air_speed:
      return site.tell(P::default_air_speed, {{"releases", releases_named(site, a)}, {"speed", quantity("m/s", 3)}});
    case Kind::fitted_flow:
      return fitted_flow(site, a);
    case Kind::recirculation:
      return site.tell(P::recirculation,
                       {{"share", percent(a.values.front())}, {"system", in_quotes(a.names.front())}});
    case Kind::window_ajar:
      return site.tell(P::window_ajar, {{"window", in_quotes(site->airways[a.airways.front().value].id)},
                                        {"area", area_words(site, a.values.front())}});
    case Kind::events_repeat:
      return site.tell(P::events_repeat,
                       {{"day", clock_words(site, a.values[1])}, {"span", format_duration(a.values[0])}});
    case Kind::best_values:
      return best_values(site);
    case Kind::stated:
      return plain_text(a.names.front());
    default:
      return {};
  }
}

std::string well_mixed(Told site, const Assumption& a) {
  if (a.spaces.empty()) return site.tell(P::all_well_mixed);
  return site.tell(a.spaces.size() == 1 ? P::one_well_mixed : P::some_well_mixed, {{"spaces", spaces_named(site, a)}});
}

std::string site_sentence(Told site, const Assumption& a) {
  const auto of_spaces = [&](Phrase phrase) { return site.tell(phrase, {{"spaces", spaces_named(site, a)}}); };
  const auto number = [&](double scale) { return format_number(a.values.front() / scale); };
  switch (a.kind) {
    case Kind::well_mixed:
      return well_mixed(site, a);
    case Kind::closed_but_for_releases:
      return of_spaces(P::closed_but_for_releases);
    case Kind::stands_in_room:
      return site.tell(P::stands_in_room, {{"cabinet", in_quotes(site->spaces[a.spaces[0].value].id)},
                                           {"room", in_quotes(site->spaces[a.spaces[1].value].id)}});
    case Kind::sealed:
      return of_spaces(P::sealed);
    case Kind::parts_of_mixture:
      return parts_of_mixture(site, a);
    case Kind::cautious_limits:
      return cautious_limits(site, a);
    case Kind::weaker_inert_gas:
      return site.tell(P::weaker_inert_gas, {{"gas", plain_text(a.names.front())}, {"value", number(1.0)}});
    case Kind::counted_as_oxygen:
      return site.tell(P::counted_as_oxygen,
                       {{"gas", plain_text(a.names.front())}, {"limits", site.tell(limits_beside(a.names.front()))}});
    case Kind::ideal_under_pressure:
      return ideal_under_pressure(site, a);
    case Kind::ideal_unchecked:
      return site.tell(P::ideal_unchecked, {{"releases", releases_named(site, a)}});
    case Kind::boiling_spill:
      return site.tell(P::boiling_spill, {{"releases", releases_named(site, a)}, {"power", number(1000.0)}});
    case Kind::battery_standard:
      return site.tell(P::battery_standard, {{"factor", number(1.0)}});
    default:
      return {};
  }
}

// ---- of some cases

std::string leak_sentence(Told site, const Assumption& leak) {
  const bool out = leak.values.front() < 0.0, outside = leak.spaces.size() == 1;
  // Two cases that differ in the digits that are not shown leak the same.
  std::string flow = hourly(site, std::abs(leak.values.back()));
  const std::string least = hourly(site, std::abs(leak.values.front())), space = label(site, leak.spaces.front());
  if (least != flow) flow = site.tell(P::from_to, {{"low", least}, {"high", flow}});
  if (outside) return site.tell(out ? P::leaks_outside : P::leaks_in, {{"flow", flow}, {"space", space}});
  return site.tell(out ? P::leaks_to : P::leaks_from,
                   {{"flow", flow}, {"space", space}, {"other", label(site, leak.spaces[1])}});
}

std::string unvented_sentence(Told site, const std::vector<SpaceIndex>& spaces) {
  constexpr std::size_t most = 5;
  std::string names;
  for (std::size_t i = 0; i < std::min(most, spaces.size()); ++i) names += (i > 0 ? ", " : "") + label(site, spaces[i]);
  if (spaces.size() > most) names = site.tell(P::and_others, {{"list", names}});
  return site.tell(P::unvented, {{"spaces", names}});
}

/// "way between a and b".
std::string between(Told site, AirwayIndex airway) {
  const Airway& way = site->airways[airway.value];
  return site.tell(P::airway_between, {{"airway", plain_text(way.id)},
                                       {"one", label(site, first_side(way))},
                                       {"other", label(site, second_side(way))}});
}

std::string case_sentence(Told site, const Assumption& a) {
  const auto airway = [&] { return plain_text(site->airways[a.airways.front().value].id); };
  switch (a.kind) {
    case Kind::leak:
      return leak_sentence(site, a);
    case Kind::shut_opening_leaks:
      return site.tell(P::shut_opening_leaks, {{"airway", between(site, a.airways.front())}});
    case Kind::exchange_overflows:
      return site.tell(P::exchange_overflows, {{"airway", between(site, a.airways.front())}});
    case Kind::fan_off_curve:
      return site.tell(P::fan_off_curve, {{"fan", airway()}});
    case Kind::condensation: {
      const Release& release = site->releases[a.releases.front().value];
      return site.tell(P::condensation, {{"share", percent(a.values.front(), 2)},
                                         {"gas", spoken(release.gas.name)},
                                         {"source", label(site, a.releases.front())}});
    }
    case Kind::mist:
      return site.tell(P::mist, {{"space", label(site, a.spaces.front())},
                                 {"there", percent(a.values.front(), 2)},
                                 {"gas", plain_text(a.names.front())},
                                 {"most", percent(a.values.back(), 2)}});
    case Kind::air_against_name:
      return site.tell(a.values.front() > 0.0 ? P::air_against_name_in : P::air_against_name_out,
                       {{"airway", airway()},
                        {"flow", hourly(site, std::abs(a.values.front()))},
                        {"space", label(site, a.spaces.front())}});
    case Kind::doorway_carries_nothing:
      return site.tell(P::door_carries_nothing, {{"door", site.tell(P::doorway)}, {"airway", airway()}});
    case Kind::unvented:
      return unvented_sentence(site, a.spaces);
    default:
      return {};
  }
}

// ---- of studies, and of layers

std::string counted_sentence(Told site, const Assumption& a) {
  const auto count = [&](std::size_t i) { return static_cast<std::size_t>(a.values[i]); };
  switch (a.kind) {
    case Kind::plumes_and_layers: {
      std::string values;
      for (const double value : a.values) values += (values.empty() ? "" : ", ") + format_number(value);
      return site.tell(P::plumes_and_layers, {{"values", values}});
    }
    case Kind::detector_alarm:
      return site.tell(P::detector_alarm, {{"percent", percent(a.values.front())}});
    case Kind::failures_pairs_kept:
      return site.tell(P::failures_pairs_kept,
                       {{"n", std::to_string(count(0))}, {"pairs", site.count(count(1), P::one_pair, P::pairs)}});
    case Kind::failures_moments_left_out:
      return site.tell(P::failures_moments_left_out, {{"moments", site.count(count(0), P::one_moment, P::moments)}});
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

std::string case_words(Told site, std::vector<CaseIndex> cases, std::size_t computed) {
  if (computed < 2 || cases.empty()) return {};
  std::sort(cases.begin(), cases.end());
  cases.erase(std::unique(cases.begin(), cases.end()), cases.end());
  if (cases.size() == computed) return site.tell(P::holds_in_every_case);
  std::string list;
  for (const CaseIndex one : cases) list += (list.empty() ? "" : ", ") + plain_text(site->cases[one.value].id);
  return site.tell(cases.size() == 1 ? P::holds_in_case : P::holds_in_cases, {{"cases", list}});
}

/// What is said of even mixing is not true of vessels with openings: both bounds are computed there.
Phrase without_open_vessels(const Site& site, Phrase phrase) {
  const bool open = std::any_of(site.spaces.begin(), site.spaces.end(),
                                [](const Space& space) { return !space.apparatus.openings.empty(); });
  if (!open) return phrase;
  switch (phrase) {
    case P::of_even_mixing:
      return P::of_even_mixing_but_vessels;
    case P::of_even_mixing_beside_layers:
      return P::of_even_mixing_beside_layers_but_vessels;
    case P::of_partial_mixing:
      return P::of_partial_mixing_but_vessels;
    default:
      return phrase;
  }
}

}  // namespace

std::string case_words(Told site, const Assumption& assumption, std::size_t cases_computed) {
  return case_words(site, assumption.cases, cases_computed);
}

std::vector<std::string> assumption_sentences(Told site, const Assessment& assessment) {
  ByCase found;
  for (const Assumption& one : assessment.assumptions) found.add(assumption_told(site, one), one.cases);
  std::vector<std::string> out;
  for (const auto& [sentence, cases] : found.entries()) {
    out.push_back(sentence + case_words(site, cases, assessment.cases.size()));
  }
  return out;
}

std::vector<std::string> assumption_sentences(Told site, const std::vector<Assumption>& assumptions) {
  std::vector<std::string> out;
  for (const Assumption& one : assumptions) out.push_back(assumption_told(site, one));
  return out;
}

std::string assumption_told(Told site, const Assumption& assumption) {
  if (const auto phrase = fixed_sentence(assumption.kind)) return site.tell(without_open_vessels(site, *phrase));
  for (const auto sentence_of : {default_sentence, site_sentence, case_sentence}) {
    if (std::string text = sentence_of(site, assumption); !text.empty()) return text;
  }
  return counted_sentence(site, assumption);
}

}  // namespace report

std::string assumption_sentence(const Site& site, const Assumption& assumption) {
  return report::assumption_told(site, assumption);
}

}  // namespace leanside
