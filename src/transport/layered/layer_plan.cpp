// SPDX-License-Identifier: Apache-2.0
#include "transport/layered/layer_plan.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "leanside/advanced/plumes.hpp"
#include "leanside/advanced/release.hpp"
#include "leanside/units.hpp"

namespace leanside::transport {
namespace {

/// What jets and buoyancy do in a room.
struct Stirring {
  double weight_flow = 0.0;  ///< kg/s, sum |rho_a - rho| q
  double jet_power = 0.0;    ///< W, sum W u^2
  Stirring& operator+=(const Stirring& other) {
    weight_flow += other.weight_flow;
    jet_power += other.jet_power;
    return *this;
  }
};

/// The age at which a release whose jet weakens has given nine tenths of its gas.
double judged_age(const Release& release) {
  if (!std::holds_alternative<CylinderRelease>(release.kind)) return 0.0;
  const double wanted = 0.9 * total_amount(release);
  double low = 0.0, high = emission_time(release);
  for (int k = 0; k < 60; ++k) {
    const double middle = 0.5 * (low + high);
    (amount_emitted(release, middle) < wanted ? low : high) = middle;
  }
  return high;
}

Stirring stirring_of(const Site& site, const Release& release) {
  const double age = judged_age(release);
  const double rate = emission_rate(release, age), mass = molar_mass(release.gas, site.gases);
  const double momentum = jet_momentum(release, age);
  Stirring result{rate * std::abs(mass - molar_mass_of_air), 0.0};
  if (rate > 0.0) result.jet_power = momentum * momentum / (rate * mass);
  return result;
}

bool goes_on_all_the_time(const Site& site, CaseIndex case_index, ReleaseIndex index) {
  const Release& release = site.releases[index.value];
  const auto spans = emission(release, index, site.cases[case_index.value].events);
  return !spans.empty() && spans.front().begin <= 0.0 && std::isinf(spans.back().end) && spans.size() == 1;
}

bool runs_all_the_time(const Site& site, CaseIndex case_index, AirwayIndex fan) {
  if (!site.airways[fan.value].on) return false;
  const auto& events = site.cases[case_index.value].events;
  return std::none_of(events.begin(), events.end(), [&](const Event& event) {
    const auto* on = std::get_if<SetAirwayOn>(&event.change);
    const auto* flow = std::get_if<SetAirwayFlow>(&event.change);
    return (on != nullptr && on->airway == fan && !on->on) || (flow != nullptr && flow->airway == fan);
  });
}

/// W u^2 of a fan that blows `momentum` N into a room.
double fan_power(const Site& site, const Fan& fan) {
  const double flow = fan.curve.empty() ? fan.flow : fan.curve.front().flow;
  const double temperature = fan.from ? site.spaces[fan.from->value].temperature : site.conditions.outside_temperature;
  const double weight = molar_flow(flow, site.conditions.pressure, temperature) * molar_mass_of_air;
  return weight > 0.0 ? *fan.momentum * *fan.momentum / weight : 0.0;
}

/// Whether most of the buoyancy of these releases is upwards.
bool is_mostly_light(const Site& site, const std::vector<ReleaseIndex>& into) {
  double up = 0.0, sign = 0.0;
  for (const ReleaseIndex r : into) {
    const Release& release = site.releases[r.value];
    const double lacking = molar_mass_of_air - molar_mass(release.gas, site.gases);
    up += emission_rate(release, judged_age(release)) * lacking;
    sign += lacking;
  }
  return up != 0.0 ? up > 0.0 : sign > 0.0;
}

std::string stirred_words(const std::string& what, double number) {
  return fmt::format("{} stirs all of it: volume Richardson number {}, under {}", what, format_number(number, 2),
                     format_number(mixing_richardson, 2));
}

}  // namespace

void LayerPlan::mix(SpaceIndex space, std::string reason) {
  std::erase_if(rooms, [&](const Room& room) { return room.space == space; });
  mixed.push_back({space, std::move(reason)});
}

LayerPlan plan_layers(const Site& site, CaseIndex case_index) {
  LayerPlan plan;
  for (std::size_t i = 0; i < site.spaces.size(); ++i) {
    const Space& space = site.spaces[i];
    if (space.stratification == Stratification::mixed) continue;
    const SpaceIndex index{i};
    std::vector<ReleaseIndex> into;
    Stirring always;
    for (std::size_t r = 0; r < site.releases.size(); ++r) {
      const Release& release = site.releases[r];
      if (release.into != index) continue;
      into.push_back(ReleaseIndex{r});
      if (goes_on_all_the_time(site, case_index, ReleaseIndex{r})) always += stirring_of(site, release);
    }
    if (into.empty()) {
      plan.mix(index, "nothing is released into it, so that no plume feeds a layer");
      continue;
    }
    std::string what;
    for (std::size_t a = 0; a < site.airways.size(); ++a) {
      const auto* fan = std::get_if<Fan>(&site.airways[a].kind);
      if (fan == nullptr || fan->to != Side{index} || !fan->momentum) continue;
      if (!runs_all_the_time(site, case_index, AirwayIndex{a})) continue;
      always.jet_power += fan_power(site, *fan);
      what = fmt::format("the fan '{}'", site.airways[a].id);
    }
    double largest = 0.0;
    for (const ReleaseIndex r : into) {
      Stirring here = always;
      if (!goes_on_all_the_time(site, case_index, r)) here += stirring_of(site, site.releases[r.value]);
      largest = std::max(largest, volume_richardson(here.weight_flow, here.jet_power, space.volume));
    }
    if (largest < mixing_richardson && !space.gas_above) {
      if (what.empty()) {
        what = into.size() == 1 ? fmt::format("the jet of '{}'", site.releases[into.front().value].id)
                                : std::string{"each jet that gets into it"};
      }
      plan.mix(index, stirred_words(what, largest));
      continue;
    }
    plan.rooms.push_back({index, space.gas_above.value_or(is_mostly_light(site, into))});
  }
  return plan;
}

}  // namespace leanside::transport
