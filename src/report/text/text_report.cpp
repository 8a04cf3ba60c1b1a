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
using P = Phrase;

constexpr std::size_t warnings_in_full = 12;  ///< the others get a line each

/// How much of each part the text shows; less for a large site, so that all of it fits on two screens.
struct Lengths {
  std::size_t airways = 40, rows = 1000, items = 1000;
};
constexpr Lengths of_large_site{2, 2, 1};

/// "store.toml, 1 space, 1 case (normal), the first 8 h and the steady state, by leanside 0.2.0".
std::string run_words(Told site, const Assessment& assessment) {
  const Slot spaces{"spaces", site.count(site->spaces.size(), P::one_space, P::spaces)};
  const Slot cases{"cases", site.count(assessment.cases.size(), P::one_case, P::cases)};
  const Slot span{"span", span_words(site, assessment)}, by{"version", std::string{version()}};
  const std::string run =
      assessment.cases.size() == 1
          ? site.tell(P::run_of_one_case,
                      {spaces, cases, {"case", label(site, assessment.cases.front().case_index)}, span, by})
          : site.tell(P::run_of_cases, {spaces, cases, span, by});
  return site->file.empty() ? run : site.tell(P::run_of_file, {{"file", plain_text(site->file)}, {"run", run}});
}

std::string warnings_counted(Told site, std::size_t n) { return site.count(n, P::one_warning, P::warnings); }

/// A heading, with the name of the case where there are several.
std::string heading_of(Told site, const Assessment& assessment, const std::string& heading, const CaseResult& result) {
  if (assessment.cases.size() < 2) return heading;
  return site.tell(P::head_case_added, {{"heading", heading}, {"case", case_heading(site, result.case_index)}});
}

/// Warnings told in full and where: one that says the same in another case only points there.
class Repeats {
 public:
  /// The rank under which the same was said of this space before; keeps `text` under `rank` where it is new.
  std::optional<std::size_t> before(SpaceIndex space, const std::string& text, std::size_t rank) {
    const auto [entry, is_new] = ranks_.try_emplace({space, text}, rank);
    return is_new ? std::nullopt : std::optional{entry->second};
  }

 private:
  std::map<std::pair<SpaceIndex, std::string>, std::size_t> ranks_;
};

void put_case_name(Page& page, Told site, const Warning& warning) {
  if (warning.case_index.value != 0) page.remark(site.tell(P::remark_case), label(site, warning.case_index));
}

void put_in_full(Page& page, Told site, const Warning& warning, std::size_t rank, Repeats& told) {
  page.line("");
  page.line(padded(std::to_string(rank), 2, true) + "  " + page.severity(warning.severity) + "  " +
            page.bold(cut(label(site, warning.space), page.style().width - 16, page.style().unicode)));
  put_case_name(page, site, warning);
  const std::string what = capital(what_words(site, warning)) + ".";
  const std::string help = remedy_sentence(site, warning);
  if (const auto earlier = told.before(warning.space, what + help, rank)) {
    page.paragraph(
        site.tell(P::same_as_number, {{"n", std::to_string(*earlier)}, {"worst", worst_words(site, warning)}}), "    ");
    return;
  }
  page.paragraph(what, "    ");
  page.remark(site.tell(P::what_helps), help);
  std::string ignition;
  for (const std::string& source : site->spaces[warning.space.value].ignition) {
    ignition += (ignition.empty() ? "" : ", ") + plain_text(source);
  }
  const bool said = warning.source.has_value();
  if (!ignition.empty() && !said && can_burn(site, warning))
    page.remark(site.tell(P::ignition_sources_here), ignition + ".");
}

void put_warnings(Page& page, Told site, const Assessment& assessment) {
  const auto& warnings = assessment.warnings;
  page.heading(site.tell(P::warnings_in_full, {{"warnings", warnings_counted(site, warnings.size())}}));
  const std::size_t full = std::min(warnings.size(), warnings_in_full);
  Repeats told;
  for (std::size_t i = 0; i < full; ++i) put_in_full(page, site, warnings[i], i + 1, told);
  if (full == warnings.size()) return;
  page.line("");
  const std::size_t rest = warnings.size() - full;
  page.line(rest == 1 ? site.tell(P::one_more_line) : site.tell(P::others_a_line_each, {{"n", std::to_string(rest)}}));
  page.table(warning_table(site, std::span{warnings}.subspan(full), full + 1));
}

/// The worst of all cases, then each floor and system in a row.
void put_worst_spaces(Page& page, Told site, const Assessment& assessment, const Lengths& lengths) {
  page.heading(site.tell(P::worst_spaces));
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
    page.paragraph(site.tell(P::csv_has_every_space), " ");
    return;
  }
  const std::size_t left = groups.rows.size() - std::min(groups.rows.size(), lengths.rows + 1);
  groups.rows.resize(groups.rows.size() - left);
  page.heading(site.tell(P::by_floor_and_system));
  page.table(groups);
  const std::string rest = site.tell(P::csv_has_every_space);
  page.paragraph(left > 0 ? site.tell(P::nothing_worse_in, {{"n", std::to_string(left)}, {"rest", rest}}) : rest, " ");
}

