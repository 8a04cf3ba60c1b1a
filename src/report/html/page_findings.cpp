// SPDX-License-Identifier: Apache-2.0
/// A section for each finding: what happens, when, what helps; of the first ones also the course as a plot, the space
/// from the side and the steps. The others have a line in a table.
#include <algorithm>
#include <array>
#include <cctype>
#include <map>
#include <set>
#include <utility>

#include <fmt/format.h>

#include "base/text/lists.hpp"
#include "report/html/html.hpp"
#include "report/html/page_parts.hpp"
#include "report/text/text_tables.hpp"
#include "report/words/findings.hpp"
#include "report/words/words.hpp"

namespace leanside::report::page {
namespace {

constexpr std::size_t most_steps = 9, rows_on_paper = 12, most_causes = 6, most_rests = 6;

std::string steps(const Timeline& line, const PageWords& w) {
  std::string out = "<h4>" + html::text(w.step_by_step) + "</h4>\n<ol class=\"steps\">\n";
  for (const Step& step : line.steps) {
    const std::string time = !step.time         ? std::string{w.later}
                             : *step.time > 0.0 ? format_duration(*step.time)
                                                : std::string{w.start};
    out += "<li><span class=\"t\">" + html::text(time) + "</span> ";
    if (!step.letter.empty()) out += "<b class=\"letter\">" + html::text(step.letter) + "</b> ";
    out += "<span>" + html::sentence(step.words) + ".</span></li>\n";
  }
  out += "</ol>\n";
  if (line.left_out > 0) out += "<p class=\"more\">" + html::text(said(w.more_steps, line.left_out)) + "</p>\n";
  return out;
}

std::string causes(const Sources& from, const Warning& warning) {
  if (warning.causes.empty()) return {};
  const PageWords& w = from.words;
  std::string out = "<h4>" + html::text(w.where_from) + "</h4>\n<ul class=\"causes\">\n";
  constexpr double least = 0.001;
  constexpr std::array<double, 1> whole{1.0};
  std::size_t shown = 0;
  for (const Cause& cause : warning.causes) {
    if (shown == most_causes || (shown > 0 && cause.share < least)) break;
    ++shown;
    out += "<li><b>" + html::text(percent(cause.share, 2, whole)) + "</b> " +
           html::text(source_words(from.site, cause)) + "</li>\n";
  }
  out += "</ul>\n";
  if (shown < warning.causes.size()) {
    out += "<p class=\"more\">" + html::text(said(w.more_sources, warning.causes.size() - shown)) + "</p>\n";
  }
  return out;
}

/// Whether `name` stands in a sentence as a word of its own.
bool names(const std::string& sentence, const std::string& name) {
  if (name.empty()) return false;
  const std::string word = plain_text(name);
  const auto letter = [&](std::size_t i) {
    return i < sentence.size() && (std::isalnum(static_cast<unsigned char>(sentence[i])) != 0 || sentence[i] == '-');
  };
  for (std::size_t at = sentence.find(word); at != std::string::npos; at = sentence.find(word, at + 1)) {
    if ((at == 0 || !letter(at - 1)) && !letter(at + word.size())) return true;
  }
  return false;
}

/// Whether a sentence on what was assumed speaks of this space, its gases or what is released into it.
bool concerns(Told site, const Warning& warning, const std::string& sentence) {
  const Space& space = site->spaces[warning.space.value];
  if (names(sentence, space.id) || names(sentence, space.name)) return true;
  return std::any_of(warning.causes.begin(), warning.causes.end(), [&](const Cause& cause) {
    if (!cause.release) return false;
    const Release& release = site->releases[cause.release->value];
    return names(sentence, release.gas.name) || names(sentence, release.id);
  });
}

/// The numbers of the assumptions that speak of it; the list has them in full.
std::string rests_on(const Sources& from, const Warning& warning, const std::vector<std::string>& sentences) {
  const PageWords& w = from.words;
  std::vector<std::string> numbers;
  for (std::size_t i = 0; i < sentences.size() && numbers.size() < most_rests; ++i) {
    if (concerns(from.site, warning, sentences[i])) numbers.push_back(fmt::format("<a href=\"#a{0}\">{0}</a>", i + 1));
  }
  const std::string all = "<a href=\"#taken\">" + html::text(w.all_assumptions) + "</a>";
  const std::string_view several = numbers.size() == 1 ? w.assumption_numbered : w.assumptions_numbered;
  return "<p class=\"rests\"><b>" + html::text(w.rests_on) + "</b> " +
         (numbers.empty() ? all : said(several, listed(numbers, ", "), all)) + ".</p>\n";
}

/// What else the finding does, a line each.
std::string further(const Sources& from, const Finding& finding) {
  if (finding.warnings.size() < 2) return {};
  std::string out = "<h4>" + html::text(from.words.also) + "</h4>\n<ul class=\"further\">\n";
  constexpr std::size_t most = 6;
  for (std::size_t k = 1; k < std::min(finding.warnings.size(), most + 1); ++k) {
    const Warning& warning = from.assessment.warnings[finding.warnings[k]];
    const std::string worst = worst_words(from.site, warning);
    const std::string words = warning.storage ? std::string{from.words.stored}
                              : warning.time
                                  ? said(from.words.worst_and_when, worst, after_words(from.site, *warning.time))
                                  : said(from.words.worst_in_steady_state, worst);
    out += "<li>" + html::badge(from.site, warning.severity) + " " + html::text(label(from.site, warning.space)) +
           ": " + html::text(words) + "</li>\n";
  }
  out += "</ul>\n";
  if (finding.warnings.size() > most + 1) {
    out += "<p class=\"more\">" + html::text(said(from.words.more, finding.warnings.size() - most - 1)) + "</p>\n";
  }
  return out;
}

std::string case_names(const Sources& from, const Finding& finding) {
  if (from.assessment.cases.size() == 1 || finding.cases.size() == 1) return {};  // the heading says it
  if (finding.cases.size() == from.assessment.cases.size()) {
    return "<p class=\"case\">" + html::text(from.words.every_case) + "</p>\n";
  }
  std::vector<std::string> cases;
  constexpr std::size_t most = 6;
  for (std::size_t k = 0; k < std::min(finding.cases.size(), most); ++k) {
    cases.push_back(label(from.site, finding.cases[k]));
  }
  if (finding.cases.size() > most) cases.push_back(said(from.words.more, finding.cases.size() - most));
  return "<p class=\"case\">" + html::text(said(from.words.in_cases, from.site.listed(cases))) + "</p>\n";
}

/// The finding that first showed the picture of a space in a case, and the kind of its plot.
struct Shown {
  std::size_t number = 0;
  Subject subject = Subject::fuel;
};
using Pictures = std::map<std::pair<CaseIndex, SpaceIndex>, Shown>;

/// What burns in a space and what burns near its source have the same course.
Subject plotted(const Warning& warning) {
  const Subject subject = subject_of(warning);
  return subject == Subject::source ? Subject::fuel : subject;
}

/// Plot, picture, steps, causes and what it rests on. What was shown before is not repeated.
std::string in_full(const Sources& from, const Finding& finding, std::size_t number,
                    const std::vector<std::string>& sentences, Pictures& pictures) {
  const Warning& warning = from.assessment.warnings[finding.warnings.front()];
  if (warning.storage) return rests_on(from, warning, sentences);  // nothing happens in time
  const Timeline line =
      timeline(from.site, result_of(from.assessment, warning.case_index), warning, most_steps, from.words);
  const auto [earlier, is_new] =
      pictures.try_emplace({warning.case_index, warning.space}, Shown{number, plotted(warning)});
  const auto before = [&, first = earlier->second.number](std::string_view words) {
    return fmt::format("<p class=\"more\"><a href=\"#f{}\">{}</a></p>\n", first, html::text(said(words, first)));
  };
  const std::string why = causes(from, warning), rests = further(from, finding) + rests_on(from, warning, sentences);
  if (!is_new && earlier->second.subject == Subject::fuel && plotted(warning) == Subject::fuel) {
    return before(from.words.course_before) + "<div class=\"two\">\n<div>" + why + "</div>\n<div>" + rests +
           "</div>\n</div>\n";
  }
  const std::string picture =
      is_new ? side_figure(from, warning, std::to_string(number)) : before(from.words.picture_before);
  // Where air gets in by itself, the run does not follow the vessel: the bands do.
  const std::string states = warning.experiment && warning.experiment->window ? states_figure(from, warning) : "";
  const std::string course = states.empty() ? course_figure(from, warning, line) : states;
  const std::string told = states.empty() ? steps(line, from.words) : "";
  return "<div class=\"two\">\n<div>" + course + "</div>\n<div>" + picture + "</div>\n<div>" +
         (told.empty() ? why : told) + "</div>\n<div>" + (told.empty() ? "" : why) + rests + "</div>\n</div>\n";
}

std::string section(const Sources& from, std::size_t k, bool full, const std::vector<std::string>& sentences,
                    Pictures& pictures) {
  const Finding& finding = from.assessment.findings[k];
  const Warning& warning = from.assessment.warnings[finding.warnings.front()];
  const FindingWords words = finding_words(from.site, from.assessment, finding);
  const PageWords& w = from.words;
  std::string out =
      fmt::format("<article class=\"finding s-{0}{4}\" id=\"f{1}\"><h3><span class=\"rank\">{1}</span> {2} {3}</h3>\n",
                  word_of(words.severity), k + 1, html::badge(from.site, words.severity), html::text(words.where),
                  full ? "" : " brief");
  out += case_names(from, finding);
  out += "<p class=\"what\">" + html::sentence(what_words(from.site, warning)) + ".</p>\n";
  out += "<p class=\"help\"><b>" + html::text(w.what_helps) + "</b> " + html::text(remedy_told(from.site, warning)) +
         "</p>\n";
  std::string ignition;
  for (const std::string& source : from.site->spaces[warning.space.value].ignition) {
    ignition += (ignition.empty() ? "" : ", ") + source;
  }
  if (!ignition.empty() && can_burn(from.site, warning)) {
    out += "<p><b>" + html::text(w.ignition_here) + "</b> " + html::text(ignition) + ".</p>\n";
  }
  if (full) out += in_full(from, finding, k + 1, sentences, pictures);
  return out + "</article>\n";
}

/// Every warning, a row each; what paper has no room for is there on the screen.
std::string all_warnings(const Sources& from) {
  const PageWords& w = from.words;
  return "<details id=\"all\"><summary><h3>" + html::text(said(w.every_warning, from.assessment.warnings.size())) +
         "</h3></summary>\n" +
         long_table(warning_table(from.site, from.assessment.warnings, 1), w.the_worst_first, rows_on_paper, false, w) +
         "</details>\n";
}

}  // namespace

Depth depth_of(const Sources& from) {
  // As many pages of paper as somebody reads: eight for a site of ten spaces, twelve for a larger one.
  constexpr std::size_t most_spaces_of_small = 10;
  const bool small = from.site->spaces.size() <= most_spaces_of_small;
  const std::size_t all = from.assessment.findings.size();
  // Where there are very many, the table of warnings tells most of them.
  constexpr std::size_t many = 6, very_many = 16;
  const std::size_t sections = !small ? 12 : all <= very_many ? 8 : 6;
  const std::size_t in_full = !small ? 5 : all <= many ? 4 : all <= very_many ? 3 : 2;
  return {std::min(all, sections), std::min(all, in_full)};
}

std::string findings(const Sources& from) {
  if (from.assessment.findings.empty()) return {};
  const std::vector<std::string> sentences = assumption_sentences(from.site, from.assessment);
  const Depth depth = depth_of(from);
  std::string out = "<section id=\"findings\"><h2>" + html::text(from.words.findings) + "</h2>\n";
  Pictures pictures;
  for (std::size_t k = 0; k < depth.sections; ++k) out += section(from, k, k < depth.in_full, sentences, pictures);
  const std::size_t left = from.assessment.findings.size() - depth.sections;
  if (left > 0) out += "<p class=\"more\">" + html::text(said(from.words.findings_in_table, left)) + "</p>\n";
  return out + all_warnings(from) + "</section>\n";
}

}  // namespace leanside::report::page
