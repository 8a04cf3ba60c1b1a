// SPDX-License-Identifier: Apache-2.0
/// Spilled liquid.
#include <algorithm>
#include <cmath>
#include <numbers>

#include <fmt/format.h>

#include "base/linalg/special.hpp"
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

/// The vapour pressure of an open liquid; empty, with a fault, where it is not known, or where the liquid would boil
/// away in its space without being heated.
std::optional<double> open_vapour_pressure(const TableReader& table, const Substance& liquid, double temperature,
                                           double around, double ambient) {
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
  if (*saturated >= ambient && vapour_pressure(liquid, around).value_or(0.0) >= ambient) {
    table.value_error(
        key, fmt::format(
                 "{} boils below {} (its vapour pressure is {}), so it does not form a pool; give it as a 'dump' over "
                 "the time in which it boils away",
                 shown(liquid.id), format_quantity(around, "degC", 3),
                 format_quantity(vapour_pressure(liquid, around).value_or(0.0), "bar")));
    return {};
  }
  return saturated;
}

/// The boiling point, K, of a liquid that boils below `temperature`; where its vapour pressure is not known down to
/// there, the least temperature at which it is.
double boiling_point(const Substance& liquid, double temperature, double ambient) {
  double low = temperature;
  while (low > 1.0 && vapour_pressure(liquid, low).value_or(0.0) > ambient) low -= 1.0;
  const auto excess = [&](double t) { return vapour_pressure(liquid, t).value_or(0.0) - ambient; };
  return linalg::bracket_root(excess, low, temperature, 40).second;
}

/// A liquid that boils has its boiling point; how fast it turns to vapour depends on the heat. The most that a strong
/// burner or hot plate brings to its surface is taken, with the heat of vaporisation of Trouton's rule, 88 J/(mol K)
/// (from memory; ethanol and water need more and boil away more slowly). The evaporation rate k A p/(R T) of a pool at
/// the ambient pressure p is then q A/(88 T).
void let_boil(const TableReader& table, const Release& release, const Substance& liquid, SpillRelease& spill,
              Draft& draft) {
  constexpr double trouton = 88.0;  // J/(mol K)
  const double given = spill.pool.temperature;
  spill.pool.temperature = boiling_point(liquid, given, spill.ambient);
  spill.pool.vapour_pressure = spill.ambient;
  spill.pool.transfer = std::max(spill.pool.transfer, heat_of_boiling * gas_constant / (trouton * spill.ambient));
  table.value_notice(table.has("temperature") ? "temperature" : "gas",
                     fmt::format("{} boils at {} and gets no hotter; how fast it boils away depends on the heat, and "
                                 "the most that a strong burner gives is assumed. If you know the time in which it "
                                 "boils away, give it as a 'dump' over that time",
                                 shown(liquid.id), format_quantity(spill.pool.temperature, "degC", 3)));
  draft.boiling.push_back(release.id);
}

void read_pool(const TableReader& table, const Release& release, SpillRelease& spill, Draft& draft) {
  if (table.require("area", "\"0.5 m2\"")) {
    spill.pool.area = table.quantity("area", Dimension::area, Sign::positive).value_or(0.0);
  }
  if (const auto speed = table.quantity("air_speed", Dimension::velocity, Sign::not_negative)) {
    spill.air_speed = *speed;
    if (*speed == 0.0) {
      table.value_error(
          "air_speed",
          "air is never quite still: 0.1 m/s is typical of a closed room, 0.2 to 0.5 m/s of one with ventilation");
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
void read_evaporation(const TableReader& table, Release& release, const Substance& liquid, SpillRelease& spill,
                      Draft& draft) {
  const Site& site = draft.site;
  const double around =
      in_a_space(release, site) ? site.spaces[release.into.value].temperature : site.conditions.temperature;
  const auto saturated = open_vapour_pressure(table, liquid, spill.pool.temperature, around, spill.ambient);
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
  if (*saturated >= spill.ambient) let_boil(table, release, liquid, spill, draft);
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
  read_evaporation(table, release, *liquid, spill, draft);
  release.kind = spill;
}

}  // namespace leanside::input
