// SPDX-License-Identifier: Apache-2.0
/// How bad it gets in every space and every case, at a glance: a bar, a figure and letters for what is not a matter of
/// fire. Below it the figures themselves.
#include <algorithm>
#include <map>
#include <set>
#include <utility>

#include <fmt/format.h>

#include "base/text/plain.hpp"
#include "report/html/html.hpp"
#include "report/html/page_parts.hpp"
#include "report/text/text_tables.hpp"
#include "report/words/words.hpp"

namespace leanside::report::page {
namespace {

constexpr std::size_t most_cases = 7, most_spaces = 25, most_on_paper = 12;
/// With more spaces than this, a sentence below the chart names those with hardly any gas.
constexpr std::size_t most_in_rows = 8, most_low = 40;
constexpr double hardly = 0.01;          ///< of the lower limit
constexpr std::size_t cases_beside = 5;  ///< for so many there is room to write the figure beside its bar

class Chart {
 public:
  explicit Chart(const Sources& from) : from_{from} {
    for (const Warning& warning : from.assessment.warnings) {
      found_[{warning.case_index, warning.space}].insert(warning.severity);
    }
    choose_cases();
    choose_spaces();
  }

  std::string drawn() const {
    const PageWords& w = from_.words;
    std::string out = std::string{"<table class=\"chart"} + (cases_.size() <= cases_beside ? " few" : "") +
                      "\"><caption>" + html::text(w.chart_caption) + "</caption>\n<thead><tr><th scope=\"col\">" +
                      html::text(w.space) + "</th>";
    for (std::size_t k = 0; k < cases_.size(); ++k) {
      const std::string name = html::text(label(from_.site, cases_[k]->case_index));
      out += "<th scope=\"col\"><abbr title=\"" + name + "\">" + letter(k) + "</abbr></th>";
    }
    out += "</tr></thead>\n<tbody>\n";
    for (const std::size_t space : spaces_) out += row(space);
    out += "</tbody></table>\n<p class=\"foot\">";
    for (std::size_t k = 0; k < cases_.size(); ++k) {
      out += (k > 0 ? "; " : "") + std::string{"<b>"} + letter(k) + "</b> " +
             html::text(label(from_.site, cases_[k]->case_index));
    }
    out += ". " + html::text(w.chart_key) + "</p>\n";
    if (!low_.empty()) out += foot(said(w.chart_low_spaces, percent(hardly), from_.site.listed(low_)));
    if (left_out_spaces_ > 0) out += foot(said(w.chart_more_spaces, left_out_spaces_));
    if (left_out_cases_ > 0) out += foot(said(w.chart_more_cases, left_out_cases_));
    return out;
  }

 private:
  static std::string foot(const std::string& words) { return "<p class=\"foot\">" + html::text(words) + "</p>\n"; }
  static std::string letter(std::size_t k) { return std::string(1, static_cast<char>('A' + k)); }

  /// The worst severity (0 is the worst) and the highest share of the lower limit of a space in a case.
  std::pair<std::size_t, double> badness(const CaseResult& result, std::size_t space) const {
    const auto found = found_.find({result.case_index, SpaceIndex{space}});
    const auto severity = found == found_.end() ? static_cast<std::size_t>(Severity::note) + 1
                                                : static_cast<std::size_t>(*found->second.begin());
    return {severity, -result.spaces[space].worst.lfl_fraction};
  }

  /// The normal case, then those with the worst, as many as there is room for; in the order of the file.
  void choose_cases() {
    for (const CaseResult& result : from_.assessment.cases) cases_.push_back(&result);
    if (cases_.size() <= most_cases) return;
    const auto worst = [&](const CaseResult* result) {
      std::pair<std::size_t, double> out{100, 0.0};
      for (std::size_t i = 0; i < result->spaces.size(); ++i) out = std::min(out, badness(*result, i));
      return out;
    };
    std::stable_sort(cases_.begin() + 1, cases_.end(),
                     [&](const CaseResult* a, const CaseResult* b) { return worst(a) < worst(b); });
    left_out_cases_ = cases_.size() - most_cases;
    cases_.resize(most_cases);
    std::sort(cases_.begin(), cases_.end(),
              [](const CaseResult* a, const CaseResult* b) { return a->case_index < b->case_index; });
  }

