// SPDX-License-Identifier: Apache-2.0
/// Purging a vessel with inert gas, so that it never passes the flammable range on its way into or out of service. Pure
/// functions; fractions are mol/mol.
#pragma once

#include <optional>
#include <vector>

#include "leanside/advanced/flammability.hpp"

namespace leanside {

/// Volumes of gas, in volumes of the vessel, that sweep its contents from the fraction `from` down to `to`, perfectly
/// mixed: ln((from - in)/(to - in)), `in` being the fraction in the purge gas (< to). 0 where `from` is not above `to`.
/// Source: the well-mixed purge equation; Crowl and Louvar, Chemical Process Safety, ch. 7.
double sweep_volumes(double from, double to, double in = 0.0);

/// Fraction left when `volumes` vessel volumes have been swept through: in + (from - in) e^-volumes.
double swept(double from, double volumes, double in = 0.0);

/// Cycles between absolute pressures `high` > `low` that do the same, before rounding up: each leaves the share
/// low/high. Pressure purging has `low` ambient, vacuum purging `high` ambient. Source: as above.
double purge_cycles(double from, double to, double high, double low, double in = 0.0);

/// Purge gas that `cycles` take, in volumes of the vessel at `ambient` pressure and the temperature of the vessel.
double cycle_volumes(double cycles, double high, double low, double ambient);

/// `value` (> 0) rounded to `digits` significant figures, never up and never down. For a target, and for what reaches
/// it: a reader who acts on the printed figure must not end on the wrong side.
double rounded_down_to(double value, int digits);
double rounded_up_to(double value, int digits);

/// The gas that a vessel is in service with: one fuel, or a mixture.
struct VesselGas {
  VesselGas() = default;
  VesselGas(const Fuel& fuel) : fuels{fuel}, shares{1.0} {}
  std::vector<Fuel> fuels;     ///< at the temperature of the vessel
  std::vector<double> shares;  ///< mol/mol of the gas, by fuel; they add up to at most 1
  double oxygen = 0.0;         ///< mol/mol of oxygen and other oxidisers in the gas itself
  double idle = 0.0;           ///< mol/mol, see range_of()
};

/// How far to purge so that the way on, by mixing with the gas or with air, misses the range.
struct PurgeTargets {
  /// Oxygen in inert gas from which the gas may be let in. It is also the limit for the oxygen in a purge gas: with
  /// more than that, sweeping the gas out passes the range.
  double oxygen_before_fuel = 0.0;
  /// Share of the gas, the rest being purge gas, from which air may be let in; 0 where the way from the gas to the
  /// purge gas touches the range itself.
  double fuel_before_air = 0.0;
};

/// Both targets of one gas: the largest fractions from which the straight line to the pure gas, or to air, does not
/// touch the range of range_of(). `oxygen_in_gas` is that of the purge gas, the rest of which is nitrogen. Both are 0
/// where nothing helps: a gas that burns or decomposes without air. Construction as in Crowl and Louvar, ch. 7
/// (in-service and out-of-service concentrations), here with the whole range and both parts of the way out.
PurgeTargets purge_targets(const VesselGas& gas, double oxygen_in_air = oxygen_in_dry_air, double oxygen_in_gas = 0.0);

/// What is to be purged, and how.
struct PurgeQuestion {
  VesselGas gas;
  double oxygen_in_air = oxygen_in_dry_air;
  double margin = 0.6;          ///< share of each target that is purged to, 0 < margin <= 1
  double oxygen_in_gas = 0.0;   ///< in the purge gas
  double volume = 1.0;          ///< m3
  double temperature = 293.15;  ///< K, of the vessel; `gas` holds for it
  std::optional<double> flow;   ///< m3/s of purge gas, for the time that sweeping takes
  double ambient = 101325.0;    ///< Pa
  std::optional<double> high;   ///< Pa, of pressure cycles
  std::optional<double> low;    ///< Pa, of vacuum cycles
};

/// One way to purge from a fraction down to another.
struct PurgeCycles {
  double exact = 0.0;    ///< cycles before rounding up
  double cycles = 0.0;   ///< whole
  double volumes = 0.0;  ///< of gas, in vessel volumes at ambient pressure
};

/// Why there is no plan.
enum class PurgeRefusal {
  none,
  decomposes,        ///< the gas burns or decomposes without air
  oxygen_not_known,  ///< no limiting oxygen concentration is known, so any oxygen counts as enough
  too_much_oxygen,   ///< the purge gas holds too much oxygen
  replay             ///< the plan, computed step by step, entered the range (purge_replay.hpp)
};

struct PurgeLeg {
  double from = 0.0;
  double limit = 0.0;    ///< the target from the range
  double to = 0.0;       ///< with the margin, rounded down to three figures
  bool possible = true;  ///< false: no purging with this gas keeps the vessel out of the range
  PurgeRefusal refusal = PurgeRefusal::none;
  bool needed = true;                ///< false: no mixture on the way burns, so nothing need be purged
  double sweep = 0.0;                ///< vessel volumes, rounded up to three figures
  std::optional<double> sweep_time;  ///< s
  std::optional<PurgeCycles> pressure, vacuum;
};
struct PurgePlan {
  PurgeLeg into_service;    ///< oxygen, from that of air
  PurgeLeg out_of_service;  ///< the gas, from 1
  /// The purge gas must hold less oxygen than this (rounded down to three figures) for both; empty: none is clean
  /// enough.
  std::optional<double> oxygen_below;
};
PurgePlan plan_purge(const PurgeQuestion& question);

}  // namespace leanside
