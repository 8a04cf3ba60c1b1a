// SPDX-License-Identifier: Apache-2.0
/// The arithmetic of one space, for programs.
#include "leanside/explain.hpp"
#include "leanside/report.hpp"
#include "report/json/experiment_json.hpp"
#include "report/json/json.hpp"

namespace leanside {
namespace {

using namespace report;

Json stream_json(const Site& site, const ExplainedStream& stream) {
  return {{"kind", word_of(stream.kind)},
          {"airway", stream.airway ? Json(site.airways[stream.airway->value].id) : Json(nullptr)},
          {"direction", stream.into ? "into" : "out_of"},
          {"other", stream.other ? site.spaces[stream.other->value].id : "outside"},
          {"flow_m3_s", stream.flow},
          {"temperature_k", stream.temperature},
          {"rate_mol_s", stream.rate}};
}

Json source_json(const Site& site, const ExplainedRelease& release) {
  Json parts = Json::array();
  for (const ExplainedRelease::Part& part : release.parts) {
    parts.push_back(
        {{"gas", site.gases[part.gas.value].substance.id}, {"fraction", part.fraction}, {"rate_mol_s", part.rate}});
  }
  return {{"release", site.releases[release.release.value].id},
          {"rate_mol_s", release.rate},
          {"flow_m3_s", release.flow},
          {"parts", parts}};
}

Json gas_json(const Site& site, const ExplainedGas& gas) {
  Json terms = Json::array();
  for (const ExplainedGas::Term& term : gas.terms) {
    terms.push_back({{"stream", term.stream}, {"fraction", term.fraction}});
  }
  return {{"gas", site.gases[gas.gas.value].substance.id},
          {"brought_by", terms},
          {"brought_mol_s", gas.brought},
          {"released_mol_s", gas.released},
          {"fraction", gas.fraction},
          {"fraction_of_engine", gas.solved},
          {"differs", gas.differs}};
}

Json limits_json(const Site& site, const SpaceArithmetic& arithmetic) {
  Json out = Json::array();
  for (const ExplainedLimit& limit : arithmetic.limits) {
    out.push_back({{"gas", site.gases[limit.gas.value].substance.id},
                   {"fraction", limit.fraction},
                   {"lower_at_25_degc", limit.lower_at_25},
                   {"lower", limit.lower}});
  }
  return out;
}

Json oxygen_json(const std::optional<ExplainedOxygen>& oxygen) {
  if (!oxygen) return nullptr;
  return {{"in_air", oxygen->in_air},
          {"fractions", oxygen->fractions},
          {"added", oxygen->added},
          {"oxygen", oxygen->value}};
}

Json yield_json(const Site& site, const ExplainedYield& yield) {
  return {{"release", site.releases[yield.release.value].id},
          {"gas_mol", yield.gas},
          {"volume_m3", yield.volume},
          {"volume_over_water_m3", yield.wet_volume},
          {"volumes", or_null(yield.volumes)},
          {"time_s", yield.time}};
}

template <class List, class ToJson>
Json list_json(const Site& site, const List& list, const ToJson& to_json) {
  Json out = Json::array();
  for (const auto& one : list) out.push_back(to_json(site, one));
  return out;
}

}  // namespace

std::string explanation_json(const Site& site, const SpaceArithmetic& arithmetic) {
  Json passages = Json::array();
  for (const ExplainedPassage& passage : arithmetic.passages) {
    passages.push_back({{"lfl_fraction", passage.mark}, {"time_s", passage.time}, {"engine_s", passage.engine}});
  }
  const bool steady = arithmetic.no_steady.empty();
  return dumped({{"site", {{"title", site.title}, {"file", site.file}}},
                 {"case", site.cases[arithmetic.case_index.value].id},
                 {"space", site.spaces[arithmetic.space.value].id},
                 {"pressure_pa", arithmetic.pressure},
                 {"temperature_k", arithmetic.temperature},
                 {"volume_m3", arithmetic.volume},
                 {"held_mol", arithmetic.moles},
                 {"steady", steady},
                 {"reason", steady ? Json(nullptr) : Json(arithmetic.no_steady)},
                 {"streams", list_json(site, arithmetic.streams, stream_json)},
                 {"inflow_mol_s", arithmetic.inflow},
                 {"outflow_mol_s", arithmetic.outflow},
                 {"releases", list_json(site, arithmetic.releases, source_json)},
                 {"released_mol_s", arithmetic.released},
                 {"mixing_factor", arithmetic.mixing_factor},
                 {"gases", list_json(site, arithmetic.gases, gas_json)},
                 {"limits", limits_json(site, arithmetic)},
                 {"lfl_fraction", arithmetic.lfl_fraction},
                 {"level", word_of(arithmetic.level)},
                 {"oxygen", oxygen_json(arithmetic.oxygen)},
                 {"time_constant_s", or_null(arithmetic.time_constant)},
                 {"passages", passages},
                 {"yields", list_json(site, arithmetic.yields, yield_json)},
                 {"experiment", arithmetic.experiment ? experiment_json(site, *arithmetic.experiment) : Json(nullptr)},
                 {"horizon_s", arithmetic.horizon},
                 {"peak", {{"time_s", arithmetic.peak.time}, {"lfl_fraction", arithmetic.peak.lfl_fraction}}}}) +
         "\n";
}

}  // namespace leanside
