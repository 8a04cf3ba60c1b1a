// SPDX-License-Identifier: Apache-2.0
/// Purging a vessel with inert gas, so that it never passes the flammable range on its way into or out of service. Pure
/// functions; fractions are mol/mol.
#pragma once

#include <optional>

#include "leanside/flammability.hpp"

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

/// How far to purge so that the way on, by mixing with fuel or with air, misses the range.
struct PurgeTargets {
  double oxygen_before_fuel = 0.0;  ///< oxygen in inert gas from which fuel may be let in
  double fuel_before_air = 0.0;     ///< fuel in inert gas from which air may be let in
};

/// Both targets of one fuel: the largest fractions from which the straight line to pure fuel, or to air, does not touch
/// the range of range_of(). 0 where no inerting helps: a gas that burns or decomposes without air. Construction as in
/// Crowl and Louvar, ch. 7 (in-service and out-of-service concentrations), here with the whole range.
PurgeTargets purge_targets(const Fuel& fuel, double oxygen_in_air = oxygen_in_dry_air);

/// What is to be purged, and how.
struct PurgeQuestion {
  Fuel fuel;
  double oxygen_in_air = oxygen_in_dry_air;
  double margin = 0.6;         ///< share of each target that is purged to
  double oxygen_in_gas = 0.0;  ///< in the purge gas
  double volume = 1.0;         ///< m3
  std::optional<double> flow;  ///< m3/s of purge gas, for the time that sweeping takes
  double ambient = 101325.0;   ///< Pa
  std::optional<double> high;  ///< Pa, of pressure cycles
  std::optional<double> low;   ///< Pa, of vacuum cycles
};

/// One way to purge from a fraction down to another.
struct PurgeCycles {
  double exact = 0.0;    ///< cycles before rounding up
  double cycles = 0.0;   ///< whole
  double volumes = 0.0;  ///< of gas, in vessel volumes at ambient pressure
};
struct PurgeLeg {
  double from = 0.0;
  double limit = 0.0;                ///< the target from the range
  double to = 0.0;                   ///< with the margin
  bool possible = true;              ///< false: no purging keeps it out of the range
  double sweep = 0.0;                ///< vessel volumes
  std::optional<double> sweep_time;  ///< s
  std::optional<PurgeCycles> pressure, vacuum;
};
struct PurgePlan {
  PurgeLeg into_service;    ///< oxygen, from that of air
  PurgeLeg out_of_service;  ///< fuel, from 1
};
PurgePlan plan_purge(const PurgeQuestion& question);

}  // namespace leanside
