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
#include "report/words/site_groups.hpp"
#include "report/words/words.hpp"

namespace leanside {
namespace {

using namespace report;

constexpr std::size_t most_named = 8;  ///< in one list within a sentence

/// How much of each part the text shows; less for a large site or many cases.
struct Lengths {
  std::size_t in_full = 15;   ///< groups of singles, and of pairs, of the first case
  std::size_t of_others = 5;  ///< the same of each other case
  std::size_t items = 12;     ///< of each list
  std::size_t assumptions = 1000;
};

Lengths lengths_for(const Site& site) {
  constexpr std::size_t large = 100;
  return site.spaces.size() > large ? Lengths{5, 1, 3, 8} : Lengths{};
}

/// The first of a list, and how many more there are.
std::vector<std::string> first_of(std::vector<std::string> items, std::size_t most) {
  if (items.size() <= most + 1) return items;
  const std::size_t left = items.size() - most;
  items.resize(most);
  items.push_back("and " + std::to_string(left) + " more (--format json has all)");
  return items;
}

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

/// `in_time`: whether more than the steady state was computed.
std::string consequence_words(const Site& site, const Consequence& consequence, bool in_time) {
  const std::string when = consequence.time || in_time ? time_words(consequence) : " in steady state";
  switch (consequence.subject) {
    case Subject::toxic:
      return plain_text(site.gases[consequence.gas->value].substance.id) + " at " +
             concentration_words(consequence.gas_fraction) + ", above its IDLH" + when;
    case Subject::source:
      return "ignitable at \"" + label(site, *consequence.release) + "\"" + when;
    case Subject::oxygen:
      return "oxygen " + percent_of_oxygen(site, consequence.oxygen) + when;
    case Subject::pressure:
      return "pressure " + format_quantity(consequence.pressure, "kPa", 4, site.conditions.units) + when;
    default:
      return percent_of_limit(site, consequence.lfl_fraction) + " of the lower flammable limit" + when;
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
                     consequence_words(site, worst, first.in_time),
                 (rank < 10 ? " " : "") + std::to_string(rank) + "  ");
  page.remark("When", group_words(site, study, group) + ".");
  if (first.consequences.size() > 1) {
    std::string others;
    for (std::size_t i = 1; i < std::min(most_named, first.consequences.size()); ++i) {
      const Consequence& h = first.consequences[i];
      const bool of_fuel = h.subject == Subject::fuel;
      others += (i > 1 ? "; " : "") + label(site, h.space) + " (" +
                (of_fuel ? std::string{word_of(h.severity)} + ", " : std::string{}) +
                consequence_words(site, h, first.in_time) + ")";
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
  const auto worst = [](std::size_t followed) {
    return followed == 0 ? std::string{} : ", the worst " + std::to_string(followed) + " over time as well";
  };
  if (!study.in_time) {
    return "in steady state" +
           (study.singles_followed + study.pairs_followed == 0
                ? " alone"
                : worst(study.singles_followed) +
                      (study.pairs_followed > 0 ? " and so the worst " + count_of(study.pairs_followed, "pair") : ""));
  }
  const std::string time = site.criteria.open_ended ? "until the gas no longer changes"
                                                    : "over the first " + format_duration(site.criteria.horizon);
  const std::string both = time + " and in steady state";
  if (!study.pairs || study.pairs_in_time) return both;
  return both + ", the pairs in steady state" + (study.pairs_followed == 0 ? " alone" : worst(study.pairs_followed));
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
                   label(site, study.normal.front().space) + ": " +
                   consequence_words(site, study.normal.front(), study.in_time) +
                   ". The list below has only what a failure makes worse.");
  }
  if (!study.starved.empty()) {
    std::vector<AirwayIndex> fans;
    for (const StarvedFan& fan : study.starved) fans.push_back(fan.fan);
    page.paragraph("With nothing failed " + fans_words(site, fans) + (fans.size() == 1 ? " gets" : " get") +
                   " too little air already (leanside check says what helps).");
  }
  page.list("Leaks that are assumed, and that may fail as well",
            first_of(assumed_leaks(site, study), lengths_for(site).items));
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

void put_quiet(TextPage& page, const Quiet& quiet, std::size_t most_items) {
  page.list("No warning about gas gets worse, but a fan gets too little air", first_of(quiet.starved, most_items));
  page.list("Not judged safe: rests on an assumed leak", first_of(quiet.leaking, most_items));
  page.list("No warning, but no way out for gas", first_of(quiet.unreached, most_items));
  page.list("Could not be computed as the file has it", first_of(quiet.faults, most_items));
  if (quiet.harmless.empty()) return;
  const std::size_t most = std::min<std::size_t>(20, 2 * most_items);
  page.heading("No warning gets worse when one of these fails: " + std::to_string(quiet.harmless.size()));
  std::string text;
  for (std::size_t i = 0; i < std::min(most, quiet.harmless.size()); ++i)
    text += (i > 0 ? "; " : "") + quiet.harmless[i];
  if (quiet.harmless.size() > most) text += "; and " + std::to_string(quiet.harmless.size() - most) + " more";
  page.paragraph(text + ".", " ");
}

/// The groups of singles, then, under a heading of their own, those of pairs.
void put_groups(TextPage& page, const Site& site, const FailureStudy& study) {
  const Lengths lengths = lengths_for(site);
  const std::size_t most = study.case_index == CaseIndex{0} ? lengths.in_full : lengths.of_others;
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
    put_quiet(page, quiet, lengths.items);
    if (pairs && study.pairs_not_compared > 0) {
      page.line("");
      page.paragraph(count_of(study.pairs_not_compared, "pair") + (study.pairs_not_compared == 1 ? " was" : " were") +
                         " not compared: one of the two could not be computed alone (see above).",
                     " ");
    }
  }
}

/// How many effects each floor and system has its worst consequence from.
void put_by_floor(TextPage& page, const Site& site, const FailureStudy& study) {
  const SiteGroups groups = site_groups(site);
  if (!groups.any()) return;
  std::vector<std::size_t> count(groups.names.size(), 0), order;
  std::vector<const FailureOutcome*> worst(groups.names.size(), nullptr);
  for (const FailureGroup& group : study.groups) {
    const FailureOutcome& first = study.outcomes[group.outcomes.front()];
    if (first.failures.size() > 1 || first.consequences.empty()) continue;
    const std::size_t place = groups.of_space[first.consequences.front().space.value];
    if (count[place] == 0) {
      worst[place] = &first;
      order.push_back(place);
    }
    count[place] += group.outcomes.size();
  }
  if (order.empty()) return;
  Table table{{{"where", false, true}, {"failures", true}, {"worst"}, {"in", false, true}, {"when", false, true}}, {}};
  constexpr std::size_t most = 8;
  for (std::size_t k = 0; k < std::min(most, order.size()); ++k) {
    const FailureOutcome& one = *worst[order[k]];
    const Consequence& consequence = one.consequences.front();
    table.rows.push_back({groups.names[order[k]], std::to_string(count[order[k]]),
                          std::string{word_of(consequence.severity)}, label(site, consequence.space),
                          outcome_words(site, study, one)});
  }
  page.heading("By floor and system, the worst first: how many failures do harm there");
  page.table(table);
  if (order.size() > most) {
    page.paragraph("Nothing worse in " + std::to_string(order.size() - most) + " more (--format json has all).", " ");
  }
}

}  // namespace

std::string failures_text(const Site& site, std::span<const FailureStudy> studies, const TextStyle& style) {
  TextPage page{style};
  put_head(page, site, studies);
  for (const FailureStudy& study : studies) {
    put_normal(page, site, study, studies.size() > 1);
    put_groups(page, site, study);
    if (study.case_index == studies.front().case_index) put_by_floor(page, site, study);
    std::vector<std::string> hanging;
    for (const FanDependence& dependence : study.dependences) {
      hanging.push_back(plain_text(site.airways[dependence.fan.value].id) + ": " +
                        spaces_words(site, dependence.spaces));
    }
    page.list("Spaces that depend on one fan for all their fresh air",
              first_of(std::move(hanging), lengths_for(site).items));
  }
  page.list("Assumptions", first_of(failure_assumptions(site, studies), lengths_for(site).assumptions));
  page.put_caution();
  return page.text();
}

}  // namespace leanside
