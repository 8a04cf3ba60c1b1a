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
    if (source.hazard == SourceHazard::hot_liquid) {
      out["liquid_temperature_k"] = source.temperature;
      out["flash_point_k"] = or_null(source.flash_point);
      out["surface_lfl_fraction"] = source.surface_lfl_fraction;
    }
  }
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
  if (open.which) out["case"] = site.cases[open.which->value].id;
  if (open.threshold) {
    out["threshold"] = word_of(*open.threshold);
    out["value"] = open.value;
  }
  return out;
}

}  // namespace leanside::report
