// SPDX-License-Identifier: Apache-2.0
/// What may fail, the worst first: words for people, JSON for programs.
#include <algorithm>
#include <cstddef>
#include <span>
#include <string>
#include <vector>

#include "leanside/study.hpp"
#include "report/json.hpp"
#include "report/text_page.hpp"
#include "report/words.hpp"

namespace leanside {
namespace {

using namespace report;

constexpr std::size_t told_in_full = 15;   ///< groups of the case `normal`
constexpr std::size_t told_of_others = 5;  ///< groups of each other case
constexpr std::size_t most_named = 8;      ///< in one list within a sentence

std::string opening_word(const Airway& airway) {
  if (std::holds_alternative<Gap>(airway.kind)) return "gap";
  if (std::holds_alternative<Doorway>(airway.kind)) return "doorway";
  if (std::holds_alternative<Exchange>(airway.kind)) return "exchange";
  return std::holds_alternative<Relief>(airway.kind) ? "relief" : "fan";
}

/// "the fan extract stops".
std::string failure_words(const Site& site, const Failure& failure) {
  switch (failure.kind) {
    case FailureKind::fan_off:
      return "the fan " + plain_text(site.airways[failure.airway->value].id) + " stops";
    case FailureKind::shut:
    case FailureKind::opened: {
      const Airway& airway = site.airways[failure.airway->value];
      const bool door = std::holds_alternative<Doorway>(airway.kind);
      const std::string what = "the " + opening_word(airway) + " " + plain_text(airway.id);
      if (failure.kind == FailureKind::opened) return what + (door ? " stands wide open" : " is opened");
      return what + (door ? " is shut" : " is blocked");
    }
    case FailureKind::no_air_change:
      return "the air changes of " + label(site, *failure.space) + " stop";
    case FailureKind::release_starts:
      break;
  }
  return "the release \"" + label(site, *failure.release) + "\" starts";
}

std::string outcome_words(const Site& site, const FailureStudy& study, const FailureOutcome& outcome) {
  std::string out;
  for (const std::size_t k : outcome.failures)
    out += (out.empty() ? "" : " and ") + failure_words(site, study.failures[k]);
  return out;
}

std::string harm_words(const Site& site, const Harm& harm) {
  const std::string when =
      harm.time ? (*harm.time > 0.0 ? " after " + format_duration(*harm.time) : " from the start") : "";
  switch (harm.severity) {
    case Severity::oxygen:
      return "oxygen " + percent_of_oxygen(harm.oxygen, site.criteria) + when;
    case Severity::pressure:
      return "pressure " + format_quantity(harm.pressure, "kPa", 4) + when;
    default:
      return percent_of_limit(harm.lfl_fraction, site.criteria) + " of the lower flammable limit" + when;
  }
}

std::string spaces_words(const Site& site, const std::vector<SpaceIndex>& spaces) {
  std::string out;
  for (std::size_t i = 0; i < std::min(most_named, spaces.size()); ++i)
    out += (i > 0 ? ", " : "") + label(site, spaces[i]);
  if (spaces.size() > most_named) out += " and " + std::to_string(spaces.size() - most_named) + " more";
  return out;
}

/// All members of a group, the first ones by name.
std::string group_words(const Site& site, const FailureStudy& study, const FailureGroup& group) {
  std::string out;
  for (std::size_t i = 0; i < std::min(most_named, group.outcomes.size()); ++i) {
    out += (i > 0 ? "; or " : "") + outcome_words(site, study, study.outcomes[group.outcomes[i]]);
  }
  if (group.outcomes.size() > most_named) {
    out += "; or one of " + std::to_string(group.outcomes.size() - most_named) + " more with the same effect";
  }
  return out;
}

std::string fans_words(const Site& site, const std::vector<AirwayIndex>& fans) {
  std::string out;
  for (std::size_t i = 0; i < std::min(most_named, fans.size()); ++i)
    out += (i > 0 ? ", " : "") + plain_text(site.airways[fans[i].value].id);
  if (fans.size() > most_named) out += " and " + std::to_string(fans.size() - most_named) + " more";
  return out;
}

void put_harm(TextPage& page, const Site& site, const FailureStudy& study, const FailureGroup& group,
              std::size_t rank) {
  const FailureOutcome& first = study.outcomes[group.outcomes.front()];
  const Harm& worst = first.harms.front();
  page.line("");
  page.paragraph(
      page.severity(worst.severity) + "  " + page.bold(label(site, worst.space)) + ": " + harm_words(site, worst),
      (rank < 10 ? " " : "") + std::to_string(rank) + "  ");
  page.remark("When", group_words(site, study, group) + ".");
  if (first.harms.size() > 1) {
    std::string others;
    for (std::size_t i = 1; i < std::min(most_named, first.harms.size()); ++i) {
      const Harm& h = first.harms[i];
      const bool of_fuel = h.severity != Severity::oxygen && h.severity != Severity::pressure;
      others += (i > 1 ? "; " : "") + label(site, h.space) + " (" +
                (of_fuel ? std::string{word_of(h.severity)} + ", " : std::string{}) + harm_words(site, h) + ")";
    }
    if (first.harms.size() > most_named) others += "; and " + std::to_string(first.harms.size() - most_named) + " more";
    page.remark("Also", others + ".");
  }
  if (!first.starved.empty()) page.remark("Fans that then get too little air", fans_words(site, first.starved) + ".");
  if (!first.unreached.empty()) {
    page.remark("Without a way out for gas", spaces_words(site, first.unreached) + ".");
  }
}

std::string span_words(const Site& site, const FailureStudy& study) {
  return study.in_time ? "over the first " + format_duration(site.criteria.horizon) + " and in the long run"
                       : "in the long run alone";
}

void put_head(TextPage& page, const Site& site, std::span<const FailureStudy> studies) {
  page.line(page.bold("What may fail: " + plain_text(site.title)));
  const FailureStudy& first = studies.front();
  const bool alike =
      std::all_of(studies.begin(), studies.end(), [&](const FailureStudy& s) { return s.singles == first.singles; });
  std::string what = (alike ? "" : "about ") + count_of(first.singles, "thing") + " that may go wrong, each alone" +
                     (first.pairs ? " and in " + count_of(first.pairs_solved, "pair") : std::string{});
  if (studies.size() > 1) what += ", in each of " + std::to_string(studies.size()) + " cases";
  page.paragraph((site.file.empty() ? "" : plain_text(site.file) + ", ") + what + ", " + span_words(site, first));
}

/// What the answer with nothing failed rests on and nobody wrote down: leaks may be smaller than assumed.
std::vector<std::string> assumed_leaks(const Site& site, const FailureStudy& study) {
  const AirAtStart air{site, study.which};
  std::vector<std::string> out;
  for (const AssumedLeak& leak : study.leaks) out.push_back(leak_sentence(site, air, leak));
  for (const AirwayIndex airway : study.leaking) out.push_back(leaking_sentence(site, airway));
  return out;
}

/// What is there already with nothing failed.
void put_normal(TextPage& page, const Site& site, const FailureStudy& study, bool several) {
  if (several) {
    page.heading("In the case " + label(site, study.which));
  } else {
    page.line("");
  }
  if (study.normal.empty()) {
    page.paragraph("With nothing failed there is no warning.");
  } else {
    page.paragraph("With nothing failed there " + std::string{study.normal.size() == 1 ? "is" : "are"} + " already " +
                   count_of(study.normal.size(), "warning") + ", the worst in " +
                   label(site, study.normal.front().space) + ": " + harm_words(site, study.normal.front()) +
                   ". Below stands only what a failure makes worse.");
  }
  if (!study.starved.empty()) {
    std::vector<AirwayIndex> fans;
    for (const StarvedFan& fan : study.starved) fans.push_back(fan.fan);
    page.paragraph("With nothing failed " + fans_words(site, fans) + (fans.size() == 1 ? " gets" : " get") +
                   " too little air already (leanside check says what helps).");
  }
  page.list("Leaks that are assumed, and that may fail as well", assumed_leaks(site, study));
}

void put_groups(TextPage& page, const Site& site, const FailureStudy& study) {
  const std::size_t most = study.which == CaseIndex{0} ? told_in_full : told_of_others;
  std::size_t rank = 0;
  std::vector<std::string> harmless, faults, unreached, starved;
  std::size_t harmful = 0;
  for (const FailureGroup& group : study.groups) {
    const FailureOutcome& first = study.outcomes[group.outcomes.front()];
    if (!first.fault.empty()) {
      faults.push_back(group_words(site, study, group) + ": " + plain_text(first.fault));
    } else if (!first.harms.empty()) {
      harmful += group.outcomes.size();
      if (rank++ < most) put_harm(page, site, study, group, rank);
    } else if (!first.starved.empty()) {
      harmful += group.outcomes.size();
      starved.push_back(group_words(site, study, group) + ": too little air for " + fans_words(site, first.starved));
    } else if (!first.unreached.empty()) {
      unreached.push_back(group_words(site, study, group) + ": gas that gets into " +
                          spaces_words(site, first.unreached) + " has no way out any more");
    } else {
      for (const std::size_t k : group.outcomes) harmless.push_back(outcome_words(site, study, study.outcomes[k]));
    }
  }
  if (rank > most) {
    page.line("");
    page.paragraph("and " + std::to_string(rank - most) + " more effects (--format json has all).", " ");
  }
  if (harmful == 0) {
    page.line("");
    page.paragraph(
        "None of them makes a warning appear or become worse. That is no proof of safety: it holds for the releases, "
        "openings and fans that the file names.");
  }
  page.list("No warning about gas gets worse, but a fan gets too little air", starved);
  page.list("No warning, but no way out for gas", unreached);
  page.list("Could not be computed as the file has it", faults);
  if (!harmless.empty()) {
    page.heading("No warning gets worse when one of these fails: " + std::to_string(harmless.size()));
    std::string text;
    for (std::size_t i = 0; i < std::min<std::size_t>(20, harmless.size()); ++i)
      text += (i > 0 ? "; " : "") + harmless[i];
    if (harmless.size() > 20) text += "; and " + std::to_string(harmless.size() - 20) + " more";
    page.paragraph(text + ".", " ");
  }
}

std::vector<std::string> assumptions_of(std::span<const FailureStudy> studies) {
  const FailureStudy& first = studies.front();
  std::vector<std::string> out;
  out.push_back("what fails does so at time 0 and stays so, while all else is as in the case " +
                std::string{studies.size() == 1 ? "that was looked at" : "at hand"});
  out.push_back(
      "tried are: each fan off, each relief, gap and exchange blocked (opened where it is off), each doorway shut "
      "and wide open, the air changes of each space stopped, each release that is off started");
  if (first.pairs) out.push_back("of the pairs only those are shown that are worse than each of the two alone");
  if (std::any_of(studies.begin(), studies.end(), [](const FailureStudy& study) { return !study.in_time; })) {
    out.push_back(
        "only the long run was computed: peaks of releases that end, and times, are not known (--in-time "
        "computes them)");
  }
  for (const FailureStudy& study : studies) {
    for (const std::string& text : study.assumptions) {
      std::string plain = plain_text(text);
      if (std::find(out.begin(), out.end(), plain) == out.end()) out.push_back(std::move(plain));
    }
  }
  return out;
}

Json harm_json(const Site& site, const Harm& harm) {
  Json out{{"space", site.spaces[harm.space.value].id},
           {"severity", word_of(harm.severity)},
           {"lfl_fraction", harm.lfl_fraction},
           {"time_s", or_null(harm.time)}};
  if (harm.severity == Severity::oxygen) out["oxygen"] = harm.oxygen;
  if (harm.severity == Severity::pressure) out["pressure_pa"] = harm.pressure;
  return out;
}

Json failure_json(const Site& site, const Failure& failure) {
  Json out{{"kind", word_of(failure.kind)}};
  if (failure.airway) out["airway"] = site.airways[failure.airway->value].id;
  if (failure.space) out["space"] = site.spaces[failure.space->value].id;
  if (failure.release) out["release"] = site.releases[failure.release->value].id;
  out["words"] = failure_words(site, failure);
  return out;
}

Json ids_of(const Site& site, const std::vector<SpaceIndex>& spaces) {
  Json out = Json::array();
  for (const SpaceIndex space : spaces) out.push_back(site.spaces[space.value].id);
  return out;
}

Json fan_ids(const Site& site, const std::vector<AirwayIndex>& fans) {
  Json out = Json::array();
  for (const AirwayIndex fan : fans) out.push_back(site.airways[fan.value].id);
  return out;
}

/// The answer for one case: what stands at the top level for the first, in `other_cases` for the others.
void put_case(std::string& out, const Site& site, const FailureStudy& study) {
  const auto put = [&](const char* key, const Json& value) {
    out.append(",\n\"").append(key).append("\": ").append(dumped(value));
  };
  put("in_time", study.in_time);
  put("pairs_solved", study.pairs_solved);
  put("solved_by_update", study.by_update);
  put("solved_afresh", study.afresh);
  Json normal = Json::array();
  for (const Harm& harm : study.normal) normal.push_back(harm_json(site, harm));
  put("normal", normal);
  put("assumed_leaks", assumed_leaks(site, study));
  std::vector<AirwayIndex> starved;
  for (const StarvedFan& fan : study.starved) starved.push_back(fan.fan);
  put("starved_fans", fan_ids(site, starved));
  out += ",\n\"groups\": ";
  {
    JsonList list{out, ""};
    std::size_t rank = 0;
    for (const FailureGroup& group : study.groups) {
      const FailureOutcome& first = study.outcomes[group.outcomes.front()];
      Json members = Json::array();
      for (const std::size_t k : group.outcomes) {
        Json member = Json::array();
        for (const std::size_t f : study.outcomes[k].failures) member.push_back(failure_json(site, study.failures[f]));
        members.push_back(member);
      }
      Json harms = Json::array();
      for (const Harm& harm : first.harms) harms.push_back(harm_json(site, harm));
      list.next() += dumped({{"rank", ++rank},
                             {"failures", members},
                             {"harms", harms},
                             {"better", first.gone},
                             {"no_way_out", ids_of(site, first.unreached)},
                             {"starved_fans", fan_ids(site, first.starved)},
                             {"fault", first.fault.empty() ? Json(nullptr) : Json(first.fault)}});
    }
  }
  out += ",\n\"one_fan_alone\": ";
  JsonList list{out, ""};
  for (const FanDependence& dependence : study.dependences) {
    list.next() +=
        dumped({{"fan", site.airways[dependence.fan.value].id}, {"spaces", ids_of(site, dependence.spaces)}});
  }
}

}  // namespace

std::string failures_text(const Site& site, std::span<const FailureStudy> studies, const TextStyle& style) {
  TextPage page{style};
  put_head(page, site, studies);
  for (const FailureStudy& study : studies) {
    put_normal(page, site, study, studies.size() > 1);
    put_groups(page, site, study);
    std::vector<std::string> hanging;
    for (const FanDependence& dependence : study.dependences) {
      hanging.push_back(plain_text(site.airways[dependence.fan.value].id) + ": " +
                        spaces_words(site, dependence.spaces));
    }
    page.list("Spaces whose fresh air hangs on one fan alone", hanging);
  }
  page.list("Taken for granted", assumptions_of(studies));
  page.put_caution();
  return page.text();
}

std::string failures_json(const Site& site, std::span<const FailureStudy> studies) {
  std::string out = "{\n\"tool\": " + dumped({{"name", "leanside"}, {"version", version()}});
  const auto put = [&](const char* key, const Json& value) {
    out.append(",\n\"").append(key).append("\": ").append(dumped(value));
  };
  put("notice", caution());
  put("study", "failures");
  put("site", {{"title", site.title}, {"file", site.file}});
  put("pairs", studies.front().pairs);
  put("assumptions", assumptions_of(studies));
  put("case", site.cases[studies.front().which.value].id);
  put_case(out, site, studies.front());
  out += ",\n\"other_cases\": ";
  {
    JsonList list{out, ""};
    for (const FailureStudy& study : studies.subspan(1)) {
      std::string& entry = list.next();
      entry += "{\"case\": " + dumped(site.cases[study.which.value].id);
      put_case(entry, site, study);
      entry += "}";
    }
  }
  return out + "\n}\n";
}

}  // namespace leanside
