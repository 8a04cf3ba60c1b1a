// SPDX-License-Identifier: Apache-2.0
/// What the answer rests on: assumptions, limits and criteria with their sources, the run itself.
#include <algorithm>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "report/html/html.hpp"
#include "report/html/page_parts.hpp"
#include "report/text/text_tables.hpp"
#include "report/words/words.hpp"

namespace leanside::report::page {
namespace {

std::string substance_table(const Sources& from) {
  const Told& site = from.site;
  const PageWords& w = from.words;
  if (site->gases.empty()) return {};
  Table table;
  table.columns = {{std::string{w.gas}},    {std::string{w.lower_limit}, true},
                   {std::string{w.source}}, {std::string{w.upper_limit}, true},
                   {std::string{w.source}}, {std::string{w.least_oxygen}, true},
                   {std::string{w.source}}, {std::string{w.remark}}};
  for (const Gas& gas : site->gases) {
    const std::string name = gas.substance.name.empty() ? gas.substance.id : gas.substance.name;
    if (!gas.limits) {
      table.rows.push_back({name, "-", "", "-", "", "-", "", std::string{w.does_not_burn}});
      continue;
    }
    std::string remark{gas.limits->recalled ? w.recalled : ""};
    if (gas.limits->fell_back) remark += (remark.empty() ? "" : "; ") + said(w.fell_back, site->criteria.limits);
    const auto& oxygen = gas.substance.limiting_oxygen;
    table.rows.push_back({name, percent(gas.limits->lower), gas.limits->lower_source, percent(gas.limits->upper),
                          gas.limits->upper_source, oxygen ? percent(oxygen->value) : std::string{w.any},
                          oxygen ? oxygen->source : "", remark});
  }
  return html::table(table,
                     said(w.limits_used, format_quantity(zero_celsius + 25.0, "degC", 3, site->conditions.units))) +
         "<p class=\"foot\">" + html::text(w.limits_foot) + "</p>\n";
}

std::string criteria_table(const Sources& from) {
  const Criteria& criteria = from.site->criteria;
  const Criteria usual;
  const PageWords& w = from.words;
  const auto origin = [&](bool as_usual, std::string_view where) { return std::string{as_usual ? where : w.chosen}; };
  Table table;
  table.columns = {{std::string{w.criterion}}, {std::string{w.value}, true}, {std::string{w.source}}};
  table.rows = {
      {std::string{w.margin}, said(w.of_lower_limit, percent(criteria.warn_at)),
       origin(criteria.warn_at == usual.warn_at, w.margin_source)},
      {std::string{w.note}, said(w.of_lower_limit, percent(criteria.note_at)),
       origin(criteria.note_at == usual.note_at, w.note_source)},
      {std::string{w.oxygen_low}, percent(criteria.oxygen_low),
       origin(criteria.oxygen_low == usual.oxygen_low, "29 CFR 1910.146")},
      {std::string{w.oxygen_high}, percent(criteria.oxygen_high),
       origin(criteria.oxygen_high == usual.oxygen_high, "29 CFR 1910.146")},
      {std::string{w.whose_limits}, criteria.limits, origin(criteria.limits == usual.limits, w.cautious_source)},
      {std::string{w.followed_for}, format_duration(criteria.horizon), origin(criteria.open_ended, w.horizon_source)}};
  return html::table(table, w.criteria);
}

std::string run_table(const Sources& from) {
  const PageWords& w = from.words;
  Table table;
  table.columns = {{std::string{w.what}}, {std::string{w.this_run}}};
  const auto row = [&](std::string_view what, std::string value) {
    table.rows.push_back({std::string{what}, std::move(value)});
  };
  row("leanside", std::string{version()});
  row(w.site_file, file_of(from));
  if (!from.run.file_digest.empty()) row(w.digest, from.run.file_digest);
  if (!from.run.substances_file.empty()) {
    row(w.substances_file, from.run.substances_file);
    row(w.digest, from.run.substances_digest);
  }
  row(w.command, from.run.command);
  row(w.title, from.site->title);
  if (!from.site->notes.empty()) row(w.notes, from.site->notes);
  row(w.balance, report::without_transient(from.site, from.assessment)
                     ? std::string{w.not_computed}
                     : fmt::format("{:.1e}", from.assessment.balance_error));
  return html::table(table, w.same_again);
}

/// What was noticed, each thing once with all the places in the file that it is said of. A message starts with what it
/// is about: "space 'store': ...".
std::vector<std::string> notices(const Sources& from) {
  const PageWords& w = from.words;
  std::vector<std::pair<std::string, std::vector<std::string>>> grouped;
  for (const Diagnostic& notice : from.notices) {
    if (notice.level != DiagnosticLevel::notice) continue;
    const std::string message = plain_text(notice.message);
    const std::size_t colon = message.find("': ");
    const std::size_t split = colon == std::string::npos ? 0 : colon + 1;
    std::string about = message.substr(0, split), what = message.substr(split == 0 ? 0 : split + 2);
    if (about.empty()) std::swap(about, what);
    if (notice.place.line > 0) about = said(w.notice_at, static_cast<std::size_t>(notice.place.line), about);
    if (notice.place.file != from.site->file && !notice.place.file.empty()) {
      about =
          said(w.notice_in_file, plain_text(notice.place.file.substr(notice.place.file.find_last_of('/') + 1)), about);
    }
    const auto same = [&](const auto& group) { return group.first == what; };
    const auto found = what.empty() ? grouped.end() : std::find_if(grouped.begin(), grouped.end(), same);
    if (found != grouped.end()) {
      found->second.push_back(std::move(about));
    } else {
      grouped.push_back({std::move(what), {std::move(about)}});
    }
  }
  std::vector<std::string> out;
  for (const auto& [what, about] : grouped) {
    out.push_back(what.empty() ? about.front() + "." : said(w.notice_of_several, from.site.listed(about), what));
  }
  return out;
}

std::string folded(std::string_view title, const std::string& inside) {
  return "<details><summary>" + html::text(title) + "</summary>\n" + inside + "</details>\n";
}

}  // namespace

std::string assumptions(const Sources& from) {
  const PageWords& w = from.words;
  constexpr std::size_t on_paper = 24;
  const auto sentences = assumption_sentences(from.site, from.assessment);
  std::string list;
  for (std::size_t i = 0; i < sentences.size(); ++i) {
    list += fmt::format("<li id=\"a{}\"{}>{}.</li>\n", i + 1, i < on_paper ? "" : " class=\"screen-only\"",
                        html::sentence(sentences[i]));
  }
  std::string out =
      "<section id=\"taken\"><h2>" + html::text(w.assumptions) + "</h2>\n<ol class=\"taken\">\n" + list + "</ol>\n";
  if (sentences.size() > on_paper) {
    out += "<p class=\"paper-only more\">" + html::text(said(w.not_on_paper, sentences.size() - on_paper)) + "</p>\n";
  }
  std::string noticed;
  for (const std::string& notice : notices(from)) noticed += "<li>" + html::sentence(notice) + "</li>\n";
  if (!noticed.empty()) out += "<h3>" + html::text(w.noticed) + "</h3>\n<ul>\n" + noticed + "</ul>\n";
  return out + "</section>\n";
}

std::string sources(const Sources& from) {
  const PageWords& w = from.words;
  return "<section id=\"sources\"><h2>" + html::text(w.sources) + "</h2>\n" +
         folded(w.limits_and_criteria, substance_table(from) + criteria_table(from)) +
         folded(w.to_repeat, run_table(from)) + "</section>\n";
}

}  // namespace leanside::report::page
