// SPDX-License-Identifier: Apache-2.0
#include "hazard/mixture.hpp"

#include <algorithm>
#include <array>
#include <cassert>
#include <cmath>
#include <map>
#include <numeric>
#include <tuple>
#include <utility>

#include "leanside/advanced/release.hpp"

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

MixtureRange MixtureModel::range_of_gas(std::span<const double> fraction) const {
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

bool MixtureModel::condenses(std::span<const double> fraction) const {
  for (std::size_t k = 0; k < fraction.size(); ++k) {
    if (fraction[k] > saturated[k]) return true;
  }
  return false;
}

/// What is left in the air when it holds of each vapour what it can at most, and mist enough to reach the lower limit.
/// The mist takes no room, so that of the rest there is more.
std::vector<double> MixtureModel::as_vapour(std::span<const double> fraction) const {
  std::vector<double> out(fraction.begin(), fraction.end());
  double kept = 0.0, gone = 0.0;
  for (std::size_t k = 0; k < out.size(); ++k) {
    if (!(out[k] > saturated[k])) continue;
    gone += out[k];
    kept += saturated[k];
  }
  constexpr double least = 1e-9;
  const double more = std::max(1.0 - kept, 0.0) / std::max(1.0 - gone, least);
  for (std::size_t k = 0; k < out.size(); ++k) out[k] = out[k] > saturated[k] ? saturated[k] : out[k] * more;
  const double reached = lfl_fraction(out);
  if (reached > 0.0 && reached < 1.0) {
    for (std::size_t k = 0; k < out.size(); ++k) out[k] *= lower[k] > 0.0 ? 1.0 / reached : 1.0;
  }
  return out;
}

MixtureRange MixtureModel::range(std::span<const double> fraction) const {
  MixtureRange whole = range_of_gas(fraction);
  if (whole.lfl_fraction < 1.0 || !condenses(fraction)) return whole;
  const MixtureRange vapour = range_of_gas(as_vapour(fraction));
  whole.ufl_fraction = vapour.ufl_fraction;
  whole.inside = std::max(whole.inside, vapour.inside);
  return whole;
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

std::vector<std::optional<Fuel>> fuels_beside(const Site& site, double temperature, bool nitrous) {
  auto fuels = fuels_at(site, temperature);
  for (std::size_t k = 0; nitrous && k < fuels.size(); ++k) {
    if (fuels[k]) fuels[k]->lower *= lower_share_in_nitrous_oxide(site.gases[k].substance.id);
  }
  return fuels;
}

MixtureModel mixture_model(const Site& site, double warmest, double coldest, bool nitrous) {
  MixtureModel model;
  model.oxygen_in_air = site.conditions.oxygen_in_air;
  model.thresholds = {site.criteria.note_at, site.criteria.warn_at};
  const auto fuels = fuels_beside(site, warmest, nitrous);
  for (std::size_t k = 0; k < fuels.size(); ++k) {
    const bool burns = fuels[k].has_value();
    model.lower.push_back(burns ? 1.0 / fuels[k]->lower : 0.0);
    model.upper.push_back(burns ? 1.0 / fuels[k]->upper : 0.0);
    model.burnable.push_back(burns ? 1.0 : 0.0);
    model.demand.push_back(burns ? fuels[k]->oxygen_demand : 0.0);
    const Substance& substance = site.gases[k].substance;
    const double pressure = saturation_pressure(substance, coldest).value_or(site.conditions.pressure);
    model.saturated.push_back(std::min(1.0, pressure / site.conditions.pressure));
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

bool is_nitrous_oxide(const Site& site, const std::vector<GasShare>& shares) {
  return std::any_of(shares.begin(), shares.end(), [&](const GasShare& share) {
    return share.fraction > 0.0 && site.gases[share.gas.value].substance.id == "nitrous-oxide";
  });
}

bool has_nitrous_oxide(const Site& site, CaseIndex case_index) {
  for (const Space& space : site.spaces) {
    if (is_nitrous_oxide(site, space.initial)) return true;
  }
  for (std::size_t r = 0; r < site.releases.size(); ++r) {
    if (!is_nitrous_oxide(site, site.releases[r].gas.shares)) continue;
    if (!emission(site.releases[r], ReleaseIndex{r}, site.cases[case_index.value].events).empty()) return true;
  }
  return false;
}

namespace {

/// By space, the highest pressure over the ambient one that it can come to: 1 but in a vessel that nothing leads out
/// of, which keeps all that is ever released into it, and warms and cools.
std::vector<double> highest_pressures(const Site& site, const std::vector<std::pair<double, double>>& between) {
  std::vector<double> ratio(site.spaces.size(), 1.0), gained(site.spaces.size(), 0.0);
  for (std::size_t r = 0; r < site.releases.size(); ++r) {
    const Release& release = site.releases[r];
    const double all = total_amount(release);
    gained[release.into.value] += std::isfinite(all) ? all : emission_rate(release, 0.0) * site.criteria.horizon;
  }
  std::vector<bool> open(site.spaces.size(), false);
  for (const Airway& airway : site.airways) {
    for (const Side& side : {first_side(airway), second_side(airway)}) {
      if (side) open[side->value] = true;
    }
  }
  for (std::size_t i = 0; i < ratio.size(); ++i) {
    const Space& space = site.spaces[i];
    if (space.kind != SpaceKind::vessel || open[i] || space.air_changes > 0.0) continue;
    const double at_first = site.conditions.pressure * space.volume / (gas_constant * between[i].first);
    ratio[i] = (1.0 + gained[i] / at_first) * between[i].second / between[i].first;
  }
  return ratio;
}

void limits_under_pressure(const Site& site, double ratio, MixtureModel& model) {
  for (std::size_t f = 0; f < model.fuels.size(); ++f) {
    const std::size_t gas = model.fuel_gas[f];
    model.fuels[f].upper = upper_limit_under_pressure(site.gases[gas].substance.id, model.fuels[f].upper, ratio);
    model.upper[gas] = 1.0 / model.fuels[f].upper;
  }
}

}  // namespace

MixtureModels mixture_models(const Site& site, CaseIndex case_index) {
  MixtureModels result;
  std::vector<std::pair<double, double>> between;  // coldest and warmest, K
  for (const Space& space : site.spaces) between.emplace_back(space.temperature, space.temperature);
  for (const Event& event : site.cases[case_index.value].events) {
    const auto* change = std::get_if<SetSpaceTemperature>(&event.change);
    if (change == nullptr) continue;
    auto& [coldest, warmest] = between[change->space.value];
    coldest = std::min(coldest, change->temperature);
    warmest = std::max(warmest, change->temperature);
  }
  const bool nitrous = has_nitrous_oxide(site, case_index);
  const std::vector<double> pressure = highest_pressures(site, between);
  std::map<std::tuple<double, double, double>, std::size_t> known;
  for (std::size_t i = 0; i < between.size(); ++i) {
    const auto [coldest, warmest] = between[i];
    const auto [at, is_new] = known.try_emplace({coldest, warmest, pressure[i]}, result.models.size());
    if (is_new) {
      result.models.push_back(mixture_model(site, warmest, coldest, nitrous));
      limits_under_pressure(site, pressure[i], result.models.back());
    }
    result.model_of.push_back(at->second);
  }
  return result;
}

}  // namespace hazard
}  // namespace leanside
