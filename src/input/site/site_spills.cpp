// SPDX-License-Identifier: Apache-2.0
/// Spilled liquid.
#include <algorithm>
#include <cmath>
#include <numbers>
#include <string>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "base/linalg/special.hpp"
#include "input/site/held_gas.hpp"
#include "input/site/site_sources.hpp"

namespace leanside::input {
namespace {

/// A pool deeper than this stands in a bowl, one thinner than this does not stay together, m.
constexpr double deepest_pool = 0.05, thinnest_pool = 1e-4;

/// The liquid that is spilled: what it consists of and what stands over it.
struct Liquid {
  std::vector<GasPart> parts;
  double temperature = 293.15;  ///< K
  double around = 293.15;       ///< K, of its space
  double ambient = standard_atmosphere;
  double molar_mass = 0.0;  ///< kg/mol
  bool mixture() const { return parts.size() > 1; }
};

std::string range_of(const Substance& liquid, UnitSystem units) {
  const auto from_to = [&](const auto& equation) {
    return fmt::format(": it is from {} to {}", format_quantity(equation.t_min, "degC", 3, units),
                       format_quantity(equation.t_max, "degC", 3, units));
  };
  if (liquid.vapour_pressure) return from_to(*liquid.vapour_pressure);
  return liquid.antoine ? from_to(*liquid.antoine) : std::string{};
}

/// A fraction of petroleum has one entry in the table, although it is a mixture.
bool is_a_cut(const Substance& substance) {
  return substance.formula.empty() && substance.vapour_pressure && !substance.critical_temperature;
}

/// Vapour pressure, Pa, of a part of a liquid. Of a fraction of petroleum the line of the fresh liquid goes on beyond
/// its ends: above, a real one has lost its light parts and gives less; below, the pressure at the end is the more.
std::optional<double> pressure_over(const Substance& substance, double temperature) {
  if (const auto known = vapour_pressure(substance, temperature)) return known;
  if (!is_a_cut(substance)) return {};
  const auto& line = *substance.vapour_pressure;
  const double t = std::max(temperature, line.t_min);
  return std::exp(line.c1 + line.c2 / t + line.c3 * std::log(t) + line.c4 * std::pow(t, line.c5));
}

/// Raoult: the pressure of all vapours over a fresh liquid and, in `share`, what each part is of them. Empty, with a
/// fault, where one is not known.
std::optional<double> raoult(const TableReader& table, const Liquid& liquid, std::vector<double>& share) {
  double all = 0.0;
  for (const GasPart& part : liquid.parts) {
    const auto pressure = pressure_over(*part.substance, liquid.temperature);
    if (!pressure) {
      table.value_error(table.has("temperature") ? "temperature" : "gas",
                        fmt::format("the vapour pressure of {} is not known at {}{}; a 'steady' or 'dump' release of "
                                    "the vapour needs none",
                                    shown(part.substance->id), table.faults().amount(liquid.temperature, "degC", 3),
                                    range_of(*part.substance, table.faults().units())));
      return {};
    }
    share.push_back(part.fraction * *pressure);
    all += share.back();
  }
  for (double& each : share) each /= all;
  return all;
}

/// Whether it boils in its space without being heated.
bool boils_by_itself(const Liquid& liquid) {
  double bubble = 0.0;
  for (const GasPart& part : liquid.parts) {
    const Substance& of = *part.substance;
    const auto pressure = pressure_over(of, liquid.around);
    const bool above = (of.critical_temperature && liquid.around >= of.critical_temperature->value) ||
                       (!pressure && of.boiling_point && of.boiling_point->value < liquid.around);
    if (above) return true;
    bubble += part.fraction * pressure.value_or(0.0);
  }
  return bubble >= liquid.ambient;
}

/// kg/m3 at a temperature; where the table has it at 20 degC only, that.
std::optional<double> density_at(const Liquid& liquid, double temperature) {
  double volume = 0.0;
  for (const GasPart& part : liquid.parts) {
    auto density = liquid_density(*part.substance, temperature);
    if (!density && part.substance->liquid_density) density = part.substance->liquid_density->value;
    if (!density) return {};
    volume += part.fraction * part.substance->molar_mass.value / *density;
  }
  return liquid.molar_mass / volume;
}

/// kg of liquid; empty, with a fault, where that is not known.
std::optional<double> read_mass(const TableReader& table, const Liquid& liquid, double temperature,
                                const std::string& name) {
  if (!table.require("amount", "\"500 mL\"")) return {};
  const auto amount = table.quantity("amount", amount_dimensions, Sign::positive);
  if (!amount) return {};
  if (amount->dimension == Dimension::amount) return amount->si * liquid.molar_mass;
  if (amount->dimension == Dimension::mass) return amount->si;
  const auto density = density_at(liquid, temperature);
  if (!density) {
    table.value_error(
        "amount", fmt::format("the density of liquid {} is not known; give its mass, such as \"400 g\"", shown(name)));
    return {};
  }
  return amount->si * *density;
}

constexpr double trouton = 88.0;  ///< J/(mol K), heat of vaporisation over boiling point (from memory)

/// Coefficient with which a pool of that vapour pressure, Pa, gives off what a strong burner boils: q A/(88 T) mol/s.
double boiling_transfer(double vapour_pressure) { return heat_of_boiling * gas_constant / (trouton * vapour_pressure); }

/// The boiling point, K, of a liquid that boils below `temperature`; where its vapour pressure is not known down to
/// there, the least temperature at which it is.
double boiling_point(const Liquid& liquid, double temperature) {
  const auto excess = [&](double t) {
    double all = 0.0;
    for (const GasPart& part : liquid.parts) {
      all += part.fraction * pressure_over(*part.substance, t).value_or(0.0);
    }
    return all - liquid.ambient;
  };
  double low = temperature;
  while (low > 1.0 && excess(low) > 0.0) low -= 1.0;
  return linalg::bracket_root(excess, low, temperature, 40).second;
}

/// A heated liquid that boils has its boiling point; how fast it turns to vapour depends on the heat. The most that a
/// strong burner or hot plate brings to its surface is taken, with the heat of vaporisation of Trouton's rule (ethanol
/// and water need more and boil away more slowly).
void let_boil(const TableReader& table, const Release& release, const Liquid& liquid, SpillRelease& spill,
              Draft& draft) {
  spill.pool.temperature = boiling_point(liquid, liquid.temperature);
  spill.pool.vapour_pressure = spill.ambient;
  const std::string at = table.faults().amount(spill.pool.temperature, "degC", 3);
  const bool gets_hotter = liquid.mixture() || is_a_cut(*liquid.parts.front().substance);
  table.value_notice(table.has("temperature") ? "temperature" : "gas",
                     fmt::format("{} {}; how fast it boils away depends on the heat, and the most that a strong burner "
                                 "gives is assumed. If you know the time in which it boils away, give it as a 'dump' "
                                 "over that time",
                                 shown(release.gas.name),
                                 gets_hotter ? "begins to boil at " + at : "boils at " + at + " and gets no hotter"));
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
    table.value_error("area", fmt::format("a pool of {} is larger than the floor of {}, {}",
                                          table.faults().amount(spill.pool.area, "m2"), shown(space.id),
                                          table.faults().amount(*space.floor_area, "m2")));
  }
}

void check_depth(const TableReader& table, const Liquid& liquid, double mass, double area) {
  const auto density = density_at(liquid, std::min(liquid.temperature, liquid.around));
  if (!density) return;
  const double depth = mass / *density / area;
  if (depth > deepest_pool || depth < thinnest_pool) {
    table.value_notice("area",
                       fmt::format("the pool is {} deep, which is {} for a spill; are amount and area right?",
                                   table.faults().amount(depth, "mm"), depth > deepest_pool ? "much" : "little"));
  }
}

/// The largest diffusivity in air of its parts, m2/s; empty, with a fault, where one is not known.
std::optional<double> diffusivity(const TableReader& table, const Liquid& liquid) {
  double largest = 0.0;
  for (const GasPart& part : liquid.parts) {
    if (!part.substance->diffusivity_in_air) {
      table.value_error("gas",
                        fmt::format("how fast {} spreads through air (diffusivity_in_air) is not known; give it as "
                                    "a 'dump'",
                                    shown(part.substance->id)));
      return {};
    }
    largest = std::max(largest, part.substance->diffusivity_in_air->value);
  }
  return largest;
}

/// How fast a pool of that vapour pressure, Pa, evaporates, m/s: no faster than it would boil over a strong burner.
double transfer_at(double coefficient, double vapour_pressure, double ambient) {
  if (vapour_pressure >= ambient) return std::max(coefficient, boiling_transfer(ambient));
  const double faster = coefficient * stefan_factor(vapour_pressure / ambient);
  return std::min(faster, std::max(coefficient, boiling_transfer(vapour_pressure)));
}

/// "81 % acetone and 19 % toluene".
std::string words_of(const Liquid& liquid, const std::vector<double>& share) {
  std::vector<std::string> words;
  for (std::size_t i = 0; i < share.size(); ++i) {
    constexpr double trace = 0.005;
    if (share[i] < trace) continue;
    words.push_back(fmt::format("{} {}", format_quantity(share[i], "%", 2), liquid.parts[i].substance->id));
  }
  return listed(words);
}

/// How a mixture dries. `share` is the composition of its first vapour.
void let_distil(const Release& release, const Liquid& liquid, const std::vector<double>& share, double coefficient,
                SpillRelease& spill, Draft& draft) {
  std::vector<double> amount, pressure;
  for (const GasPart& part : liquid.parts) {
    amount.push_back(part.fraction * spill.amount);
    pressure.push_back(pressure_over(*part.substance, spill.pool.temperature).value_or(spill.ambient));
  }
  for (PoolStage& stage : distillation(amount, pressure)) {
    // One that boils goes on boiling, and gets hotter while its light parts leave.
    if (spill.pool.vapour_pressure >= spill.ambient) stage.vapour_pressure = spill.ambient;
    stage.transfer = transfer_at(coefficient, stage.vapour_pressure, spill.ambient);
    spill.stages.push_back(std::move(stage));
  }
  draft.pools.push_back(
      fmt::format("{} is an ideal mixture: its light parts evaporate first, to vapour of {} at first and of {} at last",
                  shown(release.id), words_of(liquid, share), words_of(liquid, spill.stages.back().share)));
  // Parts that there is nothing of have no place in the liquid, but one in the release.
  for (PoolStage& stage : spill.stages) {
    for (std::size_t i = 0; i < release.gas.shares.size(); ++i) {
      if (!(release.gas.shares[i].fraction > 0.0)) stage.share.insert(stage.share.begin() + std::ptrdiff_t(i), 0.0);
    }
  }
}

/// How fast a liquid evaporates; a fault where that is not known.
void read_evaporation(const TableReader& table, Release& release, Liquid& liquid, SpillRelease& spill, Draft& draft) {
  std::vector<double> share;
  const auto saturated = raoult(table, liquid, share);
  if (!saturated) return;
  const auto spread = diffusivity(table, liquid);
  // Heated liquid was measured cold.
  const auto mass = read_mass(table, liquid, std::min(liquid.temperature, liquid.around), release.gas.name);
  if (!spread || !mass || !(spill.pool.area > 0.0)) return;
  spill.schmidt = schmidt_number(*spread, liquid.temperature, liquid.ambient);
  spill.amount = *mass / liquid.molar_mass;
  spill.pool.vapour_pressure = *saturated;
  const double diameter = std::sqrt(4.0 * spill.pool.area / std::numbers::pi);
  const double coefficient = mass_transfer_coefficient(spill.air_speed, diameter, spill.schmidt);
  if (*saturated >= spill.ambient) let_boil(table, release, liquid, spill, draft);
  spill.pool.transfer = transfer_at(coefficient, spill.pool.vapour_pressure, spill.ambient);
  if (liquid.mixture()) {
    let_distil(release, liquid, share, coefficient, spill, draft);
  } else if (is_a_cut(*liquid.parts.front().substance)) {
    const auto& cut = *liquid.parts.front().substance;
    const bool beyond = liquid.temperature > cut.vapour_pressure->t_max;
    draft.pools.push_back(fmt::format(
        "all of {} evaporates as fast as fresh liquid: a real pool slows down as its light parts leave{}",
        shown(release.id),
        beyond ? fmt::format(". Above {} the line of its vapour pressure is carried on, which is more than a real one "
                             "has",
                             table.faults().amount(cut.vapour_pressure->t_max, "degC", 3))
               : ""));
  }
  release.as_written = fmt::format("{} spilled over {}", written(table, "amount"), written(table, "area"));
  check_depth(table, liquid, *mass, spill.pool.area);
  release.kind = spill;
}

/// Heat of vaporisation, J/mol, at the boiling point; by Trouton's rule where the table has no equation.
double boiling_heat(const Substance& substance, double boiling) {
  const auto heat = heat_of_vaporisation(substance, boiling);
  return heat && *heat > 0.0 ? *heat : trouton * boiling;
}

/// A liquid that boils as soon as it lies on the floor: what its own heat turns to vapour comes at once, the floor
/// brings the heat for the rest.
void read_boiling(const TableReader& table, Release& release, const Liquid& liquid, const SpillRelease& spill,
                  Draft& draft) {
  constexpr double at_once = 10.0;  // s; no source
  double boiling = liquid.around, heat = 0.0, warming = 0.0;
  for (const GasPart& part : liquid.parts) {
    const auto& known = part.substance->boiling_point;
    const auto computed = boiling_temperature(*part.substance, liquid.ambient);
    if (computed || known) boiling = std::min(boiling, computed ? *computed : known->value);
  }
  if (boiling >= liquid.around) boiling = boiling_point(liquid, liquid.around);
  for (const GasPart& part : liquid.parts) {
    heat += part.fraction * boiling_heat(*part.substance, boiling);
    const auto& warm = part.substance->liquid_heat;
    const auto& cold = part.substance->boiling_liquid_heat;
    warming += part.fraction * (warm ? warm->value : cold ? cold->value : 0.0);
  }
  const double temperature = table.has("temperature") ? std::max(liquid.temperature, boiling) : boiling;
  const auto mass = read_mass(table, liquid, temperature, release.gas.name);
  const double excess = liquid.around - boiling;
  if (!mass || !(spill.pool.area > 0.0) || !(excess > 0.0)) return;
  const double amount = *mass / liquid.molar_mass;
  const double flashed = flash_fraction(warming, heat, temperature, boiling);
  std::vector<OutflowPiece> pieces;
  if (flashed > 0.0) pieces.push_back({flashed * amount, flashed * amount / at_once, flashed * amount / at_once, 0.0});
  if (flashed < 1.0) {
    const Outflow rest = boiling_pool((1.0 - flashed) * amount, spill.pool.area, excess, heat);
    pieces.insert(pieces.end(), rest.pieces().begin(), rest.pieces().end());
  }
  release.kind = BoilingRelease{Outflow{std::move(pieces)}, spill.pool.area, boiling};
  release.as_written = fmt::format("{} spilled over {}", written(table, "amount"), written(table, "area"));
  draft.pools.push_back(fmt::format(
      "{} boils at {} on a floor of concrete at {}{}; its vapour is cold and heavy and lies on the floor at first",
      shown(release.id), table.faults().amount(boiling, "degC", 3), table.faults().amount(liquid.around, "degC", 3),
      flashed > 0.0 ? fmt::format(", after {} of it have turned to vapour at once", format_quantity(flashed, "%", 2))
                    : ""));
}

}  // namespace

