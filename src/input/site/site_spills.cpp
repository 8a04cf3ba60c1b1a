// SPDX-License-Identifier: Apache-2.0
/// Spilled liquid.
#include <algorithm>
#include <cmath>
#include <numbers>

#include <fmt/format.h>

#include "input/site/site_sources.hpp"

namespace leanside::input {
namespace {

/// A pool deeper than this stands in a bowl, one thinner than this does not stay together, m.
constexpr double deepest_pool = 0.05, thinnest_pool = 1e-4;

/// mol of spilled liquid; empty, with a fault, where its density is not known.
std::optional<double> read_liquid(const TableReader& table, const Substance& liquid, bool can_be_spilled) {
  if (!table.require("amount", "\"500 mL\"")) return {};
  const auto amount = table.quantity("amount", amount_dimensions, Sign::positive);
  if (!amount) return {};
  if (amount->dimension == Dimension::amount) return amount->si;
  if (amount->dimension == Dimension::mass) return amount->si / liquid.molar_mass.value;
  if (!liquid.liquid_density) {
    if (can_be_spilled)
      table.value_error("amount", fmt::format("the density of liquid {} is not known; give its mass, such as \"400 g\"",
                                              shown(liquid.id)));
    return {};
  }
  return amount->si * liquid.liquid_density->value / liquid.molar_mass.value;
}

/// The vapour pressure of a liquid that can lie open; empty, with a fault, where it cannot or where it is not known.
std::optional<double> open_vapour_pressure(const TableReader& table, const Substance& liquid, double temperature,
                                           double ambient) {
  const auto key = table.has("temperature") ? "temperature" : "gas";
  const auto saturated = vapour_pressure(liquid, temperature);
  if (!saturated) {
    std::string range;
    if (liquid.vapour_pressure) {
      range = fmt::format(": it is from {} to {}", format_quantity(liquid.vapour_pressure->t_min, "degC", 3),
                          format_quantity(liquid.vapour_pressure->t_max, "degC", 3));
    } else if (liquid.antoine) {
      range = fmt::format(": it is from {} to {}", format_quantity(liquid.antoine->t_min, "degC", 3),
                          format_quantity(liquid.antoine->t_max, "degC", 3));
    }
    table.value_error(key, fmt::format("the vapour pressure of {} is not known at {}{}; a 'steady' or 'dump' release "
                                       "of the vapour needs none",
                                       shown(liquid.id), format_quantity(temperature, "degC", 3), range));
    return {};
  }
  if (*saturated >= ambient) {
    table.value_error(
        key,
        fmt::format("{} boils below {} (its vapour has {}), so it does not lie there as a pool; give "
                    "it as a 'dump' over the time in which it boils away",
                    shown(liquid.id), format_quantity(temperature, "degC", 3), format_quantity(*saturated, "bar")));
    return {};
  }
  return saturated;
}

void read_pool(const TableReader& table, const Release& release, SpillRelease& spill, Draft& draft) {
  if (table.require("area", "\"0.5 m2\"")) {
    spill.pool.area = table.quantity("area", Dimension::area, Sign::positive).value_or(0.0);
  }
  if (const auto speed = table.quantity("air_speed", Dimension::velocity, Sign::not_negative)) {
    spill.air_speed = *speed;
    if (*speed == 0.0) {
      table.value_error("air_speed",
                        "no air is quite still: 0.1 m/s is a closed room, 0.2 to 0.5 m/s one with ventilation");
    }
    if (*speed > 20.0) table.value_notice("air_speed", "is a gale; is the unit right?");
  }
  if (!table.has("air_speed")) draft.default_air_speed.push_back(release.id);
}

void check_place(const TableReader& table, const Space& space, const SpillRelease& spill) {
  if (space.kind == SpaceKind::junction) {
    table.value_error("into", fmt::format("{} is a junction, which has no room for a spill; name the room, cabinet or "
                                          "vessel that it lies in",
                                          shown(space.id)));
  }
  if (space.floor_area && spill.pool.area > *space.floor_area) {
    table.value_error(
        "area", fmt::format("a pool of {} is larger than the floor of {}, {}", format_quantity(spill.pool.area, "m2"),
                            shown(space.id), format_quantity(*space.floor_area, "m2")));
  }
}

void check_depth(const TableReader& table, const Substance& liquid, const SpillRelease& spill) {
  if (!liquid.liquid_density) return;
  const double depth = spill.amount * liquid.molar_mass.value / liquid.liquid_density->value / spill.pool.area;
  if (depth > deepest_pool || depth < thinnest_pool) {
    table.value_notice("area", fmt::format("the pool is {} deep, which is {} for a spill; are amount and area right?",
                                           format_quantity(depth, "mm"), depth > deepest_pool ? "much" : "little"));
  }
}

/// How fast a liquid evaporates; a fault where that is not known.
void read_evaporation(const TableReader& table, Release& release, const Substance& liquid, SpillRelease& spill) {
  const auto saturated = open_vapour_pressure(table, liquid, spill.pool.temperature, spill.ambient);
  const auto amount = read_liquid(table, liquid, saturated.has_value());
  if (!liquid.diffusivity_in_air && saturated) {
    table.value_error("gas",
                      fmt::format("how fast {} spreads through air (diffusivity_in_air) is not known; give it as "
                                  "a 'dump'",
                                  shown(liquid.id)));
  } else if (liquid.diffusivity_in_air) {
    spill.schmidt = schmidt_number(liquid.diffusivity_in_air->value, spill.pool.temperature, spill.ambient);
  }
  if (!amount || !saturated || !(spill.pool.area > 0.0)) return;
  spill.amount = *amount;
  spill.pool.vapour_pressure = *saturated;
  const double diameter = std::sqrt(4.0 * spill.pool.area / std::numbers::pi);
  spill.pool.transfer = mass_transfer_coefficient(spill.air_speed, diameter, spill.schmidt);
  release.as_written = fmt::format("{} spilled over {}", written(table, "amount"), written(table, "area"));
  check_depth(table, liquid, spill);
}

}  // namespace

void read_spill(const TableReader& table, Release& release, Draft& draft) {
  const Site& site = draft.site;
  SpillRelease spill;
  spill.ambient = site.conditions.pressure;
  read_pool(table, release, spill, draft);
  spill.pool.temperature = temperature_of_release(table, release, site);
  if (in_a_space(release, site)) check_place(table, site.spaces[release.into.value], spill);
  const Substance* liquid = sole_substance(release, site);
  if (!liquid) {
    if (!release.gas.name.empty()) {
      table.value_error("gas",
                        fmt::format("{} is a mixture, whose vapour changes as it dries; spill the substance of it "
                                    "that evaporates most",
                                    shown(release.gas.name)));
    }
    release.kind = SpillRelease{};
    return;
  }
  read_evaporation(table, release, *liquid, spill);
  release.kind = spill;
}

}  // namespace leanside::input
