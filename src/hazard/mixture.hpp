// SPDX-License-Identifier: Apache-2.0
/// What the gas fractions of a space mean there: its lower-limit fraction, oxygen and range as functions of the
/// fractions.
#pragma once

#include <optional>
#include <span>
#include <vector>

#include "hazard/polynomial.hpp"
#include "leanside/assess.hpp"

namespace leanside::hazard {

/// The fuels at one temperature, and the weights that make the linear measures of a mixture.
struct MixtureModel {
  std::vector<std::size_t> fuel_gas;  ///< which gases burn
  std::vector<Fuel> fuels;            ///< their limits at this temperature, in that order
  std::vector<double> lower;          ///< 1/LFL by gas; 0 for what does not burn
  std::vector<double> upper;          ///< 1/UFL by gas
  std::vector<double> burnable;       ///< 1 by gas that burns
  std::vector<double> demand;         ///< mol O2 per mol, by gas
  std::vector<double> oxygen;  ///< change of the oxygen fraction per fraction of gas: -o_air, +1 for oxygen itself
  std::vector<double> idle;    ///< by gas, share of an inert gas beyond the nitrogen it stands for (range_of)
  /// By gas, 1 for an oxidiser other than oxygen: it feeds a fire as oxygen would, mol for mol, which is the cautious
  /// side (a mol of nitrous oxide gives half a mol). The reported oxygen is for breathing and does not count it.
  std::vector<double> feeding;
  /// By gas, the most that air can hold of it as vapour, mol/mol; 1 where it does not condense. What is more than that
  /// is mist: it counts towards the lower limit, since mist burns as vapour does, but it makes no mixture too rich.
  std::vector<double> saturated;
  double oxygen_in_air = oxygen_in_dry_air;
  StateThresholds thresholds;

  double lfl_fraction(std::span<const double> fraction) const;
  double oxygen_of(std::span<const double> fraction) const;
  /// Oxygen and every other oxidiser, mol/mol: what feeds a fire.
  double oxidiser_of(std::span<const double> fraction) const;
  MixtureRange range(std::span<const double> fraction) const;
  /// Whether it holds more of a vapour than air can.
  bool condenses(std::span<const double> fraction) const;
  MixtureState state(std::span<const double> fraction) const;
  Instant instant(double time, std::span<const double> fraction) const;
  /// Whether a mixture on the straight line between two others, the ends included, is inside the flammable range.
  bool range_between(std::span<const double> from, std::span<const double> to) const;

 private:
  MixtureRange range_of_gas(std::span<const double> fraction) const;
  std::vector<double> as_vapour(std::span<const double> fraction) const;
};

/// The fuels of a site at a temperature, K, by GasIndex, as fuels_at(); `nitrous`: with lower limits in nitrous oxide.
std::vector<std::optional<Fuel>> fuels_beside(const Site& site, double temperature, bool nitrous);

/// The model of a space that is never hotter than `warmest` nor colder than `coldest`, K; `nitrous` as above.
MixtureModel mixture_model(const Site& site, double warmest, double coldest, bool nitrous);

/// Whether nitrous oxide is among these gases.
bool is_nitrous_oxide(const Site& site, const std::vector<GasShare>& shares);

/// Whether nitrous oxide gets out, or is there from the start, in a case: lower limits are then those in it.
bool has_nitrous_oxide(const Site& site, CaseIndex case_index);

/// One model for each pair of temperatures that occurs; `model_of[space]` is the place of the one of a space. A space
/// whose temperature changes during the case is judged throughout by the limits at its highest, which are the widest,
/// and by what air can hold at its lowest.
struct MixtureModels {
  std::vector<MixtureModel> models;
  std::vector<std::size_t> model_of;
  const MixtureModel& of(SpaceIndex space) const { return models[model_of[space.value]]; }
};
MixtureModels mixture_models(const Site& site, CaseIndex case_index);

}  // namespace leanside::hazard
