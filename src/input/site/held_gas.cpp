// SPDX-License-Identifier: Apache-2.0
#include "input/site/held_gas.hpp"

#include <cmath>
#include <vector>

#include <fmt/format.h>

namespace leanside::input {
namespace {

/// By how much a pressure may pass the dew pressure before it is taken as a slip.
constexpr double dew_slack = 1.02;
/// A cylinder of a gas that can be liquefied holds liquid until it is nearly empty: from this share of the dew pressure
/// on, a reading on a colder day explains the pressure better than a cylinder without liquid. Common practice, no
/// source.
constexpr double likely_liquid = 0.5;
/// Least compressibility with which an ideal gas is taken: a third more in a cylinder than computed, and 20 % more
/// through a hole, whose flow goes with 1/sqrt(Z). Methane at 200 bar and 20 degC comes to 0.795 (published: 0.83).
constexpr double least_of_cylinder = 0.75, least_of_line = 0.7;
/// An error smaller than this is not mentioned.
constexpr double small_error = 0.05;

struct Held {
  std::vector<GasPart> parts;
  double pressure = 0.0, temperature = 0.0;
  Condensation condensed;
};

std::string bar(double pressure) { return format_quantity(pressure, "bar", 3); }

/// The highest pressure, Pa, at which the parts are still near enough to an ideal gas to go through a hole; at most
/// `most`.
double highest_line_pressure(std::span<const GasPart> parts, double temperature, double most) {
  const auto fine = [&](double p) { return compressibility(parts, temperature, p).value_or(0.0) >= least_of_line; };
  if (fine(most)) return most;
  double low = 0.0, high = most;
  for (int k = 0; k < 60; ++k) (fine(0.5 * (low + high)) ? low : high) = 0.5 * (low + high);
  return low;
}

/// "a 'dump' of the mass on its label ..."; for a line, what of it can be computed.
std::string advice_of(const Held& held, const Site& site, const Release& release, Holder holder) {
  std::string out =
      "Give all that a cylinder holds as a 'dump' of the mass on its label, over the least time in which it can come "
      "out";
  const Condensation& condensed = held.condensed;
  if (std::isfinite(condensed.bubble_pressure) && !condensed.lightest.empty()) {
    for (const GasShare& share : release.gas.shares) {
      const Substance& lightest = site.gases[share.gas.value].substance;
      if (lightest.id != condensed.lightest) continue;
      const GasPart pure[] = {{&lightest, 1.0}};
      const auto z = compressibility(pure, held.temperature, condensed.lightest_pressure);
      if (z && *z < least_of_line) break;
      // Rounded down, so that what is advised is never refused for its last digit.
      const double advised = std::floor(condensed.lightest_pressure / 1e4) * 1e4;
      if (release.gas.shares.size() == 1)
        return out + fmt::format("; gas from its top, as an 'orifice' at {}", bar(advised));
      return out + fmt::format("; gas from its top, as an 'orifice' of {}, its most volatile part, at {}",
                               shown(condensed.lightest), bar(advised));
    }
  }
  const double most =
      highest_line_pressure(held.parts, held.temperature, std::min(held.pressure, condensed.dew_pressure));
  const double advised = most >= 1e6 ? std::floor(most / 1e5) * 1e5 : std::floor(most / 1e4) * 1e4;
  if (advised <= site.conditions.pressure) return out;
  return out + fmt::format("; a leak {} is an 'orifice' at the pressure there, up to {}",
                           holder == Holder::cylinder ? "behind its regulator" : "behind a regulator", bar(advised));
}

bool refuse_liquid(const TableReader& table, const Release& release, Holder holder, const Held& held,
                   const Site& site) {
  const Condensation& condensed = held.condensed;
  const bool liquid = held.pressure > dew_slack * condensed.dew_pressure;
  const bool likely = holder == Holder::cylinder && held.pressure > likely_liquid * condensed.dew_pressure &&
                      std::isfinite(condensed.bubble_pressure);
  if (!liquid && !likely) return false;
  const std::string state =
      fmt::format("at {} and {}", format_quantity(held.pressure, "bar"), format_quantity(held.temperature, "degC"));
  const bool pure = held.parts.size() == 1 && std::isfinite(condensed.bubble_pressure);
  const std::string limit =
      pure ? fmt::format("its vapour has {} at that temperature", format_quantity(condensed.dew_pressure, "bar"))
           : fmt::format("it condenses above {} at that temperature", bar(condensed.dew_pressure));
  const std::string what =
      liquid
          ? fmt::format("{} is {}liquid {}: {}", shown(release.gas.name), pure ? "a " : "partly ", state, limit)
          : fmt::format(
                "a cylinder of {} {} most likely holds liquid, and then far more gas than its pressure suggests: {}, "
                "and less when it is colder",
                shown(release.gas.name), state, limit);
  table.value_error("pressure", what + ". " + advice_of(held, site, release, holder));
  return true;
}

/// What the error is of: the content of a cylinder goes with 1/Z, the flow through a hole with 1/sqrt(Z).
double real_over_ideal(double z, Holder holder) { return holder == Holder::cylinder ? 1.0 / z : 1.0 / std::sqrt(z); }

}  // namespace

void check_held_gas(const TableReader& table, const Release& release, Holder holder, double pressure,
                    double temperature, Draft& draft) {
  const Site& site = draft.site;
  Held held{{}, pressure, temperature, {}};
  for (const GasShare& share : release.gas.shares) {
    if (share.fraction > 0.0) held.parts.push_back({&site.gases[share.gas.value].substance, share.fraction});
  }
  held.condensed = condensation(held.parts, temperature);
  if (refuse_liquid(table, release, holder, held, site)) return;
  const auto z = compressibility(held.parts, temperature, pressure);
  if (!z || !held.condensed.known) {
    draft.not_checked.push_back(release.id);
    return;
  }
  const double ratio = real_over_ideal(*z, holder);
  const bool is_cylinder = holder == Holder::cylinder;
  if (*z < (is_cylinder ? least_of_cylinder : least_of_line)) {
    table.value_error(
        "pressure",
        fmt::format("{} at {} and {} is far denser than an ideal gas: {} about {} times what an ideal gas would. {}",
                    shown(release.gas.name), format_quantity(pressure, "bar"), format_quantity(temperature, "degC"),
                    is_cylinder ? "a cylinder holds" : "a hole passes", format_number(ratio, 2),
                    advice_of(held, site, release, holder)));
    return;
  }
  if (std::abs(ratio - 1.0) < small_error) return;
  draft.not_ideal.emplace_back(release.id, ratio);
}

}  // namespace leanside::input
