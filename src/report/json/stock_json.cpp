// SPDX-License-Identifier: Apache-2.0
/// What is stored, and what should be kept apart, for programs.
#include "leanside/report.hpp"
#include "report/json/json.hpp"
#include "report/words/storage.hpp"

namespace leanside {
namespace {

using namespace report;

Json classes_json(const std::vector<StorageClass>& classes) {
  Json words = Json::array();
  for (const StorageClass of : classes) words.push_back(word_of(of));
  return words;
}

Json store_json(const Site& site, const StoredGas& gas) {
  return {{"release", gas.release ? Json(site.releases[gas.release->value].id) : Json(nullptr)},
          {"space", site.spaces[gas.space.value].id},
          {"fuel_mol", gas.fuel},
          {"oxidiser_mol", gas.oxidiser},
          {"inert_mol", gas.inert},
          {"mass_kg", gas.mass},
          {"liquid_m3", gas.liquid_volume},
          {"classes", classes_json(gas.classes)},
          {"air_to_lower_limit_m3", gas.air_to_limit},
          {"space_m3", gas.space_volume},
          {"reach_m3", gas.reach_volume}};
}

Json space_json(const Site& site, const SpaceStock& sum) {
  return {{"space", site.spaces[sum.space.value].id},
          {"containers", sum.containers},
          {"fuel_mol", sum.fuel},
          {"oxidiser_mol", sum.oxidiser},
          {"inert_mol", sum.inert},
          {"mass_kg", sum.mass},
          {"flammable_liquid_m3", sum.liquid_volume},
          {"air_to_lower_limit_m3", sum.air_to_limit},
          {"classes", classes_json(sum.classes)}};
}

}  // namespace

std::string stock_json(const Site& site, const Stock& stock) {
  Json held = Json::array(), spaces = Json::array(), findings = Json::array();
  for (const StoredGas& gas : stock.held) held.push_back(store_json(site, gas));
  for (const SpaceStock& sum : stock.spaces) spaces.push_back(space_json(site, sum));
  for (const StorageFinding& finding : stock.findings) {
    const bool two = concerns_two(finding.concern);
    const bool of_oxygen = finding.concern == StorageConcern::displaces_oxygen;
    const bool of_poison = finding.concern == StorageConcern::poisons_room;
    findings.push_back({{"concern", word_of(finding.concern)},
                        {"space", site.spaces[finding.first.space.value].id},
                        {"first", store_json(site, finding.first)},
                        {"second", two ? store_json(site, finding.second) : Json(nullptr)},
                        {"oxygen", of_oxygen ? Json(finding.oxygen) : Json(nullptr)},
                        {"times_idlh", of_poison ? Json(finding.times_idlh) : Json(nullptr)},
                        {"summary", storage_words(site, finding)},
                        {"advice", storage_remedy(site, finding)}});
  }
  return dumped({{"held", std::move(held)}, {"spaces", std::move(spaces)}, {"findings", std::move(findings)}}) + "\n";
}

}  // namespace leanside
