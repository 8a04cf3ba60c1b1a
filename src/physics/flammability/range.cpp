// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cassert>
#include <cmath>

#include "leanside/advanced/flammability.hpp"

namespace leanside {
namespace {

/// An upper limit from here on means: burns or decomposes without air.
constexpr double self_decomposing = 1.0 - 1e-6;

/// The share of lfl_fraction from which fuels without a limiting oxygen value rule the mixture.
constexpr double ruling_share = 0.01;

/// Fuel fraction of one fuel's nose: on the stoichiometric line, but never outside the limits in air. Without a demand
/// the rightmost place that it could have.
double nose_fuel(const Fuel& fuel) {
  if (!(fuel.oxygen_demand > 0)) return fuel.upper;
  return std::min(std::max(*fuel.limiting_oxygen / fuel.oxygen_demand, fuel.lower), fuel.upper);
}

/// What the fuels of a mixture have in common, gathered in one pass.
struct Blend {
  double fuel = 0.0;          ///< sum x_k
  double upper = 1.0;         ///< UFL of the fuels together
  double lfl_fraction = 0.0;  ///< sum x_k / LFL_k
  double ufl_fraction = 0.0;  ///< sum x_k / UFL_k
  double nose = 1.0;          ///< fuel fraction of the nose; the upper limit where not known
  double least_oxygen = 0.0;  ///< oxygen fraction of the nose; 0 where not known
};

Blend blend(std::span<const Fuel> fuel, std::span<const double> fraction) {
  Blend out;
  double of_nose = 0.0;         // sum x_k / x_nk of the fuels with an LOC
  double fuel_with_nose = 0.0;  // sum x_k of them
  double with = 0.0;            // lfl_fraction of them
  double oxygen = 0.0;          // the same, each times its LOC
  std::size_t present = 0;
  for (std::size_t k = 0; k < fuel.size(); ++k) {
    const double x = fraction[k];
    if (!(x > 0)) continue;
    const double of_lower = x / fuel[k].lower;
    out.fuel += x;
    out.lfl_fraction += of_lower;
    out.ufl_fraction += x / fuel[k].upper;
    out.upper = fuel[k].upper;
    ++present;
    if (fuel[k].limiting_oxygen) {
      of_nose += x / nose_fuel(fuel[k]);
      fuel_with_nose += x;
      with += of_lower;
      oxygen += of_lower * *fuel[k].limiting_oxygen;
    }
  }
  // For one fuel the quotient would only add rounding to a limit that is known exactly.
  if (present > 1) out.upper = out.fuel / out.ufl_fraction;
  out.nose = out.upper;
  if (with > 0) {
    const double known = std::max(0.0, 1.0 - (1.0 - with / out.lfl_fraction) / ruling_share);
    out.nose = std::min(known * (fuel_with_nose / of_nose) + (1.0 - known) * out.upper, out.upper);
    out.least_oxygen = known * (oxygen / with);
  }
  return out;
}

/// How far the oxygen of a mixture is enough, mol/mol: the least of its distance to the least oxygen and to the upper
/// line. `fuel` is the fuel fraction of the mixture, which may be that of `mix` made richer.
double enough_oxygen(const Blend& mix, double fuel, double oxygen, double oxygen_in_air) {
  const double upper_oxygen = oxygen_in_air * (1.0 - mix.upper);
  const double least_oxygen = std::min(std::max(mix.least_oxygen, no_oxygen), upper_oxygen);
  const double beyond = oxygen - upper_oxygen;
  const double run = mix.upper - mix.nose;
  const double rise = upper_oxygen - least_oxygen;
  const double length = std::sqrt(run * run + rise * rise);
  // Distance to the line from the nose through the upper limit in air, positive on the side of more oxygen. With the
  // nose at the upper limit itself nothing but the oxygen there is left to ask for.
  const double over_line = length > 0 ? ((oxygen - least_oxygen) * run - (fuel - mix.nose) * rise) / length : beyond;
  return std::min(oxygen - least_oxygen, std::max(over_line, beyond));
}

}  // namespace

std::string_view word_of(MixtureState state) {
  switch (state) {
    case MixtureState::clear:
      return "clear";
    case MixtureState::note:
      return "note";
    case MixtureState::margin:
      return "margin";
    case MixtureState::flammable:
      return "flammable";
    case MixtureState::rich:
      return "rich";
    case MixtureState::inerted:
      return "inerted";
  }
  assert(false);
  return {};
}

MixtureRange range_of(std::span<const Fuel> fuel, std::span<const double> fraction, double oxygen, double oxygen_in_air,
                      double idle) {
  assert(fuel.size() == fraction.size());
  assert(idle < 1.0);
  const Blend mix = blend(fuel, fraction);
  if (!(mix.fuel > 0)) return {};
  MixtureRange range{mix.lfl_fraction, mix.ufl_fraction, mix.lfl_fraction - 1.0};
  if (mix.upper >= self_decomposing) return range;
  double enough = enough_oxygen(mix, mix.fuel, oxygen, oxygen_in_air);
  // Limits and nose depend on the shares of the fuels alone and stay as they are.
  if (idle > 0) {
    enough = std::max(enough, enough_oxygen(mix, mix.fuel / (1.0 - idle), oxygen / (1.0 - idle), oxygen_in_air));
  }
  range.inside = std::min(range.inside, enough);
  return range;
}

MixtureState state_of(const MixtureRange& range, const StateThresholds& thresholds) {
  // Worst first, and written so that a value that is not a number can never come out as harmless.
  if (!(range.lfl_fraction < 1.0)) {
    if (!(range.inside < 0.0)) return MixtureState::flammable;
    return range.ufl_fraction >= 1.0 ? MixtureState::rich : MixtureState::inerted;
  }
  if (range.lfl_fraction >= thresholds.warn_at) return MixtureState::margin;
  if (range.lfl_fraction >= thresholds.note_at) return MixtureState::note;
  return MixtureState::clear;
}

}  // namespace leanside
