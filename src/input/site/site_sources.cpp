// SPDX-License-Identifier: Apache-2.0
/// Gas under pressure.
#include "input/site/site_sources.hpp"

#include <cmath>

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
}  // namespace

std::optional<double> read_held_pressure(const TableReader& table, double ambient) {
  const auto pressure = table.pressure("pressure", ambient);
  if (!pressure) return {};
  if (*pressure <= ambient) {
    table.value_error(
        "pressure", fmt::format("{} is not more than the pressure of the air, {}, so nothing comes out; is the unit "
                                "right? A gauge that shows 0 in open air counts in \"barg\", \"kPag\" or \"psig\"",
                                table.faults().amount(*pressure, "bar", 4), table.faults().amount(ambient, "bar", 4)));
    return {};
  }
  if (*pressure > highest_pressure) {
    table.value_error("pressure", fmt::format("{} is more than any cylinder or line holds; is the unit right?",
                                              table.faults().amount(*pressure, "bar")));
    return {};
  }
  return pressure;
}

void notice_temperature(const TableReader& table, double temperature) {
  if (table.has("temperature") && (temperature < zero_celsius - 50 || temperature > zero_celsius + 100)) {
    table.value_notice("temperature",
                       fmt::format("{} is unlikely; is the unit right?", table.faults().amount(temperature, "degC")));
  }
}

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
  orifice.hole = read_hole(table, release.id, true, draft);
  const auto pressure =
      table.require("pressure", "\"25 mbarg\"") ? read_held_pressure(table, orifice.ambient) : std::nullopt;
  const double temperature = temperature_of_release(table, release, site);
  notice_temperature(table, temperature);
  const auto held = held_gas(table, release, site, temperature);
  if (!table.has("discharge")) draft.default_discharge.push_back(release.id);
  if (pressure && held) {
    orifice.pressure = *pressure;
    orifice.held = *held;
    hold_in_line(table, release, *pressure, orifice.held, draft);
    release.as_written =
        fmt::format("{} through a hole of {}", written(table, "pressure"), hole_written(table, orifice.hole));
    if (orifice.duration) release.as_written += " for " + written(table, "duration");
  } else {
    orifice.pressure = orifice.ambient;
  }
  release.kind = orifice;
}

}  // namespace leanside::input
