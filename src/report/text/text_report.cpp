// SPDX-License-Identifier: Apache-2.0
/// The answer for people: the lines to act on, then every warning in full and the tables that they rest on, then what
/// was assumed, then the caution.
#include <algorithm>
#include <map>
#include <optional>
#include <set>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include "base/text/plain.hpp"
#include "leanside/report.hpp"
#include "report/text/first_screen.hpp"
#include "report/text/text_page.hpp"
#include "report/text/text_tables.hpp"
#include "report/words/experiments.hpp"
#include "report/words/words.hpp"

namespace leanside {
namespace {

using namespace report;
using Page = TextPage;

/// How much of each part the text shows; less for a large site.
struct Lengths {
  std::size_t warnings_in_full = 12;  ///< the others get a line each
  std::size_t warnings_in_a_line = 1000;
  std::size_t airways = 40, rows = 1000, items = 1000;
};
constexpr Lengths of_large_site{1, 2, 5, 4, 1};

/// The first of a list, and how many more there are.
std::vector<std::string> first_of(std::vector<std::string> items, std::size_t most) {
  if (items.size() <= most + 1) return items;
  const std::size_t left = items.size() - most;
  items.resize(most);
  items.push_back("and " + std::to_string(left) + " more (--format json has all)");
  return items;
}

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

void put_warnings(Page& page, const Site& site, const Assessment& assessment, const Lengths& lengths) {
  const auto& warnings = assessment.warnings;
  const std::size_t full = std::min(warnings.size(), lengths.warnings_in_full);
  Told told;
  for (std::size_t i = 0; i < full; ++i) put_in_full(page, site, warnings[i], i + 1, told);
  if (full == warnings.size()) return;
  page.line("");
  const std::size_t rest = warnings.size() - full, lines = std::min(rest, lengths.warnings_in_a_line);
  page.line(rest == 1       ? "One more, in a line:"
            : lines == rest ? "The other " + std::to_string(rest) + ", a line each:"
                            : "The next " + std::to_string(lines) + ", a line each:");
  page.table(warning_table(site, std::span{warnings}.subspan(full, lines), full + 1));
  if (lines < rest) {
    page.paragraph(
        "And " + std::to_string(rest - lines) + " more: `leanside export FILE --what warnings` writes all of them.",
        " ");
  }
}

/// The worst of all cases, then each floor and system in a row.
void put_worst_spaces(Page& page, const Site& site, const Assessment& assessment, const Lengths& lengths) {
  page.heading("The worst spaces, % of the lower flammable limit");
  page.table(worst_spaces_table(site, assessment, lengths.rows));
  page.paragraph("`--format csv` has every space in every case.", " ");
  std::set<std::string> told;
  for (const CaseResult& result : assessment.cases) {
    for (const std::string& sentence : without_steady_state(site, result)) {
      if (told.insert(sentence).second) page.paragraph(sentence, " ");
    }
  }
  Table groups = group_table(site, assessment);
  if (groups.rows.empty()) return;
  const std::size_t left = groups.rows.size() - std::min(groups.rows.size(), lengths.rows);
  groups.rows.resize(groups.rows.size() - left);
  page.heading("By floor and system, the worst first");
  page.table(groups);
  if (left > 0) page.paragraph("Nothing worse in " + std::to_string(left) + " more.", " ");
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

void put_layers(Page& page, const Site& site, const Assessment& assessment, const Lengths& lengths) {
  for (const CaseResult& result : assessment.cases) {
    const auto sentences = layer_sentences(site, result);
    if (sentences.empty()) continue;
    page.list("Layers" + (assessment.cases.size() > 1 ? ": " + case_heading(site, result.case_index) : std::string{}),
              first_of(sentences, lengths.items));
  }
}

void put_experiments(Page& page, const Site& site, const Assessment& assessment, const Lengths& lengths) {
  for (const CaseResult& result : assessment.cases) {
    page.list("Vessels" + (assessment.cases.size() > 1 ? ": " + case_heading(site, result.case_index) : std::string{}),
              first_of(experiment_sentences(site, result), lengths.items));
  }
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
  if (left > 0) page.paragraph("Of " + std::to_string(left) + " more it reaches less far (--format json).", " ");
  page.paragraph(
      "Estimates for still air and nothing in the way, good to about a quarter. Along a wall or against an "
      "obstacle gas can be ignited up to half as far again. Gas already in the space is counted.",
      " ");
}

/// One of each kind on a line, with how many there are of it: a large site leaks by assumption in hundreds of places.
void put_assumptions_in_brief(Page& page, const Site& site, const Assessment& assessment) {
  std::map<AssumptionKind, std::size_t> count;
  for (const Assumption& one : assessment.assumptions) ++count[one.kind];
  page.heading(count_of(assessment.assumptions.size(), "assumption") + " (--format json has all in full)");
  constexpr std::size_t bullet_and_count = 16;
  for (const Assumption& one : assessment.assumptions) {
    const std::size_t alike = std::exchange(count[one.kind], 0);
    if (alike == 0) continue;
    const std::size_t room = page.style().width - bullet_and_count;
    page.line(" - " + cut(assumption_sentence(site, one), room, page.style().unicode) +
              (alike > 1 ? " (" + std::to_string(alike) + " such)" : ""));
  }
}

void put_everything(Page& page, const Site& site, const Assessment& assessment, const Diagnostics& notices) {
  const bool brief = brief_tables(site, assessment);
  const Lengths lengths = brief ? of_large_site : Lengths{};
  page.heading("The run");
  page.paragraph(run_words(site, assessment) + ".");
  if (!assessment.warnings.empty()) {
    page.heading(count_of(assessment.warnings.size(), "warning") + " in full");
    put_warnings(page, site, assessment, lengths);
  }
  put_zones(page, site, assessment, lengths);
  if (brief) {
    put_worst_spaces(page, site, assessment, lengths);
  } else {
    put_spaces(page, site, assessment);
  }
  put_layers(page, site, assessment, lengths);
  put_experiments(page, site, assessment, lengths);
  put_flows(page, site, assessment, lengths);
  if (const Table limits = limit_table(site); !limits.rows.empty()) {
    page.heading("Flammable limits used, in air at " + format_quantity(298.15, "degC", 3, site.conditions.units) +
                 " (docs/sources.md)");
    page.table(limits);
  }
  if (brief) {
    put_assumptions_in_brief(page, site, assessment);
  } else {
    page.list("Assumptions", assumption_sentences(site, assessment));
  }
  std::vector<std::string> noticed;
  for (const Diagnostic& notice : notices) {
    if (notice.level == DiagnosticLevel::notice) noticed.push_back(plain_text(to_text(notice)));
  }
  page.list("Noticed in the file", first_of(std::move(noticed), lengths.items));
}

}  // namespace

std::string text_report(const Site& given, const Assessment& assessment, const Diagnostics& notices,
                        const TextStyle& style) {
  const Site site = with_computed_time(given, assessment);
  Page page{style};
  put_first_screen(page, site, assessment, notices);
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
