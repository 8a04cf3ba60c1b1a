// SPDX-License-Identifier: Apache-2.0
#include "second_opinion/sources.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <vector>

#include "leanside/substance.hpp"
#include "leanside/substance_file.hpp"
#include "second_opinion/liquids.hpp"

namespace second_opinion {
namespace {

constexpr Real gas_constant = 8.31446261815324L;

/// Cp/Cv of what the release consists of: the molar heat capacities of its parts add up.
Real heat_ratio(const Site& site, const Release& r) {
  Real at_pressure = 0;  // over R
  for (const Share& s : r.gas.shares) {
    const Real k = *site.gases[s.gas].heat_ratio;
    at_pressure += Real(s.fraction) * k / (k - 1);
  }
  return at_pressure / (at_pressure - 1);
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

/// The values of a mixture as those of one fluid, by the rules of Lee and Kesler.
struct Fluid {
  Real temperature, pressure, acentric;
};
Fluid fluid_of(const Site& site, const Release& r) {
  struct Part {
    Real share, volume, temperature, acentric;
  };
  std::vector<Part> parts;
  for (const Share& s : r.gas.shares) {
    const leanside::Substance& entry = *leanside::built_in_substances().find(site.gases[s.gas].id);
    const Real tc = entry.critical_temperature->value, w = entry.acentric_factor->value;
    parts.push_back(
        {Real(s.fraction), (0.2905L - 0.085L * w) * gas_constant * tc / Real(entry.critical_pressure->value), tc, w});
    if (r.gas.shares.size() == 1) return {tc, Real(entry.critical_pressure->value), w};
  }
  Real volume = 0, temperature = 0, acentric = 0;
  for (const Part& a : parts) {
    acentric += a.share * a.acentric;
    for (const Part& b : parts) {
      const Real both = a.share * b.share * std::pow(std::cbrt(a.volume) + std::cbrt(b.volume), Real(3)) / 8;
      volume += both;
      temperature += both * std::sqrt(a.temperature * b.temperature);
    }
  }
  temperature /= volume;
  return {temperature, (0.2905L - 0.085L * acentric) * gas_constant * temperature / volume, acentric};
}

Real compressibility(const Site& site, const Release& r, Real p) {
  const std::string& id = site.gases[r.gas.shares.at(0).gas].id;
  const Real t = r.temperature;
  if (id == "hydrogen") {
    constexpr Real a[] = {0.05888460L,   -0.06136111L,  -0.002650473L,  0.002731125L, 0.001802374L,
                          -0.001150707L, 0.9588528e-4L, -0.1109040e-6L, 0.1264403e-9L};
    constexpr Real b[] = {1.325L, 1.87L, 2.5L, 2.8L, 2.938L, 3.14L, 3.37L, 3.75L, 4.0L};
    constexpr Real c[] = {1, 1, 2, 2, 2.42L, 2.63L, 3, 4, 5};
    Real z = 1;
    for (int i = 0; i < 9; ++i) z += a[i] * std::pow(100 / t, b[i]) * std::pow(p / 1e6L, c[i]);
    return z;
  }
  if (id == "helium") return 1 + 11.8e-6L * p / (gas_constant * t);
  const Fluid fluid = fluid_of(site, r);
  const Real tr = t / fluid.temperature, pr = p / fluid.pressure;
  const Real plain = lee_kesler(simple_fluid, tr, pr);
  return plain + fluid.acentric / 0.3978L * (lee_kesler(n_octane, tr, pr) - plain);
}

/// mol/s through the hole at pressure p: as gas, or as liquid of a density, kg/m3.
Real liquid_through_hole(const Site& site, const Release& r, Real p, Real density) {
  return Real(r.discharge) * Real(r.hole_area) * std::sqrt(2 * density * (p - Real(site.pressure))) /
         molar_mass_of(site, r);
}

std::vector<CoursePiece> course_of(const Site& site, const Release& r) {
  if (r.source == Source::boiling) return boiling_course(site, r);
  const Real ambient = site.pressure;
  if (r.amount > 0) {
    const Real p = std::max(bubble_pressure(site, r, r.temperature), 1.05L * ambient);
    const Real rate = r.liquid_out ? liquid_through_hole(site, r, p, liquid_density(site, r, r.temperature))
                                   : through_hole(site, r, p);
    return {{Real(r.amount), rate, rate}};
  }
  const Real excess = Real(r.pressure) - ambient;
  const int steps = std::max(1, int(std::ceil(2 * std::log2(excess / (0.05L * ambient)))));
  std::vector<CoursePiece> pieces;
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

}  // namespace

Real through_hole(const Site& site, const Release& r, Real p0) {
  const Real k = heat_ratio(site, r), p = site.pressure;
  if (p0 <= p) return 0;
  const Real z = std::min(Real(1), compressibility(site, r, p0));
  const Real mrt = z * molar_mass_of(site, r) * gas_constant * Real(r.temperature);
  if (p0 / p < std::pow((k + 1) / 2, k / (k - 1))) {
    const Real down = p / p0;
    return Real(r.discharge) * Real(r.hole_area) * p0 * std::sqrt(2 * k / ((k - 1) * mrt)) * std::pow(down, 1 / k) *
           std::sqrt(1 - std::pow(down, (k - 1) / k));
  }
  return Real(r.discharge) * Real(r.hole_area) * p0 * std::sqrt(k / mrt) *
         std::pow(2 / (k + 1), (k + 1) / (2 * (k - 1)));
}

void find_course(const Site& site, Release& r) {
  r.course = course_of(site, r);
  Real age = 0;
  for (const CoursePiece& piece : r.course) age += piece.duration();
  r.lasts = double(age);
}

Real content_above_ambient(const Release& r) {
  Real sum = 0;
  for (const CoursePiece& piece : r.course) sum += piece.amount;
  return sum;
}

std::vector<Real> joints(const Release& r) {
  std::vector<Real> ages;
  Real age = 0;
  for (const CoursePiece& piece : r.course) ages.push_back(age += piece.duration());
  ages.pop_back();
  return ages;
}

bool runs_a_course(const Release& r) { return r.source == Source::cylinder || r.source == Source::boiling; }

bool varies(const Release& r) { return runs_a_course(r) || r.source == Source::spill || r.source == Source::reaction; }

Real rate_of(const Release& r, Real age) {
  if (runs_a_course(r)) {
    for (const CoursePiece& piece : r.course) {
      if (age < piece.duration()) return piece.rate(age);
      age -= piece.duration();
    }
    return 0;
  }
  if (r.source == Source::reaction) {
    return Real(r.amount) * std::numbers::ln2_v<Real> / Real(r.half_time) * std::exp2(-age / Real(r.half_time));
  }
  return r.rate;
}

Real given_by(const Release& r, Real age) {
  if (runs_a_course(r)) {
    Real out = 0;
    for (const CoursePiece& piece : r.course) {
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
