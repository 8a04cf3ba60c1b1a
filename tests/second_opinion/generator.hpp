// SPDX-License-Identifier: Apache-2.0
/// Random sites that favour hard cases: tiny vessels next to halls, closed loops, almost no fresh air, many events at
/// one instant. All are invented.
#pragma once

#include <cmath>
#include <cstdint>
#include <random>
#include <string>
#include <vector>

#include "second_opinion/model.hpp"

namespace second_opinion {

struct Recipe {
  std::size_t most_spaces = 8;
  bool varying = false;       ///< cylinders, spills, reactions with a half time
  bool liquids = false;       ///< with varying: liquefied gas, pools of mixtures, boiling liquids, dewars, inventories
  bool pressures = false;     ///< gaps, doorways, curves
  bool temperatures = false;  ///< events that change a temperature
  bool vessels = true;        ///< mostly closed vessels
  bool curves = false;        ///< fans whose curve has three points or more
  bool joined = false;        ///< with pressures: vessels, junctions and openings between spaces as well
  bool layers = false;        ///< layered rooms
  double widest = 1e9;        ///< largest flow over the smallest
};

/// Random numbers that are the same on every machine.
class Dice {
 public:
  explicit Dice(std::uint64_t seed) : engine_{seed * 0x9E3779B97F4A7C15u + 1} {}
  double unit() { return static_cast<double>(engine_() >> 11) * 0x1p-53; }
  bool chance(double p) { return unit() < p; }
  double between(double low, double high) { return low + (high - low) * unit(); }
  double spread(double low, double high) { return low * std::pow(high / low, unit()); }  ///< uniform in the logarithm
  std::size_t below(std::size_t n) {
    return std::min(n - 1, static_cast<std::size_t>(unit() * static_cast<double>(n)));
  }
  template <class T>
  const T& of(const std::vector<T>& from) {
    return from[below(from.size())];
  }

 private:
  std::mt19937_64 engine_;
};

struct UnitOf {
  const char* symbol;
  double factor;
};
/// `si` in one of `units`, written with six digits; the value is that of the written number.
Value written(Dice& dice, double si, const std::vector<UnitOf>& units);
Value written_flow(Dice& dice, double si);
Value written_time(Dice& dice, double si);
Value written_temperature(Dice& dice, double celsius);

Site make_site(std::uint64_t seed, const Recipe& recipe);
/// A site of rooms, some of them layered.
Site make_layered_site(std::uint64_t seed, const Recipe& recipe);

/// Adds gases, blends and releases.
void add_gases(Dice& dice, Site& site);
std::size_t gas_index(Site& site, const std::string& id);  ///< of a gas of the built-in table, added where it lacks
/// A liquid or liquefied gas.
void make_liquid(Dice& dice, Site& site, Release& release);
/// The leaks and cases that leanside adds for cylinders that merely stand there, after those of the file.
void add_what_may_happen(Site& site);
void add_releases(Dice& dice, Site& site, const Recipe& recipe, const std::vector<Value>& times);

}  // namespace second_opinion