void put_spaces(Page& page, Told site, const Assessment& assessment) {
  for (const CaseResult& result : assessment.cases) {
    page.heading(heading_of(site, assessment, site.tell(P::spaces_in_percent), result));
    const SpaceTable spaces = space_table(site, assessment, result);
    page.table(spaces.table);
    for (const std::string& foot : spaces.feet) page.paragraph(foot, " ");
  }
}

/// What is told of each case, under a heading with its name; of a large site only of the first case with anything.
void put_of_cases(Page& page, Told site, const Assessment& assessment, const Lengths& lengths,
                  const std::string& heading,
                  std::vector<std::string> (*sentences_of)(Told site, const CaseResult& result)) {
  std::size_t told = 0, left = 0;
  for (const CaseResult& result : assessment.cases) {
    auto sentences = sentences_of(site, result);
    if (sentences.empty()) continue;
    if (told++ >= lengths.rows) {
      ++left;
      continue;
    }
    page.list(heading_of(site, assessment, heading, result), first_of(std::move(sentences), lengths.items));
  }
  if (left > 0) page.paragraph(site.count(left, P::same_of_one_case, P::same_of_cases), " ");
}

void put_flows(Page& page, Told site, const Assessment& assessment, const Lengths& lengths) {
  const Table flows = flow_table(site, assessment, lengths.airways);
  if (flows.rows.empty()) return;
  page.heading(heading_of(site, assessment, site.tell(P::flows_at_start, {{"unit", unit_words(site, "m3/h")}}),
                          assessment.cases.front()));
  page.table(flows);
  if (const std::string hint = airways_left_out(site, lengths.airways); !hint.empty()) page.paragraph(hint, " ");
  for (const std::string& sentence : first_of(flow_changes(site, assessment), lengths.items)) {
    page.paragraph(sentence, " ");
  }
}

/// Which of several zones: the release, how far its gas can be ignited, and when.
void put_zones(Page& page, Told site, const Assessment& assessment, const Lengths& lengths) {
  Table table = zone_table(site, assessment);
  if (table.rows.empty()) return;
  page.heading(site.tell(P::close_to_releases));
  const std::size_t left = table.rows.size() - std::min(table.rows.size(), lengths.rows);
  table.rows.resize(table.rows.size() - left);
  page.table(table);
  const std::string rest = site.tell(P::zone_estimates);
  page.paragraph(left > 0 ? site.tell(P::reaches_less_far, {{"n", std::to_string(left)}, {"rest", rest}}) : rest, " ");
}

void put_noticed(Page& page, Told site, const Diagnostics& notices) {
  std::vector<std::string> noticed;
  for (const Diagnostic& notice : notices) {
    if (notice.level == DiagnosticLevel::notice) noticed.push_back(plain_text(to_text(notice)));
  }
  put_list_of(page, site, site.tell(P::noticed_in_file), noticed);
}

/// The tables that the warnings rest on.
void put_details(Page& page, Told site, const Assessment& assessment, bool brief) {
  const Lengths lengths = brief ? of_large_site : Lengths{};
  put_zones(page, site, assessment, lengths);
  if (brief) {
    put_worst_spaces(page, site, assessment, lengths);
  } else {
    put_spaces(page, site, assessment);
  }
  put_of_cases(page, site, assessment, lengths, site.tell(P::layers), layer_sentences);
  put_of_cases(page, site, assessment, lengths, site.tell(P::vessels), experiment_sentences);
  put_flows(page, site, assessment, lengths);
  if (const Table limits = limit_table(site); !limits.rows.empty()) {
    const std::string at = format_quantity(298.15, "degC", 3, site->conditions.units);
    page.heading(site.tell(P::limits_used, {{"temperature", at}}));
    page.table(limits);
  }
}

void put_everything(Page& page, Told site, const Assessment& assessment, const Diagnostics& notices) {
  if (!brief_tables(site, assessment)) {
    page.heading(site.tell(P::the_run));
    page.paragraph(run_words(site, assessment) + ".");
    if (!assessment.warnings.empty()) put_warnings(page, site, assessment);
    put_details(page, site, assessment, false);
    page.list(site.tell(P::assumptions), assumption_sentences(site, assessment));
    put_noticed(page, site, notices);
    return;
  }
  page.line("");
  page.paragraph(site.tell(
      assessment.warnings.empty() ? P::computed_without_warning : P::computed_with_warnings,
      {{"run", run_words(site, assessment)}, {"warnings", warnings_counted(site, assessment.warnings.size())}}));
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
    page.paragraph(Told{site}.tell(P::computed_run, {{"run", run_words(site, assessment)}}));
  }
  return page.text();
}

}  // namespace leanside
