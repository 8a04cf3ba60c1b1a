// SPDX-License-Identifier: Apache-2.0
/// Each warning in full: what happens, step by step and as a plot, from what, what helps, what it rests on.
#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <utility>

#include <fmt/format.h>

#include "base/text/lists.hpp"
#include "report/html/html.hpp"
#include "report/html/page_parts.hpp"
#include "report/svg/svg_plot.hpp"
#include "report/text/text_tables.hpp"
#include "report/words/timeline.hpp"
#include "report/words/words.hpp"

namespace leanside::report::page {
namespace {

constexpr std::size_t most_steps = 30;

/// Whether the plot of a warning shows oxygen and not what burns.
bool shows_oxygen(const Warning& warning) { return subject_of(warning) == Subject::oxygen; }

std::vector<PlotPoint> points_of(const Sources& from, const Warning& warning, const Timeline& line) {
  std::vector<PlotPoint> points;
  const SpaceCourse* course = from.courses.find(warning.case_index, warning.space);
  if (course == nullptr) return points;
  const std::vector<float>& values = shows_oxygen(warning) ? course->oxygen : course->lfl_fraction;
  const std::vector<double>& times = from.courses.times(warning.case_index);
  for (std::size_t i = 0; i < times.size(); ++i) points.push_back({times[i], 100.0 * static_cast<double>(values[i])});
  if (shows_oxygen(warning)) return points;
  // What was computed to the instant: a short peak may lie between two recorded times.
  for (const Step& step : line.steps) {
    if (step.time && step.value) points.push_back({*step.time, 100.0 * *step.value});
  }
  std::stable_sort(points.begin(), points.end(),
                   [](const PlotPoint& a, const PlotPoint& b) { return a.time < b.time; });
  return points;
}

/// The time axis: the whole run, or less of it where nothing happens in most of it.
double end_of_plot(const Site& site, const std::vector<PlotPoint>& points, const Timeline& line) {
  const double horizon = site.criteria.horizon;
  double last = 0.0;
  for (const Step& step : line.steps) {
    if (step.time && *step.time < horizon) last = std::max(last, *step.time);
  }
  const double shown = std::max(2.0 * last, horizon / 12.0);
  const double rest = std::abs(value_at(points, shown) - points.back().value);
  double most = 0.0;
  for (const PlotPoint& point : points) most = std::max(most, point.value);
  return shown < 0.4 * horizon && rest < 0.01 * most ? shown : horizon;
}

void set_value_axis(const Site& site, const Warning& warning, Plot& plot) {
  double low = plot.points.front().value, high = low;
  for (const PlotPoint& point : plot.points) {
    low = std::min(low, point.value);
    high = std::max(high, point.value);
  }
  const Criteria& criteria = site.criteria;
  if (shows_oxygen(warning)) {
    plot.value_axis = "oxygen, %";
    plot.levels = {{100.0 * criteria.oxygen_low, "too low"}, {100.0 * criteria.oxygen_high, "too high"}};
    plot.low = std::max(0.0, std::floor(std::min(low, 100.0 * criteria.oxygen_low) - 1.0));
    plot.high = std::min(100.0, std::ceil(std::max(high, 100.0 * criteria.oxygen_high) + 1.0));
    plot.value_words = [&criteria](double v) { return percent_of_oxygen(v / 100.0, criteria) + " oxygen"; };
    return;
  }
  plot.value_axis = "% of the lower flammable limit";
  plot.levels = {{100.0 * criteria.note_at, "note"}, {100.0 * criteria.warn_at, "margin"}, {100.0, "limit"}};
  plot.value_words = [&criteria](double v) { return percent_of_limit(v / 100.0, criteria); };
  plot.high = std::max(1.08 * high, 120.0 * criteria.warn_at);
  if (high > 50.0) plot.high = std::max(plot.high, 108.0);
  // Far above the limit the levels below it would lie on one another.
  if (high > 300.0) plot.split = 100.0;
}

Plot plot_of(const Site& site, const Warning& warning, const Timeline& line, std::vector<PlotPoint> points) {
  Plot plot;
  plot.points = std::move(points);
  plot.end = end_of_plot(site, plot.points, line);
  set_value_axis(site, warning, plot);
  plot.title = (shows_oxygen(warning) ? "Oxygen in " : "How near to burning: ") + where_words(site, warning) +
               ", over the first " + format_duration(plot.end);
  for (const Step& step : line.steps) {
    if (!step.time) continue;
    if (!step.letter.empty()) plot.events.push_back({*step.time, step.letter, step.words});
    if (step.letter.empty() && !shows_oxygen(warning) && step.value) {
      plot.keys.push_back({{*step.time, 100.0 * *step.value}, step.words});
    }
  }
  return plot;
}

/// The course as numbers: even times and every step.
Table value_table(const Sources& from, const Warning& warning, const Plot& plot) {
  Table table;
  table.columns = {{"time after the start", true}, {shows_oxygen(warning) ? "oxygen" : "of the lower limit", true}};
  std::vector<double> times;
  constexpr int rows = 12;
  for (int i = 0; i <= rows; ++i) times.push_back(plot.end * i / rows);
  for (const PlotKey& key : plot.keys) times.push_back(key.at.time);
  if (plot.end < from.site.criteria.horizon) times.push_back(from.site.criteria.horizon);
  std::sort(times.begin(), times.end());
  for (const double time : times) {
    const std::vector<std::string> row{time > 0.0 ? format_duration(time) : "start",
                                       plot.value_words(value_at(plot.points, time))};
    if (table.rows.empty() || table.rows.back() != row) table.rows.push_back(row);
  }
  return table;
}

std::string figure(const Sources& from, const Warning& warning, const Timeline& line) {
  std::vector<PlotPoint> points = points_of(from, warning, line);
  if (points.empty()) {
    return "<p class=\"none\">No plot: within the " + format_duration(from.site.criteria.horizon) +
           " of the run next to nothing is there.</p>\n";
  }
  const Plot plot = plot_of(from.site, warning, line, std::move(points));
  std::string caption = html::text(plot.title) + ".";
  if (plot.end < from.site.criteria.horizon) {
    caption += " The rest of the " + format_duration(from.site.criteria.horizon) + " stays where the plot ends.";
  }
  if (plot.split > 0.0) caption += " Above 100 % the scale is another one.";
  return "<figure>" + svg_plot(plot) + "<figcaption>" + caption + "</figcaption>\n" +
         "<details><summary>The same as numbers</summary>" +
         html::table(value_table(from, warning, plot), "Values of the plot") + "</details></figure>\n";
}

std::string steps(const Timeline& line) {
  std::string out = "<ol class=\"steps\">\n";
  for (const Step& step : line.steps) {
    const std::string time = !step.time ? "later" : *step.time > 0.0 ? format_duration(*step.time) : "start";
    out += "<li><span class=\"t\">" + html::text(time) + "</span> ";
    if (!step.letter.empty()) out += "<b class=\"letter\">" + html::text(step.letter) + "</b> ";
    out += "<span>" + html::sentence(step.words) + ".</span></li>\n";
  }
  out += "</ol>\n";
  if (line.left_out > 0) {
    out += "<p>" + count_of(line.left_out, "more step") +
           " before the end are left out here; `leanside check "
           "--format json` has every passage.</p>\n";
  }
  return out;
}

std::string causes(const Site& site, const Warning& warning) {
  if (warning.causes.empty()) return {};
  std::string out = "<h4>Where it comes from, at the worst moment</h4>\n<ul class=\"causes\">\n";
  constexpr std::size_t most = 12;
  constexpr double least = 0.001;
  constexpr std::array<double, 1> whole{1.0};
  std::size_t shown = 0;
  for (const Cause& cause : warning.causes) {
    if (shown == most || (shown > 0 && cause.share < least)) break;
    ++shown;
    out += "<li><b>" + html::text(percent(cause.share, 2, whole)) + "</b> " + html::text(source_words(site, cause)) +
           "</li>\n";
  }
  out += "</ul>\n";
  if (shown < warning.causes.size()) {
    const std::size_t others = warning.causes.size() - shown;
    out += "<p>" + count_of(others, "other source") + (others == 1 ? " brings" : " bring") + " next to nothing.</p>\n";
  }
  return out;
}

/// Whether a sentence on what was assumed speaks of this space, its gases or what is released into it.
bool concerns(const Site& site, const Warning& warning, const std::string& sentence) {
  const auto names = [&](const std::string& id) {
    if (id.empty()) return false;
    const std::string word = plain_text(id);
    for (std::size_t at = sentence.find(word); at != std::string::npos; at = sentence.find(word, at + 1)) {
      const auto letter = [&](std::size_t i) {
        return i < sentence.size() &&
               (std::isalnum(static_cast<unsigned char>(sentence[i])) != 0 || sentence[i] == '-');
      };
      if ((at == 0 || !letter(at - 1)) && !letter(at + word.size())) return true;
    }
    return false;
  };
  const Space& space = site.spaces[warning.space.value];
  if (names(space.id) || names(space.name)) return true;
  return std::any_of(warning.causes.begin(), warning.causes.end(), [&](const Cause& cause) {
    return cause.release &&
           (names(site.releases[cause.release->value].gas.name) || names(site.releases[cause.release->value].id));
  });
}

std::string rests_on(const Sources& from, const Warning& warning, const std::vector<std::string>& sentences) {
  std::string out;
  for (std::size_t i = 0; i < sentences.size(); ++i) {
    if (concerns(from.site, warning, sentences[i])) {
      out += fmt::format("<li><a href=\"#a{}\">{}</a> {}.</li>\n", i + 1, i + 1, html::sentence(sentences[i]));
    }
  }
  const std::string rest = "<a href=\"#taken\">the assumptions made everywhere</a>";
  if (out.empty()) return "<p>It rests on " + rest + ".</p>\n";
  return "<h4>What it rests on</h4>\n<ul>\n" + out + "</ul>\n<p>And on " + rest + ".</p>\n";
}

std::string in_full(const Sources& from, const Warning& warning, const std::vector<std::string>& sentences) {
  const Site& site = from.site;
  const Timeline line = timeline(site, result_of(from.assessment, warning.case_index), warning, most_steps);
  std::string out = "<p class=\"what\">" + html::sentence(what_words(site, warning)) + ".</p>\n";
  out += "<p class=\"help\"><b>What helps.</b> " + html::text(remedy_sentence(site, warning)) + "</p>\n";
  std::string ignition;
  for (const std::string& source : site.spaces[warning.space.value].ignition) {
    ignition += (ignition.empty() ? "" : ", ") + source;
  }
  if (!ignition.empty() && can_burn(site, warning))
    out += "<p><b>Ignition sources here:</b> " + html::text(ignition) + ".</p>\n";
  if (warning.storage) return out + rests_on(from, warning, sentences);  // nothing happens in time
  out += "<div class=\"course-and-steps\">\n" + figure(from, warning, line) + "<div><h4>Step by step</h4>\n" +
         steps(line) + "</div></div>\n";
  return out + causes(site, warning) + rests_on(from, warning, sentences);
}

}  // namespace

std::string warnings(const Sources& from) {
  const auto& all = from.assessment.warnings;
  if (all.empty()) return {};
  const std::vector<std::string> sentences = assumption_sentences(from.site, from.assessment);
  std::string out = "<section id=\"warnings\"><h2>The warnings one by one</h2>\n";
  std::map<std::pair<SpaceIndex, std::string>, std::size_t> told;
  for (std::size_t i = 0; i < std::min(all.size(), told_in_full); ++i) {
    const Warning& warning = all[i];
    out += fmt::format("<article class=\"warning s-{}\" id=\"w{}\"><h3><span class=\"rank\">{}</span> {} {}</h3>\n",
                       word_of(warning.severity), i + 1, i + 1, html::badge(warning.severity),
                       html::text(label(from.site, warning.space)));
    if (warning.case_index.value != 0) {
      out += "<p class=\"case\">In the case: " + html::text(label(from.site, warning.case_index)) + "</p>\n";
    }
    const std::string key = what_words(from.site, warning) + remedy_sentence(from.site, warning);
    const auto [earlier, is_new] = told.try_emplace({warning.space, key}, i + 1);
    out += is_new ? in_full(from, warning, sentences)
                  : fmt::format("<p>The same as <a href=\"#w{0}\">number {0}</a>: {1}.</p>\n", earlier->second,
                                html::text(worst_words(from.site, warning)));
    out += "</article>\n";
  }
  if (all.size() > told_in_full) {
    out += fmt::format("<p>The other {} are in the list at the top and in `leanside check --format json`.</p>\n",
                       all.size() - told_in_full);
  }
  return out + "</section>\n";
}

}  // namespace leanside::report::page
