// SPDX-License-Identifier: Apache-2.0
/// What poisons, what can be ignited at its source and what the answer leaves open, for programs.
#include "report/json/hazards_json.hpp"

namespace leanside::report {

void put_hazard(Json& out, const Site& site, const Warning& warning) {
  if (warning.toxic) {
    out["gas"] = site.gases[warning.toxic->gas.value].substance.id;
    out["gas_fraction"] = warning.toxic->worst;
    out["idlh"] = warning.toxic->idlh;
    out["idlh_is_tenth_of_limit"] = warning.toxic->tenth_of_limit;
  }
  if (warning.source) {
    const NearSource& source = *warning.source;
    out["release"] = site.releases[source.release.value].id;
    out["source_hazard"] = word_of(source.hazard);
    out["until_s"] = or_null(source.until);
    if (source.zone) out["zone"] = zone_json(site, *source.zone);
    if (source.hazard == SourceHazard::hot_liquid) {
      out["liquid_temperature_k"] = source.temperature;
      out["flash_point_k"] = or_null(source.flash_point);
      out["surface_lfl_fraction"] = source.surface_lfl_fraction;
    }
  }
}

Json zone_json(const Site& site, const SourceZone& zone) {
  return {{"release", site.releases[zone.release.value].id},
          {"space", site.spaces[zone.space.value].id},
          {"shape", word_of(zone.zone.shape)},
          {"reach_m", zone.zone.reach},
          {"keep_out_m", zone.zone.keep_out},
          {"volume_m3", zone.zone.volume},
          {"cloud_m3", zone.zone.cloud},
          {"background_lfl_fraction", zone.background},
          {"fills_space", zone.fills_space},
          {"from_s", zone.from},
          {"until_s", or_null(zone.until)}};
}

Json findings_json(const Site& site, const Assessment& assessment) {
  Json out = Json::array();
  for (const Finding& finding : assessment.findings) {
    const Warning& first = assessment.warnings[finding.warnings.front()];
    Json ranks = Json::array(), cases = Json::array();
    for (const std::size_t w : finding.warnings) ranks.push_back(w + 1);
    for (const CaseIndex case_index : finding.cases) cases.push_back(site.cases[case_index.value].id);
    Json release = nullptr, initial = nullptr;
    if (first.source) {
      release = site.releases[first.source->release.value].id;
    } else if (!first.causes.empty() && first.causes.front().release) {
      release = site.releases[first.causes.front().release->value].id;
    } else if (!first.causes.empty() && first.causes.front().initial_of) {
      initial = site.spaces[first.causes.front().initial_of->value].id;
    }
    out.push_back({{"severity", word_of(first.severity)},
                   {"space", site.spaces[first.space.value].id},
                   {"cases", cases},
                   {"release", release},
                   {"initial", initial},
                   {"warnings", ranks}});
  }
  return out;
}

Json not_judged_json(const Site& site, const NotJudged& open) {
  Json out{{"kind", word_of(open.kind)},
           {"release", nullptr},
           {"space", nullptr},
           {"gas", nullptr},
           {"case", nullptr},
           {"threshold", nullptr},
           {"value", nullptr},
           {"time_s", or_null(open.time)}};
  if (open.release) out["release"] = site.releases[open.release->value].id;
  if (open.space) out["space"] = site.spaces[open.space->value].id;
  if (open.gas) out["gas"] = site.gases[open.gas->value].substance.id;
  if (open.case_index) out["case"] = site.cases[open.case_index->value].id;
  if (open.threshold) {
    out["threshold"] = word_of(*open.threshold);
    out["value"] = open.value;
  }
  return out;
}

}  // namespace leanside::report
