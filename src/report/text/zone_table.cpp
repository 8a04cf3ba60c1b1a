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
Table zone_table(const Site& site, const Assessment& assessment) {
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
  table.columns = {{"release", false, true},
                   {"in", false, true},
                   {"kind"},
                   {"ignitable within, " + unit, true},
                   {"keep sparks away, " + unit, true},
                   {"flammable", true},
                   {""}};
  std::vector<std::pair<std::size_t, const SourceZone*>> farthest(worst.begin(), worst.end());
  std::ranges::stable_sort(farthest,
                           [](const auto& a, const auto& b) { return a.second->zone.reach > b.second->zone.reach; });
  for (const auto& [release, zone] : farthest) {
    table.rows.push_back({label(site, ReleaseIndex{release}), label(site, zone->space),
                          std::string{word_of(zone->zone.shape)}, metres(zone->zone.reach), metres(zone->zone.keep_out),
                          zone->zone.volume > 0.0 ? cubic_words(site, zone->zone.volume) : "",
                          zone->fills_space ? "the whole space" : ""});
  }
  return table;
}

}  // namespace leanside::report
