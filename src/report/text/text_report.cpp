// SPDX-License-Identifier: Apache-2.0
/// The answer for people: the lines to act on, then every warning in full and the tables that they rest on, then what
/// was assumed, then the caution.
#include <algorithm>
#include <map>
#include <optional>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include "base/text/plain.hpp"
#include "leanside/report.hpp"
#include "report/text/brief.hpp"
#include "report/text/first_screen.hpp"
#include "report/text/text_page.hpp"
#include "report/text/text_tables.hpp"
#include "report/words/experiments.hpp"
#include "report/words/words.hpp"

namespace leanside {
namespace {

using namespace report;
using Page = TextPage;

constexpr std::size_t warnings_in_full = 12;  ///< the others get a line each

/// How much of each part the text shows; less for a large site, so that all of it fits on two screens.
struct Lengths {
  std::size_t airways = 40, rows = 1000, items = 1000;
};
constexpr Lengths of_large_site{2, 2, 1};

/// "store.toml, 1 space, 1 case (normal), the first 8 h and the steady state, by leanside 0.2.0".
std::string run_words(const Site& site, const Assessment& assessment) {
  std::string what = site.file.empty() ? std::string{} : plain_text(site.file) + ", ";
  what += count_of(site.spaces.size(), "space") + ", " + count_of(assessment.cases.size(), "case");
  if (assessment.cases.size() == 1) what += " (" + label(site, assessment.cases.front().case_index) + ")";
  return what + ", " + span_words(site, assessment) + ", by leanside " + std::string{version()};
}

/// Warnings told in full and where: one that says the same in another case only points there.
class Told {
 public:
  /// The rank under which the same was said of this space before; keeps `text` under `rank` where it is new.
  std::optional<std::size_t> before(SpaceIndex space, const std::string& text, std::size_t rank) {
    const auto [entry, is_new] = ranks_.try_emplace({space, text}, rank);
    return is_new ? std::nullopt : std::optional{entry->second};
  }

