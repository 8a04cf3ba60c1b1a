// SPDX-License-Identifier: Apache-2.0
#include "second_opinion/judge.hpp"

#include <algorithm>
#include <cmath>

#include "second_opinion/liquids.hpp"
#include "second_opinion/sources.hpp"

namespace second_opinion {
namespace {

constexpr Real air_of_limits = 0.2095L;  ///< oxygen of the air in which limits were measured
constexpr Real calorie = 4184;           ///< J per kcal

/// What is left of the lower limit at `celsius`. By the law of Burgess and Wheeler it falls by 0.75 vol % kcal/(mol K),
/// which has to lie between a line that ends 875 K above 25 degC and that of hydrogen.
Real left_of_lower(const Gas& gas, Real celsius) {
  const Real over = celsius - 25, gentle = 1 / Real(875), steep = 0.00163L;
  if (over <= 0) return 1;
  Real fall = gentle;
  if (gas.heat) fall = Real(0.75L) * calorie / Real(*gas.heat) / (100 * Real(*gas.lower));
  return std::max(1 - over * std::min(std::max(fall, gentle), steep), Real(0.01L));
}

/// The highest pressure over the ambient one that a space can come to by all of its releases; 1 unless it is a vessel
/// without any airway.
Real most_pressed(const Site& site, std::size_t space, double hottest, double coldest) {
  const Space& vessel = site.spaces[space];
  const auto at = static_cast<int>(space);
  const bool led_out = std::any_of(site.airways.begin(), site.airways.end(),
                                   [&](const Airway& a) { return a.first == at || a.second == at; });
  if (vessel.kind != Kind::vessel || led_out || vessel.air_changes.si > 0) return 1;
  Real gained = 0;
  for (const Release& r : site.releases) {
    if (r.into != space) continue;
    if (runs_a_course(r)) {
      gained += content_above_ambient(r);
    } else {
      gained += r.amount > 0 ? Real(r.amount) : Real(r.rate) * Real(std::min(r.lasts, site.horizon));
    }
  }
  const Real first = Real(site.pressure) * Real(vessel.volume.si) / (Real(8.31446261815324L) * Real(coldest));
  return (1 + gained / first) * Real(hottest) / Real(coldest);
}

}  // namespace

Measures::Measures(const Site& site, std::size_t space, double hottest, double coldest) : air_{site.oxygen_in_air} {
  const Real pressed = most_pressed(site, space, hottest, coldest);
  const Real celsius = Real(hottest) - Real(273.15L);
  for (std::size_t k = 0; k < site.gases.size(); ++k) {
    const Gas& gas = site.gases[k];
    ceiling_.push_back(std::min(Real(1), saturation_pressure(gas.id, coldest) / Real(site.pressure)));
    if (gas.oxygen) pure_oxygen_ = static_cast<Eigen::Index>(k);
    idle_.push_back(1 - Real(gas.nitrogen_equivalent.value_or(1)));
    if (!gas.lower) continue;
    Fuel fuel;
    fuel.gas = static_cast<Eigen::Index>(k);
    const Real left = left_of_lower(gas, celsius), upper = Real(*gas.upper);
    fuel.lower = Real(*gas.lower) * left;
    fuel.upper = std::min(upper / left, 1 - left * (1 - upper));
    if (pressed > 1 && gas.id != "hydrogen" && fuel.upper < 0.95L) {
      fuel.upper = std::min(Real(0.95L), fuel.upper + 0.206L * std::log10(pressed));
    }
    fuel.demand = gas.demand.value_or(0);
    if (gas.least_oxygen) fuel.least_oxygen = Real(*gas.least_oxygen) * left;
    demand_known_ = demand_known_ && gas.demand;
    fuels_.push_back(fuel);
  }
}

Real Measures::of_lower(const Row& x) const {
  Real sum = 0;
  for (const Fuel& f : fuels_) sum += x(f.gas) / f.lower;
  return sum;
}

Real Measures::of_upper(const Row& x) const {
  Real sum = 0;
  for (const Fuel& f : fuels_) sum += x(f.gas) / f.upper;
  return sum;
}

Real Measures::fuel(const Row& x) const {
  Real sum = 0;
  for (const Fuel& f : fuels_) sum += x(f.gas);
  return sum;
}

Real Measures::oxygen(const Row& x) const {
  return air_ * (1 - x.sum()) + (pure_oxygen_ >= 0 ? x(pure_oxygen_) : Real(0));
}

Real Measures::lacking(const Row& x) const {
  Real sum = -oxygen(x);
  for (const Fuel& f : fuels_) sum += f.demand * x(f.gas);
  return sum;
}

Real Measures::inside(const Row& x) const {
  const Real plain = inside_as_gas(x);
  bool mist = false;
  for (std::size_t k = 0; k < ceiling_.size(); ++k) mist = mist || x(static_cast<Eigen::Index>(k)) > ceiling_[k];
  if (!mist || of_lower(x) < 1) return plain;
  return std::max(plain, inside_as_gas(without_most_mist(x)));
}

Measures::Row Measures::without_most_mist(const Row& x) const {
  Row out = x;
  Real vapour = 0, with_mist = 0;
  for (std::size_t k = 0; k < ceiling_.size(); ++k) {
    const auto at = static_cast<Eigen::Index>(k);
    if (x(at) <= ceiling_[k]) continue;
    with_mist += x(at);
    vapour += ceiling_[k];
  }
  for (std::size_t k = 0; k < ceiling_.size(); ++k) {
    const auto at = static_cast<Eigen::Index>(k);
    out(at) = x(at) > ceiling_[k] ? ceiling_[k]
                                  : x(at) * std::max(1 - vapour, Real(0)) / std::max(1 - with_mist, Real(1e-9L));
  }
  const Real reached = of_lower(out);
  for (const Fuel& f : fuels_) {
    if (reached > 0 && reached < 1) out(f.gas) /= reached;
  }
  return out;
}

Real Measures::inside_as_gas(const Row& x) const {
  if (fuel(x) <= 0) return -1;
  Real idle = 0;
  for (std::size_t k = 0; k < idle_.size(); ++k) idle += idle_[k] * x(static_cast<Eigen::Index>(k));
  const Real o = oxygen(x), times = 1 / (1 - idle);
  return std::min(of_lower(x) - 1, std::max(enough(x, o, 1), enough(x, times * o, times)));
}

Real Measures::enough(const Row& x, Real o, Real times) const {
  const Real lower = of_lower(x), limit = fuel(x) / of_upper(x), at_upper = air_of_limits * (1 - limit);
  const Real all = times * fuel(x);
  Real least = 0, nose_sum = 0, without = 0;
  for (const Fuel& f : fuels_) {
    const Real share = x(f.gas) / f.lower / lower;
    if (f.least_oxygen) {
      least += share * *f.least_oxygen;
      nose_sum += x(f.gas) / (f.demand > 0 ? std::max(*f.least_oxygen / f.demand, f.lower) : f.upper);
    } else {
      without += share;
    }
  }
  if (without > 0) return std::min(o - Real(1e-6L), limit < 1 - 1e-6L ? std::max(limit - all, o - at_upper) : Real(1));
  if (limit >= 1 - 1e-6L) return o - std::min(least, at_upper);
  least = std::min(least, at_upper);
  const Real nose = std::max(fuel(x) / nose_sum, fuel(x) / lower);
  const Real line = all >= limit ? at_upper : least + (at_upper - least) * (all - nose) / (limit - nose);
  return std::min(o - least, o - line);
}

Trace::Trace(const Run& run, Eigen::Index space, Measure measure)
    : run_{run}, space_{space}, measure_{std::move(measure)} {
  highest_.value = -never;
  lowest_.value = never;
  for (std::size_t s = 0; s < run.stretches.size(); ++s) {
    std::vector<Sample> of_stretch;
    for (const Knot& knot : run.knots[s]) of_stretch.push_back({knot.time, measure_(knot.x.row(space))});
    samples_.push_back(std::move(of_stretch));
  }
  for (std::size_t s = 0; s < samples_.size(); ++s) {
    for (std::size_t i = 0; i < samples_[s].size(); ++i) {
      const Extreme up = refine(s, i, 1, highest_.value), down = refine(s, i, -1, lowest_.value);
      if (up.value > highest_.value) highest_ = up;
      if (down.value < lowest_.value) lowest_ = down;
    }
  }
}

Real Trace::value_in(std::size_t stretch, Real time) const {
  return measure_(run_.stretches[stretch]->at(time).row(space_));
}

Real Trace::value(Real time) const { return measure_(run_.stretch_at(time).at(time).row(space_)); }

/// A highest (sign 1) or lowest (-1) value near a sample, by golden section; the sample itself where there is none that
/// could pass `wanted`.
Trace::Extreme Trace::refine(std::size_t stretch, std::size_t i, Real sign, Real wanted) const {
  const auto& s = samples_[stretch];
  const Extreme here{s[i].value, s[i].time};
  if (i == 0 && s.size() > 2 && std::abs(s[0].value - s[1].value) >= 0.6L * std::abs(s[1].value - s[2].value)) {
    return here;
  }
  if (i + 1 == s.size() && i > 1 &&
      std::abs(s[i].value - s[i - 1].value) >= 0.6L * std::abs(s[i - 1].value - s[i - 2].value)) {
    return here;  // still rising or falling at the end
  }
  const std::size_t from = i == 0 ? i : i - 1, to = i + 1 == s.size() ? i : i + 1;
  Real reach = 0;
  for (const std::size_t next : {from, to}) {
    if (next == i) continue;
    if (sign * (s[i].value - s[next].value) <= 0) return here;
    reach = std::max(reach, std::abs(s[i].value - s[next].value));
  }
  if (sign * (wanted - s[i].value) > reach) return here;
  const auto value = [&](Real t) { return value_in(stretch, t); };
  Real a = s[from].time, b = s[to].time;
  const Real golden = 0.6180339887498949L;
  Real c = b - golden * (b - a), d = a + golden * (b - a), fc = sign * value(c), fd = sign * value(d);
  for (int k = 0; k < 45; ++k) {
    if (fc > fd) {
      b = d;
      d = c;
      fd = fc;
      c = b - golden * (b - a);
      fc = sign * value(c);
    } else {
      a = c;
      c = d;
      fc = fd;
      d = a + golden * (b - a);
      fd = sign * value(d);
    }
  }
  const Extreme found{value((a + b) / 2), (a + b) / 2};
  return sign * (found.value - here.value) > 0 ? found : here;
}

/// The samples of a stretch, and the peaks and troughs between them that may pass the threshold.
std::vector<Trace::Sample> Trace::samples_around(std::size_t stretch, Real threshold) const {
  std::vector<Sample> out = samples_[stretch];
  for (std::size_t i = 0; i < samples_[stretch].size(); ++i) {
    const Extreme found = refine(stretch, i, samples_[stretch][i].value < threshold ? 1 : -1, threshold);
    if (found.time != samples_[stretch][i].time) out.push_back({found.time, found.value});
  }
  std::stable_sort(out.begin(), out.end(), [](const Sample& a, const Sample& b) { return a.time < b.time; });
  return out;
}

std::vector<Trace::Interval> Trace::above(Real threshold) const {
  std::vector<Interval> out;
  bool over = false;
  const auto turn = [&](Real time) {
    over = !over;
    if (over) {
      out.push_back({time, std::nullopt});
    } else {
      out.back().down = time;
    }
  };
  for (std::size_t s = 0; s < samples_.size(); ++s) {
    const std::vector<Sample> samples = samples_around(s, threshold);
    if ((samples[0].value >= threshold) != over) turn(samples[0].time);
    for (std::size_t i = 1; i < samples.size(); ++i) {
      if ((samples[i].value >= threshold) == over) continue;
      Real low = samples[i - 1].time, high = samples[i].time;
      for (int k = 0; k < 60 && high - low > Real(1e-9L) * run_.stretches.back()->end; ++k) {
        const Real middle = (low + high) / 2;
        ((value_in(s, middle) >= threshold) == over ? low : high) = middle;
      }
      turn((low + high) / 2);
    }
  }
  return out;
}

bool range_is_documented(const Site& site) {
  std::size_t fuels = 0, without = 0;
  for (const Gas& gas : site.gases) {
    fuels += gas.lower ? 1 : 0;
    without += gas.lower && !gas.least_oxygen ? 1 : 0;
  }
  return without == 0 || fuels == 1;
}

}  // namespace second_opinion
