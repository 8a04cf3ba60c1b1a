// SPDX-License-Identifier: Apache-2.0
/// What a change did: words and tables.
#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include <fmt/format.h>

#include "base/text/plain.hpp"
#include "leanside/study/compare.hpp"
#include "report/text/text_page.hpp"
#include "report/words/study_words.hpp"
#include "report/words/words.hpp"

namespace leanside {
namespace {

using namespace report;

/// Sides of a comparison, side by side.
struct Both {
  const Site& site_before;
  const Assessment& before;
  const Site& site_after;
  const Assessment& after;
};

constexpr std::size_t most_lines = 40;  ///< of a table of spaces or flows

std::string time_words(const std::optional<double>& time) { return time ? format_duration(*time) : "never"; }

/// "passes 25 % after 2 h instead of never".
std::string aspect_words(const Both& both, const AspectChange& change) {
  const double before = change.before.value_or(0.0), after = change.after.value_or(0.0);
  switch (change.aspect) {
    case Aspect::severity:
      return "severity " + severity_word(before) + " -> " + severity_word(after);
    case Aspect::lfl_fraction:
      return "worst " + percent_of_limit(both.site_before, before) + " -> " + percent_of_limit(both.site_after, after);
    case Aspect::steady_state:
      return after > 0.5 ? "gas no longer gathers without end" : "gas now gathers without end";
    case Aspect::first_passage:
      return "first over the margin after " + time_words(change.before) + " -> " + time_words(change.after);
    case Aspect::flammable_time:
      return "flammable for " + format_duration(before) + " -> " + format_duration(after);
    case Aspect::oxygen:
      return "oxygen " + percent_of_oxygen(both.site_before, before) + " -> " +
             percent_of_oxygen(both.site_after, after);
    case Aspect::pressure:
      break;
  }
  return "pressure " + format_quantity(before, "kPa", 4, both.site_after.conditions.units) + " -> " +
         format_quantity(after, "kPa", 4, both.site_after.conditions.units);
}

void put_unmatched(std::vector<std::string>& out, const std::string& what, const Unmatched& unmatched) {
  if (!unmatched.added.empty()) out.push_back("only after: " + what + " " + joined(unmatched.added));
  if (!unmatched.removed.empty()) out.push_back("only before: " + what + " " + joined(unmatched.removed));
}

std::size_t count(const Comparison& comparison, Verdict verdict) {
  return static_cast<std::size_t>(std::count_if(comparison.changes.begin(), comparison.changes.end(),
                                                [&](const SpaceChange& c) { return c.verdict == verdict; }));
}

std::string first_sentence(const Comparison& c) {
  const std::size_t worse = count(c, Verdict::worse) + count(c, Verdict::mixed), better = count(c, Verdict::better);
  const auto appeared =
      std::count_if(c.warnings.begin(), c.warnings.end(), [](const WarningChange& w) { return !w.before; });
  const auto vanished =
      std::count_if(c.warnings.begin(), c.warnings.end(), [](const WarningChange& w) { return !w.after; });
  std::string out = c.anything_worse ? "Something got worse. " : "Nothing got worse. ";
  out += "Compared: each space in each case that both files have, " + std::to_string(c.compared) +
         " in all: " + std::to_string(worse) + " worse, " + std::to_string(better) + " better, " +
         std::to_string(c.compared - c.changes.size()) + " unchanged";
  const std::size_t others = c.changes.size() - worse - better;
  if (others > 0) out += ", " + std::to_string(others) + " different but neither better nor worse";
  return out + ". Warnings: " + std::to_string(appeared) + " appeared, " + std::to_string(vanished) + " vanished.";
}

std::string place_words(const Site& site, const Warning& w) {
  return label(site, w.space) + (w.case_index.value == 0 ? "" : ", case " + label(site, w.case_index));
}

void put_warnings(TextPage& page, const Both& both, const Comparison& comparison) {
  if (comparison.warnings.empty()) return;
  page.heading("Warnings that changed");
  Table table{{{"what", false, false},
               {"was", true, false},
               {"is", true, false},
               {"severity", false, false},
               {"where", false, true}},
              {}};
  const auto rank = [](const std::optional<std::size_t>& place) {
    return place ? std::to_string(*place + 1) : std::string{"-"};
  };
  for (const WarningChange& change : comparison.warnings) {
    const Warning* const a = change.before ? &both.before.warnings[*change.before] : nullptr;
    const Warning* const b = change.after ? &both.after.warnings[*change.after] : nullptr;
    std::string what = a == nullptr ? "appeared" : b == nullptr ? "vanished" : "moved";
    if (a != nullptr && b != nullptr && a->severity != b->severity) what = word_of(change.verdict);
    std::string severity{word_of(a != nullptr ? a->severity : b->severity)};
    if (a != nullptr && b != nullptr && a->severity != b->severity)
      severity += " -> " + std::string{word_of(b->severity)};
    const std::string where = b != nullptr ? place_words(both.site_after, *b) : place_words(both.site_before, *a);
    table.rows.push_back({what, rank(change.before), rank(change.after), severity,
                          where + (change.of_unmatched ? " (on one side only)" : "")});
  }
  page.table(table);
  page.paragraph("Numbers are ranks: 1 is the worst. A rank alone can move because others appeared or vanished.", " ");
  std::size_t told = 0;
  for (const WarningChange& change : comparison.warnings) {
    if (change.before || !change.after || told == 5) continue;
    const Warning& w = both.after.warnings[*change.after];
    page.line("");
    page.paragraph("New: " + summary_sentence(both.site_after, w), " ");
    page.paragraph("What helps: " + remedy_sentence(both.site_after, w), "   ");
    ++told;
  }
}

void put_spaces(TextPage& page, const Both& both, const Comparison& comparison) {
  if (comparison.changes.empty()) return;
  page.heading("Spaces that changed, % of the lower flammable limit at the worst");
  Table table{{{"verdict", false, false},
               {"case", false, true},
               {"space", false, true},
               {"before", true, false},
               {"after", true, false}},
              {}};
  std::vector<std::string> remarks;
  const bool one_case = both.site_after.cases.size() == 1 && both.site_before.cases.size() == 1;
  const std::size_t shown = std::min(comparison.changes.size(), most_lines);
  for (std::size_t i = 0; i < shown; ++i) {
    const SpaceChange& change = comparison.changes[i];
    const std::string case_index = label(both.site_after, change.case_after);
    const std::string space = label(both.site_after, change.space_after);
    table.rows.push_back({std::string{word_of(change.verdict)}, case_index, space,
                          percent_of_limit(both.site_before, change.lfl_before),
                          percent_of_limit(both.site_after, change.lfl_after)});
    std::string text = one_case ? fmt::format("{}: ", space) : fmt::format("{}, case {}: ", space, case_index);
    bool more = false;
    for (const AspectChange& aspect : change.aspects) {
      if (aspect.aspect == Aspect::lfl_fraction) continue;
      if (more) text += "; ";
      text += aspect_words(both, aspect);
      more = true;
    }
    if (more) remarks.push_back(text);
  }
  page.table(table);
  if (shown < comparison.changes.size()) {
    page.paragraph("and " + std::to_string(comparison.changes.size() - shown) + " more (--format json has all)", " ");
  }
  for (const std::string& text : remarks) page.paragraph(text, " - ");
}

/// "120", or "120 / 30" where air moves both ways.
std::string both_ways(const Site& site, double forward, double backward) {
  const std::string out = format_number(in_unit(site, forward, "m3/h"), 3);
  return backward > 0.0 ? out + " / " + format_number(in_unit(site, backward, "m3/h"), 3) : out;
}

void put_flows(TextPage& page, const Both& both, const Comparison& comparison) {
  if (comparison.flows.empty()) return;
  page.heading("Air flows at the start that changed, " + unit_words(both.site_after, "m3/h") + " (there / back)");
  Table table{{{"case", false, true},
               {"airway", false, true},
               {"from", false, true},
               {"to", false, true},
               {"before", true, false},
               {"after", true, false}},
              {}};
  const std::size_t shown = std::min(comparison.flows.size(), most_lines);
  for (std::size_t i = 0; i < shown; ++i) {
    const AirwayChange& change = comparison.flows[i];
    const Airway& airway = both.site_after.airways[change.airway_after.value];
    table.rows.push_back({label(both.site_after, change.case_after), plain_text(airway.id),
                          label(both.site_after, first_side(airway)), label(both.site_after, second_side(airway)),
                          both_ways(both.site_after, change.forward_before, change.backward_before),
                          both_ways(both.site_after, change.forward_after, change.backward_after)});
  }
  page.table(table);
  if (shown < comparison.flows.size()) {
    page.paragraph("and " + std::to_string(comparison.flows.size() - shown) + " more (--format json has all)", " ");
  }
}

}  // namespace

std::string comparison_text(const Site& site_before, const Assessment& before, const Site& site_after,
                            const Assessment& after, const Comparison& comparison, const TextStyle& style) {
  const Both both{site_before, before, site_after, after};
  TextPage page{style};
  page.line(page.bold("Before and after"));
  page.paragraph(plain_text(site_before.title) + " (" + plain_text(site_before.file) + ")", "before: ");
  page.paragraph(plain_text(site_after.title) + " (" + plain_text(site_after.file) + ")", "after:  ");
  page.line("");
  page.paragraph(first_sentence(comparison));
  std::vector<std::string> one_sided;
  put_unmatched(one_sided, "the spaces", comparison.spaces);
  put_unmatched(one_sided, "the airways", comparison.airways);
  put_unmatched(one_sided, "the releases", comparison.releases);
  put_unmatched(one_sided, "the cases", comparison.cases);
  page.list("On one side only", one_sided);
  std::vector<std::string> terms;
  for (const std::string& term : comparison.terms) terms.push_back(plain_text(term));
  page.list("Judged or computed on other terms, which alone can make a difference", terms);
  put_warnings(page, both, comparison);
  put_spaces(page, both, comparison);
  put_flows(page, both, comparison);
  page.list("Assumptions", joint_sentences(site_before, before, site_after, after));
  page.put_caution();
  return page.text();
}

}  // namespace leanside
