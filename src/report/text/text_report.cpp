// SPDX-License-Identifier: Apache-2.0
/// The answer for people: warnings first, then the tables that they rest on, then what was assumed, then the caution.
#include <algorithm>
#include <map>
#include <optional>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include "base/text/plain.hpp"
#include "leanside/report.hpp"
#include "report/text/text_page.hpp"
#include "report/text/text_tables.hpp"
#include "report/words/words.hpp"

namespace leanside {
namespace {

using namespace report;
using Page = TextPage;

/// Warnings told in full; where there are more, the others get a line each.
constexpr std::size_t told_in_full = 12;

void put_head(Page& page, const Site& site, const Assessment& assessment) {
  page.line(page.bold(plain_text(site.title)));
  std::string what = count_of(site.spaces.size(), "space") + ", " + count_of(assessment.cases.size(), "case");
  if (assessment.cases.size() == 1) what += " (" + label(site, assessment.cases.front().which) + ")";
  page.paragraph(what + ", " + span_words(site, assessment));
  const std::string by = "leanside " + std::string{version()};
  page.paragraph(site.file.empty() ? by : plain_text(site.file) + ", read by " + by);
}

/// What a word of severity means, for the line that counts them.
std::string meaning(const Site& site, Severity severity) {
  const std::string of_limit = " of the lower flammable limit)";
  switch (severity) {
    case Severity::flammable:
      return " (it can be ignited)";
    case Severity::rich:
      return " (it can be ignited once air gets in)";
    case Severity::margin:
      return " (" + percent(site.criteria.warn_at) + " or more" + of_limit;
    case Severity::oxygen:
      return " (outside " + percent(site.criteria.oxygen_low) + " to " + percent(site.criteria.oxygen_high) + ")";
    case Severity::pressure:
      return " (a sealed vessel gains 10 % or more)";
    case Severity::near_source:
      return " (it can be ignited at its source, whatever the average is)";
    case Severity::toxic:
      return " (above the IDLH: immediately dangerous to life or health)";
    case Severity::note:
      return " (" + percent(site.criteria.note_at) + " or more" + of_limit;
  }
  return {};
}

void put_no_warning(Page& page, const Site& site, const Assessment& assessment, bool starved) {
  const bool bare = assessment.not_judged.empty();
  page.paragraph(
      std::string{!bare     ? ""
                  : starved ? "No warning about gas with these fans. "
                            : "No warning. "} +
      "Checked: " + count_of(site.spaces.size(), "space") + " in " + count_of(assessment.cases.size(), "case") +
      " over " + span_words(site, assessment) + ", against " + percent(site.criteria.note_at) + " and " +
      percent(site.criteria.warn_at) + " of the lower flammable limit and oxygen from " +
      percent(site.criteria.oxygen_low) + " to " + percent(site.criteria.oxygen_high) +
      ". That is no proof of safety: it holds only for the releases, openings and fans in the file and for evenly "
      "mixed "
      "spaces" +
      std::string{has_layers(site) ? " and layers" : ""} + ". A release that nobody thought of is not in it.");
}

/// Where nothing is worse than a note, what the answer leaves open comes first; beside warnings it follows their count.
void put_headline(Page& page, const Site& site, const Assessment& assessment) {
  const bool only_notes = std::all_of(assessment.warnings.begin(), assessment.warnings.end(),
                                      [](const Warning& w) { return w.severity == Severity::note; });
  const std::string headline = only_notes ? headline_without_warning(site, assessment) : std::string{};
  if (!headline.empty()) page.paragraph(page.bold(headline));
}

void put_open(Page& page, const Site& site, const Assessment& assessment) {
  for (const std::string& sentence : open_sentences(site, assessment)) page.paragraph(sentence, " - ");
}

/// Notes on what is stored are about no gas in the air.
std::string stored_words(const Assessment& assessment) {
  const auto stored = std::count_if(assessment.warnings.begin(), assessment.warnings.end(),
                                    [](const Warning& warning) { return warning.storage.has_value(); });
  return stored == 0 ? "" : "; " + std::to_string(stored) + " on what is stored";
}

void put_counts(Page& page, const Site& site, const Assessment& assessment) {
  std::map<Severity, std::size_t> counts;
  for (const Warning& warning : assessment.warnings) ++counts[warning.severity];
  const std::size_t n = assessment.warnings.size();
  page.line(page.bold(count_of(n, "warning")) + (n == 1 ? ":" : ", the worst first:"));
  for (const auto& [severity, count] : counts) {
    std::string text = std::string{word_of(severity)} + meaning(site, severity);
    if (severity == Severity::note) text += stored_words(assessment);
    page.paragraph(text, padded(std::to_string(count), 6, true) + " ");
  }
}

/// Warnings told in full and where: one that says the same in another case only points there.
class Told {
 public:
  /// The rank under which the same was told of this space before; keeps `text` under `rank` where it is new.
  std::optional<std::size_t> before(SpaceIndex space, const std::string& text, std::size_t rank) {
    const auto [entry, is_new] = ranks_.try_emplace({space, text}, rank);
    return is_new ? std::nullopt : std::optional{entry->second};
  }

