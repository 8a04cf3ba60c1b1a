// SPDX-License-Identifier: Apache-2.0
#include "hazard/mixture.hpp"

#include <algorithm>
#include <array>
#include <cassert>
#include <map>
#include <numeric>

namespace leanside {

double oxygen_of(const Site& site, std::span<const double> fraction) {
  double tracked = 0.0, added = 0.0;
  for (std::size_t k = 0; k < fraction.size(); ++k) {
    tracked += fraction[k];
    if (site.gases[k].substance.id == "oxygen") added += fraction[k];
  }
  return site.conditions.oxygen_in_air * (1.0 - tracked) + added;
}

std::vector<std::optional<Fuel>> fuels_at(const Site& site, double temperature) {
  std::vector<std::optional<Fuel>> fuels(site.gases.size());
  for (std::size_t k = 0; k < site.gases.size(); ++k) {
    const Gas& gas = site.gases[k];
    if (!gas.limits) continue;
    std::optional<double> heat;
    if (gas.substance.net_heat) heat = gas.substance.net_heat->value;
    Fuel fuel;
    fuel.lower = lower_limit_at(gas.limits->lower, heat, temperature);
    fuel.upper = upper_limit_at(gas.limits->upper, gas.limits->lower, heat, temperature);
    if (gas.substance.oxygen_demand) fuel.oxygen_demand = gas.substance.oxygen_demand->value;
    if (const auto& least = gas.substance.limiting_oxygen) {
      fuel.limiting_oxygen = limiting_oxygen_at(least->value, gas.limits->lower, heat, temperature);
    }
    fuels[k] = fuel;
  }
  return fuels;
}

namespace hazard {

double MixtureModel::lfl_fraction(std::span<const double> fraction) const {
  return std::inner_product(fraction.begin(), fraction.end(), lower.begin(), 0.0);
}

double MixtureModel::oxygen_of(std::span<const double> fraction) const {
  return std::inner_product(fraction.begin(), fraction.end(), oxygen.begin(), oxygen_in_air);
}

MixtureRange MixtureModel::range(std::span<const double> fraction) const {
  constexpr std::size_t few = 32;
  std::array<double, few> small{};
  std::vector<double> large;
  std::span<double> burning{small.data(), std::min(few, fuels.size())};
  if (fuels.size() > few) {
    large.resize(fuels.size());
    burning = large;
  }
  // Integration leaves round-off either side of 0; a fraction below it is none.
  for (std::size_t f = 0; f < fuels.size(); ++f) burning[f] = std::max(0.0, fraction[fuel_gas[f]]);
  double feeding_gas = 0.0, idle_gas = 0.0;
  for (std::size_t k = 0; k < fraction.size(); ++k) {
    feeding_gas += feeding[k] * std::max(0.0, fraction[k]);
    idle_gas += idle[k] * std::max(0.0, fraction[k]);
  }
  // With round-off a gas that counts for next to nothing may fill more than the whole.
  constexpr double most_idle = 0.999;
  // The upper limits were measured in ordinary air, whatever the air of the site.
  return range_of(fuels, burning, std::max(0.0, oxygen_of(fraction)) + feeding_gas, oxygen_in_dry_air,
                  std::min(idle_gas, most_idle));
}

double MixtureModel::oxidiser_of(std::span<const double> fraction) const {
  double sum = std::max(0.0, oxygen_of(fraction));
  for (std::size_t k = 0; k < fraction.size(); ++k) sum += feeding[k] * std::max(0.0, fraction[k]);
  return sum;
}

bool MixtureModel::range_between(std::span<const double> from, std::span<const double> to) const {
  if (fuels.empty()) return false;
  std::vector<double> mixture(from.size());
  const auto inside = [&](double s) {
    for (std::size_t k = 0; k < mixture.size(); ++k) mixture[k] = from[k] + s * (to[k] - from[k]);
    return lfl_fraction(mixture) >= 1.0 - 1e-9 && range(mixture).inside >= -1e-9;
  };
  // Where the mixture meets the lower limit it has more oxygen for its fuel than anywhere richer: that place is looked
  // at exactly, and a number of others for mixtures that gain oxygen on their way.
  const double first = lfl_fraction(from), last = lfl_fraction(to);
  if ((first - 1.0) * (last - 1.0) < 0.0 && inside((1.0 - first) / (last - first))) return true;
  constexpr int places = 256;
  for (int k = 0; k <= places; ++k) {
    if (inside(static_cast<double>(k) / places)) return true;
  }
  return false;
}

MixtureState MixtureModel::state(std::span<const double> fraction) const {
  return state_of(range(fraction), thresholds);
}

Instant MixtureModel::instant(double time, std::span<const double> fraction) const {
  Instant at;
  at.time = time;
  at.fraction.assign(fraction.begin(), fraction.end());
  for (double& x : at.fraction) x = std::max(x, 0.0);
  at.oxygen = std::max(0.0, oxygen_of(at.fraction));
  const MixtureRange where = range(at.fraction);
  at.lfl_fraction = where.lfl_fraction;
  at.state = state_of(where, thresholds);
  return at;
}

MixtureModel mixture_model(const Site& site, double temperature) {
  MixtureModel model;
  model.oxygen_in_air = site.conditions.oxygen_in_air;
  model.thresholds = {site.criteria.note_at, site.criteria.warn_at};
  const auto fuels = fuels_at(site, temperature);
  for (std::size_t k = 0; k < fuels.size(); ++k) {
    const bool burns = fuels[k].has_value();
    model.lower.push_back(burns ? 1.0 / fuels[k]->lower : 0.0);
    model.upper.push_back(burns ? 1.0 / fuels[k]->upper : 0.0);
    model.burnable.push_back(burns ? 1.0 : 0.0);
    model.demand.push_back(burns ? fuels[k]->oxygen_demand : 0.0);
    const Substance& substance = site.gases[k].substance;
    const bool oxygen = substance.id == "oxygen";
    model.oxygen.push_back((oxygen ? 1.0 : 0.0) - model.oxygen_in_air);
    model.feeding.push_back(!oxygen && substance.oxidiser() ? 1.0 : 0.0);
    model.idle.push_back(substance.nitrogen_equivalent ? 1.0 - substance.nitrogen_equivalent->value : 0.0);
    if (!burns) continue;
    model.fuel_gas.push_back(k);
    model.fuels.push_back(*fuels[k]);
  }
  return model;
}

MixtureModels mixture_models(const Site& site, CaseIndex case_index) {
  MixtureModels result;
  std::vector<double> warmest;
  for (const Space& space : site.spaces) warmest.push_back(space.temperature);
  for (const Event& event : site.cases[case_index.value].events) {
    const auto* change = std::get_if<SetSpaceTemperature>(&event.change);
    if (change != nullptr) warmest[change->space.value] = std::max(warmest[change->space.value], change->temperature);
  }
  std::map<double, std::size_t> known;
  for (const double temperature : warmest) {
    const auto [at, is_new] = known.try_emplace(temperature, result.models.size());
    if (is_new) result.models.push_back(mixture_model(site, temperature));
    result.model_of.push_back(at->second);
  }
  return result;
}

}  // namespace hazard
}  // namespace leanside
