// SPDX-License-Identifier: Apache-2.0
/// A site of two spaces and an answer for it, made by hand, for tests of reports.
#pragma once

#include <optional>
#include <sstream>
#include <string>
#include <utility>
#include <vector>

#include <nlohmann/json.hpp>

#include "leanside/assess.hpp"

namespace leanside {

using nlohmann::json;

inline constexpr SpaceIndex store{0}, flask{1};
inline constexpr CaseIndex normal{0}, fan_stops{1};
inline constexpr ReleaseIndex leak{0}, other_leak{1};

inline Site sample_site() {
  Site site;
  site.title = "A store";
  site.file = "store.toml";
  Gas methane;
  methane.substance.id = "methane";
  methane.substance.molar_mass = {0.016043, "computed", false};
  methane.limits = ChosenLimits{0.044, 0.17, "source-a", "source-b", false, false};
  Gas nitrogen;
  nitrogen.substance.id = "nitrogen";
  nitrogen.substance.molar_mass = {0.0280134, "computed", false};
  site.gases = {methane, nitrogen};
  Space room;
  room.id = "store";
  room.name = "Cylinder store";
  room.volume = 20.0;
  room.temperature = 300.0;
  room.ignition = {"fan motor"};
  Space vessel;
  vessel.id = "flask";
  vessel.kind = SpaceKind::vessel;
  vessel.volume = 0.001;
  vessel.initial = {{GasIndex{0}, 1.0}};
  site.spaces = {room, vessel};
  site.conditions.outside_temperature = 280.0;
  site.airways = {{"extract", true, Fan{Side{store}, Side{}, 0.05, {}}, {}},
                  {"door", true, Exchange{Side{}, Side{store}, 0.01}, {}}};
  const auto release = [](std::string id, std::string name, std::string gas, GasIndex index, std::string size) {
    Release out;
    out.id = std::move(id);
    out.name = std::move(name);
    out.into = store;
    out.gas = {{{index, 1.0}}, std::move(gas)};
    out.kind = SteadyRelease{0.003, {}};
    out.as_written = std::move(size);
    return out;
  };
  site.releases = {release("valve", "Valve that leaks", "methane", GasIndex{0}, "4 L/min"),
                   release("joint", "", "methane", GasIndex{0}, "1 L/min"),
                   release("purge", "", "nitrogen", GasIndex{1}, "2 L/min")};
  site.cases = {{"normal", "", {}}, {"fan-stops", "The fan stops", {}}};
  return site;
}

inline Instant instant(double time, double methane, double lfl_fraction, MixtureState state) {
  return {time, {methane, 0.0}, 0.2, lfl_fraction, state};
}

inline CaseResult case_result(CaseIndex case_index) {
  CaseResult result;
  result.case_index = case_index;
  result.flows.airways = {{2.0, 0.0, {}}, {0.4, 0.3, {}}};
  SpaceResult room;
  room.peak = instant(28800.0, 0.1 + 0.2, 6.8181818181818183, MixtureState::rich);
  room.end = room.peak;
  room.steady.at = instant(0.0, 1.0 / 3.0, 7.5757575757575752, MixtureState::rich);
  room.crossings = {{Threshold::warn, 512.3, std::nullopt}, {Threshold::ufl, 900.0, 1234.5678901234567}};
  room.flammable_time = 400.1;
  room.flammable_from = 600.25;
  room.lowest_oxygen = 0.14;
  room.highest_oxygen = 0.2095;
  room.pressure = standard_atmosphere;
  SpaceResult vessel;
  vessel.peak = instant(0.0, 1e-300, 0.0, MixtureState::clear);
  vessel.end = instant(28800.0, 0.0, 0.0, MixtureState::clear);
  vessel.steady.reached = false;
  vessel.steady.reason = "gas has no way out of flask";
  vessel.lowest_oxygen = vessel.highest_oxygen = 0.2095;
  vessel.pressure = standard_atmosphere;
  result.spaces = {room, vessel};
  return result;
}

inline Warning sample_warning(Severity severity) {
  Warning warning;
  warning.severity = severity;
  warning.case_index = fan_stops;
  warning.space = store;
  warning.lfl_fraction = 2.4;
  warning.time = 512.3;
  warning.worst_state = MixtureState::flammable;
  warning.oxygen = 0.172;
  warning.pressure = 1.3 * standard_atmosphere;
  warning.causes = {{leak, std::nullopt, 0.83}, {other_leak, std::nullopt, 0.17}};
  warning.remedy.kind = RemedyKind::more_fresh_air;
  warning.remedy.extra_air = 312.1 / 3600.0;
  warning.remedy.value_after = 0.25;
  return warning;
}

inline Assessment sample_assessment() {
  Assessment out;
  out.cases = {case_result(normal), case_result(fan_stops)};
  out.warnings = {sample_warning(Severity::flammable)};
  out.assumptions = {{AssumptionKind::well_mixed}};
  out.balance_error = 1.25e-13;
  return out;
}

inline bool has(const std::string& text, const std::string& part) { return text.find(part) != std::string::npos; }

inline std::vector<std::string> lines_of(const std::string& text) {
  std::vector<std::string> out;
  std::istringstream in{text};
  for (std::string line; std::getline(in, line);) out.push_back(line);
  return out;
}

}  // namespace leanside
