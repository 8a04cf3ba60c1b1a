// SPDX-License-Identifier: Apache-2.0
#include "second_opinion/liquids.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "leanside/substance.hpp"
#include "leanside/substance_file.hpp"

namespace second_opinion {
namespace {

constexpr Real gas_constant = 8.31446261815324L, trouton = 88, strong_burner = 200e3L;

const leanside::Substance& entry_of(const std::string& gas) { return *leanside::built_in_substances().find(gas); }

const leanside::Substance& entry_of(const Site& site, const Share& share) { return entry_of(site.gases[share.gas].id); }

Real heat_of(const leanside::Substance& entry, Real t) {
  if (!entry.vaporisation || t < entry.vaporisation->t_min || t > entry.vaporisation->t_max) return trouton * t;
  const auto& e = *entry.vaporisation;
  const Real r = t / Real(e.critical);
  return e.c1 * std::pow(1 - r, e.c2 + e.c3 * r + e.c4 * r * r + e.c5 * r * r * r);
}

}  // namespace

Real vapour_pressure(const std::string& gas, Real t) {
  const leanside::Substance& entry = entry_of(gas);
  if (const auto& w = entry.vapour_pressure; w && t >= w->t_min && t <= w->t_max) {
    return std::exp(w->c1 + w->c2 / t + w->c3 * std::log(t) + w->c4 * std::pow(t, w->c5));
  }
  const auto& a = *entry.antoine;
  return 1000 * std::pow(Real(10), a.a - a.b / (t + a.c));
}

Real saturation_pressure(const std::string& gas, Real t) {
  const leanside::Substance* entry = leanside::built_in_substances().find(gas);
  if (entry == nullptr) return never;
  const auto within = [&](const auto& equation) { return equation && t >= equation->t_min && t <= equation->t_max; };
  if (within(entry->vapour_pressure) || within(entry->antoine)) return vapour_pressure(gas, t);
  if (!entry->critical_temperature || t >= Real(entry->critical_temperature->value) || !entry->acentric_factor)
    return never;
  const Real r = t / Real(entry->critical_temperature->value), six = std::pow(r, Real(6)), ln = std::log(r);
  return Real(entry->critical_pressure->value) *
         std::exp(5.92714L - 6.09648L / r - 1.28862L * ln + 0.169347L * six +
                  Real(entry->acentric_factor->value) * (15.2518L - 15.6875L / r - 13.4721L * ln + 0.43577L * six));
}

Real bubble_pressure(const Site& site, const Release& r, Real t) {
  Real sum = 0;
  for (const Share& s : r.gas.shares) sum += Real(s.fraction) * vapour_pressure(site.gases[s.gas].id, t);
  return sum;
}

Real dew_pressure(const Site& site, const Release& r, Real t) {
  Real sum = 0;
  for (const Share& s : r.gas.shares) sum += Real(s.fraction) / vapour_pressure(site.gases[s.gas].id, t);
  return 1 / sum;
}

Real liquid_density(const Site& site, const Release& r, Real t) {
  Real volume = 0;
  for (const Share& s : r.gas.shares) {
    const auto& e = *entry_of(site, s).saturated_density;
    volume += Real(s.fraction) * std::pow(Real(e.c2), 1 + std::pow(1 - t / Real(e.c3), Real(e.c4))) / Real(e.c1);
  }
  return molar_mass_of(site, r) / volume;
}

Real molar_mass_of(const Site& site, const Release& r) {
  Real sum = 0;
  for (const Share& s : r.gas.shares) sum += Real(s.fraction) * Real(site.gases[s.gas].molar_mass);
  return sum;
}

Real boiling_point(const Site& site, const std::string& gas) {
  Real low = entry_of(gas).vapour_pressure->t_min, high = entry_of(gas).vapour_pressure->t_max;
  if (vapour_pressure(gas, high) < Real(site.pressure)) return entry_of(gas).boiling_point->value;
  for (int k = 0; k < 120; ++k) {
    const Real middle = (low + high) / 2;
    (vapour_pressure(gas, middle) < Real(site.pressure) ? low : high) = middle;
  }
  return high;
}

std::vector<Stage> stages_of(const Site& site, const Release& spill) {
  std::vector<Real> mol, pure;
  for (const Share& s : spill.gas.shares) {
    mol.push_back(Real(spill.amount) * Real(s.fraction));
    pure.push_back(vapour_pressure(site.gases[s.gas].id, spill.temperature));
  }
  // In the variable w = 1 - exp(-u lowest), 0 to 1, part i has n_i (1 - w)^(p_i / lowest) left.
  const Real lowest = *std::min_element(pure.begin(), pure.end());
  const auto left = [&](Real w, std::size_t i) { return mol[i] * std::pow(1 - w, pure[i] / lowest); };
  const auto over = [&](Real w) {
    Real all = 0, sum = 0;
    for (std::size_t i = 0; i < mol.size(); ++i) {
      // Of what is left per mol of the part that goes last.
      const Real n = mol[i] * std::pow(1 - w, pure[i] / lowest - 1);
      all += n;
      sum += n * pure[i];
    }
    return sum / all;
  };
  const Real fresh = over(0);
  std::vector<Real> ends{0};
  Real rest = 1;  // 1 - w, searched in the logarithm
  for (int k = 1;; ++k) {
    const Real wanted = fresh * std::pow(Real(5) / 6, Real(k));
    if (wanted <= std::max(lowest * 6 / 5, fresh / 50)) break;
    Real high = std::log(rest), low = high - 1;
    while (over(1 - std::exp(low)) > wanted) low -= 1;
    for (int pass = 0; pass < 200; ++pass) {
      const Real middle = (low + high) / 2;
      (over(1 - std::exp(middle)) > wanted ? high : low) = middle;
    }
    rest = std::exp(low);
    ends.push_back(1 - rest);
  }
  std::vector<Stage> stages;
  for (std::size_t k = 0; k < ends.size(); ++k) {
    Stage stage;
    stage.pressure = over(ends[k]);
    std::vector<Real> gone;
    for (std::size_t i = 0; i < mol.size(); ++i) {
      gone.push_back(left(ends[k], i) - (k + 1 < ends.size() ? left(ends[k + 1], i) : 0));
      stage.amount += gone.back();
    }
    for (std::size_t i = 0; i < mol.size(); ++i) {
      stage.vapour.push_back({spill.gas.shares[i].gas, double(gone[i] / stage.amount)});
    }
    stages.push_back(stage);
  }
  return stages;
}

Real evaporation(const Site& site, const Release& r, const Stage& stage, Real there) {
  Real diffusivity = 0;
  for (const Share& s : r.gas.shares) diffusivity = std::max(diffusivity, Real(*site.gases[s.gas].diffusivity));
  const Real t = r.temperature, p = site.pressure;
  const Real viscosity = 1.716e-5L * std::pow(t / 273.15L, 1.5L) * (273.15L + 110.4L) / (t + 110.4L);
  const Real density = p * 0.0289655L / (gas_constant * t);
  diffusivity *= std::pow(t / 298.15L, 1.75L) * 101325 / p;
  const Real across = std::sqrt(4 * Real(r.pool_area) / std::numbers::pi_v<Real>);
  const Real k = 0.00482L * std::pow(Real(r.air_speed), 0.78L) * std::pow(across, -0.11L) *
                 std::pow(viscosity / density / diffusivity, -0.67L);
  const Real y = stage.pressure / p;
  const Real most = std::max(Real(1), strong_burner * gas_constant / (trouton * stage.pressure) / k);
  return std::min(-std::log1p(-y) / y, most) * k * Real(r.pool_area) * std::max(Real(0), stage.pressure - there * p) /
         (gas_constant * t);
}

bool CoursePiece::even() const { return std::abs(first - last) <= 1e-9L * first; }
Real CoursePiece::duration() const {
  return even() ? amount / first : amount / (first - last) * std::log(first / last);
}
Real CoursePiece::given(Real t) const {
  return even() ? first * t : -std::expm1(-(first - last) / amount * t) * first * amount / (first - last);
}
Real CoursePiece::rate(Real t) const { return even() ? first : first * std::exp(-(first - last) / amount * t); }

std::vector<CoursePiece> boiling_course(const Site& site, const Release& r) {
  Real boils = never, heat = 0, capacity = 0;
  for (const Share& s : r.gas.shares) boils = std::min(boils, boiling_point(site, site.gases[s.gas].id));
  for (const Share& s : r.gas.shares) {
    const leanside::Substance& entry = entry_of(site, s);
    heat += Real(s.fraction) * heat_of(entry, boils);
    const auto& c = entry.liquid_heat ? entry.liquid_heat : entry.boiling_liquid_heat;
    if (c) capacity += Real(s.fraction) * Real(c->value);
  }
  std::vector<CoursePiece> pieces;
  Real rest = r.amount;
  if (Real(r.temperature) > boils + 1e-9L) {
    const Real flashed = std::min(Real(1), capacity * (Real(r.temperature) - boils) / heat) * Real(r.amount);
    if (flashed > 0) pieces.push_back({flashed, flashed / 10, flashed / 10});
    rest -= flashed;
  }
  if (rest <= 0) return pieces;
  const Real warmer = Real(site.temperature_of(r.into)) - boils, area = r.pool_area;
  const Real b = 1.3L * area * 0.92L * warmer / (heat * std::sqrt(std::numbers::pi_v<Real> * 4.16e-7L));
  const Real most = 50e3L * area / heat, until = 2 * b * b / most;  // mol after which the floor gives less
  if (until >= rest) {
    pieces.push_back({rest, most, most});
    return pieces;
  }
  pieces.push_back({until, most, most});
  const int count = std::max(1, int(std::ceil(std::log(rest / until) / std::log(Real(1.3L)))));
  for (int k = 0; k < count; ++k) {
    const Real from = until * std::pow(rest / until, Real(k) / count),
               to = until * std::pow(rest / until, Real(k + 1) / count);
    pieces.push_back({to - from, 2 * b * b / from, 2 * b * b / to});
  }
  return pieces;
}

}  // namespace second_opinion
