// SPDX-License-Identifier: Apache-2.0
/// The page as a whole: what it may load (nothing), its parts in their order.
#include <algorithm>
#include <map>

#include <fmt/format.h>

#include "base/text/lists.hpp"
#include "base/text/plain.hpp"
#include "embedded.hpp"
#include "report/html/html.hpp"
#include "report/html/page_parts.hpp"
#include "report/svg/svg_site.hpp"
#include "report/words/words.hpp"

namespace leanside {
namespace report::page {
namespace {

std::string contents(const Sources& from) {
  const PageWords& w = from.words;
  std::string out = "<nav aria-label=\"" + html::text(w.contents) + "\"><ul>\n";
  const auto entry = [&](std::string_view id, std::string_view words) {
    out += fmt::format("<li><a href=\"#{}\">{}</a></li>\n", id, html::text(words));
  };
  entry("verdict", w.first_side);
  if (from.options.summary) return out + "</ul></nav>\n";
  entry("chart", w.at_a_glance);
  if (!from.assessment.findings.empty()) entry("findings", w.findings);
  entry("inventory", w.inventory);
  entry("detectors", w.detectors);
  entry("air", w.ventilation);
  entry("taken", w.assumptions);
  entry("sources", w.sources);
  return out + "</ul></nav>\n";
}

/// Nothing is loaded and nothing runs: the page has its one style sheet, named by its digest, and an empty icon.
std::string head(const Sources& from, const std::string& title) {
  const std::string style = "\n" + std::string{embedded::page} + std::string{embedded::picture};
  return "<head>\n<meta charset=\"utf-8\">\n<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; "
         "style-src 'sha256-" +
         html::base64(sha256(style)) +
         "'; img-src data:; base-uri 'none'; form-action 'none'\">\n<meta name=\"viewport\" "
         "content=\"width=device-width, initial-scale=1\">\n<meta name=\"color-scheme\" content=\"light dark\">\n"
         "<meta name=\"generator\" content=\"leanside " +
         html::text(version()) + "\">\n<title>" + html::text(said(from.words.page_title, title)) +
         "</title>\n<link rel=\"icon\" href=\"data:,\">\n<style>" + style + "</style>\n</head>\n";
}

/// Spaces that share a name are told apart by their ids.
void tell_apart(std::vector<Space>& spaces) {
  std::map<std::string, std::size_t> count;
  for (const Space& space : spaces) ++count[space.name];
  for (Space& space : spaces) {
    if (!space.name.empty() && count[space.name] > 1) space.name += " (" + space.id + ")";
  }
}

}  // namespace

const CaseResult& result_of(const Assessment& assessment, CaseIndex case_index) {
  return *std::find_if(assessment.cases.begin(), assessment.cases.end(),
                       [&](const CaseResult& result) { return result.case_index == case_index; });
}

std::string file_of(const Sources& from) {
  const std::string& file = from.site->file;
  return file.empty() ? std::string{from.words.no_file} : file.substr(file.find_last_of('/') + 1);
}

std::string long_table(const Table& table, std::string_view caption, std::size_t rows_on_paper, bool first_is_head,
                       const PageWords& words) {
  constexpr std::size_t most_rows = 100;
  const std::size_t all = table.rows.size(), shown = std::min(all, most_rows);
  const auto rows = [&](std::size_t first, std::size_t last) {
    const auto at = [&](std::size_t i) { return table.rows.begin() + static_cast<std::ptrdiff_t>(i); };
    return html::table({table.columns, {at(first), at(last)}}, caption, first_is_head);
  };
  std::string out = rows(0, std::min(shown, rows_on_paper));
  if (shown > rows_on_paper) {
    out += "<p class=\"paper-only more\">" + html::text(said(words.not_on_paper, all - rows_on_paper)) + "</p>\n";
    out += "<div class=\"screen-only\">" + rows(rows_on_paper, shown) + "</div>\n";
  }
  if (shown < all) {
    out += "<p class=\"more screen-only\">" + html::text(said(words.rest_in_json, all - shown)) + "</p>\n";
  }
  return out;
}

}  // namespace report::page

std::vector<std::string> page_languages() { return report::languages(); }

std::string html_report(const Site& given, const Assessment& assessment, const Diagnostics& notices,
                        const CourseRecord& courses, const RunRecord& run, const PageOptions& options) {
  namespace html = report::html;
  using namespace report::page;
  Site site = report::with_computed_time(given, assessment);
  tell_apart(site.spaces);
  const report::Language& language = report::language_of(options.language);
  const report::PageWords& words = *language.page;
  const Sources from{report::Told{site, language}, assessment, notices, courses, run, options, words};
  constexpr std::size_t longest_heading = 160;
  const std::string title = report::cut(plain_text(site.title), longest_heading, true);
  // A title of several lines leaves less of the first side of paper.
  constexpr std::size_t title_in_a_line = 60;
  std::string out = fmt::format("<!DOCTYPE html>\n<html lang=\"{}\">\n", words.language) + head(from, title);
  const bool is_long = report::columns(title) > title_in_a_line;
  out += fmt::format("<body class=\"{}{}\">", options.summary ? "summary" : "whole", is_long ? " long-title" : "") +
         "\n<svg width=\"0\" height=\"0\" aria-hidden=\"true\" class=\"patterns\">\n" + report::svg_definitions() +
         "</svg>\n<div class=\"sheet\">\n";
  out += "<header><h1 dir=\"auto\">" + html::text(title) + "</h1>\n<p>" +
         html::text(report::said(words.made_from, file_of(from), version())) + "</p></header>\n";
  out += contents(from) + "<main>\n" + first_page(from);
  if (!options.summary) {
    out += chart(from) + findings(from) + inventory(from) + detectors(from) + ventilation(from) + assumptions(from) +
           sources(from);
  }
  return out + "</main>\n<footer><p>" + html::text(report::said(words.made_by, version())) +
         "</p></footer>\n</div>\n</body>\n</html>\n";
}

}  // namespace leanside
