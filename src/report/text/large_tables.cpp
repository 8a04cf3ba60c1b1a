// SPDX-License-Identifier: Apache-2.0
/// Tables of sites that are too large for a row a space.
#include <algorithm>
#include <map>

#include "report/text/text_tables.hpp"
#include "report/words/site_groups.hpp"
#include "report/words/words.hpp"

namespace leanside::report {
namespace {

using P = Phrase;

struct Place {
  const CaseResult* result;
  std::size_t space;

  const SpaceResult& at() const { return result->spaces[space]; }
  double worst() const { return at().worst.lfl_fraction; }
};

/// Every space with a volume in every case, the worst first.
std::vector<Place> places_of(Told site, const Assessment& assessment) {
  std::vector<Place> out;
  for (const CaseResult& result : assessment.cases) {
    for (std::size_t i = 0; i < result.spaces.size(); ++i) {
      if (site->spaces[i].kind != SpaceKind::junction) out.push_back({&result, i});
    }
  }
  std::ranges::stable_sort(out, [](const Place& a, const Place& b) { return a.worst() > b.worst(); });
  return out;
}

/// What a group of spaces comes to.
struct Sum {
  std::size_t spaces = 0, over = 0;
  const Place* worst = nullptr;
};

}  // namespace

Table worst_spaces_table(Told site, const Assessment& assessment, std::size_t most) {
  const std::vector<Place> places = places_of(site, assessment);
  const SiteGroups groups = site_groups(site);
  const bool cases = assessment.cases.size() > 1;
  Table table;
  table.columns = {{site.tell(P::head_space), false, true}};
  if (cases) table.columns.push_back({site.tell(P::head_case), false, true});
  if (groups.any()) table.columns.push_back({site.tell(P::head_where), false, true});
  table.columns.push_back({site.tell(P::head_state)});
  for (const Phrase head : {P::head_peak, P::head_steady, P::head_oxygen}) {
    table.columns.push_back({site.tell(head), true});
  }
  for (std::size_t k = 0; k < std::min(most, places.size()) && places[k].worst() > 0.0; ++k) {
    const SpaceResult& space = places[k].at();
    std::vector<std::string> row{label(site, SpaceIndex{places[k].space})};
    if (cases) row.push_back(plain_text(site->cases[places[k].result->case_index.value].id));
    if (groups.any()) row.push_back(groups.names[groups.of_space[places[k].space]]);
    row.push_back(state_word(site, space.worst.state));
    row.push_back(percent_of_limit(site, space.peak.lfl_fraction));
    row.push_back(space.steady.reached ? percent_of_limit(site, space.steady.at.lfl_fraction)
                                       : site.tell(P::cell_none));
    row.push_back(oxygen_cell(site, space));
    table.rows.push_back(std::move(row));
  }
  return table;
}

Table group_table(Told site, const Assessment& assessment) {
  const SiteGroups groups = site_groups(site);
  Table table;
  if (!groups.any()) return table;
  const std::vector<Place> places = places_of(site, assessment);
  std::vector<Sum> sums(groups.names.size());
  std::vector<std::size_t> order;  // groups, as their worst space comes first
  for (const Place& place : places) {
    Sum& sum = sums[groups.of_space[place.space]];
    if (sum.worst == nullptr) {
      sum.worst = &place;
      order.push_back(groups.of_space[place.space]);
    }
    sum.spaces += place.result == &assessment.cases.front();
    sum.over += place.worst() >= site->criteria.warn_at;
  }
  table.columns = {{site.tell(P::head_where), false, true},
                   {site.tell(P::head_spaces), true},
                   {site.tell(P::head_over, {{"percent", percent(site->criteria.warn_at)}}), true},
                   {site.tell(P::head_worst), true},
                   {site.tell(P::head_in), false, true}};
  for (const std::size_t group : order) {
    const Sum& sum = sums[group];
    const bool any = sum.worst->worst() > 0.0;
    table.rows.push_back({groups.names[group], std::to_string(sum.spaces), std::to_string(sum.over),
                          percent_of_limit(site, sum.worst->worst()),
                          any ? label(site, SpaceIndex{sum.worst->space}) : "-"});
  }
  return table;
}

}  // namespace leanside::report
