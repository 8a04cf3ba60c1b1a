// SPDX-License-Identifier: Apache-2.0
#include <cmath>

#include "leanside/advanced/airflow.hpp"
#include "leanside/advanced/release.hpp"

namespace leanside {
namespace {

double prescribed_flow(const Airway& airway) {
  if (const auto* fan = std::get_if<Fan>(&airway.kind)) return fan->flow;
  if (const auto* exchange = std::get_if<Exchange>(&airway.kind)) return exchange->flow;
  return 0.0;
}

}  // namespace

double molar_flow(double volume_flow, double pressure, double temperature) {
  return volume_flow * pressure / (gas_constant * temperature);
}

double free_area_for(double flow) {
  constexpr double discharge = 0.6, pressure = 20.0, density = 1.2;
  return flow / (discharge * std::sqrt(2.0 * pressure / density));
}

void keep_worst(std::optional<StarvedFan>& worst, const StarvedFan& fan) {
  constexpr double slack = 1e-9;
  const auto share = [](const StarvedFan& f) { return f.carried / f.given; };
  const bool less = worst && share(fan) < share(*worst) - slack;
  const bool equal = worst && std::abs(share(fan) - share(*worst)) <= slack;
  if (!worst || less || (equal && fan.pressure.value_or(0.0) > worst->pressure.value_or(0.0))) worst = fan;
}

double moles_held(const Space& space, const Conditions& conditions) {
  return moles_held(space, conditions, space.temperature);
}

double moles_held(const Space& space, const Conditions& conditions, double temperature) {
  return conditions.pressure * space.volume / (gas_constant * temperature);
}

const AirwayKind& kind_now(const Site& site, const SiteState& state, std::size_t airway) {
  const auto found = state.changed.find(airway);
  return found == state.changed.end() ? site.airways[airway].kind : *found->second;
}

SiteState state_at(const Site& site, CaseIndex case_index, double t) {
  const Case& the_case = site.cases[case_index.value];
  SiteState state;
  state.airway_on.reserve(site.airways.size());
  state.airway_flow.reserve(site.airways.size());
  for (const Airway& airway : site.airways) {
    state.airway_on.push_back(airway.on);
    state.airway_flow.push_back(prescribed_flow(airway));
    const auto* doorway = std::get_if<Doorway>(&airway.kind);
    state.airway_open.push_back(doorway != nullptr ? doorway->open : 1.0);
  }
  state.temperature.reserve(site.spaces.size());
  for (const Space& space : site.spaces) state.temperature.push_back(space.temperature);
  for (const Event& event : the_case.events) {
    if (event.at > t) break;
    if (const auto* on = std::get_if<SetAirwayOn>(&event.change)) state.airway_on[on->airway.value] = on->on;
    if (const auto* flow = std::get_if<SetAirwayFlow>(&event.change)) {
      state.airway_flow[flow->airway.value] = flow->flow;
    }
    if (const auto* open = std::get_if<SetAirwayOpen>(&event.change))
      state.airway_open[open->airway.value] = open->open;
    if (const auto* kind = std::get_if<SetAirwayKind>(&event.change)) state.changed[kind->airway.value] = kind->kind;
    if (const auto* warmth = std::get_if<SetSpaceTemperature>(&event.change)) {
      state.temperature[warmth->space.value] = warmth->temperature;
    }
  }
  for (std::size_t i = 0; i < site.airways.size(); ++i) {
    state.airway_shut.push_back(!state.airway_on[i] || !(state.airway_open[i] > 0.0));
  }
  state.release_rate.assign(site.releases.size(), 0.0);
  for (std::size_t r = 0; r < site.releases.size(); ++r) {
    for (const EmissionSpan& span : emission(site.releases[r], ReleaseIndex{r}, the_case.events)) {
      const Release& release = site.releases[r];
      if (std::isinf(t)) {
        if (std::isinf(span.end) && lasts(release)) state.release_rate[r] = span.rate;
      } else if (span.begin <= t && t < span.end) {
        state.release_rate[r] = rate_varies(release) ? emission_rate(release, span.age + (t - span.begin)) : span.rate;
      }
    }
  }
  return state;
}

}  // namespace leanside
