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

std::string class_words(const std::vector<StorageClass>& classes) {
  std::vector<std::string> words;
  for (const StorageClass of : classes) words.emplace_back(word_of(of));
  return joined(words);
}

std::string storage_words(const Site& site, const StorageFinding& finding) {
  const auto more = [](std::size_t count) { return count > 0 ? " with " + std::to_string(count) + " more" : ""; };
  const std::string first = store_words(site, finding.first);
  const std::string others =
      finding.more_first > 0 ? " (the same holds for " + std::to_string(finding.more_first) + " more)" : "";
  switch (finding.concern) {
    case StorageConcern::pyrophoric_with_others:
      return "a gas that ignites by itself in air stands beside other gas: " + first + more(finding.more_first) +
             " and " + store_words(site, finding.second) + more(finding.more_second) +
             "; a leak is a flame at once, and the flame heats what stands beside it";
    case StorageConcern::oxidiser_with_fuel:
      return "an oxidiser and a fuel are held in one place: " + first + more(finding.more_first) + " and " +
             store_words(site, finding.second) + more(finding.more_second) +
             "; where both leak, things burn far more fiercely, and their mixture burns over a wider range than this "
             "program knows";
    case StorageConcern::oxidiser_beside_fuel:
      return "an oxidiser is held next to a fuel: " + first + more(finding.more_first) + " here and " +
             store_words(site, finding.second) + more(finding.more_second) + " in " + label(site, finding.second.space);
    case StorageConcern::poisons_room:
      return "all of " + first + ", let out here, would make the air " + format_number(finding.times_idlh, 2) +
             " times as strong as what is immediately dangerous to life (IDLH), if no air came in" + others;
    case StorageConcern::cold_liquid:
      return first + " is kept cold, at " +
             format_quantity(site.spaces[finding.first.space.value].temperature, "degC", 2, site.conditions.units) +
             ", but its vapour can still be lit there" + others;
    case StorageConcern::decomposes:
      return first + " can explode without any air when it is heated or struck" + others;
    case StorageConcern::displaces_oxygen:
      break;
  }
  return "all of " + first + ", let out here, would leave " + percent_of_oxygen(finding.oxygen, site.criteria) +
         " of oxygen, under the limit of " + percent(site.criteria.oxygen_low) + ", if no air came in" + others;
}

std::string storage_remedy(const StorageFinding& finding) {
  switch (finding.concern) {
    case StorageConcern::displaces_oxygen:
      return "Keep no more of it there than is needed, or bring air in and measure the oxygen before going in after a "
             "leak.";
    case StorageConcern::poisons_room:
      return "Keep the smallest container that does, in a cabinet with its own extract or outdoors, with a detector "
             "whose alarm can be heard before anyone goes in.";
    case StorageConcern::pyrophoric_with_others:
      return "Give it a cabinet of its own with extract, apart from other fuels and from oxidisers (common practice, "
             "no source).";
    case StorageConcern::cold_liquid:
      return "The thermostat, lamp and fan of a household refrigerator spark. Keep the bottle in a cabinet for "
             "flammable liquids, or in a refrigerator that its maker sells for them (common practice, no source).";
    case StorageConcern::decomposes:
      return "Keep it upright, cool and away from sparks; acetylene never above 1 bar (15 psi) gauge in a hose or pipe "
             "(29 CFR "
             "1910.253(a)(2), from memory: 15 psi).";
    case StorageConcern::oxidiser_with_fuel:
    case StorageConcern::oxidiser_beside_fuel:
      break;
  }
  return "Store them apart. For cylinders practice in the US is 6.1 m (20 ft), or a wall at least 1.5 m (5 ft) high "
         "that resists fire for half an hour (29 CFR 1910.253(b)(4)(iii)); the code of your own place decides.";
}

}  // namespace leanside::report
