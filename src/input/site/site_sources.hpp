// SPDX-License-Identifier: Apache-2.0
/// Releases by what people know of them: a hole, a cylinder, a spill, a reaction, a charger.
#pragma once

#include <array>
#include <optional>

#include "input/site/site_draft.hpp"

namespace leanside::input {

inline constexpr auto amount_dimensions = std::to_array({Dimension::volume, Dimension::mass, Dimension::amount});

/// The most heat, W for each m2 of its surface, that a boiling liquid is taken to get: that of a strong burner or hot
/// plate. Common practice, no source.
inline constexpr double heat_of_boiling = 200e3;

/// What the user wrote as a size, for the answer; read as a quantity already.
std::string written(const TableReader& table, std::string_view key);

/// How long it lasts, s, where that is said. Nothing at all is allowed, and told.
std::optional<double> read_duration(const TableReader& table);

/// The temperature of a release: its own, or that of the space that it gets into.
double temperature_of_release(const TableReader& table, const Release& release, const Site& site);

/// Whether the space of a release is known; it is not where that has a fault.
bool in_a_space(const Release& release, const Site& site);

/// The one substance that a release consists of; null for a mixture, for air, and where the gas has a fault.
const Substance* sole_substance(const Release& release, const Site& site);

/// The pressure behind a hole, `pressure`; empty, with a fault, where nothing could come out of it.
std::optional<double> read_held_pressure(const TableReader& table, double ambient);
void notice_temperature(const TableReader& table, double temperature);

/// `hole`, a diameter or the words for a usual one, and `discharge`. Diameter 0 where there is none, with a fault where
/// it is required.
Hole read_hole(const TableReader& table, std::string_view id, bool required, Draft& draft);
/// The hole in the user's words, with the diameter where they do not give it.
std::string hole_written(const TableReader& table, const Hole& hole);
/// The hole that the words stand for, and a sentence on it. They must be known.
Hole usual_hole(std::string_view words);
std::string hole_words(std::string_view words, std::string_view id, UnitSystem system);

/// mol (or mol/s) of a gas whose size is given as a volume at site conditions, a mass or an amount (or one of these a
/// time). Ideal gas: n = P V / (R T).
double moles(const Quantity& size, const Composition& gas, const Site& site);

// Each reads the keys of one kind into `release`, whose gas and space are known already (or have faults).
void read_orifice(const TableReader& table, Release& release, Draft& draft);
void read_cylinder(const TableReader& table, Release& release, Draft& draft);
void read_dewar(const TableReader& table, Release& release, Draft& draft);
void read_spill(const TableReader& table, Release& release, Draft& draft);
void read_reaction(const TableReader& table, Release& release, Draft& draft);
void read_charging(const TableReader& table, Release& release, Draft& draft);
void read_electrolysis(const TableReader& table, Release& release, Draft& draft);

/// The gas of a reaction or of a battery on charge, which may be left out of the file and must be `id` where it is not.
void read_implied_gas(const TableReader& table, Release& release, std::string_view id, std::string_view reason,
                      Draft& draft);

}  // namespace leanside::input
