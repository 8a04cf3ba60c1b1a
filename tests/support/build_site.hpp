// SPDX-License-Identifier: Apache-2.0
/// Short ways to write a Site in a test, without a file.
#pragma once

#include <initializer_list>
#include <string>
#include <utility>
#include <vector>

#include "leanside/advanced/airflow.hpp"
#include "leanside/site.hpp"

namespace leanside::testing {

/// A substance with the few properties that a test needs.
inline Gas make_fuel(std::string id, double molar_mass, double lower, double upper, double oxygen_demand,
                     std::optional<double> limiting_oxygen = std::nullopt) {
  Gas gas;
  gas.substance.id = id;
  gas.substance.name = id;
  gas.substance.molar_mass = {molar_mass, "test", false};
  gas.substance.limits = {{"test", lower, upper, false}};
  gas.substance.oxygen_demand = Sourced{oxygen_demand, "test", false};
  if (limiting_oxygen) gas.substance.limiting_oxygen = Sourced{*limiting_oxygen, "test", false};
  gas.limits = ChosenLimits{lower, upper, "test", "test", false, false};
  return gas;
}

inline Gas make_inert(std::string id, double molar_mass) {
  Gas gas;
  gas.substance.id = id;
  gas.substance.name = id;
  gas.substance.molar_mass = {molar_mass, "test", false};
  return gas;
}

class SiteBuilder {
 public:
  SiteBuilder() {
    site.title = "test";
    site.cases.push_back({"normal", "", {}});
  }

  GasIndex gas(Gas g) {
    site.gases.push_back(std::move(g));
    return {site.gases.size() - 1};
  }
  GasIndex methane() { return gas(make_fuel("methane", 0.016043, 0.044, 0.17, 2.0, 0.107)); }
  GasIndex hydrogen() { return gas(make_fuel("hydrogen", 0.002016, 0.04, 0.77, 0.5, 0.046)); }
  GasIndex nitrogen() { return gas(make_inert("nitrogen", 0.028014)); }
  GasIndex oxygen() { return gas(make_inert("oxygen", 0.031998)); }

  SpaceIndex space(std::string id, double volume, SpaceKind kind = SpaceKind::room) {
    Space s;
    s.id = std::move(id);
    s.kind = kind;
    s.volume = volume;
    s.temperature = site.conditions.temperature;
    site.spaces.push_back(std::move(s));
    return {site.spaces.size() - 1};
  }
  SpaceIndex vessel(std::string id, double volume) { return space(std::move(id), volume, SpaceKind::vessel); }
  SpaceIndex junction(std::string id) { return space(std::move(id), 0.0, SpaceKind::junction); }

  AirwayIndex airway(std::string id, decltype(Airway::kind) kind, bool on = true) {
    Airway a;
    a.id = std::move(id);
    a.on = on;
    a.kind = std::move(kind);
    site.airways.push_back(std::move(a));
    return {site.airways.size() - 1};
  }
  AirwayIndex fan(std::string id, Side from, Side to, double flow) {
    return airway(std::move(id), Fan{from, to, flow, {}});
  }
  AirwayIndex exchange(std::string id, Side a, Side b, double flow) {
    return airway(std::move(id), Exchange{a, b, flow});
  }
  AirwayIndex opening(std::string id, Side a, Side b) { return airway(std::move(id), Opening{a, b}); }

  /// mol/s of `volume_rate` m3/s at site conditions.
  double molar(double volume_rate) const {
    return molar_flow(volume_rate, site.conditions.pressure, site.conditions.temperature);
  }
  ReleaseIndex release(std::string id, SpaceIndex into, GasIndex of, decltype(Release::kind) kind) {
    Release r;
    r.id = std::move(id);
    r.into = into;
    r.gas.shares = {{of, 1.0}};
    r.gas.name = site.gases[of.value].substance.id;
    r.kind = std::move(kind);
    site.releases.push_back(std::move(r));
    return {site.releases.size() - 1};
  }
  /// For ever, m3/s at site conditions.
  ReleaseIndex steady(std::string id, SpaceIndex into, GasIndex of, double volume_rate) {
    return release(std::move(id), into, of, SteadyRelease{molar(volume_rate), std::nullopt});
  }

  CaseIndex new_case(std::string id, std::vector<Event> events) {
    site.cases.push_back({std::move(id), "", std::move(events)});
    return {site.cases.size() - 1};
  }

  Site site;
};

}  // namespace leanside::testing
