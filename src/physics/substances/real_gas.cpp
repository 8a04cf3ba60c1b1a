// SPDX-License-Identifier: Apache-2.0
/// How far a gas under pressure is from ideal, and when it condenses.
#include <algorithm>
#include <cmath>
#include <limits>
#include <variant>

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

std::optional<Critical> critical_of(const Substance& substance) {
  if (!substance.critical_temperature || !substance.critical_pressure || !substance.acentric_factor) return {};
  return Critical{substance.critical_temperature->value, substance.critical_pressure->value,
                  substance.acentric_factor->value};
}

/// Attraction and volume of one mol of a mixture, summed part by part.
struct PengRobinson {
  double root_a = 0.0;  ///< square root of the attraction, (Pa m6)^0.5/mol
  double b = 0.0;       ///< m3/mol

  void add(const Critical& part, double fraction, double temperature) {
    const double w = part.acentric, rt = gas_constant * part.temperature;
    const double kappa = 0.37464 + 1.54226 * w - 0.26992 * w * w;
    const double root_alpha = 1.0 + kappa * (1.0 - std::sqrt(temperature / part.temperature));
    root_a += fraction * std::abs(root_alpha) * std::sqrt(0.45724 * rt * rt / part.pressure);
    b += fraction * 0.07780 * rt / part.pressure;
  }
};

/// The largest root of Z^3 - (1 - B) Z^2 + (A - 3 B^2 - 2 B) Z - (A B - B^2 - B^3).
double gas_root(double a, double b) {
  const double c2 = b - 1.0, c1 = a - 3.0 * b * b - 2.0 * b, c0 = b * b + b * b * b - a * b;
  // From above every root the cubic is convex, so Newton's steps fall to the largest one and never pass it.
  double z = 1.0 + std::max({std::abs(c2), std::abs(c1), std::abs(c0)});
  for (int k = 0; k < 200; ++k) {
    const double value = ((z + c2) * z + c1) * z + c0, slope = (3.0 * z + 2.0 * c2) * z + c1;
    if (!(slope > 0.0)) break;
    const double step = value / slope;
    z -= step;
    if (std::abs(step) <= 1e-13 * z) break;
  }
  return z;
}

/// Lee and Kesler, AIChE J. 21 (1975) 510 (from memory), Pa.
double lee_kesler(const Critical& critical, double temperature) {
  const double t = temperature / critical.temperature, t6 = std::pow(t, 6.0);
  const double simple = 5.92714 - 6.09648 / t - 1.28862 * std::log(t) + 0.169347 * t6;
  const double deviation = 15.2518 - 15.6875 / t - 13.4721 * std::log(t) + 0.43577 * t6;
  return critical.pressure * std::exp(simple + critical.acentric * deviation);
}

struct StaysGas {};
struct NotKnown {};

/// Pa of the saturated vapour; or that it is a gas at any pressure; or that nothing tells.
std::variant<double, StaysGas, NotKnown> saturation_of(const Substance& substance, double temperature) {
  if (const auto known = vapour_pressure(substance, temperature)) return *known;
  if (substance.critical_temperature && temperature >= substance.critical_temperature->value) return StaysGas{};
  if (const auto critical = critical_of(substance)) return lee_kesler(*critical, temperature);
  // The wide-range equation ends at the critical point.
  if (substance.vapour_pressure && temperature > substance.vapour_pressure->t_max) return StaysGas{};
  return NotKnown{};
}

}  // namespace

std::optional<double> compressibility(std::span<const GasPart> parts, double temperature, double pressure) {
  PengRobinson mixture;
  double rest = 1.0;
  for (const GasPart& part : parts) {
    const auto critical = critical_of(*part.substance);
    if (!critical) return {};
    mixture.add(*critical, part.fraction, temperature);
    rest -= part.fraction;
  }
  if (rest > 1e-12) mixture.add(critical_of_air, rest, temperature);
  const double rt = gas_constant * temperature;
  return gas_root(mixture.root_a * mixture.root_a * pressure / (rt * rt), mixture.b * pressure / rt);
}

Condensation condensation(std::span<const GasPart> parts, double temperature) {
  constexpr double infinite = std::numeric_limits<double>::infinity();
  Condensation out;
  double drops = 0.0, rest = 1.0;
  for (const GasPart& part : parts) {
    if (!(part.fraction > 0.0)) continue;
    rest -= part.fraction;
    const auto saturation = saturation_of(*part.substance, temperature);
    if (const auto* saturated = std::get_if<double>(&saturation)) {
      drops += part.fraction / *saturated;
      out.bubble_pressure += part.fraction * *saturated;
      if (*saturated <= out.lightest_pressure) continue;
      out.lightest = part.substance->id;
      out.lightest_pressure = *saturated;
    } else {
      out.known = out.known && !std::holds_alternative<NotKnown>(saturation);
      out.bubble_pressure = infinite;
    }
  }
  if (rest > 1e-12) out.bubble_pressure = infinite;  // air does not condense
  out.dew_pressure = drops > 0.0 ? 1.0 / drops : infinite;
  return out;
}

}  // namespace leanside
