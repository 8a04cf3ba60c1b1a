// SPDX-License-Identifier: Apache-2.0
#include "report/words/storage.hpp"

#include "base/text/plain.hpp"

namespace leanside::report {

using P = Phrase;

std::string stored_volume_words(Told site, double cubic_metres) {
  constexpr double small = 0.1;
  return format_quantity(cubic_metres, cubic_metres < small ? "L" : "m3", 3, site->conditions.units);
}

std::string stored_gas_words(Told site, const StoredGas& gas) {
  if (gas.release) return plain_text(site->releases[gas.release->value].gas.name);
  std::string out;
  for (const GasShare& share : site->spaces[gas.space.value].initial) {
    out += (out.empty() ? "" : ", ") + plain_text(site->gases[share.gas.value].substance.id);
  }
  return out;
}

double stored_volume(Told site, const StoredGas& gas) {
  return (gas.fuel + gas.oxidiser + gas.inert) * gas_constant * site->conditions.temperature /
         site->conditions.pressure;
}

std::string store_words(Told site, const StoredGas& gas) {
  const std::string holder = gas.release ? label(site, *gas.release) : label(site, gas.space);
  return site.tell(gas.release ? P::held_by : P::held_in,
                   {{gas.release ? "source" : "space", holder},
                    {"gas", stored_gas_words(site, gas)},
                    {"volume", stored_volume_words(site, stored_volume(site, gas))}});
}

std::string class_words(const std::vector<StorageClass>& classes) {
  std::vector<std::string> words;
  for (const StorageClass of : classes) words.emplace_back(word_of(of));
  return joined(words);
}

namespace {

/// Of two stores beside one another.
std::string pair_words(Told site, const StorageFinding& finding) {
  const auto with_more = [&](std::string store, std::size_t more) {
    return more > 0 ? site.tell(P::store_more, {{"store", store}, {"n", std::to_string(more)}}) : store;
  };
  const std::string first = with_more(store_words(site, finding.first), finding.more_first);
  const std::string second = with_more(store_words(site, finding.second), finding.more_second);
  if (finding.concern == StorageConcern::oxidiser_beside_fuel) {
    return site.tell(P::stored_oxidiser_beside,
                     {{"first", first}, {"second", second}, {"space", label(site, finding.second.space)}});
  }
  return site.tell(
      finding.concern == StorageConcern::pyrophoric_with_others ? P::stored_pyrophoric : P::stored_oxidiser_with_fuel,
      {{"first", first}, {"second", second}});
}

std::string single_words(Told site, const StorageFinding& finding) {
  const std::string first = store_words(site, finding.first);
  switch (finding.concern) {
    case StorageConcern::poisons_room:
      return site.tell(P::stored_poison, {{"first", first}, {"times", format_number(finding.times_idlh, 2)}});
    case StorageConcern::cold_liquid: {
      const double temperature = site->spaces[finding.first.space.value].temperature;
      return site.tell(
          P::stored_cold,
          {{"first", first}, {"temperature", format_quantity(temperature, "degC", 2, site->conditions.units)}});
    }
    case StorageConcern::decomposes:
      return site.tell(P::stored_decomposes, {{"first", first}});
    default:
      break;
  }
  return site.tell(P::stored_displaces, {{"first", first},
                                         {"oxygen", percent_of_oxygen(site, finding.oxygen)},
                                         {"limit", percent(site->criteria.oxygen_low)}});
}

}  // namespace

std::string storage_words(Told site, const StorageFinding& finding) {
  switch (finding.concern) {
    case StorageConcern::pyrophoric_with_others:
    case StorageConcern::oxidiser_with_fuel:
    case StorageConcern::oxidiser_beside_fuel:
      return pair_words(site, finding);
    default:
      break;
  }
  const std::string what = single_words(site, finding);
  if (finding.more_first == 0) return what;
  return site.tell(P::same_for_more, {{"what", what}, {"n", std::to_string(finding.more_first)}});
}

std::string storage_remedy(Told site, const StorageFinding& finding) {
  switch (finding.concern) {
    case StorageConcern::displaces_oxygen:
      return site.tell(P::keep_displacing);
    case StorageConcern::poisons_room:
      return site.tell(P::keep_poison);
    case StorageConcern::pyrophoric_with_others:
      return site.tell(P::keep_pyrophoric);
    case StorageConcern::cold_liquid:
      return site.tell(P::keep_cold);
    case StorageConcern::decomposes:
      return site.tell(P::keep_decomposing);
    case StorageConcern::oxidiser_with_fuel:
    case StorageConcern::oxidiser_beside_fuel:
      break;
  }
  return site.tell(P::keep_apart);
}

}  // namespace leanside::report