 private:
  std::map<std::pair<SpaceIndex, std::string>, std::size_t> ranks_;
};

void put_case_name(Page& page, const Site& site, const Warning& warning) {
  if (warning.which.value != 0) page.remark("In the case", label(site, warning.which));
}

/// Fans that get too little air: what is said of gas rests on them.
void put_starved(Page& page, const std::vector<StarvedWords>& fans) {
  for (const StarvedWords& fan : fans) {
    page.line("");
    page.paragraph(page.bold(fan.title));
    page.paragraph(fan.what, "    ");
    page.remark("What helps", fan.help);
  }
}

void put_in_full(Page& page, const Site& site, const Warning& warning, std::size_t rank, Told& told) {
  page.line("");
  page.line(padded(std::to_string(rank), 2, true) + "  " + page.severity(warning.severity) + "  " +
            page.bold(cut(label(site, warning.space), page.style().width - 16, page.style().unicode)));
  put_case_name(page, site, warning);
  const std::string what = capital(what_words(site, warning)) + ".";
  const std::string help = remedy_sentence(site, warning);
  if (const auto earlier = told.before(warning.space, what + help, rank)) {
    page.paragraph("The same as number " + std::to_string(*earlier) + ": " + worst_words(site, warning) + ".", "    ");
    return;
  }
  page.paragraph(what, "    ");
  page.remark("What helps", help);
  std::string ignition;
  for (const std::string& source : site.spaces[warning.space.value].ignition) {
    ignition += (ignition.empty() ? "" : ", ") + plain_text(source);
  }
  const bool said = warning.source.has_value();
  if (!ignition.empty() && !said && can_burn(site, warning)) page.remark("Ignition sources here", ignition + ".");
}

void put_warnings(Page& page, const Site& site, const Assessment& assessment) {
  const auto& warnings = assessment.warnings;
  const std::size_t full = std::min(warnings.size(), told_in_full);
  Told told;
  for (std::size_t i = 0; i < full; ++i) put_in_full(page, site, warnings[i], i + 1, told);
  if (full == warnings.size()) return;
  page.line("");
  const std::size_t rest = warnings.size() - full;
  page.line(rest == 1 ? "One more, in a line:" : "The other " + std::to_string(rest) + ", a line each:");
  page.table(warning_table(site, std::span{warnings}.subspan(full), full + 1));
}

void put_spaces(Page& page, const Site& site, const Assessment& assessment) {
  const bool brief = brief_tables(site, assessment);
  for (const CaseResult& result : assessment.cases) {
    page.heading("Spaces, % of the lower flammable limit" +
                 (assessment.cases.size() > 1 ? ": " + case_heading(site, result.which) : std::string{}));
    const SpaceTable spaces = space_table(site, assessment, result, brief);
    if (!spaces.table.rows.empty()) page.table(spaces.table);
    for (const std::string& foot : spaces.feet) page.paragraph(foot, " ");
  }
}

void put_layers(Page& page, const Site& site, const Assessment& assessment) {
  for (const CaseResult& result : assessment.cases) {
    const auto sentences = layer_sentences(site, result);
    if (sentences.empty()) continue;
    page.list("Layers" + (assessment.cases.size() > 1 ? ": " + case_heading(site, result.which) : std::string{}),
              sentences);
  }
}

void put_flows(Page& page, const Site& site, const Assessment& assessment) {
  const Table flows = flow_table(site, assessment);
  if (flows.rows.empty()) return;
  page.heading("Air flows at the start, m3/h" + (assessment.cases.size() > 1
                                                     ? ": " + case_heading(site, assessment.cases.front().which)
                                                     : std::string{}));
  page.table(flows);
  for (const std::string& sentence : flow_changes(site, assessment)) page.paragraph(sentence, " ");
}

}  // namespace

std::string text_report(const Site& given, const Assessment& assessment, const Diagnostics& notices,
                        const TextStyle& style) {
  const Site site = with_computed_time(given, assessment);
  Page page{style};
  put_head(page, site, assessment);
  page.line("");
  const auto starved = starved_words(site, assessment);
  if (!starved.empty()) {
    page.line(page.bold(count_of(starved.size(), "fan") + " cannot move the air that the file gives:"));
    put_starved(page, starved);
    page.line("");
  }
  put_headline(page, site, assessment);
  if (!assessment.warnings.empty()) put_counts(page, site, assessment);
  put_open(page, site, assessment);
  if (assessment.warnings.empty()) put_no_warning(page, site, assessment, !starved.empty());
  put_warnings(page, site, assessment);
  put_spaces(page, site, assessment);
  put_layers(page, site, assessment);
  put_flows(page, site, assessment);
  if (const Table limits = limit_table(site); !limits.rows.empty()) {
    page.heading("Flammable limits used, in air at 25 degC (docs/sources.md)");
    page.table(limits);
  }
  page.list("Assumptions", assumption_sentences(site, assessment));
  std::vector<std::string> noticed;
  for (const Diagnostic& notice : notices) {
    if (notice.gravity == Gravity::notice) noticed.push_back(plain_text(to_text(notice)));
  }
  page.list("Noticed in the file", noticed);
  page.put_caution();
  return page.text();
}

}  // namespace leanside
