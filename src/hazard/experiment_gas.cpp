// SPDX-License-Identifier: Apache-2.0
#include "hazard/experiment_gas.hpp"

#include <algorithm>
#include <cmath>

#include "leanside/advanced/bench.hpp"
#include "leanside/advanced/release.hpp"

namespace leanside::hazard {
namespace {

constexpr double forever = HUGE_VAL;

/// How long a release gives all but 1 % of its gas: a first-order reaction has 6.6 half times.
double most_of_the_time(const Release& release) {
  const auto* reaction = std::get_if<ReactionRelease>(&release.kind);
  constexpr double half_times = 6.64;
  return reaction != nullptr && reaction->half_time ? half_times * *reaction->half_time : forever;
}

/// A jar of this dry gas, wet with `water` mol/mol.
CollectedJar jar_with(std::vector<double> mixture, double water, const MixtureModel& model) {
  CollectedJar jar;
  for (double& x : mixture) x *= 1.0 - water;
  for (const std::size_t g : model.fuel_gas) jar.fuel += mixture[g];
  jar.water = water;
  // The water stands in the place of air.
  jar.oxygen = std::max(0.0, model.oxygen_of(mixture) - water * model.oxygen_in_air);
  jar.state = model.state(mixture);
  return jar;
}

/// mol of each gas that have left by the time that `gone` mol have: straight lines between the points.
std::vector<double> left_by(const Filled& course, double gone) {
  const auto after = std::find_if(course.points.begin(), course.points.end(),
                                  [&](const FillingPoint& point) { return point.gone >= gone; });
  if (after == course.points.begin()) return after->left;
  if (after == course.points.end()) return course.points.back().left;
  const auto before = std::prev(after);
  const double part = (gone - before->gone) / (after->gone - before->gone);
  std::vector<double> out = before->left;
  for (std::size_t k = 0; k < out.size(); ++k) out[k] += part * (after->left[k] - before->left[k]);
  return out;
}

}  // namespace

std::pair<double, double> range_of_shares(const MixtureModel& model, const std::vector<double>& content) {
  std::vector<double> mixture(content.size());
  const auto inside = [&](double share) {
    for (std::size_t k = 0; k < mixture.size(); ++k) mixture[k] = share * content[k];
    return model.range(mixture).inside >= -1e-12;
  };
  const auto edge = [&](double in, double out) {
    constexpr int halvings = 40;
    for (int k = 0; k < halvings; ++k) {
      const double middle = 0.5 * (in + out);
      (inside(middle) ? in : out) = middle;
    }
    return in;
  };
  constexpr int looks = 2000;
  double rich = 0.0, lean = 0.0;
  for (int k = looks; k > 0; --k) {
    const double share = static_cast<double>(k) / looks, step = 1.0 / looks;
    if (!inside(share)) continue;
    if (!(rich > 0.0)) rich = k == looks ? 1.0 : edge(share, share + step);
    lean = share;
  }
  if (rich > 0.0) lean = edge(lean, std::max(0.0, lean - 1.0 / looks));
  return {rich, lean};
}

double heat_of(const Substance& substance) {
  // Heat for each mol of oxygen is nearly the same for all organic fuels (Thornton 1917; Huggett 1980: 13.1 MJ/kg, from
  // memory).
  constexpr double heat_of_oxygen = 419e3;  // J/mol
  if (substance.net_heat) return substance.net_heat->value;
  return substance.oxygen_demand ? heat_of_oxygen * substance.oxygen_demand->value : 0.0;
}

GasLetIn::GasLetIn(const Site& site, CaseIndex case_index, SpaceIndex space, const std::vector<SpaceIndex>& before,
                   Which those)
    : site_{site}, case_{case_index}, gas_(site.gases.size(), 0.0) {
  const auto& events = site.cases[case_index.value].events;
  const auto has_fuel = [&](const Release& release) {
    return std::any_of(release.gas.shares.begin(), release.gas.shares.end(), [&](const GasShare& share) {
      return share.fraction > 0.0 && site.gases[share.gas.value].limits;
    });
  };
  std::vector<double> amounts, rates;
  for (std::size_t r = 0; r < site.releases.size(); ++r) {
    const Release& release = site.releases[r];
    const bool comes_here =
        release.into == space || std::find(before.begin(), before.end(), release.into) != before.end();
    if (!comes_here || (those == Which::with_fuel && !has_fuel(release))) continue;
    const auto spans = emission(release, ReleaseIndex{r}, events);
    if (spans.empty()) continue;
    const bool ends = std::isfinite(spans.back().end) || follows_vapour(release);
    releases_.push_back(ReleaseIndex{r});
    amounts.push_back(ends ? total_amount(release) : forever);
    rates.push_back(ends ? 0.0 : spans.back().rate);
    total_ += amounts.back();
    rate_ += rates.back();
    end_ = std::max(end_, std::min(spans.back().end, spans.back().begin + most_of_the_time(release)));
    for (const EmissionSpan& span : spans) peak_ = std::max(peak_, span.rate);
  }
  // Where some of it never ends, that is what counts in the long run.
  const std::vector<double>& weights = rate_ > 0.0 ? rates : amounts;
  const double weight = rate_ > 0.0 ? rate_ : total_;
  for (std::size_t i = 0; i < releases_.size() && weight > 0.0; ++i) {
    for (const GasShare& share : site.releases[releases_[i].value].gas.shares) {
      gas_[share.gas.value] += weights[i] / weight * share.fraction;
    }
  }
}

double GasLetIn::amount_by(double time) const {
  double sum = 0.0;
  for (const ReleaseIndex index : releases_) {
    const Release& release = site_.releases[index.value];
    if (follows_vapour(release)) continue;
    for (const EmissionSpan& span : emission(release, index, site_.cases[case_.value].events)) {
      if (time <= span.begin) continue;
      const double ran = std::min(time, span.end) - span.begin;
      sum += amount_emitted(release, span.age + ran) - amount_emitted(release, span.age);
    }
  }
  return sum;
}

std::optional<double> GasLetIn::time_of(double amount) const {
  if (releases_.empty()) return std::nullopt;
  double high = std::max(1.0, std::isfinite(end_) ? end_ : 1.0);
  constexpr int doublings = 50, halvings = 60;
  for (int k = 0; k < doublings && amount_by(high) < amount; ++k) high *= 2.0;
  if (amount_by(high) < amount) return std::nullopt;
  double low = 0.0;
  for (int k = 0; k < halvings; ++k) {
    const double middle = 0.5 * (low + high);
    (amount_by(middle) < amount ? low : high) = middle;
  }
  return high;
}

std::optional<double> GasLetIn::volumes_until_rich(const MixtureModel& model) const {
  const auto [rich, lean] = range_of_shares(model, gas_);
  constexpr double always = 1.0 - 1e-6;
  if (!(rich > 0.0) || rich >= always) return std::nullopt;
  return -std::log(swept_oxygen_share * (1.0 - rich));
}

std::optional<Sweeping> GasLetIn::sweeping(const Experiment& experiment, const MixtureModel& model) const {
  if (releases_.empty() || !(experiment.held > 0.0)) return std::nullopt;
  const auto volumes = volumes_until_rich(model);
  if (!volumes) return std::nullopt;
  Sweeping out;
  out.flow = peak_ * gas_constant * experiment.temperature / experiment.pressure;
  out.volumes = *volumes;
  out.swept = total_ / experiment.held;
  out.time = time_of(*volumes * experiment.held);
  return out;
}

std::optional<Collection> GasLetIn::collection(const Experiment& experiment, const Space& space,
                                               const MixtureModel& model) const {
  if (!space.apparatus.jars || releases_.empty() || !(experiment.held > 0.0)) return std::nullopt;
  const double pressure = experiment.pressure, temperature = experiment.temperature;
  const double water = water_vapour_pressure(temperature) / pressure;
  if (!(water < 1.0)) return std::nullopt;
  Collection out;
  out.gas = std::isfinite(total_) ? total_ : amount_by(site_.criteria.horizon);
  out.jar = *space.apparatus.jars;
  out.volume = volume_over_water(out.gas, temperature, pressure);
  out.swept = out.gas / experiment.held;
  const double dry = pressure * (1.0 - water) * out.jar / (gas_constant * temperature);  // mol in one jar
  if (const auto volumes = volumes_until_rich(model)) {
    out.volumes = *volumes;
    out.discard = volume_over_water(out.volumes * experiment.held, temperature, pressure);
    out.ready = time_of(out.volumes * experiment.held);
  }
  out.jars_in_all = static_cast<std::size_t>(std::min(1e6, std::ceil(out.gas / dry - 1e-9)));
  std::vector<double> first(gas_.size(), 0.0);
  for (const GasShare& share : space.initial) first[share.gas.value] += share.fraction;
  for (std::size_t k = 0; k < std::min(out.jars_in_all, most_jars); ++k) {
    const double from = static_cast<double>(k) * dry, to = std::min(out.gas, from + dry);
    const double made = collected_share(from / experiment.held, to / experiment.held);
    std::vector<double> mixture(gas_.size());
    for (std::size_t g = 0; g < gas_.size(); ++g) mixture[g] = made * gas_[g] + (1.0 - made) * first[g];
    out.jars.push_back(jar_with(std::move(mixture), water, model));
    out.jars.back().volume = volume_over_water(to - from, temperature, pressure);
    out.jars.back().filled = time_of(to * (1.0 - 1e-9)).value_or(site_.criteria.horizon);
  }
  return out;
}

std::optional<FillingPoint> GasLetIn::rich_from(const MixtureModel& model, const Filled& course) const {
  const auto [rich, lean] = range_of_shares(model, gas_);
  constexpr double always = 1.0 - 1e-6;
  if (!(rich > 0.0) || rich >= always) return std::nullopt;
  std::vector<double> richest = gas_;
  for (double& x : richest) x *= rich;
  const double most = swept_oxygen_share * model.oxygen_of(richest);
  const auto found = std::find_if(course.points.begin(), course.points.end(),
                                  [&](const FillingPoint& point) { return model.oxygen_of(point.mixture) <= most; });
  return found == course.points.end() ? std::nullopt : std::optional{*found};
}

void GasLetIn::collect_behind(Collection& out, const Experiment& experiment, const MixtureModel& model,
                              const Filled& course) const {
  const double pressure = experiment.pressure, temperature = experiment.temperature;
  const double water = water_vapour_pressure(temperature) / pressure;
  const double dry = pressure * (1.0 - water) * out.jar / (gas_constant * temperature);
  for (std::size_t j = 0; j < out.jars.size(); ++j) {
    const double from = static_cast<double>(j) * dry, to = std::min(out.gas, from + dry);
    std::vector<double> mixture = left_by(course, to), before = left_by(course, from);
    for (std::size_t k = 0; k < mixture.size(); ++k) mixture[k] = (mixture[k] - before[k]) / (to - from);
    CollectedJar jar = jar_with(std::move(mixture), water, model);
    jar.volume = out.jars[j].volume;
    jar.filled = out.jars[j].filled;
    out.jars[j] = jar;
  }
  const auto rich = rich_from(model, course);
  out.ready = rich ? std::optional{rich->time} : std::nullopt;
  if (rich) {
    out.volumes = rich->gone / experiment.held;
    out.discard = volume_over_water(rich->gone, temperature, pressure);
  }
}

void GasLetIn::sweep_behind(Sweeping& out, const Experiment& experiment, const MixtureModel& model,
                            const Filled& course) const {
  const auto rich = rich_from(model, course);
  out.time = rich ? std::optional{rich->time} : std::nullopt;
  if (rich) out.volumes = rich->gone / experiment.held;
}

}  // namespace leanside::hazard
