// SPDX-License-Identifier: Apache-2.0
/// The answer for programs. docs/results.md describes every key.
#include <string>

#include "leanside/report.hpp"
#include "report/json.hpp"
#include "report/words.hpp"

namespace leanside {
namespace {

using namespace report;

Json fractions_json(const Site& site, const Instant& instant) {
  Json out = Json::object();
  for (std::size_t g = 0; g < site.gases.size() && g < instant.fraction.size(); ++g) {
    out[site.gases[g].substance.id] = instant.fraction[g];
  }
  return out;
}

void put_mixture(Json& out, const Site& site, const Instant& instant) {
  out["fraction"] = fractions_json(site, instant);
  out["oxygen"] = instant.oxygen;
  out["lfl_fraction"] = instant.lfl_fraction;
  out["state"] = word_of(instant.state);
}

Json instant_json(const Site& site, const Instant& instant) {
  Json out{{"time_s", instant.time}};
  put_mixture(out, site, instant);
  return out;
}

Json sustained_json(const Site& site, const SustainedInstant& sustained) {
  Json out{{"reached", sustained.reached}};
  if (!sustained.reached) {
    out["reason"] = sustained.reason;
    for (const char* key : {"fraction", "oxygen", "lfl_fraction", "state"}) out[key] = nullptr;
    return out;
  }
  put_mixture(out, site, sustained.at);
  return out;
}

Json space_json(const Site& site, SpaceIndex index, const SpaceResult& space) {
  Json crossings = Json::array();
  for (const Crossing& crossing : space.crossings) {
    crossings.push_back(
        {{"threshold", word_of(crossing.threshold)}, {"up_s", crossing.up}, {"down_s", or_null(crossing.down)}});
  }
  return {{"id", site.spaces[index.value].id},
          {"sustained", sustained_json(site, space.sustained)},
          {"peak", instant_json(site, space.peak)},
          {"end", instant_json(site, space.end)},
          {"crossings", std::move(crossings)},
          {"flammable_s", space.flammable_time},
          {"flammable_from_s", or_null(space.flammable_from)},
          {"flammable_gas_m3", space.flammable_gas},
          {"oxygen_lowest", space.lowest_oxygen},
          {"oxygen_highest", space.highest_oxygen},
          {"oxygen_outside_criteria_from_s", or_null(space.oxygen_left_criteria)},
          {"pressure_pa", space.pressure},
          {"pressure_gained_10_percent_s", or_null(space.pressure_110)}};
}

std::string side_id(const Site& site, Side side) { return side ? site.spaces[side->value].id : "outside"; }

Json airway_json(const Site& site, const Airway& airway, const AirwayFlow& flow) {
  return {{"id", airway.id},
          {"from", side_id(site, first_side(airway))},
          {"to", side_id(site, second_side(airway))},
          {"flow_m3_s", volume_flow(site, flow.forward, first_side(airway))},
          {"return_flow_m3_s", volume_flow(site, flow.backward, second_side(airway))}};
}

/// Into the space where positive, at the temperature of where it comes from.
Json leak_json(const Site& site, const AssumedLeak& leak) {
  const Side from = leak.rate < 0.0 ? Side{leak.space} : Side{};
  return {{"space", site.spaces[leak.space.value].id}, {"flow_m3_s", volume_flow(site, leak.rate, from)}};
}

void put_case(std::string& out, const Site& site, const CaseResult& result) {
  const Case& which = site.cases[result.which.value];
  out += "{\"id\": " + dumped(which.id) + ", \"name\": " + dumped(which.name);
  out += ",\n    \"airways\": ";
  {
    JsonList list{out, "    "};
    for (std::size_t i = 0; i < site.airways.size() && i < result.flows.airways.size(); ++i) {
      list.next() += dumped(airway_json(site, site.airways[i], result.flows.airways[i]));
    }
  }
  out += ",\n    \"spaces\": ";
  {
    JsonList list{out, "    "};
    for (std::size_t i = 0; i < result.spaces.size(); ++i) {
      list.next() += dumped(space_json(site, SpaceIndex{i}, result.spaces[i]));
    }
  }
  Json leaks = Json::array();
  for (const AssumedLeak& leak : result.leaks) leaks.push_back(leak_json(site, leak));
  Json overflowing = Json::array();
  for (const AirwayIndex airway : result.overflowing) overflowing.push_back(site.airways[airway.value].id);
  out += ",\n    \"assumed_leaks\": " + dumped(leaks);
  out += ",\n    \"overflowing_airways\": " + dumped(overflowing);
  out += ",\n    \"balance\": " + dumped({{"relative_error", result.balance_error}}) + "}";
}

Json causes_json(const Site& site, const std::vector<Cause>& causes) {
  Json out = Json::array();
  for (const Cause& cause : causes) {
    if (cause.release) {
      out.push_back({{"release", site.releases[cause.release->value].id}, {"share", cause.share}});
    } else if (cause.initial_of) {
      const std::string& space = site.spaces[cause.initial_of->value].id;
      out.push_back({{"release", "initial:" + space}, {"initial", space}, {"share", cause.share}});
    }
  }
  return out;
}

std::string_view word_of_remedy(RemedyKind kind) {
  switch (kind) {
    case RemedyKind::more_fresh_air:
      return "more_fresh_air";
    case RemedyKind::more_air_for_peak:
      return "more_air_for_peak";
    case RemedyKind::keep_air_out:
      return "keep_air_out";
    case RemedyKind::vent_vessel:
      return "vent_vessel";
    case RemedyKind::stop_source:
      return "stop_source";
    case RemedyKind::restore_oxygen:
      return "restore_oxygen";
    case RemedyKind::watch:
      return "watch";
  }
  return "watch";
}

Json warning_json(const Site& site, const Warning& warning, std::size_t rank) {
  const Space& space = site.spaces[warning.space.value];
  const Remedy& remedy = warning.remedy;
  Json out{{"rank", rank},
           {"severity", word_of(warning.severity)},
           {"case", site.cases[warning.which.value].id},
           {"space", space.id},
           {"lfl_fraction", warning.lfl_fraction},
           {"time_s", or_null(warning.time)},
           {"worst_is_sustained", warning.worst_is_sustained},
           {"worst_state", word_of(warning.worst_state)},
           {"summary", summary_sentence(site, warning)},
           {"causes", causes_json(site, warning.causes)},
           {"remedy", remedy_sentence(site, warning)},
           {"remedy_kind", word_of_remedy(remedy.kind)},
           {"extra_air_m3_s", or_null(remedy.extra_air)},
           {"value_after", remedy.extra_air ? Json(remedy.value_after) : Json(nullptr)},
           {"passes_through_range", remedy.passes_through_range},
           {"ignition", space.ignition}};
  if (warning.severity == Severity::oxygen) out["oxygen"] = warning.oxygen;
  if (warning.severity == Severity::pressure) out["pressure_pa"] = warning.pressure;
  return out;
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
  return {{"warn_at", criteria.warn_at},         {"note_at", criteria.note_at}, {"oxygen_low", criteria.oxygen_low},
          {"oxygen_high", criteria.oxygen_high}, {"limits", criteria.limits},   {"horizon_s", criteria.horizon}};
}

Json notice_json(const Diagnostic& notice) {
  return {{"file", notice.place.file},
          {"line", notice.place.line},
          {"column", notice.place.column},
          {"message", notice.message}};
}

}  // namespace

std::string json_report(const Site& site, const Assessment& assessment, const Diagnostics& notices) {
  std::string out = "{\n\"tool\": " + dumped({{"name", "leanside"}, {"version", version()}});
  const auto put = [&](const char* key, const Json& value) {
    out.append(",\n\"").append(key).append("\": ").append(dumped(value));
  };
  Json gases = Json::array();
  for (const Gas& gas : site.gases) gases.push_back(gas.substance.id);
  put("notice", caution());
  put("site", {{"title", site.title}, {"file", site.file}});
  put("conditions", conditions_json(site.conditions));
  put("criteria", criteria_json(site.criteria));
  put("gases", gases);
  put("limits", limits_json(site));
  put("sustained_only", without_transient(site, assessment));
  out += ",\n\"assumptions\": ";
  {
    JsonList list{out, ""};
    for (const std::string& text : assumption_sentences(site, assessment)) list.next() += dumped(text);
  }
  out += ",\n\"notices\": ";
  {
    JsonList list{out, ""};
    for (const Diagnostic& notice : notices) {
      if (notice.gravity == Gravity::notice) list.next() += dumped(notice_json(notice));
    }
  }
  out += ",\n\"cases\": ";
  {
    JsonList list{out, ""};
    for (const CaseResult& result : assessment.cases) put_case(list.next(), site, result);
  }
  out += ",\n\"warnings\": ";
  {
    JsonList list{out, ""};
    std::size_t rank = 0;
    for (const Warning& warning : assessment.warnings) list.next() += dumped(warning_json(site, warning, ++rank));
  }
  put("balance", {{"relative_error", assessment.balance_error}});
  return out + "\n}\n";
}

}  // namespace leanside
