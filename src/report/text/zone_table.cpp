// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <map>
#include <utility>
#include <vector>

#include "base/text/plain.hpp"
#include "leanside/report.hpp"
#include "report/text/text_tables.hpp"
#include "report/words/words.hpp"

namespace leanside::report {
namespace {

using P = Phrase;

Phrase shape_of(ZoneShape shape) {
  switch (shape) {
    case ZoneShape::jet:
      return P::cell_jet;
    case ZoneShape::plume:
      return P::cell_plume;
    case ZoneShape::pool:
      break;
  }
  return P::cell_pool;
}

}  // namespace

Table zone_table(Told site, const Assessment& assessment) {
  std::map<std::size_t, const SourceZone*> worst;
  for (const CaseResult& result : assessment.cases) {
    for (const SourceZone& zone : result.zones) {
      const SourceZone*& known = worst[zone.release.value];
      if (known == nullptr || zone.zone.reach > known->zone.reach) known = &zone;
    }
  }
  const std::string unit = unit_words(site, "m");
  const auto metres = [&](double value) { return format_number(in_unit(site, value, "m"), 2); };
  Table table;
  table.columns = {{site.tell(P::head_release), false, true},
                   {site.tell(P::head_in), false, true},
                   {site.tell(P::head_kind)},
                   {site.tell(P::head_ignitable_within, {{"unit", unit}}), true},
                   {site.tell(P::head_keep_sparks_away, {{"unit", unit}}), true},
                   {site.tell(P::head_flammable_volume), true}};
  std::vector<std::pair<std::size_t, const SourceZone*>> farthest(worst.begin(), worst.end());
  std::ranges::stable_sort(farthest,
                           [](const auto& a, const auto& b) { return a.second->zone.reach > b.second->zone.reach; });
  for (const auto& [release, zone] : farthest) {
    table.rows.push_back({label(site, ReleaseIndex{release}), label(site, zone->space),
                          site.tell(shape_of(zone->zone.shape)),
                          // No length where the gas fills the space before it is thinned: 0 would look harmless.
                          zone->fills_space ? site.tell(P::cell_whole_space) : metres(zone->zone.reach),
                          zone->fills_space ? site.tell(P::cell_out_of_it) : metres(zone->zone.keep_out),
                          zone->zone.volume > 0.0 ? cubic_words(site, zone->zone.volume) : ""});
  }
  return table;
}

}  // namespace leanside::report
