// SPDX-License-Identifier: Apache-2.0
/// Releases and reactions, for programs.
#include <cmath>

#include "hazard/release_facts.hpp"
#include "leanside/advanced/release.hpp"
#include "leanside/advanced/sources.hpp"
#include "leanside/report.hpp"
#include "leanside/substance_file.hpp"
#include "report/json/json.hpp"

namespace leanside {
namespace {

using namespace report;

using hazard::volume_of;

}  // namespace

std::string release_json(const Site& site, const Assessment& assessment, std::optional<ReleaseIndex> only) {
  const auto finite = [](double value) { return std::isfinite(value) ? Json(value) : Json(nullptr); };
  Json list = Json::array();
  for (const ReleaseIndex index : hazard::releases_asked_for(site, only)) {
    const Release& release = site.releases[index.value];
    const hazard::ReleaseFacts facts = hazard::release_facts(site, assessment, index);
    Json row = {{"id", release.id},
                {"into", site.spaces[release.into.value].id},
                {"gas", release.gas.name},
                {"as_written", release.as_written},
                {"start_s", release.start},
                {"on", release.on},
                {"rate_varies", rate_varies(release)},
                {"peak_mol_s", facts.peak},
                {"peak_m3_s", volume_of(site, facts.peak)},
                {"total_mol", finite(facts.total)},
                {"total_kg", finite(facts.total * facts.molar_mass)},
                {"lasts_s", finite(facts.lasts)},
                {"spent_s", facts.spent ? Json(*facts.spent) : Json(nullptr)},
                {"given_mol", facts.given},
                {"lower_limit", facts.lower ? Json(*facts.lower) : Json(nullptr)},
                {"air_to_lower_limit_m3", facts.lower && std::isfinite(facts.total)
                                              ? Json(hazard::air_to_limit(site, facts, facts.total))
                                              : Json(nullptr)}};
    if (const auto* charging = std::get_if<ChargingRelease>(&release.kind)) {
      row["standard_airflow_m3_s"] = charging_airflow_of_standard(charging->cells, charging->current);
      row["standard_opening_m2"] = charging_opening_of_standard(row["standard_airflow_m3_s"]);
    }
    list.push_back(std::move(row));
  }
  return dumped({{"releases", std::move(list)}}) + "\n";
}

std::string reaction_list_json() {
  Json list = Json::array();
  for (const Reaction& reaction : built_in_reactions()) {
    Json reagents = Json::array();
    for (const ReactionPart& part : reaction.reagents) {
      reagents.push_back(
          {{"id", part.id}, {"name", part.name}, {"count", part.count}, {"molar_mass_kg_mol", part.molar_mass}});
    }
    list.push_back({{"id", reaction.id},
                    {"name", reaction.name},
                    {"equation", reaction.equation},
                    {"reagents", std::move(reagents)},
                    {"gas", reaction.gas},
                    {"gas_count", reaction.gas_count},
                    {"note", reaction.note}});
  }
  return dumped({{"reactions", std::move(list)}}) + "\n";
}

}  // namespace leanside
