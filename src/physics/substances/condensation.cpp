// SPDX-License-Identifier: Apache-2.0
/// When a gas under pressure condenses.
#include <cmath>
#include <limits>
#include <variant>

#include "leanside/substance.hpp"

namespace leanside {
namespace {

/// Lee and Kesler, AIChE J. 21 (1975) 510 (from memory), Pa.
double lee_kesler(double critical_temperature, double critical_pressure, double acentric, double temperature) {
  const double t = temperature / critical_temperature, t6 = std::pow(t, 6.0);
  const double simple = 5.92714 - 6.09648 / t - 1.28862 * std::log(t) + 0.169347 * t6;
  const double deviation = 15.2518 - 15.6875 / t - 13.4721 * std::log(t) + 0.43577 * t6;
  return critical_pressure * std::exp(simple + acentric * deviation);
}

struct StaysGas {};
struct NotKnown {};

/// Pa of the saturated vapour; or that it is a gas at any pressure; or that nothing tells.
std::variant<double, StaysGas, NotKnown> saturation_of(const Substance& substance, double temperature) {
  if (const auto known = vapour_pressure(substance, temperature)) return *known;
  const auto& critical = substance.critical_temperature;
  if (critical && temperature >= critical->value) return StaysGas{};
  if (critical && substance.critical_pressure && substance.acentric_factor) {
    return lee_kesler(critical->value, substance.critical_pressure->value, substance.acentric_factor->value,
                      temperature);
  }
  return NotKnown{};
}

}  // namespace

std::optional<double> saturation_pressure(const Substance& substance, double temperature) {
  const auto saturation = saturation_of(substance, temperature);
  const auto* pressure = std::get_if<double>(&saturation);
  return pressure != nullptr ? std::optional{*pressure} : std::nullopt;
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
