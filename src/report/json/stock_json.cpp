// SPDX-License-Identifier: Apache-2.0
/// What is stored, and what should be kept apart, for programs.
#include "leanside/report.hpp"
#include "report/json/json.hpp"
#include "report/words/storage.hpp"

namespace leanside {
namespace {

using namespace report;

std::string_view word_of(StorageConcern concern) {
  switch (concern) {
    case StorageConcern::oxidiser_with_fuel:
      return "oxidiser_with_fuel";
    case StorageConcern::oxidiser_beside_fuel:
      return "oxidiser_beside_fuel";
    case StorageConcern::displaces_oxygen:
      break;
  }
  return "displaces_oxygen";
}

Json store_json(const Site& site, const StoredGas& gas) {
  return {{"release", gas.release ? Json(site.releases[gas.release->value].id) : Json(nullptr)},
          {"space", site.spaces[gas.space.value].id},
          {"fuel_mol", gas.fuel},
          {"oxidiser_mol", gas.oxidiser},
          {"inert_mol", gas.inert},
          {"air_to_lower_limit_m3", gas.air_to_limit},
          {"space_m3", gas.space_volume},
          {"reach_m3", gas.reach_volume}};
}

}  // namespace

std::string stock_json(const Site& site, const Stock& stock) {
  Json held = Json::array(), findings = Json::array();
  for (const StoredGas& gas : stock.held) held.push_back(store_json(site, gas));
  for (const StorageFinding& finding : stock.findings) {
    const bool two = finding.concern != StorageConcern::displaces_oxygen;
    findings.push_back({{"concern", word_of(finding.concern)},
                        {"space", site.spaces[finding.first.space.value].id},
                        {"first", store_json(site, finding.first)},
                        {"second", two ? store_json(site, finding.second) : Json(nullptr)},
                        {"oxygen", two ? Json(nullptr) : Json(finding.oxygen)},
                        {"summary", storage_words(site, finding)},
                        {"advice", storage_remedy(finding)}});
  }
  return dumped({{"held", std::move(held)}, {"findings", std::move(findings)}}) + "\n";
}

}  // namespace leanside