void read_spill(const TableReader& table, Release& release, Draft& draft) {
  const Site& site = draft.site;
  SpillRelease spill;
  spill.ambient = site.conditions.pressure;
  read_pool(table, release, spill, draft);
  Liquid liquid;
  liquid.ambient = spill.ambient;
  liquid.temperature = spill.pool.temperature = temperature_of_release(table, release, site);
  liquid.around = in_a_space(release, site) ? site.spaces[release.into.value].temperature : site.conditions.temperature;
  if (in_a_space(release, site)) check_place(table, site.spaces[release.into.value], spill);
  release.kind = spill;
  if (release.gas.name.empty()) return;  // has a fault
  liquid.parts = parts_of(release, site);
  double air = 1.0;
  for (const GasPart& part : liquid.parts) {
    air -= part.fraction;
    liquid.molar_mass += part.fraction * part.substance->molar_mass.value;
  }
  if (liquid.parts.empty() || air > 1e-9) {
    table.value_error(
        "gas", fmt::format("{} contains air, which is no liquid; name what is spilled", shown(release.gas.name)));
  } else if (boils_by_itself(liquid)) {
    read_boiling(table, release, liquid, spill, draft);
  } else {
    read_evaporation(table, release, liquid, spill, draft);
  }
}

}  // namespace leanside::input
