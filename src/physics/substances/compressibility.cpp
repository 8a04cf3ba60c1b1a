// SPDX-License-Identifier: Apache-2.0
/// How far a gas under pressure is from ideal.
#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

#include "leanside/substance.hpp"
#include "leanside/units.hpp"

namespace leanside {
namespace {

struct Critical {
  double temperature = 0.0;  ///< K
  double pressure = 0.0;     ///< Pa
  double acentric = 0.0;
};

/// Dry air as one substance. Source: Perry's Chemical Engineers' Handbook, 9th ed., 2019, critical constants.
constexpr Critical critical_of_air{132.45, 3.774e6, 0.0};

/// Hydrogen and helium obey corresponding states with constants that depend on temperature: T = T0 / (1 + 21.8 K / (M
/// T)), P = P0 / (1 + 44.2 K / (M T)), M in g/mol, acentric factor 0. Gunn, Chueh and Prausnitz, AIChE J. 12 (1966) 937
/// (from memory).
Critical of_quantum_gas(double t0, double p0, double molar_mass, double temperature) {
  const double mt = 1e3 * molar_mass * temperature;
  return {t0 / (1.0 + 21.8 / mt), p0 / (1.0 + 44.2 / mt), 0.0};
}

std::optional<Critical> critical_of(const Substance& substance, double temperature) {
  if (substance.id == "hydrogen") return of_quantum_gas(43.6, 20.47e5, substance.molar_mass.value, temperature);
  if (substance.id == "helium") return of_quantum_gas(10.47, 6.76e5, substance.molar_mass.value, temperature);
  if (!substance.critical_temperature || !substance.critical_pressure || !substance.acentric_factor) return {};
  return Critical{substance.critical_temperature->value, substance.critical_pressure->value,
                  substance.acentric_factor->value};
}

/// The equation of state of one of the two fluids between which Lee and Kesler interpolate.
struct Fluid {
  double b1, b2, b3, b4, c1, c2, c3, c4, d1, d2, beta, gamma;

