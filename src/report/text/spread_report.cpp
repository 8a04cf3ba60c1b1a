// SPDX-License-Identifier: Apache-2.0
/// How sure an answer is whose values are ranges, in words.
#include <algorithm>
#include <cmath>
#include <functional>
#include <string>
#include <vector>

#include "leanside/study/spread.hpp"
#include "report/text/text_page.hpp"
#include "report/words/study_words.hpp"
#include "report/words/words.hpp"

namespace leanside {
namespace {

using namespace report;

constexpr std::size_t most_lines = 40;
constexpr std::size_t told_in_full = 8;  ///< spaces of which it is told what matters
constexpr std::size_t most_values = 5;   ///< values told of one space
constexpr double least_share = 0.01;     ///< of the variance; less is not told

/// A share of the draws, never rounded to all of them.
std::string share_words(double share) {
  constexpr double all[] = {1.0};
  return share == 1.0 ? "all" : percent(share, 2, all);
}

/// "none", "all", or "31 ± 0.6 %".
std::string chance_words(const Uncertain& chance, const TextStyle& style) {
  if (chance.value == 0.0) return "none";
  if (chance.value == 1.0) return "all";
  std::string value = share_words(chance.value);
  if (value.find('<') != std::string::npos) return value;
  return value.substr(0, value.size() - 2) + (style.unicode ? " ± " : " +- ") + format_number(100.0 * chance.error, 1) +
         " %";
}

std::string worst_words(double worst, const Site& site) {
  return std::isfinite(worst) ? percent_of_limit(site, worst) : "no end";
}

bool several_cases(const SpreadStudy& study) { return study.cases.size() > 1; }

/// The cells that name a place, and their columns.
std::vector<std::string> place_cells(const Site& site, const SpreadStudy& study, const SpreadSpace& space) {
  std::vector<std::string> out{label(site, space.space)};
  if (several_cases(study)) out.push_back(label(site, space.case_index));
  return out;
}
std::vector<Column> place_columns(const SpreadStudy& study) {
  std::vector<Column> out{{"space", false, true}};
  if (several_cases(study)) out.push_back({"case", false, true});
  return out;
}

void put_table(TextPage& page, const Site& site, const SpreadStudy& study, const std::vector<std::string>& heads,
               const std::function<std::vector<std::string>(const SpreadSpace&)>& cells) {
  Table table{place_columns(study), {}};
  for (const std::string& head : heads) table.columns.push_back({head, true, false});
  for (const SpreadSpace& space : study.spaces) {
    if (table.rows.size() == most_lines) break;
    auto row = place_cells(site, study, space);
    const auto more = cells(space);
    if (more.empty()) continue;
    row.insert(row.end(), more.begin(), more.end());
    table.rows.push_back(std::move(row));
  }
  page.table(table);
}

void put_chances(TextPage& page, const Site& site, const SpreadStudy& study) {
  const std::string margin = percent(site.criteria.warn_at);
  page.heading(std::string{"How often each space comes over, and how far "} +
               (study.steady_only ? "in steady state" : "at its peak") + ", % of the lower flammable limit");
  put_table(page, site, study, {"over " + margin, "over the limit", "best values", "5 %", "half", "95 %", "most"},
            [&](const SpreadSpace& s) -> std::vector<std::string> {
              return {chance_words(s.over_warn, page.style()),
                      chance_words(s.over_limit, page.style()),
                      worst_words(s.at_best, site),
                      worst_words(s.worst[0], site),
                      worst_words(s.worst[2], site),
                      worst_words(s.worst[4], site),
                      worst_words(s.largest, site)};
            });
  page.paragraph(
      "\"over\": the share of the draws, with its standard error; \"none\" is no proof that it cannot be. \"best "
      "values\": the answer of `check`. \"5 %\", \"half\", \"95 %\": so many of the draws stay below.",
      " ");
  if (study.spaces.size() > most_lines) {
    page.paragraph("and " + std::to_string(study.spaces.size() - most_lines) + " more (--format json has all)", " ");
  }
}

void put_times(TextPage& page, const Site& site, const SpreadStudy& study) {
  const bool any = std::any_of(study.spaces.begin(), study.spaces.end(),
                               [](const SpreadSpace& s) { return s.over_warn.value > 0.0; });
  if (study.steady_only || !any) return;
  page.heading("How soon " + percent(site.criteria.warn_at) + " of the lower flammable limit is reached");
  const auto words = [](const std::optional<double>& time) {
    return !time ? "not reached" : *time > 0.0 ? format_duration(*time) : "at the start";
  };
  put_table(page, site, study, {"in 5 % of the draws by", "in half of them by", "in 95 % by"},
            [&](const SpreadSpace& s) -> std::vector<std::string> {
              if (s.over_warn.value == 0.0) return {};
              return {words(s.time[0]), words(s.time[2]), words(s.time[4])};
            });
}

void put_weights(TextPage& page, const Site& site, const SpreadStudy& study) {
  Table table{place_columns(study), {}};
  table.columns.push_back({"value", false, true});
  table.columns.push_back({"alone", true, false});
  table.columns.push_back({"with others", true, false});
  std::size_t told = 0;
  for (const SpreadSpace& space : study.spaces) {
    if (space.sensitivity.total.empty()) continue;
    if (told++ == told_in_full) break;
    auto place = place_cells(site, study, space);
    std::size_t values = 0;
    for (const std::size_t i : by_weight(space.sensitivity)) {
      const Uncertain &first = space.sensitivity.first[i], &total = space.sensitivity.total[i];
      if (values > 0 && (values == most_values || total.value < least_share)) break;
      if (values++ > 0) std::fill(place.begin(), place.end(), std::string{});
      auto row = place;
      const auto share = [&](const Uncertain& index) {
        return format_number(std::round(100.0 * std::clamp(index.value, 0.0, 1.0))) +
               (page.style().unicode ? " ± " : " +- ") + format_number(100.0 * index.error, 1) + " %";
      };
      row.push_back(plain_text(site.ranges[i].name));
      row.push_back(share(first));
      row.push_back(share(total));
      table.rows.push_back(std::move(row));
    }
  }
  if (table.rows.empty()) return;
  page.heading("Which value matters most");
  page.table(table);
  page.paragraph(
      "Shares of the variance of the figures above: that each value causes alone, and with all that it does together "
      "with others. Who wants to be surer finds out more about the first value of a space; one at 0 % need not be "
      "known "
      "better.",
      " ");
}

void put_ranges(TextPage& page, const Site& site) {
  page.heading("Values given as ranges");
  Table table{{{"value", false, true}, {"low", true, false}, {"best", true, false}, {"high", true, false}}, {}};
  for (const Range& range : site.ranges) {
    table.rows.push_back(
        {plain_text(range.name), plain_text(range.low_text), plain_text(range.best_text), plain_text(range.high_text)});
  }
  page.table(table);
}

void put_others(TextPage& page, const Site& site, const SpreadStudy& study) {
  std::vector<std::string> items;
  for (const SpreadSpace& s : study.spaces) {
    const std::string where =
        label(site, s.space) + (several_cases(study) ? ", case " + label(site, s.case_index) : std::string{}) + ": ";
    if (s.oxygen > 0.0)
      items.push_back(where + "oxygen outside its criteria in " + share_words(s.oxygen) + " of the draws");
    if (s.pressure > 0.0) {
      items.push_back(where + "a rise of the pressure by a tenth or more in " + share_words(s.pressure) +
                      " of the draws");
    }
    if (s.endless > 0.0)
      items.push_back(where + "gas gathers without end in " + share_words(s.endless) + " of the draws");
  }
  if (items.size() > most_lines) items.resize(most_lines);
  page.list("Besides", items);
}

std::string verdict(const Site& site, const SpreadStudy& study) {
  const auto none = std::all_of(study.spaces.begin(), study.spaces.end(),
                                [](const SpreadSpace& s) { return s.over_warn.value == 0.0; });
  const std::string margin = percent(site.criteria.warn_at) + " of the lower flammable limit";
  if (none) return "In none of the draws any space comes to " + margin + ". That is no proof that none can.";
  const SpreadSpace& first = study.spaces.front();
  std::string out =
      "In " + share_words(first.over_warn.value) + " of the draws " + label(site, first.space) + " comes to " + margin;
  if (several_cases(study)) out += " in the case " + label(site, first.case_index);
  if (first.over_limit.value > 0.0) out += ", in " + share_words(first.over_limit.value) + " to the limit itself";
  return out + ".";
}

}  // namespace

std::string spread_text(const Site& site, const SpreadStudy& study, const TextStyle& style) {
  TextPage page{style};
  page.line(page.bold("How sure: " + plain_text(site.title)));
  page.paragraph((site.file.empty() ? "" : plain_text(site.file) + ", ") + count_of(site.ranges.size(), "value") +
                 " given as " + (site.ranges.size() == 1 ? "a range" : "ranges") + ", " + std::to_string(study.draws) +
                 " draws (" + std::string{word_of(study.shape)} + ", seed " + std::to_string(study.seed) + "), " +
                 (study.steady_only ? "in steady state alone" : "over the first " + format_duration(study.horizon)));
  page.line("");
  if (study.spaces.empty()) {
    page.paragraph("No gas comes to any space in any of the draws.");
  } else {
    page.paragraph(verdict(site, study));
    put_chances(page, site, study);
    put_times(page, site, study);
    put_weights(page, site, study);
    put_others(page, site, study);
  }
  put_ranges(page, site);
  page.list("Assumptions", assumption_sentences(site, study.assumptions));
  page.put_caution();
  return page.text();
}

}  // namespace leanside
