// SPDX-License-Identifier: Apache-2.0
#include "input/site/held_gas.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

namespace leanside::input {
namespace {

/// By how much a pressure may pass the dew pressure before it is taken as a slip.
constexpr double dew_slack = 1.02;
/// Under this Z a gas is so dense that it may become liquid in the hole.
constexpr double dense = 0.5;

std::string bar(double pressure, const Site& site) {
  return format_quantity(pressure, "bar", 3, site.conditions.units);
}

/// "; gas from the top of a cylinder is an 'orifice' at 8.3 bar".
std::string advice_of(const Condensation& condensed, const Site& site, const Release& release) {
  const std::string all = ". Gas or liquid from a cylinder is a 'cylinder', which needs no pressure";
  if (!std::isfinite(condensed.bubble_pressure) || condensed.lightest.empty()) return all;
  // Rounded down, so that what is advised is never refused for its last digit.
  const double advised = std::floor(condensed.lightest_pressure / 1e4) * 1e4;
  if (advised <= site.conditions.pressure) return all;
  if (release.gas.shares.size() == 1)
    return all + fmt::format("; gas in a line, an 'orifice' at {}", bar(advised, site));
  return all + fmt::format("; gas in a line, an 'orifice' of {}, its most volatile part, at {}",
                           shown(condensed.lightest), bar(advised, site));
}

}  // namespace

std::vector<GasPart> parts_of(const Release& release, const Site& site) {
  std::vector<GasPart> parts;
  for (const GasShare& share : release.gas.shares) {
    if (share.fraction > 0.0) parts.push_back({&site.gases[share.gas.value].substance, share.fraction});
  }
  return parts;
}

std::optional<HeldGas> held_gas(const TableReader& table, const Release& release, const Site& site,
                                double temperature) {
  if (release.gas.name.empty()) return {};  // has a fault
  std::vector<double> share, ratio;
  double rest = 1.0;
  for (const GasShare& part : release.gas.shares) {
    const Substance& substance = site.gases[part.gas.value].substance;
    const auto& known = substance.heat_capacity_ratio;
    if (!known || known->value <= 1.0) {
      table.value_error("gas", fmt::format("the flow through a hole depends on heat_capacity_ratio (Cp/Cv), which is "
                                           "not known of {}; give it in a [[gas]], or use the kind 'steady' or 'dump'",
                                           shown(substance.id)));
      return {};
    }
    share.push_back(part.fraction);
    ratio.push_back(known->value);
    rest -= part.fraction;
  }
  if (rest > 1e-12) {
    constexpr double ratio_of_air = 1.4;
    share.push_back(rest);
    ratio.push_back(ratio_of_air);
  }
  return HeldGas{temperature, molar_mass(release.gas, site.gases), mixed_heat_capacity_ratio(share, ratio)};
}

void hold_in_line(const TableReader& table, const Release& release, double pressure, HeldGas& held, Draft& draft) {
  const Site& site = draft.site;
  const auto parts = parts_of(release, site);
  const Condensation condensed = condensation(parts, held.temperature);
  if (pressure > dew_slack * condensed.dew_pressure) {
    const bool pure = parts.size() == 1 && std::isfinite(condensed.bubble_pressure);
    table.value_error(
        "pressure",
        fmt::format("{} is {}liquid at {} and {}: {} {} at that temperature{}", shown(release.gas.name),
                    pure ? "a " : "partly ", table.faults().amount(pressure, "bar"),
                    table.faults().amount(held.temperature, "degC"), pure ? "its vapour has" : "it condenses above",
                    bar(condensed.dew_pressure, site), advice_of(condensed, site, release)));
    return;
  }
  const auto z = compressibility(parts, held.temperature, pressure);
  if (!z || !condensed.known) {
    draft.not_checked.push_back(release.id);
    return;
  }
  held.compressibility = std::min(1.0, *z);
  if (*z >= dense) return;
  const Hole hole{1e-3, 1.0};
  const double ambient = site.conditions.pressure;
  const double density = pressure * held.molar_mass / (*z * gas_constant * held.temperature);
  const double larger = liquid_discharge(hole, density, held.molar_mass, pressure, ambient) /
                        discharge_rate(held, hole, pressure, ambient);
  held.compressibility /= larger * larger;
  draft.dense.push_back(release.id);
}

}  // namespace leanside::input
