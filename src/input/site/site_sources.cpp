// SPDX-License-Identifier: Apache-2.0
/// Gas under pressure.
#include "input/site/site_sources.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include <fmt/format.h>

#include "input/site/held_gas.hpp"
#include "input/toml/ranges.hpp"

namespace leanside::input {

bool in_a_space(const Release& release, const Site& site) { return release.into.value < site.spaces.size(); }

const Substance* sole_substance(const Release& release, const Site& site) {
  const auto& shares = release.gas.shares;
  if (shares.size() != 1 || std::abs(shares.front().fraction - 1.0) > 1e-9) return nullptr;
  return &site.gases[shares.front().gas.value].substance;
}

namespace {

/// Above this no cylinder or line of a laboratory is filled, Pa.
constexpr double highest_pressure = 1e8;
/// A hole wider than this is more likely a slip, m.
constexpr double widest_usual_hole = 0.05;

/// Molar mass and heat capacity ratio; empty, with a fault, where they are not known.
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

Hole read_hole(const TableReader& table, double widest) {
  Hole hole;
  if (table.require("hole", "\"1 mm\" (its diameter)")) {
    hole.diameter = table.quantity("hole", Dimension::length, Sign::positive).value_or(0.0);
    if (hole.diameter > widest) {
      table.value_notice("hole", fmt::format("a hole {} across is a burst pipe; is the unit right?",
                                             format_quantity(hole.diameter, "mm")));
    }
  }
  if (const auto discharge = table.number("discharge", Sign::positive)) {
    hole.discharge = *discharge;
    if (*discharge > 1.0) {
      table.value_error("discharge", fmt::format("found {}; it is the share, up to 1, of the flow through a perfect "
                                                 "hole: 0.6 for a sharp edge, 0.85 where little is known",
                                                 format_exact(*discharge)));
    }
  }
  return hole;
}

/// The pressure behind a hole; empty, with a fault, where nothing could come out of it.
std::optional<double> read_held_pressure(const TableReader& table, std::string_view example, double ambient) {
  if (!table.require("pressure", example)) return {};
  const auto pressure = table.pressure("pressure", ambient);
  if (!pressure) return {};
  if (*pressure <= ambient) {
    table.value_error("pressure",
                      fmt::format("{} is not more than the pressure of the air, {}, so nothing comes out; is the unit "
                                  "right? A gauge that shows 0 in open air counts in \"barg\", \"kPag\" or \"psig\"",
                                  format_quantity(*pressure, "bar", 4), format_quantity(ambient, "bar", 4)));
    return {};
  }
  if (*pressure > highest_pressure) {
    table.value_error("pressure", fmt::format("{} is more than any cylinder or line holds; is the unit right?",
                                              format_quantity(*pressure, "bar")));
    return {};
  }
  return pressure;
}

void notice_temperature(const TableReader& table, double temperature) {
  if (table.has("temperature") && (temperature < zero_celsius - 50 || temperature > zero_celsius + 100)) {
    table.value_notice("temperature",
                       fmt::format("{} is unlikely; is the unit right?", format_quantity(temperature, "degC")));
  }
}

}  // namespace

std::string written(const TableReader& table, std::string_view key) {
  const auto* node = table.find(key);
  return node && !table.faults().drawn() ? as_written(*node) : std::string{};  // nobody reads the texts of a draw
}

std::optional<double> read_duration(const TableReader& table) {
  const auto duration = table.quantity("duration", Dimension::time, Sign::not_negative);
  if (duration && *duration == 0.0) table.value_notice("duration", "is 0: nothing is released");
  return duration;
}

double temperature_of_release(const TableReader& table, const Release& release, const Site& site) {
  const double otherwise =
      in_a_space(release, site) ? site.spaces[release.into.value].temperature : site.conditions.temperature;
  return table.quantity("temperature", Dimension::temperature, Sign::positive).value_or(otherwise);
}

void read_orifice(const TableReader& table, Release& release, Draft& draft) {
  const Site& site = draft.site;
  OrificeRelease orifice;
  orifice.ambient = site.conditions.pressure;
  orifice.duration = read_duration(table);
  orifice.hole = read_hole(table, widest_usual_hole);
  const auto pressure = read_held_pressure(table, "\"25 mbarg\"", orifice.ambient);
  const double temperature = temperature_of_release(table, release, site);
  notice_temperature(table, temperature);
  const auto held = held_gas(table, release, site, temperature);
  if (!table.has("discharge")) draft.default_discharge.push_back(release.id);
  if (pressure && held) {
    orifice.pressure = *pressure;
    orifice.held = *held;
    check_held_gas(table, release, Holder::line, *pressure, temperature, draft);
    release.as_written = fmt::format("{} through a hole of {}", written(table, "pressure"), written(table, "hole"));
    if (orifice.duration) release.as_written += " for " + written(table, "duration");
  } else {
    orifice.pressure = orifice.ambient;
  }
  release.kind = orifice;
}

void read_cylinder(const TableReader& table, Release& release, Draft& draft) {
  const Site& site = draft.site;
  CylinderRelease cylinder;
  cylinder.ambient = site.conditions.pressure;
  cylinder.hole = read_hole(table, std::numeric_limits<double>::infinity());
  if (table.require("water_volume", "\"50 L\" (stamped on its shoulder)")) {
    cylinder.water_volume = table.quantity("water_volume", Dimension::volume, Sign::positive).value_or(0.0);
  }
  const auto pressure = read_held_pressure(table, "\"200 bar\"", cylinder.ambient);
  const double temperature = temperature_of_release(table, release, site);
  notice_temperature(table, temperature);
  const auto held = held_gas(table, release, site, temperature);
  if (cylinder.water_volume > 0.0 && cylinder.hole.diameter >= std::cbrt(cylinder.water_volume)) {
    table.value_error("hole", fmt::format("a hole {} across is as wide as a cylinder of {}; is the unit right?",
                                          format_quantity(cylinder.hole.diameter, "mm"),
                                          format_quantity(cylinder.water_volume, "L")));
  }
  if (cylinder.water_volume > 5.0) {
    table.value_notice("water_volume",
                       fmt::format("{} is the water volume of a tank rather than of a cylinder; is it that, and not "
                                   "the volume of the gas set free?",
                                   format_quantity(cylinder.water_volume, "m3")));
  }
  const Substance* substance = sole_substance(release, site);
  const bool dissolved = substance && substance->id == "acetylene";
  if (dissolved) {
    table.value_error(
        "kind",
        "acetylene is dissolved in its cylinder, which holds far more than its pressure suggests; give the "
        "mass on its label as a 'dump', or a leak at its pressure as an 'orifice'");
  }
  if (!table.has("discharge")) draft.default_discharge.push_back(release.id);
  cylinder.pressure = 2.0 * cylinder.ambient;  // of one with a fault
  if (pressure && held) {
    cylinder.pressure = *pressure;
    cylinder.held = *held;
    // Acetylene was refused with a reason of its own.
    if (!dissolved) check_held_gas(table, release, Holder::cylinder, *pressure, temperature, draft);
    release.as_written = fmt::format("cylinder of {} at {}, through a hole of {}", written(table, "water_volume"),
                                     written(table, "pressure"), written(table, "hole"));
  }
  if (cylinder.hole.diameter <= 0.0) cylinder.hole.diameter = 1e-3;
  if (cylinder.water_volume <= 0.0) cylinder.water_volume = 1e-3;
  release.kind = cylinder;
}

}  // namespace leanside::input
