// SPDX-License-Identifier: Apache-2.0
#include "report/json/experiment_json.hpp"

namespace leanside::report {
namespace {

/// Times from the start of the run; null where they are never reached.
Json window_json(const Experiment& experiment) {
  if (!experiment.window) return nullptr;
  const FlameWindow& window = *experiment.window;
  const double start = experiment.left_alone;
  return {{"may_strike_back_from_s", start + window.from}, {"may_strike_back_at_latest_s", start + window.at_latest},
          {"too_lean_from_s", start + window.until},       {"mixed_from_s", start + window.mixed_from},
          {"mixed_until_s", start + window.mixed_until},   {"unmixed_s", start + window.unmixed}};
}

Json course_json(const Experiment& experiment) {
  Json out = Json::array();
  for (const ExperimentPoint& point : experiment.course) {
    out.push_back({{"time_s", point.time},
                   {"mixed_fuel", point.mixed},
                   {"unmixed_level", point.level},
                   {"flame", word_of(point.state)}});
  }
  return out;
}

Json counterflow_json(const std::optional<Counterflow>& against) {
  if (!against) return nullptr;
  return {{"outflow_m3_s", against->outflow},
          {"air_m3_s", against->air},
          {"keeps_out_m3_s", against->keeps_out},
          {"kept_out", against->kept_out},
          {"fuel_when_gas_ends", against->settles},
          {"flammable_from_s", or_null(against->from)},
          {"flammable_until_s", or_null(against->until)},
          {"flammable_s", against->flammable_time}};
}

Json states_json(const std::vector<StateSpan>& spans) {
  Json out = Json::array();
  for (const StateSpan& span : spans) {
    out.push_back({{"from_s", span.begin}, {"to_s", span.end}, {"flame", word_of(span.state)}});
  }
  return out;
}

Json collection_json(const std::optional<Collection>& collection) {
  if (!collection) return nullptr;
  Json jars = Json::array();
  for (const CollectedJar& jar : collection->jars) {
    jars.push_back({{"filled_s", jar.filled},
                    {"volume_m3", jar.volume},
                    {"fuel", jar.fuel},
                    {"oxygen", jar.oxygen},
                    {"water", jar.water},
                    {"state", word_of(jar.state)}});
  }
  return {{"gas_mol", collection->gas},
          {"wet_volume_m3", collection->volume},
          {"jar_m3", collection->jar},
          {"swept_volumes", collection->swept},
          {"volumes_until_rich", collection->volumes},
          {"discard_m3", collection->discard},
          {"ready_s", or_null(collection->ready)},
          {"jars_in_all", collection->jars_in_all},
          {"jars", jars}};
}

Json sweeping_json(const std::optional<Sweeping>& sweeping) {
  if (!sweeping) return nullptr;
  return {{"flow_m3_s", sweeping->flow},
          {"volumes_until_rich", sweeping->volumes},
          {"swept_volumes", sweeping->swept},
          {"ready_s", or_null(sweeping->time)}};
}

Json air_json(const Experiment& e) {
  return {{"way", word_of(e.way)},      {"flow_m3_s", e.air_flow},
          {"density_kg_m3", e.density}, {"surrounding_density_kg_m3", e.surrounding_density},
          {"trapped_m3", e.trapped},    {"gas_flow_that_keeps_it_out_m3_s", or_null(e.keeps_out)}};
}

Json flame_json(const Experiment& e) {
  return {{"lit", e.lit},
          {"widest_opening_m", e.widest},
          {"outflow_speed_m_s", e.outflow_speed},
          {"quenching_distance_m", or_null(e.quenching_distance)},
          {"safe_gap_m", or_null(e.safe_gap)},
          {"burning_velocity_m_s", or_null(e.burning_velocity)},
          {"passes_openings", e.passes_flame}};
}

}  // namespace

Json experiment_json(const Site& site, const Experiment& e) {
  Json fed_by = Json::array();
  for (const SpaceIndex one : e.fed_by) fed_by.push_back(site.spaces[one.value].id);
  Json content = Json::object();
  for (std::size_t k = 0; k < e.content.size(); ++k) content[site.gases[k].substance.id] = e.content[k];
  return {{"space", site.spaces[e.space.value].id},
          {"gas_space_m3", site.spaces[e.space.value].volume},
          {"held_mol", e.held},
          {"sealed", e.sealed},
          {"left_alone_s", e.left_alone},
          {"gas_goes_on", e.fed},
          {"content", content},
          {"fuel", e.fuel},
          {"oxygen", e.oxygen},
          {"oxygen_per_fuel", or_null(e.oxygen_per_fuel)},
          {"oxygen_that_burns_all", or_null(e.oxygen_demand)},
          {"violent_in_any_amount", e.with_oxygen},
          {"worst_fuel", e.worst_fuel},
          {"worst_oxygen", e.worst_oxygen},
          {"heat_j", e.heat},
          {"heat_of_all_fuel_j", e.heat_of_all},
          {"closed_pressure_pa", or_null(e.closed_pressure)},
          {"air", air_json(e)},
          {"flame", flame_json(e)},
          {"window", window_json(e)},
          {"course", course_json(e)},
          {"counterflow", counterflow_json(e.counterflow)},
          {"states", {{"mixed", states_json(e.mixed)}, {"unmixed", states_json(e.unmixed)}}},
          {"fed_by", fed_by},
          {"gas_let_in_mol", e.gas_in},
          {"harmless_gas_mol", or_null(e.harmless_gas)},
          {"collection", collection_json(e.collection)},
          {"sweeping", sweeping_json(e.sweeping)},
          {"poison", e.poison ? Json(site.gases[e.poison->value].substance.id) : Json(nullptr)},
          {"poison_times_idlh", e.poison_times}};
}

}  // namespace leanside::report
