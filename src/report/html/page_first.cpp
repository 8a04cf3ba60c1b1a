// SPDX-License-Identifier: Apache-2.0
/// The first side, which can stand alone: what is wrong, what to do and who did it, where, and how far the answer goes.
#include <algorithm>

#include <fmt/format.h>

#include "base/text/lists.hpp"
#include "base/text/plain.hpp"
#include "report/html/html.hpp"
#include "report/html/page_parts.hpp"
#include "report/svg/svg_site.hpp"
#include "report/words/findings.hpp"
#include "report/words/first_lines.hpp"
#include "report/words/words.hpp"

namespace leanside::report::page {
namespace {

/// Lines of text that fit on one side of A4 beside the smallest picture and the fixed parts (heading, caution,
/// fields), and letters in one of them, at the size that the style sheet gives them on paper. Counted, not measured: a
/// test prints every example.
constexpr std::size_t lines_on_paper = 31, letters_in_line = 98;
constexpr std::size_t lines_of_finding = 1;  ///< its heading, with the fields to fill in
constexpr std::size_t lines_of_line = 2;     ///< of a finding in its short form
constexpr std::size_t most_in_lines = 4, most_items = 3, most_starved = 2;
constexpr std::size_t most_items_of_few = 9;  ///< of each list, where the findings leave room for more than most_items
/// Spaces in the picture of the first side: more would be too small to read on paper.
constexpr std::size_t most_drawn = 4, fewest_drawn = 3;
/// Lines of text in whose place a picture of `most_drawn` spaces can be read.
constexpr std::size_t lines_of_picture = 6;

std::size_t lines_of(const std::string& text) { return 1 + text.size() / letters_in_line; }

/// The words of a finding; names without end are cut, lest they push the rest off the side.
FindingWords words_of(const Sources& from, std::size_t k) {
  constexpr std::size_t longest_place = 150, longest = 700;
  FindingWords out = finding_words(from.site, from.assessment, from.assessment.findings[k]);
  out.where = cut(out.where, longest_place, true);
  out.when = cut(out.when, longest, true);
  out.act = cut(out.act, longest, true);
  return out;
}

/// Lines of a finding in full.
std::size_t lines_of(const FindingWords& words) {
  constexpr std::size_t letters_of_fields = 45;
  return lines_of_finding + (words.where.size() + letters_of_fields) / letters_in_line + lines_of(words.when) +
         lines_of(words.act);
}

std::string fields(std::initializer_list<std::string_view> names) {
  std::string out = "<p class=\"fields\">";
  for (const std::string_view name : names) {
    out += "<span>" + html::text(name) + " <i class=\"blank\"></i></span> ";
  }
  return out + "</p>\n";
}

std::string finding_item(const Sources& from, std::size_t k, const FindingWords& words) {
  const PageWords& w = from.words;
  const bool linked = !from.options.summary && k < depth_of(from).sections;
  const std::string where = html::text(words.where);
  std::string out = fmt::format("<li class=\"s-{}\"><div class=\"top\"><h3><span class=\"rank\">{}</span> {} {}</h3>\n",
                                word_of(words.severity), k + 1, html::badge(from.site, words.severity),
                                linked ? fmt::format("<a href=\"#f{}\">{}</a>", k + 1, where) : where);
  out += fields({w.done_by, w.done_on}) + "</div>\n";
  out += "<p><b>" + html::text(w.when) + "</b> " + html::text(words.when) + "</p>\n";
  return out + "<p class=\"do\"><b>" + html::text(w.act) + "</b> " + html::text(words.act) + "</p></li>\n";
}

/// What to do first, in a line.
std::string first_act(const std::string& act) {
  constexpr std::size_t longest = 95;
  std::size_t end = std::min({act.find(". "), act.find("; "), act.size()});
  // What stands behind a colon only says why, or how.
  if (end > longest) end = std::min(end, act.find(": "));
  return cut(act.substr(0, end), longest, true);
}

std::string finding_line(const Sources& from, std::size_t k, const FindingWords& words) {
  const std::string where = html::text(words.where);
  const bool linked = !from.options.summary && k < depth_of(from).sections;
  std::string out = fmt::format("<li class=\"short\"><span><span class=\"rank\">{}</span> {} {}</span> {}", k + 1,
                                html::badge(from.site, words.severity),
                                linked ? fmt::format("<a href=\"#f{}\">{}</a>", k + 1, where) : where,
                                fields({from.words.done_by, from.words.done_on}));
  return out + "<p class=\"do\"><b>" + html::text(from.words.act) + "</b> " + html::text(first_act(words.act)) +
         "</p></li>\n";
}

/// The findings: in full as many as `room` lines take, at least one; then a line each; then a number. `lines` is what
/// they take.
std::string finding_list(const Sources& from, std::size_t room, std::size_t& lines) {
  const auto& all = from.assessment.findings;
  lines = 0;
  if (all.empty()) return {};
  const PageWords& w = from.words;
  std::string out = "<h2>" + html::text(w.what_to_do) + "</h2>\n<ol class=\"actions\">\n";
  std::size_t k = 0, used = 0;
  for (; k < all.size(); ++k) {
    const FindingWords words = words_of(from, k);
    const std::size_t rest = all.size() - k - 1, with_it = used + lines_of(words);
    if (k > 0 && with_it + lines_of_line * std::min(rest, most_in_lines + 1) > room) break;
    used = with_it;
    out += finding_item(from, k, words);
  }
  const std::size_t last = all.size() - k <= most_in_lines + 1 ? all.size() : k + most_in_lines;
  lines = used + lines_of_line * (last - k) + (last < all.size() ? 1 : 0);
  for (; k < last; ++k) out += finding_line(from, k, words_of(from, k));
  out += "</ol>\n";
  if (k < all.size()) out += "<p class=\"more\">" + html::text(said(w.more_findings, all.size() - k)) + "</p>\n";
  return out;
}

std::string list_of(std::string_view title, const std::vector<std::string>& items, std::size_t most,
                    const PageWords& w) {
  if (items.empty()) return {};
  const std::size_t shown = items.size() <= most + 1 ? items.size() : most;
  std::string out = "<h2>" + html::text(title) + "</h2>\n<ul>\n";
  constexpr std::size_t longest = 400;
  for (std::size_t i = 0; i < shown; ++i) out += "<li>" + html::sentence(cut(items[i], longest, true)) + "</li>\n";
  out += "</ul>\n";
  if (shown < items.size()) out += "<p class=\"more\">" + html::text(said(w.more, items.size() - shown)) + "</p>\n";
  return out;
}

std::string starved_list(const Sources& from, const std::vector<StarvedWords>& starved) {
  std::vector<std::string> items;
  for (const StarvedWords& fan : starved) items.push_back(fan.title + ". " + fan.what + " " + fan.help);
  return list_of(from.words.starved_fans, items, most_starved, from.words);
}

/// The whole of a small site, else what lies around a space.
std::vector<SpaceIndex> drawn_spaces(const Sources& from, const CaseResult& result, SpaceIndex centre,
                                     std::size_t most) {
  return from.site->spaces.size() <= most ? all_spaces(from.site) : neighbourhood(from.site, result, centre, most);
}

/// `room`: the lines of text that could stand in their place, beyond the smallest picture.
std::string figures(const Sources& from, std::size_t room) {
  const std::size_t most = room < lines_of_picture ? fewest_drawn : most_drawn;
  const CaseResult& first = from.assessment.cases.front();
  std::string out;
  if (!from.assessment.findings.empty()) {
    const Warning& worst = from.assessment.warnings[from.assessment.findings.front().warnings.front()];
    out = side_figure(from, worst, "first");
    const CaseResult& result = result_of(from.assessment, worst.case_index);
    const auto shown = drawn_spaces(from, result, worst.space, most);
    // Of an apparatus it matters when its content burns; the few rooms around it are in the section on ventilation.
    const std::string states = states_figure(from, worst);
    if (!states.empty()) {
      out += states;
    } else if (shown.size() > 1) {
      out += site_figure(from, result, shown);
    }
  } else if (!from.site->spaces.empty()) {
    out = site_figure(from, first, drawn_spaces(from, first, SpaceIndex{0}, most));
  }
  return out.empty() ? out : "<div class=\"figures\">\n" + out + "</div>\n";
}

std::string scope(const Sources& from) {
  const PageWords& w = from.words;
  const std::size_t cases = from.assessment.cases.size();
  std::string out =
      said(w.scope, from.site.count(from.site->spaces.size(), Phrase::one_space, Phrase::spaces),
           from.site.count(cases, Phrase::one_case, Phrase::cases), span_words(from.site, from.assessment));
  if (!from.run.cases_left_out.empty()) out += " " + said(w.cases_left_out, from.site.listed(from.run.cases_left_out));
  return "<p class=\"scope\">" + html::text(out) + " " + html::text(w.not_judged_ever) + "</p>\n";
}

std::vector<std::string> assumed(const Sources& from) {
  std::vector<std::string> out = leading_assumptions(from.site, from.assessment);
  for (std::string& one : out) one += ".";
  return out;
}

/// Lines of the first finding and of what is said of the others.
std::size_t needed_by_first(const Sources& from) {
  const auto& all = from.assessment.findings;
  if (all.empty()) return 0;
  return lines_of(words_of(from, 0)) + lines_of_line * std::min(all.size() - 1, most_in_lines + 1);
}

/// Lines of the two lists at the foot with `most` items each; they stand beside one another.
std::size_t lines_of_lists(const std::vector<std::string>& open, const std::vector<std::string>& assumed,
                           std::size_t most) {
  std::size_t lines = 6;
  for (const auto* list : {&open, &assumed}) {
    for (std::size_t i = 0; i < std::min(list->size(), most + 1); ++i) lines += lines_of((*list)[i] + (*list)[i]);
  }
  return (lines + 1) / 2;
}

}  // namespace

std::string first_page(const Sources& from) {
  const PageWords& w = from.words;
  const auto starved = starved_words(from.site, from.assessment);
  constexpr std::size_t longest = 400;
  const std::string verdict = cut(verdict_words(from.site, from.assessment, starved), longest, true);
  std::vector<std::string> open = open_items(from.site, from.assessment);
  for (std::string& one : air_notices(from.site, from.assessment)) open.push_back(std::move(one));
  std::vector<std::string> assumptions = assumed(from);
  std::size_t taken = 2 * lines_of(verdict);
  for (std::size_t i = 0; i < std::min(starved.size(), most_starved); ++i) {
    taken += lines_of(starved[i].title + starved[i].what + starved[i].help);
  }
  const std::size_t needed = needed_by_first(from);
  std::size_t most = most_items;
  while (most > 1 && taken + lines_of_lists(open, assumptions, most) + needed > lines_on_paper) --most;
  const std::size_t fixed = taken + lines_of_lists(open, assumptions, most);
  std::size_t lines = 0;
  const std::string findings = finding_list(from, fixed < lines_on_paper ? lines_on_paper - fixed : 0, lines);
  taken += lines;
  while (most < most_items_of_few &&
         taken + lines_of_picture + lines_of_lists(open, assumptions, most + 1) <= lines_on_paper) {
    ++most;
  }
  taken += lines_of_lists(open, assumptions, most);
  std::string out = "<section id=\"verdict\"><p class=\"verdict\">" + html::text(verdict) + "</p>\n";
  out += starved_list(from, starved) + findings + figures(from, taken < lines_on_paper ? lines_on_paper - taken : 0);
  out += "<div class=\"limits\">\n" + scope(from) + list_of(w.also_open, open, most, w) +
         list_of(w.assumed_first, assumptions, most, w) + "</div>\n";
  out += "<aside class=\"caution\" aria-label=\"" + html::text(w.caution) + "\"><p><b>" + html::text(w.caution) +
         "</b> " + html::text(from.site.text(Phrase::caution)) + "</p></aside>\n";
  return out + fields({w.read_by, w.read_on, w.check_again}) + "</section>\n";
}

}  // namespace leanside::report::page
