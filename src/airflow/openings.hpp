// SPDX-License-Identifier: Apache-2.0
/// Flow through one opening for given pressures and densities. Pure functions, SI units, smooth enough for Newton's
/// method.
#pragma once

#include <span>
#include <vector>

namespace leanside::airflow {

/// Pressure difference that leakage areas are rated at, Pa. Source: ASHRAE Handbook Fundamentals, ventilation and
/// infiltration (effective leakage area at 4 Pa), from memory.
inline constexpr double leakage_reference = 4.0;

/// Below this pressure difference, Pa, a cubic through the origin takes the place of the power law, whose slope is
/// infinite there: value and slope meet. Far below what moves a person's hair, and below what anyone could measure.
inline constexpr double smooth_below = 1e-4;

/// A volume flow and how it changes with the pressure difference, m3/s and m3/(s Pa).
struct Flow {
  double value = 0.0;
  double slope = 0.0;
};

/// Gap of effective leakage area L, m2: q = L sqrt(2 dp_r/rho) (|dp|/dp_r)^n sign(dp), dp_r = leakage_reference, rho
/// the density of the gas that flows, kg/m3: that of the upstream side. dp, Pa, positive from the first side to the
/// second.
Flow gap_flow(double leakage_area, double exponent, double dp, double density_first, double density_second);

/// Volume flows both ways through a tall opening, m3/s, each at the state of the side it comes from.
struct TwoWayFlow {
  Flow forward;   ///< from the first side; slope with respect to dp, >= 0
  Flow backward;  ///< from the second side; slope with respect to dp, <= 0
};

/// Opening of width W and height H, m: v(z) = C_d sqrt(2 |dp(z)|/rho) integrated over its height, in closed form, dp(z)
/// running linearly from dp_bottom to dp_top, Pa; a neutral plane within gives flow both ways. At equal pressures at
/// mid-height it is (C_d/3) W H sqrt(g H drho/rho) each way, rho being the density that flows (Brown and Solvason, Int.
/// J. Heat Mass Transfer 5 (1962) 859). Smooth through equal densities.
TwoWayFlow doorway_flow(double width, double height, double discharge, double dp_bottom, double dp_top,
                        double density_first, double density_second);

struct CurvePoint {
  double pressure = 0.0;  ///< Pa, that the fan works against
  double flow = 0.0;      ///< m3/s
};

/// Flow of a fan against a pressure, by monotone cubic interpolation of its curve (pressures ascending, flows not
/// ascending); held at the end values outside. Source: Fritsch and Carlson, SIAM J. Numer. Anal. 17 (1980) 238.
Flow curve_flow(std::span<const CurvePoint> curve, double against);

}  // namespace leanside::airflow
