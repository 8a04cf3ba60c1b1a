// SPDX-License-Identifier: Apache-2.0
/// The pictures of the page with what they mean.
#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "report/html/html.hpp"
#include "report/html/page_parts.hpp"
#include "report/svg/apparatus.hpp"
#include "report/svg/apparatus_parts.hpp"
#include "report/svg/side_view.hpp"
#include "report/svg/states.hpp"
#include "report/svg/svg_site.hpp"
#include "report/words/experiments.hpp"
#include "report/words/words.hpp"

namespace leanside::report::page {
namespace {

const Experiment* experiment_of(const CaseResult& result, SpaceIndex space) {
  const auto found = std::find_if(result.experiments.begin(), result.experiments.end(),
                                  [&](const Experiment& one) { return one.space == space; });
  return found == result.experiments.end() ? nullptr : &*found;
}

std::string moment(double time, const PageWords& w) {
  return time > 0.0 ? format_duration(time) : std::string{w.start};
}

/// The time to be marked on the axis: the window, else from the first to the last instant that can burn.
std::optional<StateSpan> marked(const Experiment& e, double end) {
  StateSpan out{HUGE_VAL, 0.0, FlameState::may_strike};
  if (e.window) {
    const double until = e.left_alone + e.window->until;
    out = {e.fed ? e.window->from : e.left_alone + e.window->from, std::isfinite(until) ? until : end, out.state};
  }
  for (const auto* row : {&e.mixed, &e.unmixed}) {
    for (const StateSpan& span : *row) {
      if (span.state != FlameState::may_strike) continue;
      out.begin = std::min(out.begin, span.begin);
      out.end = std::max(out.end, span.end);
    }
  }
  if (e.counterflow && e.counterflow->from) out.begin = std::min(out.begin, *e.counterflow->from);
  return out.begin < end ? std::optional{out} : std::nullopt;
}

StateChart chart_of(const Sources& from, const Experiment& e) {
  const PageWords& w = from.words;
  StateChart chart;
  chart.title = said(w.states_title, label(from.site, e.space));
  if (e.unmixed.empty()) {
    chart.rows = {{std::string{w.evenly_mixed}, e.mixed}};
  } else {
    chart.rows = {{std::string{w.mixes_at_once}, e.mixed}, {std::string{w.stays_unmixed}, e.unmixed}};
  }
  chart.end = e.mixed.back().end;
  chart.window = marked(e, chart.end);
  if (chart.window) {
    const std::string span = chart.window->end >= chart.end
                                 ? said(w.span_without_end, moment(chart.window->begin, w))
                                 : said(w.span_of_time, moment(chart.window->begin, w), moment(chart.window->end, w));
    chart.window_words = said(e.lit ? w.may_strike : w.may_explode, span);
  }
  if (!e.fed && e.left_alone > 0.0) chart.gas_ends = e.left_alone;
  return chart;
}

Table state_table(const StateChart& chart, const PageWords& w) {
  Table table;
  table.columns = {{std::string{w.bound}, false},
                   {std::string{w.from_when}, true},
                   {std::string{w.to_when}, true},
                   {std::string{w.content_is}, false}};
  for (const StateRow& row : chart.rows) {
    for (const StateSpan& span : row.spans) {
      const bool last = span.end >= chart.end;
      table.rows.push_back({row.name, moment(span.begin, w), last ? std::string{w.later} : moment(span.end, w),
                            std::string{words_of(span.state, w)}});
    }
  }
  return table;
}

std::string figure(const std::string& drawn, const std::string& caption) {
  return "<figure class=\"view\">" + drawn + "<figcaption>" + html::sentence(caption) + "</figcaption></figure>\n";
}

}  // namespace

std::string states_figure(const Sources& from, const Warning& warning) {
  if (!is_experiment(warning) || subject_of(warning) == Subject::pressure) return {};
  const Experiment& e = *warning.experiment;
  if (e.mixed.empty()) return {};
  const StateChart chart = chart_of(from, e);
  const PageWords& w = from.words;
  StateChart named = chart;
  for (const StateRow& row : chart.rows) {
    named.title += "; " + row.name + ": ";
    for (const StateSpan& span : row.spans) {
      named.title += (&span == &row.spans.front() ? "" : ", ") + std::string{words_of(span.state, w)} +
                     (span.end < chart.end ? " " + said(w.to_time, format_duration(span.end)) : std::string{});
    }
  }
  if (chart.window) named.title += "; " + chart.window_words;
  const std::string caption = said(chart.rows.size() > 1 ? w.states_of_two : w.states_of_one, chart.title);
  return "<figure>" + svg_states(named, w) + "<figcaption>" + html::text(caption) +
         "</figcaption>\n<details><summary>" + html::text(w.as_numbers) + "</summary>" +
         html::table(state_table(chart, w), w.values_of_plot) + "</details></figure>\n";
}

std::string side_figure(const Sources& from, const Warning& warning, const std::string& id) {
  const CaseResult& result = result_of(from.assessment, warning.case_index);
  if (const Experiment* e = experiment_of(result, warning.space)) {
    const bool known = apparatus_shape(from.site, *e).known;
    return figure(
        svg_apparatus(from.site, result, *e, from.words),
        said(known ? from.words.apparatus_key : from.words.apparatus_without_shape, label(from.site, warning.space)));
  }
  const std::string drawn = svg_side_view(from.site, result, warning.space, "clip-" + id, from.words);
  if (drawn.empty()) return {};
  const PageWords& w = from.words;
  const WorstOf& worst = result.spaces[warning.space.value].worst;
  const bool ignition = !from.site->spaces[warning.space.value].ignition.empty();
  return figure(drawn, said(w.side_view_key, label(from.site, warning.space),
                            subject_of(warning) == Subject::oxygen
                                ? said(w.oxygen_value, percent_of_oxygen(from.site, warning.oxygen))
                                : said(w.side_view_worst, percent_of_limit(from.site, worst.lfl_fraction),
                                       state_word(from.site, worst.state)),
                            ignition ? w.side_view_places : std::string_view{}));
}

std::string site_figure(const Sources& from, const CaseResult& result, const std::vector<SpaceIndex>& shown) {
  std::string caption = said(from.words.site_key, case_heading(from.site, result.case_index));
  if (shown.size() < from.site->spaces.size()) {
    caption += " " + said(from.words.spaces_not_drawn, from.site->spaces.size() - shown.size());
  }
  return "<figure class=\"view\">" + svg_site(from.site, result, shown, false, from.words) + "<figcaption>" +
         html::text(caption) + "</figcaption></figure>\n";
}

}  // namespace leanside::report::page
