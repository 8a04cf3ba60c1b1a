// SPDX-License-Identifier: Apache-2.0
/// Airways that follow pressures, set up for the pressure solver. Spaces joined by openings share one unknown.
#pragma once

#include <span>
#include <vector>

#include "airflow/leakage.hpp"
#include "airflow/solver.hpp"
#include "base/graph/graph.hpp"
#include "leanside/advanced/airflow.hpp"

namespace leanside::airflow {

/// One opening that ties pressures together, at a height above the datum.
struct Tie {
  Side a, b;
  double z = 0.0;
};

/// What follows pressures.
struct DrivenWays {
  std::span<const AirwayIndex> airways;  ///< gaps, doorways and fans; one of given flow is limited by its pressure
  std::span<const AssumedGap> gaps;
};

/// Whether the flows of this state depend on the composition: an airway that follows pressures is on.
bool flows_follow_gas(const Site& site, const SiteState& state);

/// Height above the datum of something `height` above the floor of the first-named side that is a space.
double height_above_datum(const Site& site, const Airway& airway, double height);

/// Spaces tied by openings, and how the pressure of each follows from that of its bond.
struct Bonds {
  network::Parts parts;
  std::vector<bool> grounded;  ///< by bond: tied to outside, so that its pressure is known
  std::vector<double> offset;  ///< by space, Pa: over the pressure of the bond
};

class DrivenFlows {
 public:
  /// `ways`: those that follow pressures and take part. `density` by space, kg/m3.
  DrivenFlows(const Site& site, const SiteState& state, std::span<const double> density, std::span<const Tie> ties,
              DrivenWays ways);

  /// Balances the `surplus` (mol/s by space) of the spaces of parts that have such airways. `pinned` names one space in
  /// each part without a way to outside. Fills in pressures and the flow of each driven airway. False: did not converge
  /// around `worst`. To be called once.
  bool solve(std::span<const double> surplus, const std::vector<bool>& pinned, Memory& memory, FlowField& field,
             SpaceIndex& worst);

  /// After solve(): mol/s through each assumed gap, from a to b.
  const std::vector<double>& gap_flows() const { return gap_flows_; }
  /// After solve(): pressure at height z above the datum over the outside air there, Pa; empty where it is not known.
  std::optional<double> pressure_at(const Side& side, double z, const FlowField& field) const;

 private:
  /// A driven way as the pressure solver sees it; curves are kept in curves_.
  std::vector<DrivenOpening> openings() const;
  void number_nodes(const std::vector<bool>& pinned);
  void keep_flow(std::size_t way, const DrivenOpening& opening, const OpeningFlow& flow, FlowField& field);
  std::size_t bond_of(const Side& side) const { return static_cast<std::size_t>(bonds_.parts.part_of[side->value]); }
  Side first_of(std::size_t way) const;
  Side second_of(std::size_t way) const;
  SideState side_state(const Side& side) const;
  void tie(std::span<const Tie> ties);

  const Site& site_;
  const SiteState& state_;
  std::span<const double> density_;
  DrivenWays ways_;
  double outside_density_ = 1.2;
  Bonds bonds_;
  std::vector<std::vector<CurvePoint>> curves_;  ///< by driven airway; empty but for fans
  std::vector<int> node_;                        ///< by bond: its unknown, or one of the two below
  std::vector<int> bond_of_node_;
  std::vector<bool> unvented_;  ///< by bond: held at 0 because nothing settles its pressure
  std::vector<double> gap_flows_;
  static constexpr int absent = -2, known = -1;
};

}  // namespace leanside::airflow
