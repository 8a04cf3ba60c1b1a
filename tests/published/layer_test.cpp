// SPDX-License-Identifier: Apache-2.0
// Plumes and the layers they feed. Each check names its source; "from memory" means that the formula or value was not
// looked up again.
#include <cmath>
#include <limits>
#include <numbers>

#include "leanside/advanced/plumes.hpp"
#include "leanside/advanced/sources.hpp"
#include "leanside/units.hpp"
#include "published/run.hpp"

namespace {

using namespace published;
using namespace leanside;

TEST(Plume, HasTheUsualConstant) {
  cite("Plume constant",
       "The common value of C in Q = C B^(1/3) z^(5/3) for plumes with uniform profiles, entrainment coefficient "
       "0.117: 0.142 (from memory).");
  expect_within(plume_constant(0.117), 0.142, 0.3, "C for an entrainment coefficient of 0.117");
  // The definition, with the powers written differently.
  const double a = 0.083;
  EXPECT_NEAR(plume_constant(a), 6.0 * a / 5.0 * std::pow(9.0 * a / 10.0 * std::pow(std::numbers::pi, 2.0), 1.0 / 3.0),
              1e-15);
}

// Morton, Taylor and Turner, Proc. R. Soc. A 234 (1956) 1 (equations from memory): with uniform profiles of speed w and
// radius b, q = pi b^2 w and m = pi b^2 w^2,
//     dq/dz = 2 a sqrt(pi m),   dm/dz = B q/m.
// The power law solves these equations. Here the classical Runge-Kutta method integrates them from a point on that
// solution.
TEST(Plume, PowerLawSolvesThePlumeEquations) {
  const double a = 0.1, b = 2.3e-3, from = 0.2, to = 3.0;
  const double c = plume_constant(a);
  double q = plume_flow(c, b, from);
  // The momentum at that height: m = (9 a/10)^(2/3) pi^(1/3) B^(2/3) z^(4/3).
  double m = std::cbrt(0.81 * a * a * std::numbers::pi * b * b * from * from * from * from);
  const auto slope_q = [&](double at) { return 2.0 * a * std::sqrt(std::numbers::pi * at); };
  const auto slope_m = [&](double q_at, double m_at) { return b * q_at / m_at; };
  constexpr int steps = 4000;
  const double h = (to - from) / steps;
  for (int k = 0; k < steps; ++k) {
    const double q1 = slope_q(m), m1 = slope_m(q, m);
    const double q2 = slope_q(m + 0.5 * h * m1), m2 = slope_m(q + 0.5 * h * q1, m + 0.5 * h * m1);
    const double q3 = slope_q(m + 0.5 * h * m2), m3 = slope_m(q + 0.5 * h * q2, m + 0.5 * h * m2);
    const double q4 = slope_q(m + h * m3), m4 = slope_m(q + h * q3, m + h * m3);
    q += h / 6.0 * (q1 + 2.0 * q2 + 2.0 * q3 + q4);
    m += h / 6.0 * (m1 + 2.0 * m2 + 2.0 * m3 + m4);
  }
  EXPECT_NEAR(plume_flow(c, b, to) / q, 1.0, 1e-9);
}

TEST(Plume, HasNoFlowAtItsSourceOrWithoutBuoyancy) {
  EXPECT_EQ(plume_flow(0.142, 1e-3, 0.0), 0.0);
  EXPECT_EQ(plume_flow(0.142, 1e-3, -1.0), 0.0);
  EXPECT_EQ(plume_flow(0.142, 0.0, 2.0), 0.0);
  EXPECT_EQ(plume_flow(0.142, -1e-3, 2.0), 0.0);
}

// Heavy gas is the mirror image of light gas.
TEST(Plume, BuoyancyChangesSignWithTheDensityDifference) {
  EXPECT_DOUBLE_EQ(buoyancy_flux(1.2, 0.9, 2e-3), -buoyancy_flux(1.2, 1.5, 2e-3));
  // Hydrogen (2.016) at 1 L/min in air (28.9655): g (1 - 2.016/28.9655) / 60000.
  EXPECT_NEAR(buoyancy_flux(28.9655, 2.016, 1e-3 / 60.0), standard_gravity * (1.0 - 2.016 / 28.9655) / 6e4, 1e-18);
}

// Baines and Turner, J. Fluid Mech. 37 (1969) 51 (from memory): the front falls at Q_p(z)/S.
TEST(FillingBox, FrontSpeedFollowsThePlumeFlow) {
  const double c = plume_constant(), b = 1.5e-4, s = 6.0, height = 2.5;
  EXPECT_DOUBLE_EQ(filling_front(c, b, s, height, 0.0), height);
  for (const double t : {5.0, 60.0, 600.0, 7200.0}) {
    const double z = filling_front(c, b, s, height, t), d = 1e-4 * t;
    const double speed = (filling_front(c, b, s, height, t + d) - filling_front(c, b, s, height, t - d)) / (2.0 * d);
    EXPECT_NEAR(-speed * s / plume_flow(c, b, z), 1.0, 1e-6) << t;
    EXPECT_NEAR(std::pow(z, -2.0 / 3.0), std::pow(height, -2.0 / 3.0) + 2.0 / 3.0 * c * std::cbrt(b) / s * t, 1e-12);
  }
}

// Linden, Lane-Serff and Smeed 1990 (from memory): the plume flow through the interface leaves through the openings,
// driven by the buoyancy of the layer, whatever the strength of the plume.
TEST(EmptyingFillingBox, InterfaceBalancesPlumeAndOutflow) {
  const double c = plume_constant(), height = 3.0;
  for (double opening = 1e-3; opening < 0.11; opening *= std::sqrt(10.0)) {  // A*/H^2, two decades
    const double xi = steady_interface(opening, c);
    EXPECT_NEAR(std::pow(c, 1.5) * std::sqrt(std::pow(xi, 5.0) / (1.0 - xi)) / opening, 1.0, 1e-12);
    for (const double b : {1e-5, 1e-2}) {
      const double brought = plume_flow(c, b, xi * height);
      const double reduced_gravity = b / brought;
      const double leaves = opening * height * height * std::sqrt(reduced_gravity * (1.0 - xi) * height);
      EXPECT_NEAR(leaves / brought, 1.0, 1e-12) << opening << " " << b;
    }
  }
}

TEST(EmptyingFillingBox, InterfaceMatchesThePublishedMidHeightCase) {
  cite("Openings that keep a layer at half the room height",
       "P. F. Linden, G. F. Lane-Serff and D. A. Smeed, J. Fluid Mech. 212 (1990) 309 (from memory; calculated "
       "independently of this code): with C = 0.142 (entrainment coefficient 0.117) A*/H^2 = 0.01338 puts the "
       "interface at half height.");
  expect_near(steady_interface(0.01338, plume_constant(0.117)), 0.5, 5e-4, "interface height over room height");
}

// Two equal openings of 0.6 times 0.1 m2 have an effective area of 0.06 m2: each takes half of the head. A small
// opening in series with a very large one has an effective area of sqrt(2) times its own.
TEST(EmptyingFillingBox, EffectiveOpeningMatchesItsLimits) {
  EXPECT_NEAR(effective_opening(0.06, 0.06), 0.06, 1e-15);
  EXPECT_NEAR(effective_opening(0.06, 6e4), 0.06 * std::numbers::sqrt2, 1e-12);
  EXPECT_DOUBLE_EQ(effective_opening(0.01, 0.04), effective_opening(0.04, 0.01));
}

// For one jet the Richardson number is g (rho_a - rho) V^(1/3)/(rho u^2): Cariteau and Tkatschenko 2012 (formula from
// memory).
TEST(VolumeRichardson, HasTheUsualFormForOneJet) {
  const double air = 1.2, gas = 0.166, q = 2e-4, u = 14.0, volume = 1.1;
  EXPECT_NEAR(volume_richardson((air - gas) * q, gas * q * u * u, volume),
              standard_gravity * (air - gas) / gas * std::cbrt(volume) / (u * u), 1e-12);
  EXPECT_EQ(volume_richardson((air - gas) * q, 0.0, volume), std::numeric_limits<double>::infinity());
}

TEST(Jet, HasTheThrustOfAChokedNozzle) {
  cite("Thrust of a choked jet",
       "G. P. Sutton and O. Biblarz, Rocket Propulsion Elements, thrust coefficient of a nozzle that ends at its "
       "throat, k = 1.4, into a vacuum: (1 + k)(2/(k+1))^(k/(k-1)) = 1.2679 (from memory).");
  const HeldGas air{293.15, 0.028964, 1.4};
  const Hole hole{2e-3, 1.0};
  expect_within(jet_momentum(air, hole, 6e5, 0.0) / (6e5 * hole.area()), 1.2679, 0.005,
                "thrust over pressure and area, k = 1.4, into a vacuum");
  // The choked and the subsonic formula agree where they meet.
  const double p = 1e5 * critical_pressure_ratio(1.4);
  EXPECT_NEAR(jet_momentum(air, hole, p * (1.0 - 1e-9), 1e5) / jet_momentum(air, hole, p, 1e5), 1.0, 1e-6);
  // At a small pressure difference Bernoulli's equation holds: 2 dp A.
  EXPECT_NEAR(jet_momentum(air, hole, 101325.0 + 10.0, 101325.0) / (20.0 * hole.area()), 1.0, 1e-3);
  EXPECT_EQ(jet_momentum(air, hole, 1e5, 1e5), 0.0);
}

}  // namespace
