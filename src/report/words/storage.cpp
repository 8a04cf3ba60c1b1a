// SPDX-License-Identifier: Apache-2.0
#include "report/words/storage.hpp"

#include "base/text/plain.hpp"

namespace leanside::report {

std::string stored_volume_words(const Site& site, double cubic_metres) {
  constexpr double small = 0.1;
  return format_quantity(cubic_metres, cubic_metres < small ? "L" : "m3", 3, site.conditions.units);
}

std::string stored_gas_words(const Site& site, const StoredGas& gas) {
  if (gas.release) return plain_text(site.releases[gas.release->value].gas.name);
  std::string out;
  for (const GasShare& share : site.spaces[gas.space.value].initial) {
    out += (out.empty() ? "" : ", ") + plain_text(site.gases[share.gas.value].substance.id);
  }
  return out;
}

double stored_volume(const Site& site, const StoredGas& gas) {
  return (gas.fuel + gas.oxidiser + gas.inert) * gas_constant * site.conditions.temperature / site.conditions.pressure;
}

std::string store_words(const Site& site, const StoredGas& gas) {
  const std::string holder =
      gas.release ? "\"" + label(site, *gas.release) + "\"" : "what " + label(site, gas.space) + " holds";
  return holder + " (" + stored_gas_words(site, gas) + ", " + stored_volume_words(site, stored_volume(site, gas)) + ")";
}

std::string storage_words(const Site& site, const StorageFinding& finding) {
  const auto more = [](std::size_t count) { return count > 0 ? " with " + std::to_string(count) + " more" : ""; };
  const std::string first = store_words(site, finding.first) + more(finding.more_first);
  const std::string second = store_words(site, finding.second) + more(finding.more_second);
  switch (finding.concern) {
    case StorageConcern::oxidiser_with_fuel:
      return "an oxidiser and a fuel are held in one place: " + first + " and " + second +
             "; where both leak, things burn far more fiercely, and their mixture burns over a wider range than this "
             "program knows";
    case StorageConcern::oxidiser_beside_fuel:
      return "an oxidiser is held next to a fuel: " + first + " here and " + second + " in " +
             label(site, finding.second.space);
    case StorageConcern::displaces_oxygen:
      break;
  }
  return "all of " + first + ", let out here, would leave " + percent_of_oxygen(finding.oxygen, site.criteria) +
         " of oxygen, under the limit of " + percent(site.criteria.oxygen_low) + ", if no air came in";
}

std::string storage_remedy(const StorageFinding& finding) {
  if (finding.concern == StorageConcern::displaces_oxygen) {
    return "Keep no more of it there than is needed, or bring air in and measure the oxygen before going in after a "
           "leak.";
  }
  return "Store them apart. For cylinders practice in the US is 6.1 m (20 ft), or a wall at least 1.5 m (5 ft) high "
         "that "
         "resists fire for half an hour (29 CFR 1910.253(b)(4)(iii)); the code of your own place decides.";
}

}  // namespace leanside::report
