// SPDX-License-Identifier: Apache-2.0
/// What may fail, the worst first: words for people.
#include <algorithm>
#include <cstddef>
#include <span>
#include <string>
#include <vector>

#include "leanside/study/failures.hpp"
#include "report/text/text_page.hpp"
#include "report/words/failure_words.hpp"
#include "report/words/words.hpp"

namespace leanside {
namespace {

using namespace report;

constexpr std::size_t told_in_full = 15;   ///< groups of the case `normal`
constexpr std::size_t told_of_others = 5;  ///< groups of each other case
constexpr std::size_t most_named = 8;      ///< in one list within a sentence

std::string outcome_words(const Site& site, const FailureStudy& study, const FailureOutcome& outcome) {
  std::string out;
  for (const std::size_t k : outcome.failures)
    out += (out.empty() ? "" : " and ") + failure_words(site, study.failures[k]);
  return out;
}

/// When it reaches its threshold: after the start of the case, or of the release that starts.
std::string time_words(const Consequence& consequence) {
  if (!consequence.time) return "";
  const bool after_start = consequence.starts && *consequence.starts > 0.0 && *consequence.time >= *consequence.starts;
  if (after_start) return " " + format_duration(*consequence.time - *consequence.starts) + " after the release starts";
  return *consequence.time > 0.0 ? " after " + format_duration(*consequence.time) : " from the start";
}

std::string consequence_words(const Site& site, const Consequence& consequence) {
  const std::string when = time_words(consequence);
  switch (consequence.subject) {
    case Subject::toxic:
      return plain_text(site.gases[consequence.gas->value].substance.id) + " at " +
             concentration_words(consequence.gas_fraction) + ", above its IDLH" + when;
    case Subject::source:
      return "ignitable at \"" + label(site, *consequence.release) + "\"" + when;
    case Subject::oxygen:
      return "oxygen " + percent_of_oxygen(consequence.oxygen, site.criteria) + when;
    case Subject::pressure:
      return "pressure " + format_quantity(consequence.pressure, "kPa", 4, site.conditions.units) + when;
    default:
      return percent_of_limit(consequence.lfl_fraction, site.criteria) + " of the lower flammable limit" + when;
  }
}

std::string spaces_words(const Site& site, const std::vector<SpaceIndex>& spaces) {
  std::string out;
  for (std::size_t i = 0; i < std::min(most_named, spaces.size()); ++i)
    out += (i > 0 ? ", " : "") + label(site, spaces[i]);
  if (spaces.size() > most_named) out += " and " + std::to_string(spaces.size() - most_named) + " more";
  return out;
}

/// "Store draws 150 m3/h through leaks".
std::string leak_words(const Site& site, const std::vector<LeakReliance>& leaks) {
  std::string out;
  for (std::size_t i = 0; i < std::min(most_named, leaks.size()); ++i) {
    out += (i > 0 ? ", " : "") + label(site, leaks[i].space) + " draws " + hourly(site, leaks[i].inflow);
  }
  if (leaks.size() > most_named) out += ", " + std::to_string(leaks.size() - most_named) + " more spaces draw air";
  return out + " through leaks that the file does not have";
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

void put_consequence(TextPage& page, const Site& site, const FailureStudy& study, const FailureGroup& group,
                     std::size_t rank) {
  const FailureOutcome& first = study.outcomes[group.outcomes.front()];
  const Consequence& worst = first.consequences.front();
  page.line("");
  page.paragraph(page.severity(worst.severity) + "  " + page.bold(label(site, worst.space)) + ": " +
                     consequence_words(site, worst),
                 (rank < 10 ? " " : "") + std::to_string(rank) + "  ");
  page.remark("When", group_words(site, study, group) + ".");
  if (first.consequences.size() > 1) {
    std::string others;
    for (std::size_t i = 1; i < std::min(most_named, first.consequences.size()); ++i) {
      const Consequence& h = first.consequences[i];
      const bool of_fuel = h.subject == Subject::fuel;
      others += (i > 1 ? "; " : "") + label(site, h.space) + " (" +
                (of_fuel ? std::string{word_of(h.severity)} + ", " : std::string{}) + consequence_words(site, h) + ")";
    }
    if (first.consequences.size() > most_named)
      others += "; and " + std::to_string(first.consequences.size() - most_named) + " more";
    page.remark("Also", others + ".");
  }
  if (!first.starved.empty()) page.remark("Fans that then get too little air", fans_words(site, first.starved) + ".");
  if (worst.starts && *worst.starts > 0.0) {
    page.remark("Worst", "when the release starts at " + format_duration(*worst.starts) +
                             ", on top of the gas that is there by then.");
  }
  if (!first.unreached.empty()) {
    page.remark("Without a way out for gas", spaces_words(site, first.unreached) + ".");
  }
  if (!first.leaks.empty()) {
    page.remark("Rests on an assumed leak", leak_words(site, first.leaks) + ". Without these leaks it is worse.");
  }
}

std::string span_words(const Site& site, const FailureStudy& study) {
  if (!study.in_time) return "in steady state alone";
  const std::string time = site.criteria.open_ended ? "until the gas no longer changes"
                                                    : "over the first " + format_duration(site.criteria.horizon);
  const std::string both = time + " and in steady state";
  return study.pairs && !study.pairs_in_time ? both + ", the pairs in steady state alone" : both;
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

/// What is there already with nothing failed.
void put_normal(TextPage& page, const Site& site, const FailureStudy& study, bool several) {
  if (several) {
    page.heading("In the case " + label(site, study.case_index));
  } else {
    page.line("");
  }
  if (study.normal.empty()) {
    page.paragraph("With nothing failed there is no warning.");
  } else {
    page.paragraph("With nothing failed there " + std::string{study.normal.size() == 1 ? "is" : "are"} + " already " +
                   count_of(study.normal.size(), "warning") + ", the worst in " +
                   label(site, study.normal.front().space) + ": " + consequence_words(site, study.normal.front()) +
                   ". The list below has only what a failure makes worse.");
  }
  if (!study.starved.empty()) {
    std::vector<AirwayIndex> fans;
    for (const StarvedFan& fan : study.starved) fans.push_back(fan.fan);
    page.paragraph("With nothing failed " + fans_words(site, fans) + (fans.size() == 1 ? " gets" : " get") +
                   " too little air already (leanside check says what helps).");
  }
  page.list("Leaks that are assumed, and that may fail as well", assumed_leaks(site, study));
}

/// Groups without consequence, by what is to be said of them.
struct Quiet {
  std::vector<std::string> harmless, faults, unreached, leaking, starved;
};

/// Sorts a group without consequence in.
void sort_in(const Site& site, const FailureStudy& study, const FailureGroup& group, Quiet& quiet) {
  const FailureOutcome& first = study.outcomes[group.outcomes.front()];
  const std::string words = group_words(site, study, group);
  if (!first.fault.empty()) {
    quiet.faults.push_back(words + ": " + plain_text(first.fault));
  } else if (!first.starved.empty()) {
    quiet.starved.push_back(words + ": too little air for " + fans_words(site, first.starved));
  } else if (!first.unreached.empty()) {
    quiet.unreached.push_back(words + ": gas that gets into " + spaces_words(site, first.unreached) +
                              " has no way out any more");
  } else if (!first.leaks.empty()) {
    quiet.leaking.push_back(words + ": " + leak_words(site, first.leaks) +
                            ". Without these leaks it gets less air, and warnings may become worse");
  } else {
    for (const std::size_t k : group.outcomes) quiet.harmless.push_back(outcome_words(site, study, study.outcomes[k]));
  }
}

void put_quiet(TextPage& page, const Quiet& quiet) {
  page.list("No warning about gas gets worse, but a fan gets too little air", quiet.starved);
  page.list("Not judged safe: rests on an assumed leak", quiet.leaking);
  page.list("No warning, but no way out for gas", quiet.unreached);
  page.list("Could not be computed as the file has it", quiet.faults);
  if (quiet.harmless.empty()) return;
  constexpr std::size_t most = 20;
  page.heading("No warning gets worse when one of these fails: " + std::to_string(quiet.harmless.size()));
  std::string text;
  for (std::size_t i = 0; i < std::min(most, quiet.harmless.size()); ++i)
    text += (i > 0 ? "; " : "") + quiet.harmless[i];
  if (quiet.harmless.size() > most) text += "; and " + std::to_string(quiet.harmless.size() - most) + " more";
  page.paragraph(text + ".", " ");
}

/// The groups of singles, then, under a heading of their own, those of pairs.
void put_groups(TextPage& page, const Site& site, const FailureStudy& study) {
  const std::size_t most = study.case_index == CaseIndex{0} ? told_in_full : told_of_others;
  std::size_t rank = 0;
  for (const bool pairs : {false, true}) {
    Quiet quiet;
    std::size_t shown = 0, harmful = 0, groups = 0;
    for (const FailureGroup& group : study.groups) {
      const FailureOutcome& first = study.outcomes[group.outcomes.front()];
      if ((first.failures.size() > 1) != pairs) continue;
      ++groups;
      ++rank;
      if (first.consequences.empty()) {
        sort_in(site, study, group, quiet);
        continue;
      }
      if (pairs && groups == 1) page.heading("Two at a time, worse than each of them alone");
      ++harmful;
      if (++shown <= most) put_consequence(page, site, study, group, rank);
    }
    if (harmful > most) {
      page.line("");
      page.paragraph("and " + std::to_string(harmful - most) + " more effects (--format json has all).", " ");
    }
    if (harmful == 0 && !pairs) {
      page.line("");
      page.paragraph(
          quiet.leaking.empty() && quiet.faults.empty() && quiet.starved.empty()
              ? "None of them causes a warning or makes one worse. That does not prove that the site is safe: only the "
                "releases, openings and fans of the file were tried."
              : "None of those that could be judged causes a warning or makes one worse. Some could not be judged: see "
                "below.");
    }
    put_quiet(page, quiet);
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
    page.list("Spaces that depend on one fan for all their fresh air", hanging);
  }
  page.list("Assumptions", failure_assumptions(site, studies));
  page.put_caution();
  return page.text();
}

}  // namespace leanside
