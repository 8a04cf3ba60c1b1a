// SPDX-License-Identifier: Apache-2.0
/// Quantities with units: text such as "150 m3/h" to SI and back, with the dimension checked.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <variant>

namespace leanside {

/// Molar gas constant, J/(mol K). Source: SI Brochure, 9th ed. (2019), exact from the fixed k and N_A.
inline constexpr double gas_constant = 8.31446261815324;
/// Standard atmosphere, Pa, exact. Source: ISO 80000-4.
inline constexpr double standard_atmosphere = 101325.0;
/// Standard acceleration of gravity, m/s2, exact. Source: 3rd CGPM (1901).
inline constexpr double standard_gravity = 9.80665;
inline constexpr double zero_celsius = 273.15;  ///< K

/// Every dimension that a value of a site file, a substance file or a result can have.
enum class Dimension {
  fraction,       // 1, %, ppm
  length,         // m
  area,           // m2
  volume,         // m3
  time,           // s
  velocity,       // m/s
  volume_flow,    // m3/s
  per_time,       // 1/s, "air changes"
  mass,           // kg
  amount,         // mol
  mass_flow,      // kg/s
  amount_flow,    // mol/s
  pressure,       // Pa, absolute unless `gauge`
  temperature,    // K
  concentration,  // mol/m3
  molar_mass,     // kg/mol
  molar_energy,   // J/mol
  charge,         // C
  current,        // A
  power,          // W
  diffusivity,    // m2/s
  force,          // N
};

/// Units of the numbers that people read: metric ones, or cfm, ft, degF, inches of water and pounds.
enum class UnitSystem { si, us };

/// One accepted unit: SI value = number * factor + offset.
struct Unit {
  std::string_view symbol;
  Dimension dimension;
  double factor;
  double offset = 0.0;
  bool gauge = false;  ///< pressure counted from ambient: add ambient to get the absolute value
};

/// All accepted units, grouped by dimension, the preferred one of each dimension first.
std::span<const Unit> units();

/// "volume flow", "time", ...
std::string_view name_of(Dimension dimension);

/// "m3/s, m3/h, L/min, ...": what fits a dimension, for messages.
std::string units_that_fit(Dimension dimension);

struct Quantity {
  double si = 0.0;  ///< in the SI unit of the dimension
  Dimension dimension = Dimension::fraction;
  bool gauge = false;
};

/// What was wrong with a text, ready to follow the name of the key: "found \"5 kg\", a mass; expected a time such as
/// ..."
struct QuantityFault {
  std::string message;
};

/// Reads "number unit"; the space between them is optional. Refuses NaN, infinities, a missing or unknown unit (and
/// names the nearest), and anything after the unit. Independent of the locale.
std::variant<Quantity, QuantityFault> parse_quantity(std::string_view text);

/// The same, but only of one of the `allowed` dimensions; the fault says which units fit.
std::variant<Quantity, QuantityFault> parse_quantity(std::string_view text, std::span<const Dimension> allowed);
std::variant<Quantity, QuantityFault> parse_quantity(std::string_view text, Dimension allowed);

/// `si` in the unit `symbol`, with `digits` significant figures, e.g. ("m3/h", 0.0416667, 3) -> "150 m3/h".
/// `symbol` must be one of units(); anything else is a bug and stops.
std::string format_quantity(double si, std::string_view symbol, int digits = 3);

/// The same in the unit of `units` that stands for `symbol`: for "m3/h", 1 and us "2.12e+03 cfm". Which stands for
/// which is in docs/results.md; what has none stays in `symbol`.
std::string format_quantity(double si, std::string_view symbol, int digits, UnitSystem units);

/// The unit in which people of `units` read what others read in `symbol`: "m3/h" -> "cfm".
std::string_view counterpart(std::string_view symbol, UnitSystem units);

/// How a unit is written for people: "inH2O" -> "in. w.c.", any other as it is.
std::string_view shown_unit(std::string_view symbol);

/// A number with `digits` significant figures without exponent where people would not write one; '.' whatever the
/// locale.
std::string format_number(double value, int digits = 3);

/// Shortest text that reads back to exactly the same double.
std::string format_exact(double value);

/// A duration as people say it: "45 s", "8 min 30 s", "2 h 5 min", "3.5 days".
std::string format_duration(double seconds);

}  // namespace leanside
