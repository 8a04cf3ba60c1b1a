// SPDX-License-Identifier: Apache-2.0
/// The page as a whole, and its first screen: verdict, ranked warnings, caution.
#include <algorithm>
#include <array>
#include <set>

#include <fmt/format.h>

#include "base/text/lists.hpp"
#include "base/text/plain.hpp"
#include "embedded.hpp"
#include "report/html/html.hpp"
#include "report/html/page_parts.hpp"
#include "report/svg/svg_site.hpp"
#include "report/text/text_tables.hpp"
#include "report/words/words.hpp"

namespace leanside {
namespace report::page {
namespace {

/// Spaces with a warning of one severity, in whatever case.
std::size_t spaces_with(const Assessment& assessment, Severity severity) {
  std::set<SpaceIndex> spaces;
  for (const Warning& warning : assessment.warnings) {
    if (warning.severity == severity) spaces.insert(warning.space);
  }
  return spaces.size();
}

std::string in_spaces(const Sources& from, Severity severity) {
  const std::size_t n = spaces_with(from.assessment, severity);
  const std::size_t all = from.site.spaces.size();
  if (all == 1) return "in the only space";
  return fmt::format("in {} of {} spaces", n, all);
}

/// In how many of the cases it is so; nothing where there is only one.
std::string cases_words(const Sources& from, Severity severity) {
  const std::size_t all = from.assessment.cases.size();
  if (all == 1) return {};
  std::set<CaseIndex> cases;
  for (const Warning& warning : from.assessment.warnings) {
    if (warning.severity == severity) cases.insert(warning.case_index);
  }
  return cases.size() == all ? fmt::format(", in each of {} cases", all)
                             : fmt::format(", in {} of {} cases", cases.size(), all);
}

/// A ruler from nothing to the limit and beyond, with the margin marked on it and the worst figure: where it lies tells
/// how bad it is, without colour.
std::string ruler(const Site& site, const Warning& warning) {
  if (subject_of(warning) != Subject::fuel) return {};
  constexpr double width = 130.0, limit = 104.0;
  const double at = std::min(limit * warning.lfl_fraction, width - 6.0);
  const double margin = std::min(limit * site.criteria.warn_at, limit);
  return fmt::format(
      "<svg class=\"ruler\" viewBox=\"0 0 {0} 18\" width=\"{0}\" height=\"18\" aria-hidden=\"true\"><path "
      "class=\"scale\" "
      "d=\"M1 13H{0}M1 9v8M{1} 9v8M{2} 5v12\"/><path class=\"worst\" d=\"M{3} 12l-5 -9h10z\"/></svg>",
      html::number(width), html::number(margin), html::number(limit), html::number(std::max(6.0, at)));
}

/// What the time of a warning is the time of: that of its threshold, which is not when the worst figure is reached.
std::string passes_words(const Site& site, const Warning& warning) {
  switch (warning.severity) {
    case Severity::flammable:
      return "can be ignited";
    case Severity::rich:
      return "too rich";
    case Severity::margin:
      return percent(site.criteria.warn_at) + " or more";
    case Severity::oxygen:
      return "outside its criteria";
    case Severity::pressure:
      return "10 % gained";
    case Severity::near_source:
      return "can be ignited at its source";
    case Severity::toxic:
      return "above the IDLH";
    case Severity::note:
      break;
  }
  return percent(site.criteria.note_at) + " or more";
}

/// "549 kPa at the worst; 10 % gained after 4 s".
std::string worst_and_when(const Site& site, const Warning& warning) {
  const std::string worst = worst_words(site, warning);
  if (!warning.time) return worst + " in steady state";
  return worst + " at the worst; " + passes_words(site, warning) +
         (*warning.time > 0.0 ? " after " + format_duration(*warning.time) : " from the start");
}

/// Entries of the list of warnings that are seen without opening it: the caution below has to stay in sight.
constexpr std::size_t ranked_at_once = 12;

std::string ranked_entry(const Sources& from, std::size_t i) {
  const Warning& warning = from.assessment.warnings[i];
  const std::string name = html::text(label(from.site, warning.space));
  std::string out = fmt::format("<li id=\"r{0}\" class=\"s-{1}\"><span class=\"rank\">{0}</span>{2}<span>", i + 1,
                                word_of(warning.severity), html::badge(warning.severity));
  out += i < told_in_full ? fmt::format("<a href=\"#w{}\">{}</a>", i + 1, name) : "<b>" + name + "</b>";
  if (warning.case_index.value != 0) out += " <i>" + html::text(label(from.site, warning.case_index)) + "</i>";
  out += " <span class=\"how\">" +
         html::text(warning.storage ? "on what is stored" : worst_and_when(from.site, warning)) + "</span></span>";
  if (i < told_in_full) out += ruler(from.site, warning);
  return out + "</li>\n";
}

std::string contents(const Sources& from) {
  std::string out = "<nav aria-label=\"Contents\"><ul>\n";
  if (!from.assessment.warnings.empty()) out += "<li><a href=\"#warnings\">The warnings one by one</a></li>\n";
  return out +
         "<li><a href=\"#site\">The site as a picture</a></li>\n<li><a href=\"#tables\">Tables</a></li>\n"
         "<li><a href=\"#taken\">Assumptions</a></li>\n<li><a href=\"#again\">To repeat this</a></li>\n"
         "</ul></nav>\n";
}

/// The name of the file without its folders, which mean nothing to who is handed the page.
std::string file_of(const Site& site) {
  return site.file.empty() ? "a site without a file" : site.file.substr(site.file.find_last_of('/') + 1);
}

}  // namespace

const CaseResult& result_of(const Assessment& assessment, CaseIndex case_index) {
  return *std::find_if(assessment.cases.begin(), assessment.cases.end(),
                       [&](const CaseResult& result) { return result.case_index == case_index; });
}

std::string verdict(const Sources& from) {
  const Site& site = from.site;
  const bool only_notes =
      from.assessment.warnings.empty() || from.assessment.warnings.front().severity == Severity::note;
  if (const std::string open = headline_without_warning(site, from.assessment); only_notes && !open.empty()) {
    return open;
  }
  if (from.assessment.warnings.empty()) {
    const bool starved = std::any_of(from.assessment.cases.begin(), from.assessment.cases.end(),
                                     [](const CaseResult& result) { return !result.starved.empty(); });
    return std::string{starved ? "Fans get too little air, see below. " : ""} + "No space comes to " +
           percent(site.criteria.note_at) + " of its lower flammable limit" +
           (from.assessment.cases.size() == 1 ? std::string{}
                                              : fmt::format(" in any of {} cases", from.assessment.cases.size())) +
           ".";
  }
  const Severity worst = from.assessment.warnings.front().severity;
  const std::string where = in_spaces(from, worst) + cases_words(from, worst);
  switch (worst) {
    case Severity::flammable:
      return "A mixture that can be ignited forms " + where + ".";
    case Severity::rich:
      return "Gas too rich to burn stands " + where + ": it can be ignited once air gets in.";
    case Severity::margin:
      return "No mixture that can be ignited was found, but the margin of " + percent(site.criteria.warn_at) +
             " is passed " + where + ".";
    case Severity::oxygen:
      return "The oxygen leaves the range from " + percent(site.criteria.oxygen_low) + " to " +
             percent(site.criteria.oxygen_high) + " " + where + ".";
    case Severity::pressure:
      return "A sealed vessel gains pressure " + where + ".";
    case Severity::near_source:
      return "Gas or vapour can be ignited at its source, whatever the average of the space is, " + where + ".";
    case Severity::toxic:
      return "A gas gets above the concentration that is immediately dangerous to life or health " + where + ".";
    case Severity::note:
      break;
  }
  return "Nothing passes the margin of " + percent(site.criteria.warn_at) + ", but gas is worth a note " + where + ".";
}

/// Fans that get too little air.
std::string starved_fans(const Sources& from) {
  std::string out;
  for (const report::StarvedWords& fan : starved_words(from.site, from.assessment)) {
    out += "<li><b>" + html::text(fan.title) + "</b>. " + html::text(fan.what) + " <b>What helps:</b> " +
           html::text(fan.help) + "</li>\n";
  }
  return out.empty() ? out : "<h2>Fans that get too little air</h2>\n<ul class=\"starved\">\n" + out + "</ul>\n";
}

std::string ranked_list(const Sources& from) {
  const auto& all = from.assessment.warnings;
  if (all.empty()) {
    return "<p>That is no proof of safety: it holds only for the releases, openings and fans in the file and for "
           "evenly "
           "mixed spaces" +
           std::string{has_layers(from.site) ? " and layers" : ""} +
           ". A release that nobody thought of is not in it.</p>\n";
  }
  const std::size_t first = std::min(all.size(), ranked_at_once);
  std::string out = "<h2>" + count_of(all.size(), "warning") + ", the worst first</h2>\n<ol class=\"ranked\">\n";
  for (std::size_t i = 0; i < first; ++i) out += ranked_entry(from, i);
  out += "</ol>\n";
  if (first == all.size()) return out;
  out += fmt::format("<details><summary>The other {}</summary><ol class=\"ranked\" start=\"{}\">\n", all.size() - first,
                     first + 1);
  for (std::size_t i = first; i < all.size(); ++i) out += ranked_entry(from, i);
  return out + "</ol></details>\n";
}

/// What the answer leaves open.
std::string open_list(const Sources& from) {
  std::string out;
  for (const std::string& sentence : open_sentences(from.site, from.assessment)) {
    out += "<li>" + html::text(sentence) + "</li>\n";
  }
  return out.empty() ? out : "<ul class=\"open\" aria-label=\"Not judged\">\n" + out + "</ul>\n";
}

/// Layered rooms, case by case.
std::string layers(const Sources& from) {
  std::string out;
  for (const CaseResult& result : from.assessment.cases) {
    const auto sentences = layer_sentences(from.site, result);
    if (sentences.empty()) continue;
    if (from.assessment.cases.size() > 1) out += "<h3>" + html::text(label(from.site, result.case_index)) + "</h3>\n";
    out += "<ul>\n";
    for (const std::string& sentence : sentences) out += "<li>" + html::text(sentence) + "</li>\n";
    out += "</ul>\n";
  }
  return out.empty() ? out : "<section id=\"layers\"><h2>Layers</h2>\n" + out + "</section>\n";
}

std::string assumptions(const Sources& from) {
  std::string out = "<section id=\"taken\"><h2>Assumptions</h2>\n<ol>\n";
  std::size_t n = 0;
  for (const std::string& sentence : assumption_sentences(from.site, from.assessment)) {
    out += fmt::format("<li id=\"a{}\">{}.</li>\n", ++n, html::sentence(sentence));
  }
  out += "</ol>\n";
  std::string noticed;
  for (const Diagnostic& notice : from.notices) {
    if (notice.level == DiagnosticLevel::notice) noticed += "<li>" + html::text(to_text(notice)) + "</li>\n";
  }
  if (!noticed.empty()) out += "<h3>Noticed in the file</h3>\n<ul>\n" + noticed + "</ul>\n";
  return out + "</section>\n";
}

std::string repetition(const Sources& from) {
  Table table;
  table.columns = {{"what"}, {"this run"}};
  table.rows = {{"leanside", std::string{version()}}, {"site file", file_of(from.site)}};
  if (!from.run.file_digest.empty()) table.rows.push_back({"SHA-256 of it", from.run.file_digest});
  if (!from.run.substances_file.empty()) {
    table.rows.push_back({"file of substances", from.run.substances_file});
    table.rows.push_back({"SHA-256 of it", from.run.substances_digest});
  }
  table.rows.push_back({"command", from.run.command});
  table.rows.push_back({"title", from.site.title});
  if (!from.site.notes.empty()) table.rows.push_back({"notes", from.site.notes});
  table.rows.push_back(
      {"gas balance of the computation, relative error", report::without_transient(from.site, from.assessment)
                                                             ? "not computed: only the steady state was"
                                                             : fmt::format("{:.1e}", from.assessment.balance_error)});
  return "<section id=\"again\"><h2>To repeat this</h2>\n" +
         html::table(table, "With the same file and the same version the same page comes out") +
         "<p class=\"sign\">Discussed on <span></span> by <span></span></p>\n</section>\n";
}

}  // namespace report::page

std::string html_report(const Site& given, const Assessment& assessment, const Diagnostics& notices,
                        const CourseRecord& courses, const RunRecord& run) {
  namespace html = report::html;
  using namespace report::page;
  const Site site = report::with_computed_time(given, assessment);
  const Sources from{site, assessment, notices, courses, run};
  constexpr std::size_t longest_heading = 160;
  const std::string title = html::text(report::cut(plain_text(site.title), longest_heading, true));
  std::string out =
      "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n<meta name=\"viewport\" "
      "content=\"width=device-width, initial-scale=1\">\n<meta name=\"generator\" content=\"leanside ";
  out += html::text(version());
  out += "\">\n<title>" + title + "</title>\n<link rel=\"icon\" href=\"data:,\">\n<style>\n" +
         std::string{embedded::page} + std::string{embedded::picture} + picture_style(from) + "</style>\n</head>\n";
  out += "<body>\n<svg width=\"0\" height=\"0\" aria-hidden=\"true\" class=\"patterns\">\n" +
         report::svg_definitions() + "</svg>\n";
  out += "<header><h1 dir=\"auto\">" + title + "</h1>\n<p>" + count_of(site.spaces.size(), "space") + ", " +
         count_of(assessment.cases.size(), "case") + ", " + report::span_words(site, assessment) + ". " +
         html::text(file_of(site)) + ", read by leanside " + html::text(version()) + ".</p></header>\n";
  out += "<main>\n<section id=\"verdict\"><p class=\"verdict\">" + html::text(verdict(from)) + "</p>\n" +
         starved_fans(from) + open_list(from) + ranked_list(from) +
         "<aside class=\"caution\" aria-label=\"Caution\"><h2>Caution</h2><p>" + html::text(caution()) +
         "</p></aside>\n" + contents(from) + "</section>\n";
  out += warnings(from) + pictures(from) + tables(from) + layers(from) + assumptions(from) + repetition(from);
  return out + "</main>\n<footer><p>Made by leanside " + html::text(version()) +
         ". A screening aid: the caution at the top belongs to every figure on this "
         "page.</p></footer>\n</body>\n</html>\n";
}

}  // namespace leanside