 private:
  std::map<std::pair<SpaceIndex, std::string>, std::size_t> ranks_;
};

void put_case_name(Page& page, const Site& site, const Warning& warning) {
  if (warning.case_index.value != 0) page.remark("In the case", label(site, warning.case_index));
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
  page.heading(count_of(warnings.size(), "warning") + " in full");
  const std::size_t full = std::min(warnings.size(), warnings_in_full);
  Told told;
  for (std::size_t i = 0; i < full; ++i) put_in_full(page, site, warnings[i], i + 1, told);
  if (full == warnings.size()) return;
  page.line("");
  const std::size_t rest = warnings.size() - full;
  page.line(rest == 1 ? "One more, in a line:" : "The other " + std::to_string(rest) + ", a line each:");
  page.table(warning_table(site, std::span{warnings}.subspan(full), full + 1));
}

/// The worst of all cases, then each floor and system in a row.
void put_worst_spaces(Page& page, const Site& site, const Assessment& assessment, const Lengths& lengths) {
  page.heading("The worst spaces, % of the lower flammable limit");
  page.table(worst_spaces_table(site, assessment, lengths.rows));
  std::vector<std::string> unsteady;
  for (const CaseResult& result : assessment.cases) {
    for (std::string& sentence : without_steady_state(site, result)) {
      if (std::ranges::find(unsteady, sentence) == unsteady.end()) unsteady.push_back(std::move(sentence));
    }
  }
  for (const std::string& sentence : first_of(std::move(unsteady), lengths.items)) page.paragraph(sentence, " ");
  Table groups = group_table(site, assessment);
  if (groups.rows.empty()) {
    page.paragraph("`--format csv` has every space in every case.", " ");
    return;
  }
  const std::size_t left = groups.rows.size() - std::min(groups.rows.size(), lengths.rows + 1);
  groups.rows.resize(groups.rows.size() - left);
  page.heading("By floor and system, the worst first");
  page.table(groups);
  page.paragraph((left > 0 ? "Nothing worse in " + std::to_string(left) + " more. " : std::string{}) +
                     "`--format csv` has every space in every case.",
                 " ");
}

void put_spaces(Page& page, const Site& site, const Assessment& assessment) {
  for (const CaseResult& result : assessment.cases) {
    page.heading("Spaces, % of the lower flammable limit" +
                 (assessment.cases.size() > 1 ? ": " + case_heading(site, result.case_index) : std::string{}));
    const SpaceTable spaces = space_table(site, assessment, result);
    page.table(spaces.table);
    for (const std::string& foot : spaces.feet) page.paragraph(foot, " ");
  }
}

/// What is told of each case, under a heading with its name; of a large site only of the first case with anything.
void put_of_cases(Page& page, const Site& site, const Assessment& assessment, const Lengths& lengths,
                  const std::string& heading,
                  std::vector<std::string> (*sentences_of)(report::Told site, const CaseResult& result)) {
  std::size_t told = 0, left = 0;
  for (const CaseResult& result : assessment.cases) {
    auto sentences = sentences_of(site, result);
    if (sentences.empty()) continue;
    if (told++ >= lengths.rows) {
      ++left;
      continue;
    }
    page.list(heading + (assessment.cases.size() > 1 ? ": " + case_heading(site, result.case_index) : std::string{}),
              first_of(std::move(sentences), lengths.items));
  }
  if (left > 0) page.paragraph("The same of " + count_of(left, "more case") + ": --format json.", " ");
}

void put_flows(Page& page, const Site& site, const Assessment& assessment, const Lengths& lengths) {
  const Table flows = flow_table(site, assessment, lengths.airways);
  if (flows.rows.empty()) return;
  page.heading(
      "Air flows at the start, " + unit_words(site, "m3/h") +
      (assessment.cases.size() > 1 ? ": " + case_heading(site, assessment.cases.front().case_index) : std::string{}));
  page.table(flows);
  if (const std::string hint = airways_left_out(site, lengths.airways); !hint.empty()) page.paragraph(hint, " ");
  for (const std::string& sentence : first_of(flow_changes(site, assessment), lengths.items)) {
    page.paragraph(sentence, " ");
  }
}

/// Which of several zones: the release, how far its gas can be ignited, and when.
void put_zones(Page& page, const Site& site, const Assessment& assessment, const Lengths& lengths) {
  Table table = zone_table(site, assessment);
  if (table.rows.empty()) return;
  page.heading("Close to the releases");
  const std::size_t left = table.rows.size() - std::min(table.rows.size(), lengths.rows);
  table.rows.resize(table.rows.size() - left);
  page.table(table);
  page.paragraph(
      (left > 0 ? "Of " + std::to_string(left) + " more it reaches less far (--format json). " : std::string{}) +
          "Estimates for still air and nothing in the way, good to about a quarter. Along a wall or against an "
          "obstacle gas can be ignited up to half as far again. Gas already in the space is counted.",
      " ");
}

void put_noticed(Page& page, const Site& site, const Diagnostics& notices) {
  std::vector<std::string> noticed;
  for (const Diagnostic& notice : notices) {
    if (notice.level == DiagnosticLevel::notice) noticed.push_back(plain_text(to_text(notice)));
  }
  put_list_of(page, site, "Noticed in the file", noticed);
}

/// The tables that the warnings rest on.
void put_details(Page& page, const Site& site, const Assessment& assessment, bool brief) {
  const Lengths lengths = brief ? of_large_site : Lengths{};
  put_zones(page, site, assessment, lengths);
  if (brief) {
    put_worst_spaces(page, site, assessment, lengths);
  } else {
    put_spaces(page, site, assessment);
  }
  put_of_cases(page, site, assessment, lengths, "Layers", layer_sentences);
  put_of_cases(page, site, assessment, lengths, "Vessels", experiment_sentences);
  put_flows(page, site, assessment, lengths);
  if (const Table limits = limit_table(site); !limits.rows.empty()) {
    page.heading("Flammable limits used, in air at " + format_quantity(298.15, "degC", 3, site.conditions.units) +
                 " (docs/sources.md)");
    page.table(limits);
  }
}

void put_everything(Page& page, const Site& site, const Assessment& assessment, const Diagnostics& notices) {
  if (!brief_tables(site, assessment)) {
    page.heading("The run");
    page.paragraph(run_words(site, assessment) + ".");
    if (!assessment.warnings.empty()) put_warnings(page, site, assessment);
    put_details(page, site, assessment, false);
    page.list("Assumptions", assumption_sentences(site, assessment));
    put_noticed(page, site, notices);
    return;
  }
  page.line("");
  page.paragraph("Computed: " + run_words(site, assessment) + "; " + count_of(assessment.warnings.size(), "warning") +
                 (assessment.warnings.empty() ? "." : " (leanside export FILE --what warnings)."));
  put_details(page, site, assessment, true);
  put_assumptions_in_brief(page, site, assessment.assumptions);
  put_noticed(page, site, notices);
}

}  // namespace

std::string text_report(const Site& given, const Assessment& assessment, const Diagnostics& notices,
                        const TextStyle& style) {
  const Site site = with_computed_time(given, assessment);
  Page page{style};
  put_first_screen(page, site, assessment, notices, {style.full, brief_tables(site, assessment)});
  if (style.full) {
    put_everything(page, site, assessment, notices);
    page.put_caution();
  } else {
    page.line("");
    page.paragraph(std::string{caution()});
    page.paragraph("Computed: " + run_words(site, assessment) +
                   ". Everything: --full; a page to print: leanside report.");
  }
  return page.text();
}

}  // namespace leanside
