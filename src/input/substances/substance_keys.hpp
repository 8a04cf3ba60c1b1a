// SPDX-License-Identifier: Apache-2.0
/// The keys of a table of substances, their units and bounds. configs/substances.toml tells people the same list.
#pragma once

#include <array>
#include <optional>
#include <span>
#include <string>
#include <string_view>

#include "input/toml/toml_reader.hpp"
#include "leanside/substance.hpp"
#include "leanside/units.hpp"

namespace leanside::input {

/// A key with one number: SI value = number * factor + offset. The bounds are wide: they catch a slip of the pen or of
/// the unit, they do not judge a measurement.
struct ValueKey {
  std::string_view name;
  std::string_view unit;  ///< empty: a plain number
  std::string_view example;
  double factor = 1.0;
  double offset = 0.0;
  double above = 0.0;    ///< the number must be more than this
  double at_most = 0.0;  ///< and no more than this
  std::optional<Sourced> Substance::*member = nullptr;
};

inline constexpr ValueKey molar_mass_key{"molar_mass_g_mol", "g/mol", "16.043", 1e-3, 0, 0, 1e4};
inline constexpr std::array value_keys{
    ValueKey{"limiting_oxygen_pct", "%", "10.7", 1e-2, 0, 0, 100, &Substance::limiting_oxygen},
    ValueKey{"nitrogen_equivalent", "", "0.5", 1, 0, 0, 1, &Substance::nitrogen_equivalent},
    ValueKey{"oxygen_demand", "mol/mol", "2", 1, 0, 0, 1000, &Substance::oxygen_demand},
    ValueKey{"net_heat_kj_mol", "kJ/mol", "802.6", 1e3, 0, 0, 1e5, &Substance::net_heat},
    ValueKey{"flash_point_c", "degC", "12", 1, zero_celsius, -zero_celsius, 1000, &Substance::flash_point},
    ValueKey{"autoignition_c", "degC", "537", 1, zero_celsius, -zero_celsius, 2000, &Substance::autoignition},
    ValueKey{"min_ignition_energy_mj", "mJ", "0.26", 1e-3, 0, 0, 1e6, &Substance::min_ignition_energy},
    ValueKey{"boiling_point_c", "degC", "-42.1", 1, zero_celsius, -zero_celsius, 4000, &Substance::boiling_point},
    ValueKey{"liquid_density_kg_m3", "kg/m3", "790", 1, 0, 0, 3e4, &Substance::liquid_density},
    ValueKey{"vapour_pressure_20c_kpa", "kPa", "5.9", 1e3, 0, 0, 1e5, &Substance::vapour_pressure_20c},
    ValueKey{"heat_capacity_ratio", "", "1.3", 1, 0, 1, 2, &Substance::heat_capacity_ratio},
    ValueKey{"diffusivity_in_air_m2_s", "m2/s", "1.2e-5", 1, 0, 0, 0.1, &Substance::diffusivity_in_air},
    ValueKey{"idlh_ppm", "ppm", "500", 1e-6, 0, 0, 1e6, &Substance::idlh},
    ValueKey{"exposure_limit_ppm", "ppm", "100", 1e-6, 0, 0, 1e6, &Substance::exposure_limit},
    ValueKey{"critical_temperature_k", "K", "369.9", 1, 0, 0, 1e4, &Substance::critical_temperature},
    ValueKey{"critical_pressure_kpa", "kPa", "4251", 1e3, 0, 0, 1e6, &Substance::critical_pressure},
    ValueKey{"acentric_factor", "", "0.152", 1, 0, -1, 2, &Substance::acentric_factor},
    ValueKey{"triple_point_k", "K", "85.5", 1, 0, 0, 1e4, &Substance::triple_point},
    ValueKey{"liquid_heat_j_mol_k", "J/(mol K)", "120", 1, 0, 0, 1e4, &Substance::liquid_heat},
    ValueKey{"boiling_liquid_heat_j_mol_k", "J/(mol K)", "99", 1, 0, 0, 1e4, &Substance::boiling_liquid_heat},
    ValueKey{"gas_heat_j_mol_k", "J/(mol K)", "74", 1, 0, 0, 1e4, &Substance::gas_heat},
};
inline constexpr ValueKey limit_key{"limits_pct", "%", "4.4", 1e-2, 0, 0, 100};  ///< each limit of a pair
inline constexpr ValueKey part_key{"parts_pct", "%", "93", 1e-2, 0, 0, 100};     ///< each part of a mixture

inline constexpr std::array<std::string_view, 2> top_keys{"substance", "mixture"};
std::span<const std::string_view> substance_keys();
inline constexpr std::array<std::string_view, 6> antoine_keys{"a", "b", "c", "from_k", "to_k", "source"};
inline constexpr std::array<std::string_view, 4> wide_keys{"c", "from_k", "to_k", "source"};
inline constexpr std::array<std::string_view, 5> vaporisation_keys{"c", "critical_k", "from_k", "to_k", "source"};
inline constexpr std::array<std::string_view, 6> mixture_keys{"id", "name", "synonyms", "cas", "source", "parts_pct"};

/// Words of `classification`.
inline constexpr std::array<std::string_view, 8> classes{
    "corrosive", "decomposing", "flammable-gas", "flammable-liquid", "inert", "oxidiser", "pyrophoric", "toxic"};

/// Refuses every key that is not among `known` and names the one that was meant: the nearest, the one that only lacks
/// its unit, or the one that a site file calls by that name.
void refuse_unknown_keys(const TableReader& reader, std::span<const std::string_view> known);

/// What is wrong with a CAS registry number, its form or its check digit; empty where it is right.
std::string cas_fault(std::string_view cas);

}  // namespace leanside::input