  /// Spaces, the worst first. Where there are many, those with hardly any gas are only named.
  void choose_spaces() {
    std::vector<std::pair<std::pair<std::size_t, double>, std::size_t>> keyed;
    for (std::size_t i = 0; i < from_.site->spaces.size(); ++i) {
      if (from_.site->spaces[i].kind == SpaceKind::junction) continue;
      std::pair<std::size_t, double> worst{100, 0.0};
      for (const CaseResult& result : from_.assessment.cases) worst = std::min(worst, badness(result, i));
      keyed.emplace_back(worst, i);
    }
    std::stable_sort(keyed.begin(), keyed.end(), [](const auto& a, const auto& b) { return a.first < b.first; });
    for (const auto& [worst, space] : keyed) {
      const bool is_low = worst.first > static_cast<std::size_t>(Severity::note) && -worst.second < hardly;
      if (is_low && spaces_.size() >= most_in_rows && low_.size() < most_low) {
        low_.push_back(label(from_.site, SpaceIndex{space}));
      } else if (spaces_.size() < most_spaces) {
        spaces_.push_back(space);
      } else {
        ++left_out_spaces_;
      }
    }
  }

  std::string row(std::size_t space) const {
    const std::string name = cut(label(from_.site, SpaceIndex{space}), 40, true);
    std::string out = html::has_long_word(name) ? "<tr><th scope=\"row\" class=\"any\">" : "<tr><th scope=\"row\">";
    out += html::text(name) + "</th>";
    for (const CaseResult* result : cases_) out += cell(*result, space);
    return out + "</tr>\n";
  }

  std::string cell(const CaseResult& result, std::size_t space) const {
    const WorstOf& worst = result.spaces[space].worst;
    const std::string_view state = word_of(worst.state);
    constexpr double width = 46.0, limit = 36.0;
    const double length = std::min(limit * worst.lfl_fraction, width - 2.0);
    std::string out = fmt::format("<td class=\"st-{}\">", state);
    out += fmt::format(
        "<svg class=\"gauge\" viewBox=\"0 0 {0} 10\" width=\"{0}\" height=\"10\" aria-hidden=\"true\"><rect "
        "class=\"fill\" x=\"1\" y=\"1\" width=\"{1}\" height=\"8\" fill=\"url(#state-{2})\"/><rect class=\"bar\" "
        "x=\"1\" y=\"1\" width=\"{1}\" height=\"8\"/><path class=\"mark\" d=\"M{3} 0v10\"/></svg>",
        html::number(width), html::number(std::max(0.0, length)), state, html::number(limit + 1.0));
    const auto shown = worst.lfl_fraction > 0.0 ? percent_of_limit(from_.site, worst.lfl_fraction) : "-";
    out += "<span>" + html::text(shown) + "</span>";
    const std::string marks = marks_of(result, space);
    if (!marks.empty()) out += " <b>" + marks + "</b>";
    return out + "</td>";
  }

  std::string marks_of(const CaseResult& result, std::size_t space) const {
    const auto found = found_.find({result.case_index, SpaceIndex{space}});
    if (found == found_.end()) return {};
    std::string out;
    for (const auto& [severity, mark] :
         {std::pair{Severity::flammable, 'F'}, std::pair{Severity::pressure, 'P'}, std::pair{Severity::rich, 'R'},
          std::pair{Severity::near_source, 'S'}, std::pair{Severity::toxic, 'T'}, std::pair{Severity::margin, 'M'},
          std::pair{Severity::oxygen, 'O'}}) {
      if (found->second.count(severity) > 0) out += mark;
    }
    return out;
  }

  const Sources& from_;
  std::map<std::pair<CaseIndex, SpaceIndex>, std::set<Severity>> found_;
  std::vector<const CaseResult*> cases_;
  std::vector<std::size_t> spaces_;
  std::vector<std::string> low_;  ///< names of spaces with hardly any gas
  std::size_t left_out_spaces_ = 0, left_out_cases_ = 0;
};

/// The table of the spaces in each case; on paper that of the first case alone, the chart has the others.
std::string level_tables(const Sources& from) {
  const bool brief = brief_tables(from.site, from.assessment);
  std::string out;
  for (const CaseResult& result : from.assessment.cases) {
    const bool first = &result == &from.assessment.cases.front() && from.site->spaces.size() <= most_on_paper;
    const SpaceTable spaces = space_table(from.site, from.assessment, result, brief);
    const std::string name = said(from.words.levels, case_heading(from.site, result.case_index));
    out += std::string{first ? "<details>" : "<details class=\"screen-only\">"} + "<summary>" + html::text(name) +
           "</summary>\n";
    if (!spaces.table.rows.empty()) out += html::table(spaces.table, name);
    for (const std::string& sentence : spaces.feet) out += "<p class=\"foot\">" + html::sentence(sentence) + "</p>\n";
    out += "</details>\n";
  }
  return out;
}

}  // namespace

std::string chart(const Sources& from) {
  return "<section id=\"chart\"><h2>" + html::text(from.words.at_a_glance) + "</h2>\n" + Chart{from}.drawn() +
         level_tables(from) + "</section>\n";
}

}  // namespace leanside::report::page
