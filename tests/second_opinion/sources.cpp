// SPDX-License-Identifier: Apache-2.0
#include "second_opinion/sources.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <vector>

#include "leanside/substance.hpp"

namespace second_opinion {
namespace {

constexpr Real gas_constant = 8.31446261815324L;

Real critical_ratio(const Site& site, const Release& r) {
  const Real k = *site.gases[r.gas.shares.at(0).gas].heat_ratio;
  return std::pow((k + 1) / 2, k / (k - 1));
}

/// Z of Lee and Kesler at reduced temperature t and pressure p: t r z(r) = p by Newton, from the ideal gas.
struct Bwr {
  Real b[4], c[4], d[2], beta, gamma;
};
constexpr Bwr simple_fluid{{0.1181193L, 0.265728L, 0.154790L, 0.030323L},
                           {0.0236744L, 0.0186984L, 0.0L, 0.042724L},
                           {0.155488e-4L, 0.623689e-4L},
                           0.65392L,
                           0.060167L};
constexpr Bwr n_octane{{0.2026579L, 0.331511L, 0.027655L, 0.203488L},
                       {0.0313385L, 0.0503618L, 0.016901L, 0.041577L},
                       {0.48736e-4L, 0.0740336e-4L},
                       1.226L,
                       0.03754L};

Real lee_kesler(const Bwr& f, Real t, Real p) {
  const auto z_of = [&](Real r) {
    const Real r2 = r * r;
    return 1 + (f.b[0] - f.b[1] / t - f.b[2] / (t * t) - f.b[3] / (t * t * t)) * r +
           (f.c[0] - f.c[1] / t + f.c[2] / (t * t * t)) * r2 + (f.d[0] + f.d[1] / t) * r2 * r2 * r +
           f.c[3] / (t * t * t) * r2 * (f.beta + f.gamma * r2) * std::exp(-f.gamma * r2);
  };
  Real r = p / t;
  for (int i = 0; i < 60; ++i) {
    const Real step = 1e-6L * r, off = t * r * z_of(r) - p;
    r -= off * 2 * step / (t * (r + step) * z_of(r + step) - t * (r - step) * z_of(r - step));
  }
  return p / (t * r);
}

Real compressibility(const Site& site, const Release& r, Real p) {
  const leanside::Substance& entry = *leanside::built_in_substances().find(site.gases[r.gas.shares.at(0).gas].id);
  const Real t = r.temperature;
  if (entry.id == "hydrogen") {
    constexpr Real a[] = {0.05888460L,   -0.06136111L,  -0.002650473L,  0.002731125L, 0.001802374L,
                          -0.001150707L, 0.9588528e-4L, -0.1109040e-6L, 0.1264403e-9L};
    constexpr Real b[] = {1.325L, 1.87L, 2.5L, 2.8L, 2.938L, 3.14L, 3.37L, 3.75L, 4.0L};
    constexpr Real c[] = {1, 1, 2, 2, 2.42L, 2.63L, 3, 4, 5};
    Real z = 1;
    for (int i = 0; i < 9; ++i) z += a[i] * std::pow(100 / t, b[i]) * std::pow(p / 1e6L, c[i]);
    return z;
  }
  if (entry.id == "helium") return 1 + 11.8e-6L * p / (gas_constant * t);
  const Real tr = t / Real(entry.critical_temperature->value), pr = p / Real(entry.critical_pressure->value);
  const Real plain = lee_kesler(simple_fluid, tr, pr);
  return plain + Real(entry.acentric_factor->value) / 0.3978L * (lee_kesler(n_octane, tr, pr) - plain);
}

/// One piece of the course of a cylinder: mol, and mol/s at its start and end.
struct Piece {
  Real amount, first, last;
  Real duration() const { return first == last ? amount / first : amount / (first - last) * std::log(first / last); }
  Real given(Real t) const {
    return first == last ? first * t : -std::expm1(-(first - last) / amount * t) * first * amount / (first - last);
  }
  Real rate(Real t) const { return first * std::exp(-(first - last) / amount * t); }
};

std::vector<Piece> course_of(const Site& site, const Release& r) {
  const Real ambient = site.pressure, excess = Real(r.pressure) - ambient;
  const int steps = std::max(1, int(std::ceil(2 * std::log2(excess / (0.05L * ambient)))));
  std::vector<Piece> pieces;
  Real held = 0, rate = 0;
  for (int k = 0; k <= steps + 1; ++k) {
    const Real p = k > steps ? ambient : ambient + excess * std::exp2(Real(-k) / 2);
    const Real content = p * Real(r.volume) / (compressibility(site, r, p) * gas_constant * Real(r.temperature));
    const Real out = through_hole(site, r, p);
    if (k > steps) {
      pieces.push_back({held - content, rate / 2, rate / 2});
    } else if (k > 0) {
      pieces.push_back({held - content, rate, out});
    }
    held = content;
    rate = out;
  }
  return pieces;
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
  const Real saturated = vapour_pressure(gas.id, t), y = saturated / p;
  const Real stefan = std::min(-std::log1p(-y) / y, std::max(Real(1), 200e3L * gas_constant / (88 * saturated) / k));
  return stefan * k * Real(r.pool_area) * std::max(Real(0), vapour_pressure(gas.id, t) - there * p) /
         (gas_constant * t);
}

}  // namespace

Real through_hole(const Site& site, const Release& r, Real p0) {
  const Gas& gas = site.gases[r.gas.shares.at(0).gas];
  const Real k = *gas.heat_ratio, p = site.pressure;
  if (p0 <= p) return 0;
  const Real z = std::min(Real(1), compressibility(site, r, p0));
  const Real mrt = z * Real(gas.molar_mass) * gas_constant * Real(r.temperature);
  if (p0 / p < critical_ratio(site, r)) {
    const Real down = p / p0;
    return Real(r.discharge) * Real(r.hole_area) * p0 * std::sqrt(2 * k / ((k - 1) * mrt)) * std::pow(down, 1 / k) *
           std::sqrt(1 - std::pow(down, (k - 1) / k));
  }
  return Real(r.discharge) * Real(r.hole_area) * p0 * std::sqrt(k / mrt) *
         std::pow(2 / (k + 1), (k + 1) / (2 * (k - 1)));
}

std::vector<Real> joints(const Site& site, const Release& r) {
  std::vector<Real> ages;
  Real age = 0;
  for (const Piece& piece : course_of(site, r)) ages.push_back(age += piece.duration());
  ages.pop_back();
  return ages;
}

Real emptied_after(const Site& site, const Release& r) {
  Real age = 0;
  for (const Piece& piece : course_of(site, r)) age += piece.duration();
  return age;
}

bool varies(const Release& r) {
  return r.source == Source::cylinder || r.source == Source::spill || r.source == Source::reaction;
}

Real saturated_fraction(const Site& site, const Release& r) {
  return vapour_pressure(site.gases[r.gas.shares.at(0).gas].id, r.temperature) / Real(site.pressure);
}

Real rate_of(const Site& site, const Release& r, Real age, Real there) {
  if (r.source == Source::cylinder) {
    for (const Piece& piece : course_of(site, r)) {
      if (age < piece.duration()) return piece.rate(age);
      age -= piece.duration();
    }
    return 0;
  }
  if (r.source == Source::spill) return evaporation(site, r, there);
  if (r.source == Source::reaction) {
    return Real(r.amount) * std::numbers::ln2_v<Real> / Real(r.half_time) * std::exp2(-age / Real(r.half_time));
  }
  return r.rate;
}

Real given_by(const Site& site, const Release& r, Real age) {
  if (r.source == Source::cylinder) {
    Real out = 0;
    for (const Piece& piece : course_of(site, r)) {
      if (age < piece.duration()) return out + piece.given(age);
      out += piece.amount;
      age -= piece.duration();
    }
    return out;
  }
  if (r.source == Source::reaction)
    return -Real(r.amount) * std::expm1(-age / Real(r.half_time) * std::numbers::ln2_v<Real>);
  return Real(r.rate) * age;
}

}  // namespace second_opinion
