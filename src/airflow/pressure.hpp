// SPDX-License-Identifier: Apache-2.0
/// Pressures that balance a network of openings: one unknown a space, Newton's method on the Laplacian of the slopes.
#pragma once

#include <optional>
#include <span>
#include <variant>
#include <vector>

#include "airflow/openings.hpp"
#include "base/linalg/laplacian.hpp"

namespace leanside::airflow {

/// What an opening needs to know of one of its sides.
struct SideState {
  int node = linalg::Conductance::ground;  ///< unknown pressure, or ground: known to be 0
  double density = 1.2;                    ///< kg/m3
  double molar_volume = 0.024;             ///< m3/mol, of what leaves that side
  /// Pressure of the side at height z above the datum, over the pressure of its node and the outside air at that
  /// height, Pa: lift * (z - floor) + added (wind).
  double lift = 0.0;   ///< Pa/m: (rho_outside - rho) g
  double floor = 0.0;  ///< m
  double added = 0.0;  ///< Pa
  double over_at(double z) const { return lift * (z - floor) + added; }
};

struct GapShape {
  double leakage_area = 0.0, exponent = 0.65, z = 0.0;
};
struct DoorwayShape {
  double width = 0.0, height = 0.0, sill = 0.0, discharge = 0.6;  ///< sill: m above the datum
};
struct CurveShape {
  std::span<const CurvePoint> curve;
  double z = 0.0;
};

struct DrivenOpening {
  SideState first, second;
  std::variant<GapShape, DoorwayShape, CurveShape> shape;
};

/// mol/s each way and how the net flow changes with the pressure of the first side.
struct OpeningFlow {
  double forward = 0.0, backward = 0.0;
  double slope = 0.0;                ///< d(forward - backward)/dp >= 0, mol/(s Pa)
  double pressure_difference = 0.0;  ///< Pa, first less second, at the height of the opening (its middle for a doorway)
};

/// `dp` is the pressure of the first node less that of the second, Pa.
OpeningFlow flow_through(const DrivenOpening& opening, double dp);

/// Solves for the pressures of `nodes` such that at each the flows of the openings carry away its injection, mol/s.
class PressureSolver {
 public:
  PressureSolver(int nodes, std::span<const DrivenOpening> openings);

  /// The openings in the order and between the nodes of the constructor; their densities and shapes may have changed.
  /// `pressure` is the start and the result, Pa. Empty where it converged; else the node whose balance is worst.
  std::optional<int> solve(std::span<const DrivenOpening> openings, std::span<const double> injection,
                           std::span<double> pressure);

  /// Of the last `solve`.
  int iterations() const { return iterations_; }
  int factorisations() const { return factorisations_; }

  /// The next step from the pressures found, Pa: far below their last digits, but flows corrected with it and with
  /// `slopes` balance to round-off even where an opening is so steep that no pressure does.
  std::span<const double> correction() const { return step_; }
  /// Of the Jacobian that the correction was found with, mol/(s Pa), one an opening.
  std::span<const double> slopes() const { return kept_slope_; }

 private:
  double residual(std::span<const DrivenOpening> openings, std::span<const double> injection,
                  std::span<const double> pressure);
  /// The Jacobian of the slopes at hand. False where it is not positive definite.
  bool factorise();

  int nodes_;
  linalg::Laplacian jacobian_;
  std::vector<double> net_, through_, slope_, head_, kept_slope_, step_, trial_;
  int iterations_ = 0, factorisations_ = 0;
};

}  // namespace leanside::airflow
