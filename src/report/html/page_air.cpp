// SPDX-License-Identifier: Apache-2.0
/// Where detectors see most, and how the air moves.
#include <algorithm>
#include <set>

#include <fmt/format.h>

#include "base/text/lists.hpp"
#include "leanside/study/detectors.hpp"
#include "report/html/html.hpp"
#include "report/html/page_parts.hpp"
#include "report/svg/svg_site.hpp"
#include "report/text/text_tables.hpp"
#include "report/words/words.hpp"

namespace leanside::report::page {
namespace {

std::string_view mounting_words(Mounting mounting, const PageWords& w) {
  switch (mounting) {
    case Mounting::high:
      return w.hang_high;
    case Mounting::low:
      return w.hang_low;
    case Mounting::middle:
      return w.hang_middle;
  }
  return {};
}

std::string scenario_words(Told site, const GasScenario& scenario) {
  const std::string release = "\"" + label(site, scenario.release) + "\"";
  return site->cases.size() > 1 ? release + " (" + label(site, scenario.case_index) + ")" : release;
}

std::string place_item(const Sources& from, const DetectorPlan& plan, const DetectorPlace& place) {
  const PageWords& w = from.words;
  std::vector<std::string> mountings, first;
  for (const Mounting one : place.mountings) mountings.emplace_back(mounting_words(one, w));
  constexpr std::size_t most = 4;
  for (std::size_t i = 0; i < std::min(most, place.first.size()); ++i) {
    const std::size_t s = place.first[i];
    first.push_back(said(w.seen_after, scenario_words(from.site, plan.scenarios[s]), format_duration(*plan.seen[s])));
  }
  if (place.first.size() > most) first.push_back(said(w.more, place.first.size() - most));
  std::string out = "<li><b>" + html::text(label(from.site, place.space)) + "</b>";
  if (!mountings.empty()) out += ", " + html::text(from.site.listed(mountings));
  return out + ". " +
         html::text(first.empty() ? std::string{w.sees_nothing_first} : said(w.sees_first, from.site.listed(first))) +
         "</li>\n";
}

std::string detector_plan(const Sources& from) {
  const PageWords& w = from.words;
  const DetectorPlan* plan = from.options.detectors;
  if (plan == nullptr) return "<p>" + html::text(w.detectors_command) + "</p>\n";
  if (plan->scenarios.empty()) {
    return "<p>" + html::text(said(w.no_alarm, percent(plan->alarm), format_duration(plan->horizon))) + "</p>\n";
  }
  std::string out = "<p>" + html::text(said(w.detectors_key, percent(plan->alarm))) + "</p>\n<ol>\n";
  const auto helps = [](const DetectorPlace& place) { return !place.first.empty(); };
  const bool any_helps = std::any_of(plan->places.begin(), plan->places.end(), helps);
  for (const DetectorPlace& place : plan->places) {
    // One that adds nothing to the others is none to buy.
    if (helps(place) || !any_helps) out += place_item(from, *plan, place);
  }
  out += "</ol>\n";
  std::vector<std::string> unseen;
  constexpr std::size_t most = 6;
  for (std::size_t s = 0; s < plan->scenarios.size(); ++s) {
    if (!plan->seen[s] && unseen.size() < most) unseen.push_back(scenario_words(from.site, plan->scenarios[s]));
  }
  for (const GasScenario& scenario : plan->silent) {
    if (unseen.size() < most) unseen.push_back(scenario_words(from.site, scenario));
  }
  if (!unseen.empty()) out += "<p>" + html::text(said(w.unseen, from.site.listed(unseen))) + "</p>\n";
  return out;
}

/// Layered rooms; text that is the same in several cases appears once.
std::string layer_list(const Sources& from) {
  std::vector<std::string> items;
  constexpr std::size_t most = 8;
  std::size_t more = 0;
  for (const CaseResult& result : from.assessment.cases) {
    for (const std::string& sentence : layer_sentences(from.site, result)) {
      const auto same = [&](const std::string& item) { return item.ends_with(sentence); };
      if (std::any_of(items.begin(), items.end(), same)) continue;
      if (items.size() == most) {
        ++more;
        continue;
      }
      const bool named = from.assessment.cases.size() > 1;
      items.push_back((named ? label(from.site, result.case_index) + ": " : std::string{}) + sentence);
    }
  }
  if (items.empty()) return {};
  std::string out = "<h3>" + html::text(from.words.layers) + "</h3>\n<ul>\n";
  for (const std::string& item : items) out += "<li>" + html::sentence(item) + "</li>\n";
  out += "</ul>\n";
  return more == 0 ? out : out + "<p class=\"more\">" + html::text(said(from.words.rest_in_json, more)) + "</p>\n";
}

/// The whole site; of a large one what lies around each finding.
struct Pictures {
  std::string html;
  std::size_t count = 0;
};
Pictures site_pictures(const Sources& from) {
  constexpr std::size_t most_whole = 25, most_around = 9, most_pictures = 4;
  const auto& cases = from.assessment.cases;
  if (from.site->spaces.size() <= most_whole)
    return {"<div>" + site_figure(from, cases.front(), all_spaces(from.site)) + "</div>\n", 1};
  std::string out;
  std::set<SpaceIndex> centres;
  for (const Finding& finding : from.assessment.findings) {
    const Warning& warning = from.assessment.warnings[finding.warnings.front()];
    if (centres.size() == most_pictures || !centres.insert(warning.space).second) continue;
    const CaseResult& result = result_of(from.assessment, warning.case_index);
    out += "<div><h3>" + html::text(said(from.words.around, label(from.site, warning.space))) + "</h3>\n" +
           site_figure(from, result, neighbourhood(from.site, result, warning.space, most_around)) + "</div>\n";
  }
  return {out, centres.size()};
}

/// Rows of a table that half the width of a sheet has room for: a row of n lines takes n and a half.
std::size_t rows_on_half_a_sheet(const Table& table) {
  constexpr std::size_t half_lines = 108, letters = 15;  // counted, not measured: a test prints the examples
  std::size_t rows = 0, taken = 0;
  for (const auto& row : table.rows) {
    std::size_t lines = 1;
    for (const std::string& cell : row) lines = std::max(lines, 1 + cell.size() / letters);
    taken += 2 * lines + 1;
    if (taken > half_lines) break;
    ++rows;
  }
  return rows;
}

}  // namespace

std::string detectors(const Sources& from) {
  return "<section id=\"detectors\"><h2>" + html::text(from.words.detectors) + "</h2>\n" + detector_plan(from) +
         layer_list(from) + "</section>\n";
}

std::string ventilation(const Sources& from) {
  const PageWords& w = from.words;
  constexpr std::size_t most_airways = 40;
  const Table flows = flow_table(from.site, from.assessment, most_airways);
  std::string table = "<details open><summary>" + html::text(w.flows) + "</summary>\n";
  const Pictures pictures = site_pictures(from);
  // Two stand beside one another; beside the last of an odd number there is room for the table, where it is no longer.
  constexpr std::size_t rows_of_space = 4;
  const std::size_t rows_beside = rows_on_half_a_sheet(flows);
  const bool beside =
      pictures.count % 2 == 1 && std::min(flows.rows.size(), rows_beside) <= rows_of_space * from.site->spaces.size();
  if (flows.rows.empty()) {
    table += "<p>" + html::text(from.site->airways.empty() ? w.no_airway : w.flows_in_json) + "</p>\n";
  } else {
    table += long_table(flows,
                        said(w.flows_of, unit_words(from.site, "m3/h"),
                             case_heading(from.site, from.assessment.cases.front().case_index)),
                        beside ? rows_beside : most_airways, true, w);
  }
  if (const std::string hint = airways_left_out(from.site, most_airways); !hint.empty()) {
    table += "<p class=\"foot\">" + html::sentence(hint) + "</p>\n";
  }
  constexpr std::size_t most = 12;
  const auto changes = flow_changes(from.site, from.assessment);
  for (std::size_t i = 0; i < std::min(most, changes.size()); ++i) {
    table += "<p class=\"foot\">" + html::sentence(changes[i]) + "</p>\n";
  }
  if (changes.size() > most) {
    table += "<p class=\"more\">" + html::text(said(w.rest_in_json, changes.size() - most)) + "</p>\n";
  }
  table += "</details>\n";
  std::string out =
      "<section id=\"air\"><h2>" + html::text(w.ventilation) + "</h2>\n<p>" + html::text(w.site_picture_key) + "</p>\n";
  out += "<div class=\"two\">\n" + pictures.html;
  out += beside ? "<div>" + table + "</div>\n</div>\n" : "</div>\n" + table;
  return out + "</section>\n";
}

}  // namespace leanside::report::page
