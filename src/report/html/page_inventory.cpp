// SPDX-License-Identifier: Apache-2.0
/// What there is: spaces, releases and how far they can be ignited, what is in store.
#include <algorithm>

#include <fmt/format.h>

#include "base/text/lists.hpp"
#include "leanside/advanced/release.hpp"
#include "report/html/html.hpp"
#include "report/html/page_parts.hpp"
#include "report/text/text_tables.hpp"
#include "report/words/storage.hpp"
#include "report/words/words.hpp"

namespace leanside::report::page {
namespace {

constexpr std::size_t rows_on_paper = 25, few_rows_on_paper = 10;

std::string space_list(const Sources& from) {
  const PageWords& w = from.words;
  Table table;
  for (const std::string_view head : {w.space, w.kind}) table.columns.push_back({std::string{head}});
  for (const std::string_view head : {w.volume, w.floor, w.height, w.temperature}) {
    table.columns.push_back({std::string{head}, true});
  }
  table.columns.push_back({std::string{w.ignition_sources}});
  for (std::size_t i = 0; i < from.site->spaces.size(); ++i) {
    const Space& space = from.site->spaces[i];
    if (space.kind == SpaceKind::junction) continue;
    table.rows.push_back(
        {label(from.site, SpaceIndex{i}), kind_word(from.site, space.kind),
         format_quantity(space.volume, space.volume < 0.1 ? "L" : "m3", 3, from.site->conditions.units),
         space.floor_area ? format_quantity(*space.floor_area, "m2", 3, from.site->conditions.units) : "-",
         space.height ? format_quantity(*space.height, "m", 3, from.site->conditions.units) : std::string{w.not_given},
         format_quantity(space.temperature, "degC", 3, from.site->conditions.units),
         space.ignition.empty() ? std::string{w.none_named} : from.site.listed(space.ignition)});
  }
  return long_table(table, w.spaces, rows_on_paper, true, w);
}

/// "from the start", "from 10 min to 20 min", "never in this case": when a release emits in the normal case.
std::string emission_words(const Sources& from, ReleaseIndex index) {
  const Told& site = from.site;
  const PageWords& w = from.words;
  const auto spans = emission(site->releases[index.value], index, site->cases.front().events);
  if (spans.empty()) return std::string{w.only_turned_on};
  std::string out;
  constexpr std::size_t most = 3;
  for (std::size_t i = 0; i < std::min(most, spans.size()); ++i) {
    out += i > 0 ? ", " : "";
    out += spans[i].begin > 0.0 ? said(w.from_time, format_duration(spans[i].begin)) : std::string{w.from_start};
    if (spans[i].end <= site->criteria.horizon) out += " " + said(w.to_time, format_duration(spans[i].end));
  }
  return out + (spans.size() > most ? ", ..." : "");
}

std::string release_list(const Sources& from) {
  const PageWords& w = from.words;
  if (from.site->releases.empty()) return "<p>" + html::text(w.no_release) + "</p>\n";
  Table table;
  for (const std::string_view head : {w.release, w.gas, w.size_written, w.into, w.when_normal}) {
    table.columns.push_back({std::string{head}});
  }
  for (std::size_t r = 0; r < from.site->releases.size(); ++r) {
    const Release& release = from.site->releases[r];
    table.rows.push_back({label(from.site, ReleaseIndex{r}), spoken(release.gas.name), plain_text(release.as_written),
                          label(from.site, release.into), emission_words(from, ReleaseIndex{r})});
  }
  std::string out = long_table(table, w.releases, few_rows_on_paper, true, w);
  const Table zones = zone_table(from.site, from.assessment);
  if (zones.rows.empty()) return out;
  return out + long_table(zones, w.close_to_releases, few_rows_on_paper, true, w) + "<p class=\"foot\">" +
         html::text(w.zone_limits) + "</p>\n";
}

std::string store_list(const Sources& from) {
  const PageWords& w = from.words;
  Table table;
  table.columns = {{std::string{w.what}},
                   {std::string{w.space}},
                   {std::string{w.air_to_limit}, true},
                   {std::string{w.times_space}, true}};
  for (const StoredGas& held : from.assessment.stock.held) {
    table.rows.push_back(
        {store_words(from.site, held), label(from.site, held.space),
         held.air_to_limit > 0.0 ? format_quantity(held.air_to_limit, "m3", 2, from.site->conditions.units) : "-",
         held.air_to_limit > 0.0 && held.space_volume > 0.0 ? format_number(held.air_to_limit / held.space_volume, 2)
                                                            : "-"});
  }
  if (table.rows.empty()) return {};
  return long_table(table, w.in_store, few_rows_on_paper, true, w) + "<p class=\"foot\">" + html::text(w.store_key) +
         "</p>\n";
}

}  // namespace

std::string inventory(const Sources& from) {
  return "<section id=\"inventory\"><h2>" + html::text(from.words.inventory) + "</h2>\n<details><summary>" +
         html::text(from.words.spaces_and_releases) + "</summary>\n" + space_list(from) + release_list(from) +
         store_list(from) + "</details></section>\n";
}

}  // namespace leanside::report::page
