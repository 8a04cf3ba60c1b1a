// SPDX-License-Identifier: Apache-2.0
/// Airways that follow pressures, set up for the pressure solver. Spaces joined by reliefs share one unknown.
#pragma once

#include <span>
#include <vector>

#include "airflow/solver.hpp"
#include "leanside/airflow.hpp"
#include "network/graph.hpp"

namespace leanside::airflow {

/// One relief that ties pressures together, at a height above the datum.
struct Tie {
  Side a, b;
  double z = 0.0;
};

/// Height above the datum of something `height` above the floor of the first-named side that is a space.
double height_above_datum(const Site& site, const Airway& airway, double height);

/// Spaces tied by reliefs, and how the pressure of each follows from that of its bond.
struct Bonds {
  network::Parts parts;
  std::vector<bool> grounded;  ///< by bond: tied to outside, so that its pressure is known
  std::vector<double> offset;  ///< by space, Pa: over the pressure of the bond
};

class DrivenFlows {
 public:
  /// `driven`: the airways that follow pressures and take part. `density` by space, kg/m3.
  DrivenFlows(const Site& site, const SiteState& state, std::span<const double> density, std::span<const Tie> ties,
              std::span<const AirwayIndex> driven);

  /// Balances the `surplus` (mol/s by space) of the spaces of parts that have such airways. `pinned` names one space in
  /// each part without a way to outside. Fills in pressures and the flow of each driven airway. False: did not converge
  /// around `worst`.
  bool solve(std::span<const double> surplus, const std::vector<bool>& pinned, Memory& memory, FlowField& field,
             SpaceIndex& worst);

 private:
  SideState side_state(const Side& side, const Airway& airway) const;
  void tie(std::span<const Tie> ties);

  const Site& site_;
  const SiteState& state_;
  std::span<const double> density_;
  std::span<const AirwayIndex> driven_;
  double outside_density_ = 1.2;
  Bonds bonds_;
  std::vector<std::vector<CurvePoint>> curves_;  ///< of the fans among the driven, in order
};

}  // namespace leanside::airflow
