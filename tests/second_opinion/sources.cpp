// SPDX-License-Identifier: Apache-2.0
#include "second_opinion/sources.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include <boost/math/quadrature/gauss.hpp>

#include "leanside/substance.hpp"
#include "leanside/substance_file.hpp"

namespace second_opinion {
namespace {

constexpr Real gas_constant = 8.31446261815324L;

Real critical_ratio(const Site& site, const Release& r) {
  const Real k = *site.gases[r.gas.shares.at(0).gas].heat_ratio;
  return std::pow((k + 1) / 2, k / (k - 1));
}

/// Flow over u, mol/s, at the pressure p_a (1 + u^2). It is smooth where the flow itself goes to zero like a square
/// root.
Real flow_over_u(const Site& site, const Release& r, Real u) {
  const Gas& gas = site.gases[r.gas.shares.at(0).gas];
  const Real k = *gas.heat_ratio, part = (k - 1) / k, log_r = -std::log1p(u * u);
  const Real root = u > 0 ? std::sqrt(-std::expm1(part * log_r)) / u : std::sqrt(part);
  return Real(r.discharge) * Real(r.hole_area) * Real(site.pressure) * (1 + u * u) *
         std::sqrt(2 * k / ((k - 1) * Real(gas.molar_mass) * gas_constant * Real(r.temperature))) *
         std::exp(log_r / k) * root;
}

Real start_u(const Site& site, const Release& r) {
  const Real most = std::min(Real(r.pressure) / Real(site.pressure), critical_ratio(site, r));
  return std::sqrt(most - 1);
}

/// Time, s, in which u falls from `from` to `to`: V dp = -R T n dt with dp = 2 p_a u du.
Real falling_time(const Site& site, const Release& r, Real from, Real to) {
  const Real factor = 2 * Real(site.pressure) * Real(r.volume) / (gas_constant * Real(r.temperature));
  const auto pace = [&](Real u) { return factor / flow_over_u(site, r, u); };
  return boost::math::quadrature::gauss<Real, 15>::integrate(pace, to, from);
}

/// u after `after` s of subsonic flow.
Real falling_u(const Site& site, const Release& r, Real after) {
  const Real factor = 2 * Real(site.pressure) * Real(r.volume) / (gas_constant * Real(r.temperature));
  const Real top = start_u(site, r);
  Real u = top * std::max(Real(0), 1 - after / falling_time(site, r, top, 0));
  for (int i = 0; i < 8; ++i) {
    const Real off = falling_time(site, r, top, u) - after;
    if (std::abs(off) <= 1e-14L * after) break;
    u = std::clamp(u + off * flow_over_u(site, r, u) / factor, Real(0), top);
  }
  return u;
}

Real time_constant(const Site& site, const Release& r) {
  return Real(r.volume) / (gas_constant * Real(r.temperature)) * Real(r.pressure) / through_hole(site, r, r.pressure);
}

Real pressure_after(const Site& site, const Release& r, Real age) {
  const Real choked = choked_until(site, r);
  if (age < choked) return Real(r.pressure) * std::exp(-age / time_constant(site, r));
  const Real u = falling_u(site, r, age - choked);
  return Real(site.pressure) * (1 + u * u);
}

/// Vapour pressure of a liquid, Pa: the wide-range equation in its range, otherwise Antoine's.
Real vapour_pressure(const std::string& gas, Real t) {
  const leanside::Substance& entry = *leanside::built_in_substances().find(gas);
  if (const auto& w = entry.vapour_pressure; w && t >= w->t_min && t <= w->t_max) {
    return std::exp(w->c1 + w->c2 / t + w->c3 * std::log(t) + w->c4 * std::pow(t, w->c5));
  }
  const auto& a = *entry.antoine;
  return 1000 * std::pow(Real(10), a.a - a.b / (t + a.c));
}

Real evaporation(const Site& site, const Release& r, Real there) {
  const Gas& gas = site.gases[r.gas.shares.at(0).gas];
  const Real t = r.temperature, p = site.pressure;
  const Real viscosity = 1.716e-5L * std::pow(t / 273.15L, 1.5L) * (273.15L + 110.4L) / (t + 110.4L);
  const Real density = p * 0.0289655L / (gas_constant * t);
  const Real diffusivity = Real(*gas.diffusivity) * std::pow(t / 298.15L, 1.75L) * 101325 / p;
  const Real across = std::sqrt(4 * Real(r.pool_area) / std::numbers::pi_v<Real>);
  const Real k = 0.00482L * std::pow(Real(r.air_speed), 0.78L) * std::pow(across, -0.11L) *
                 std::pow(viscosity / density / diffusivity, -0.67L);
  return k * Real(r.pool_area) * std::max(Real(0), vapour_pressure(gas.id, t) - there * p) / (gas_constant * t);
}

}  // namespace

Real through_hole(const Site& site, const Release& r, Real p0) {
  const Gas& gas = site.gases[r.gas.shares.at(0).gas];
  const Real k = *gas.heat_ratio, p = site.pressure, mrt = Real(gas.molar_mass) * gas_constant * Real(r.temperature);
  if (p0 <= p) return 0;
  if (p0 / p < critical_ratio(site, r)) {
    const Real u = std::sqrt(p0 / p - 1);
    return u * flow_over_u(site, r, u);
  }
  return Real(r.discharge) * Real(r.hole_area) * p0 * std::sqrt(k / mrt) *
         std::pow(2 / (k + 1), (k + 1) / (2 * (k - 1)));
}

Real choked_until(const Site& site, const Release& r) {
  const Real over = Real(r.pressure) / Real(site.pressure) / critical_ratio(site, r);
  return over > 1 ? time_constant(site, r) * std::log(over) : Real(0);
}

Real emptied_after(const Site& site, const Release& r) {
  return choked_until(site, r) + falling_time(site, r, start_u(site, r), 0);
}

bool varies(const Release& r) {
  return r.source == Source::cylinder || r.source == Source::spill || r.source == Source::reaction;
}

Real saturated_fraction(const Site& site, const Release& r) {
  return vapour_pressure(site.gases[r.gas.shares.at(0).gas].id, r.temperature) / Real(site.pressure);
}

Real rate_of(const Site& site, const Release& r, Real age, Real there) {
  if (r.source == Source::cylinder) return through_hole(site, r, pressure_after(site, r, age));
  if (r.source == Source::spill) return evaporation(site, r, there);
  if (r.source == Source::reaction) {
    return Real(r.amount) * std::numbers::ln2_v<Real> / Real(r.half_time) * std::exp2(-age / Real(r.half_time));
  }
  return r.rate;
}

Real given_by(const Site& site, const Release& r, Real age) {
  if (r.source == Source::cylinder) {
    return Real(r.volume) / (gas_constant * Real(r.temperature)) *
           (Real(r.pressure) - pressure_after(site, r, std::min(age, Real(r.lasts))));
  }
  if (r.source == Source::reaction)
    return -Real(r.amount) * std::expm1(-age / Real(r.half_time) * std::numbers::ln2_v<Real>);
  return Real(r.rate) * age;
}

}  // namespace second_opinion
