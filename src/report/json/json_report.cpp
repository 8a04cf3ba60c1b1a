// SPDX-License-Identifier: Apache-2.0
/// The answer for programs. docs/results.md describes every key.
#include <string>
#include <vector>

#include "leanside/report.hpp"
#include "report/json/assumption_json.hpp"
#include "report/json/experiment_json.hpp"
#include "report/json/hazards_json.hpp"
#include "report/json/json.hpp"
#include "report/json/warning_json.hpp"
#include "report/words/words.hpp"

namespace leanside {
namespace {

using namespace report;

/// Names that are the same for every space.
struct Names {
  const Site& site;
  std::vector<std::string> gas_keys;  ///< by GasIndex, in quotes
  bool in_time = true;                ///< the course in time was computed
};

/// The gas balance is that of the course in time; without one there is none.
Json balance_json(double relative_error, bool in_time) {
  return {{"relative_error", in_time ? Json(relative_error) : Json(nullptr)}};
}

void put_mixture(JsonObject& out, const Names& names, const Instant& instant) {
  std::string& fractions = out.at("fraction");
  fractions += '{';
  for (std::size_t g = 0; g < names.gas_keys.size() && g < instant.fraction.size(); ++g) {
    fractions.append(g > 0 ? "," : "").append(names.gas_keys[g]).append(":");
    append_number(fractions, instant.fraction[g]);
  }
  fractions += '}';
  out.put("oxygen", instant.oxygen);
  out.put("lfl_fraction", instant.lfl_fraction);
  out.put_word("state", word_of(instant.state));
}

void put_instant(std::string& out, const Names& names, const Instant& instant) {
  JsonObject object{out};
  object.put("time_s", instant.time);
  put_mixture(object, names, instant);
}

void put_steady(std::string& out, const Names& names, const SteadyInstant& steady) {
  JsonObject object{out};
  object.at("reached") += steady.reached ? "true" : "false";
  if (steady.reached) {
    put_mixture(object, names, steady.at);
    return;
  }
  object.at("reason") += dumped(steady.reason);
  for (const char* key : {"fraction", "oxygen", "lfl_fraction", "state"}) object.at(key) += "null";
}

void put_worst(std::string& out, const WorstOf& worst) {
  JsonObject object{out};
  object.put("lfl_fraction", worst.lfl_fraction);
  object.at("is_steady") += worst.is_steady ? "true" : "false";
  object.put_word("state", word_of(worst.state));
  object.put("oxygen_lowest", worst.lowest_oxygen);
  object.put("oxygen_highest", worst.highest_oxygen);
}

void put_crossings(std::string& out, const std::vector<Crossing>& crossings) {
  out += '[';
  for (std::size_t i = 0; i < crossings.size(); ++i) {
    if (i > 0) out += ',';
    JsonObject object{out};
    object.put_word("threshold", word_of(crossings[i].threshold));
    object.put("up_s", crossings[i].up);
    object.put("down_s", crossings[i].down);
  }
  out += ']';
}

/// Empty also where nothing was found of the air.
std::optional<double> at(const std::vector<std::optional<double>>& values, std::size_t i) {
  return i < values.size() ? values[i] : std::nullopt;
}

/// What the air does in a space at the start.
struct AirOfSpace {
  std::optional<double> air_changes;  ///< 1/h
  std::optional<double> pressure;     ///< Pa over outside
};

/// What there is of each layer of a room.
void put_layer(std::string& out, const Names& names, const SpaceResult& layer) {
  JsonObject object{out};
  put_steady(object.at("steady"), names, layer.steady);
  put_instant(object.at("peak"), names, layer.peak);
  put_instant(object.at("end"), names, layer.end);
  put_crossings(object.at("crossings"), layer.crossings);
  object.put("flammable_s", layer.flammable_time);
  object.put("flammable_from_s", layer.flammable_from);
  object.put("flammable_gas_m3", layer.flammable_gas);
}

void put_layers(std::string& out, const Names& names, const LayeredRoom& room) {
  JsonObject object{out};
  object.put_word("gas_gathers", room.gas_above ? "above" : "below");
  object.put("interface_end_m", room.end_interface);
  object.put("interface_steady_m", room.steady_interface);
  object.put("interface_deepest_m", room.deepest_interface);
  object.put("interface_deepest_s", room.deepest_time);
  object.put("flammable_volume_m3", room.flammable_volume);
  object.put("flammable_from_m", room.flammable_height ? std::optional{room.flammable_height->from} : std::nullopt);
  object.put("flammable_to_m", room.flammable_height ? std::optional{room.flammable_height->to} : std::nullopt);
  put_layer(object.at("lower"), names, room.lower);
  put_layer(object.at("upper"), names, room.upper);
  std::string& course = object.at("interface");
  course += '[';
  for (std::size_t k = 0; k < room.course.size(); ++k) {
    if (k > 0) course += ',';
    JsonObject point{course};
    point.put("time_s", room.course[k].time);
    point.put("height_m", room.course[k].height);
  }
  course += ']';
}

/// Facts that only rooms with layers have.
struct LayersOfSpace {
  const LayeredRoom* room = nullptr;
  const MixedRoom* mixed = nullptr;
  RoomModel room_model = RoomModel::only;
};

LayersOfSpace layers_of(const CaseResult& result, SpaceIndex space) {
  LayersOfSpace out;
  for (const LayeredRoom& room : result.layered) {
    if (room.space == space) out.room = &room;
  }
  for (const MixedRoom& room : result.mixed) {
    if (room.space == space) out.mixed = &room;
  }
  if (!result.room_model.empty()) out.room_model = result.room_model[space.value];
  return out;
}

void put_space(std::string& out, const Names& names, SpaceIndex index, const SpaceResult& space, const AirOfSpace& air,
               const LayersOfSpace& layers) {
  JsonObject object{out};
  object.at("id") += dumped(names.site.spaces[index.value].id);
  put_steady(object.at("steady"), names, space.steady);
  put_instant(object.at("peak"), names, space.peak);
  put_instant(object.at("end"), names, space.end);
  put_worst(object.at("worst"), space.worst);
  put_crossings(object.at("crossings"), space.crossings);
  object.put("flammable_s", space.flammable_time);
  object.put("flammable_from_s", space.flammable_from);
  object.put("flammable_gas_m3", space.flammable_gas);
  object.put("oxygen_lowest", space.lowest_oxygen);
  object.put("oxygen_highest", space.highest_oxygen);
  object.put("oxygen_outside_criteria_from_s", space.oxygen_left_criteria);
  object.put("pressure_pa", space.pressure);
  object.put("pressure_gained_10_percent_s", space.pressure_110);
  object.put("pressure_doubled_s", space.pressure_200);
  object.put("pressure_rated_s", space.pressure_rated);
  object.put("air_changes_per_h", air.air_changes);
  object.put("pressure_over_outside_pa", air.pressure);
  if (layers.room != nullptr) put_layers(object.at("layers"), names, *layers.room);
  if (layers.mixed != nullptr) object.at("mixed_because") += dumped(layers.mixed->reason);
  if (layers.room_model != RoomModel::only) object.put_word("room_model", word_of(layers.room_model));
}

std::string side_id(const Site& site, Side side) { return side ? site.spaces[side->value].id : "outside"; }

void put_airway(std::string& out, const Site& site, const VolumeFlows& air, const Airway& airway,
                const AirwayFlow& flow) {
  JsonObject object{out};
  object.at("id") += dumped(airway.id);
  object.at("from") += dumped(side_id(site, first_side(airway)));
  object.at("to") += dumped(side_id(site, second_side(airway)));
  object.put("flow_m3_s", air.volume_flow(flow.forward, first_side(airway)));
  object.put("return_flow_m3_s", air.volume_flow(flow.backward, second_side(airway)));
  object.put("pressure_difference_pa", flow.pressure_difference);
}

/// Into the space where positive, at the temperature of where it comes from.
Json leak_json(const Site& site, const VolumeFlows& air, const AssumedLeak& leak) {
  const Side from = leak.rate < 0.0 ? Side{leak.space} : leak.other;
  return {{"space", site.spaces[leak.space.value].id},
          {"other", side_id(site, leak.other)},
          {"flow_m3_s", air.volume_flow(leak.rate, from)}};
}

Json starved_json(const Site& site, const VolumeFlows& air, const StarvedFan& fan) {
  const Airway& airway = site.airways[fan.fan.value];
  const double given = air.volume_flow(fan.given, first_side(airway));
  return {{"airway", airway.id},
          {"flow_m3_s", given},
          {"carried_m3_s", air.volume_flow(fan.carried, first_side(airway))},
          {"pressure_pa", or_null(fan.pressure)},
          {"space", site.spaces[fan.space.value].id},
          {"missing", fan.inlet ? "inlet" : "outlet"},
          {"free_area_m2", free_area_for(given)},
          {"remedy", starved_help(site, fan)}};
}

Json flow_notice_json(const Site& site, const FlowNotice& notice) {
  using Kind = FlowNotice::Kind;
  Json out{{"kind", word_of(notice.kind)}};
  if (notice.kind == Kind::against_name || notice.kind == Kind::carries_nothing) {
    out["airway"] = site.airways[notice.airway.value].id;
  }
  if (notice.kind == Kind::against_name || notice.kind == Kind::imbalance) {
    out["space"] = side_id(site, notice.inside);
    out["direction"] = notice.into ? "into" : "out-of";
    out["flow_m3_s"] = notice.flow;
  }
  if (notice.kind == Kind::imbalance) out["share"] = notice.share;
  return out;
}

Json difference_json(const Site& site, const FlowDifference& flow) {
  return {{"airway", site.airways[flow.airway.value].id},
          {"first_flow_m3_s", flow.forward_first},
          {"first_return_flow_m3_s", flow.backward_first},
          {"flow_m3_s", flow.forward},
          {"return_flow_m3_s", flow.backward}};
}

/// What the answer assumed of the air, and what looks wrong with it.
void put_air(std::string& out, const Site& site, const VolumeFlows& air, const CaseResult& result) {
  Json leaks = Json::array();
  for (const AssumedLeak& leak : result.leaks) leaks.push_back(leak_json(site, air, leak));
  Json overflowing = Json::array();
  for (const AirwayIndex airway : result.overflowing) overflowing.push_back(site.airways[airway.value].id);
  out += ",\n    \"assumed_leaks\": " + dumped(leaks);
  Json leaking = Json::array(), starved = Json::array();
  for (const AirwayIndex airway : result.leaking) leaking.push_back(site.airways[airway.value].id);
  for (const StarvedFan& fan : result.starved) starved.push_back(starved_json(site, air, fan));
  out += ",\n    \"overflowing_airways\": " + dumped(overflowing);
  out += ",\n    \"leaking_openings\": " + dumped(leaking);
  out += ",\n    \"starved_fans\": " + dumped(starved);
  Json notices = Json::array();
  for (const FlowNotice& notice : result.air.notices) notices.push_back(flow_notice_json(site, notice));
  out += ",\n    \"flow_notices\": " + dumped(notices);
}

void put_case(std::string& out, const Names& names, const CaseResult& result) {
  const Site& site = names.site;
  const VolumeFlows air{site, result.case_index};
  const Case& its_case = site.cases[result.case_index.value];
  out += "{\"id\": " + dumped(its_case.id) + ", \"name\": " + dumped(its_case.name);
  out += ",\n    \"airways\": ";
  {
    JsonList list{out, "    "};
    for (std::size_t i = 0; i < site.airways.size() && i < result.flows.airways.size(); ++i) {
      put_airway(list.next(), site, air, site.airways[i], result.flows.airways[i]);
    }
  }
  out += ",\n    \"spaces\": ";
  {
    const auto& rates = result.air.air_changes;
    const auto& pressures = result.air.pressure_over_outside;
    JsonList list{out, "    "};
    for (std::size_t i = 0; i < result.spaces.size(); ++i) {
      put_space(list.next(), names, SpaceIndex{i}, result.spaces[i], {at(rates, i), at(pressures, i)},
                layers_of(result, SpaceIndex{i}));
    }
  }
  out += ",\n    \"releases\": ";
  {
    JsonList list{out, "    "};
    for (std::size_t r = 0; r < result.releases.size(); ++r) {
      JsonObject object{list.next()};
      object.at("id") += dumped(site.releases[r].id);
      object.put("amount_mol", result.releases[r].amount);
      object.put("spent_s", result.releases[r].spent);
    }
  }
  put_air(out, site, air, result);
  Json zones = Json::array();
  for (const SourceZone& zone : result.zones) zones.push_back(zone_json(site, zone));
  out += ",\n    \"zones\": " + dumped(zones);
  Json condensing = Json::array();
  for (const Condensing& one : result.condensing) {
    condensing.push_back({{"release", site.releases[one.release.value].id}, {"share", one.share}});
  }
  Json experiments = Json::array();
  for (const Experiment& one : result.experiments) experiments.push_back(experiment_json(site, one));
  out += ",\n    \"experiments\": " + dumped(experiments);
  out += ",\n    \"condensing\": " + dumped(condensing);
  Json differences = Json::array();
  for (const FlowDifference& flow : result.differences) differences.push_back(difference_json(site, flow));
  out += ",\n    \"flow_differences\": " + dumped(differences);
  out += ",\n    \"balance\": " + dumped(balance_json(result.balance_error, names.in_time)) + "}";
}

Json limits_json(const Site& site) {
  Json out = Json::array();
  for (const Gas& gas : site.gases) {
    if (!gas.limits) continue;
    out.push_back({{"gas", gas.substance.id},
                   {"lower", gas.limits->lower},
                   {"lower_source", gas.limits->lower_source},
                   {"upper", gas.limits->upper},
                   {"upper_source", gas.limits->upper_source},
                   {"recalled", gas.limits->recalled},
                   {"fell_back", gas.limits->fell_back}});
  }
  return out;
}

Json conditions_json(const Conditions& conditions) {
  return {{"temperature_k", conditions.temperature},
          {"pressure_pa", conditions.pressure},
          {"outside_temperature_k", conditions.outside_temperature},
          {"wind_speed_m_s", conditions.wind_speed},
          {"oxygen_in_air", conditions.oxygen_in_air}};
}

Json criteria_json(const Criteria& criteria) {
  return {{"warn_at", criteria.warn_at},          {"note_at", criteria.note_at}, {"oxygen_low", criteria.oxygen_low},
          {"oxygen_high", criteria.oxygen_high},  {"limits", criteria.limits},   {"horizon_s", criteria.horizon},
          {"horizon_given", !criteria.open_ended}};
}

Json notice_json(const Diagnostic& notice) {
  return {{"file", notice.place.file},
          {"line", notice.place.line},
          {"column", notice.place.column},
          {"message", notice.message}};
}

}  // namespace

std::string json_report(const Site& given, const Assessment& assessment, const Diagnostics& notices) {
  const Site site = with_computed_time(given, assessment);
  std::string out = "{\n\"site\": " + dumped({{"title", site.title}, {"file", site.file}});
  const auto put = [&](const char* key, const Json& value) {
    out.append(",\n\"").append(key).append("\": ").append(dumped(value));
  };
  Names names{site, {}, !without_transient(site, assessment)};
  Json gases = Json::array();
  for (const Gas& gas : site.gases) {
    gases.push_back(gas.substance.id);
    names.gas_keys.push_back(dumped(gas.substance.id));
  }
  put("conditions", conditions_json(site.conditions));
  put("criteria", criteria_json(site.criteria));
  put("gases", gases);
  put("limits", limits_json(site));
  put("steady_only", without_transient(site, assessment));
  out += ",\n\"assumptions\": ";
  {
    JsonList list{out, ""};
    for (const Assumption& one : assessment.assumptions) {
      const std::string sentence = assumption_sentence(site, one) + case_words(site, one, assessment.cases.size());
      list.next() += dumped(assumption_json(site, one, sentence));
    }
  }
  out += ",\n\"notices\": ";
  {
    JsonList list{out, ""};
    for (const Diagnostic& notice : notices) {
      if (notice.level == DiagnosticLevel::notice) list.next() += dumped(notice_json(notice));
    }
  }
  out += ",\n\"cases\": ";
  {
    JsonList list{out, ""};
    for (const CaseResult& result : assessment.cases) put_case(list.next(), names, result);
  }
  out += ",\n\"warnings\": ";
  {
    JsonList list{out, ""};
    std::size_t rank = 0;
    for (const Warning& warning : assessment.warnings) list.next() += dumped(warning_json(site, warning, ++rank));
  }
  put("findings", findings_json(site, assessment));
  out += ",\n\"not_judged\": ";
  {
    JsonList list{out, ""};
    for (const NotJudged& open : assessment.not_judged) list.next() += dumped(not_judged_json(site, open));
  }
  put("not_judged_summary", open_sentences(site, assessment));
  put("calls_for_action", calls_for_action(assessment));
  put("balance", balance_json(assessment.balance_error, names.in_time));
  return out + "\n}\n";
}

}  // namespace leanside