  /// Z at the reduced temperature `t` and the reduced density `r` = 1 / V_r.
  double z(double t, double r) const {
    const double b = b1 - b2 / t - b3 / (t * t) - b4 / (t * t * t), c = c1 - c2 / t + c3 / (t * t * t);
    const double d = d1 + d2 / t, r2 = r * r;
    return 1.0 + b * r + c * r2 + d * r2 * r2 * r + c4 / (t * t * t) * r2 * (beta + gamma * r2) * std::exp(-gamma * r2);
  }
};
constexpr Fluid simple{0.1181193, 0.265728, 0.154790,    0.030323,    0.0236744, 0.0186984,
                       0.0,       0.042724, 0.155488e-4, 0.623689e-4, 0.65392,   0.060167};
constexpr Fluid octane{0.2026579, 0.331511, 0.027655,   0.203488,     0.0313385, 0.0503618,
                       0.016901,  0.041577, 0.48736e-4, 0.0740336e-4, 1.226,     0.03754};
constexpr double acentric_of_octane = 0.3978;

/// Z of the fluid at a reduced temperature and pressure: the root of least density.
double root_of(const Fluid& fluid, double t, double p) {
  constexpr double step = 0.01, densest = 12.0;
  const auto excess = [&](double r) { return t * r * fluid.z(t, r) - p; };
  double low = 0.0, high = step;
  while (high < densest && excess(high) < 0.0) {
    low = high;
    high += step;
  }
  for (int k = 0; k < 60; ++k) {
    const double middle = 0.5 * (low + high);
    (excess(middle) < 0.0 ? low : high) = middle;
  }
  return p / (t * 0.5 * (low + high));
}

/// The mixture as one fluid, by the rules of Lee and Kesler.
Critical mixed(const std::vector<Critical>& parts, const std::vector<double>& share) {
  const auto z_of = [](double acentric) { return 0.2905 - 0.085 * acentric; };
  std::vector<double> volume;
  Critical out;
  for (std::size_t i = 0; i < parts.size(); ++i) {
    volume.push_back(z_of(parts[i].acentric) * gas_constant * parts[i].temperature / parts[i].pressure);
    out.acentric += share[i] * parts[i].acentric;
  }
  double all = 0.0;
  for (std::size_t i = 0; i < parts.size(); ++i) {
    for (std::size_t j = 0; j < parts.size(); ++j) {
      const double pair = share[i] * share[j] * std::pow(std::cbrt(volume[i]) + std::cbrt(volume[j]), 3.0) / 8.0;
      all += pair;
      out.temperature += pair * std::sqrt(parts[i].temperature * parts[j].temperature);
    }
  }
  out.temperature /= all;
  out.pressure = z_of(out.acentric) * gas_constant * out.temperature / all;
  return out;
}

double lee_kesler_z(const Critical& fluid, double temperature, double pressure) {
  const double t = temperature / fluid.temperature, p = pressure / fluid.pressure;
  if (!(p > 0.0)) return 1.0;
  const double of_simple = root_of(simple, t, p);
  if (fluid.acentric == 0.0) return of_simple;
  constexpr double least = 0.05;  // no fluid at any pressure that a cylinder holds
  return std::max(least, of_simple + fluid.acentric / acentric_of_octane * (root_of(octane, t, p) - of_simple));
}

/// Z = 1 + sum a (100 K / T)^b (P / MPa)^c of hydrogen, 150 to 1000 K and up to 200 MPa. Lemmon, Huber and Leachman, J.
/// Res. Natl. Inst. Stand. Technol. 113 (2008) 341, equation 1 (from memory; it gives their check values).
double z_of_hydrogen(double temperature, double pressure) {
  struct Term {
    double a, b, c;
  };
  constexpr std::array<Term, 9> terms{{{0.05888460, 1.325, 1.0},
                                       {-0.06136111, 1.87, 1.0},
                                       {-0.002650473, 2.5, 2.0},
                                       {0.002731125, 2.8, 2.0},
                                       {0.001802374, 2.938, 2.42},
                                       {-0.001150707, 3.14, 2.63},
                                       {0.9588528e-4, 3.37, 3.0},
                                       {-0.1109040e-6, 3.75, 4.0},
                                       {0.1264403e-9, 4.0, 5.0}}};
  double z = 1.0;
  for (const Term& term : terms) z += term.a * std::pow(100.0 / temperature, term.b) * std::pow(pressure / 1e6, term.c);
  return z;
}

/// Helium near room temperature: 1 + B P/(R T), B its second virial coefficient (from memory).
double z_of_helium(double temperature, double pressure) {
  constexpr double virial = 11.8e-6;  // m3/mol
  return 1.0 + virial * pressure / (gas_constant * temperature);
}

}  // namespace

std::optional<double> compressibility(std::span<const GasPart> parts, double temperature, double pressure) {
  std::vector<Critical> fluids;
  std::vector<double> share;
  const Substance* last = nullptr;
  double rest = 1.0;
  for (const GasPart& part : parts) {
    if (!(part.fraction > 0.0)) continue;
    const auto critical = critical_of(*part.substance, temperature);
    if (!critical) return {};
    fluids.push_back(*critical);
    share.push_back(part.fraction);
    rest -= part.fraction;
    last = part.substance;
  }
  constexpr double trace = 1e-12;
  if (rest > trace) {
    fluids.push_back(critical_of_air);
    share.push_back(rest);
  }
  constexpr double coldest = 150.0, hottest = 1000.0;
  const bool pure = fluids.size() == 1 && last != nullptr;
  const bool usual = temperature >= coldest && temperature <= hottest;
  if (usual && pure && last->id == "hydrogen") return z_of_hydrogen(temperature, pressure);
  if (usual && pure && last->id == "helium") return z_of_helium(temperature, pressure);
  return lee_kesler_z(fluids.size() == 1 ? fluids.front() : mixed(fluids, share), temperature, pressure);
}

}  // namespace leanside
