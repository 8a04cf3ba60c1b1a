// SPDX-License-Identifier: Apache-2.0
/// Flows that follow the gas while it spreads.
#include <cmath>

#include <gtest/gtest.h>

#include "leanside/advanced/transport.hpp"
#include "leanside/assess.hpp"
#include "support/build_site.hpp"
#include "transport/coupled/collocation.hpp"

namespace leanside {
namespace {

using testing::SiteBuilder;

TEST(Radau, CoefficientsIntegratePolynomialsExactly) {
  const auto& r = transport::radau();
  for (std::size_t k = 1; k <= transport::stages; ++k) {
    for (std::size_t i = 0; i < transport::stages; ++i) {
      double sum = 0.0;
      for (std::size_t j = 0; j < transport::stages; ++j)
        sum += r.a[i][j] * std::pow(r.c[j], static_cast<double>(k - 1));
      EXPECT_NEAR(sum, std::pow(r.c[i], static_cast<double>(k)) / static_cast<double>(k), 1e-14);
    }
  }
  // At the end of a step: up to t^8.
  double sum = 0.0;
  for (std::size_t j = 0; j < transport::stages; ++j) sum += r.a[transport::stages - 1][j] * std::pow(r.c[j], 8.0);
  EXPECT_NEAR(sum, 1.0 / 9.0, 1e-14);
}

/// A store with two equal vents and a small hydrogen leak.
struct VentedStore {
  SiteBuilder b;
  GasIndex h2 = b.hydrogen();
  SpaceIndex store = b.space("store", 30.0);
  explicit VentedStore(double leak) {
    for (const double z : {0.0, 2.0}) {
      b.airway("vent" + std::to_string(z), Gap{store, std::nullopt, 0.03, 0.5, z, {}});  // C_d A of 0.05 m2 at C_d 0.6
    }
    b.steady("leak", store, h2, leak);
  }
};

TEST(Coupled, HydrogenDrivesItsOwnVents) {
  VentedStore s(5.9e-3 / 60.0);
  const auto solved = solve_steady(s.b.site, CaseIndex{0}, gas_tracers(s.b.site));
  const auto& x = std::get<SteadyFractions>(solved).fractions;
  const auto run = solve_transient(s.b.site, CaseIndex{0}, gas_tracers(s.b.site), 24.0 * 3600.0, {});
  const auto& end = std::get<TransientResult>(run);
  EXPECT_NEAR(end.end(s.store, 0), x(s.store, 0), 1e-6 * x(s.store, 0));
  EXPECT_LT(end.balance[0].relative_error(), 1e-9);
  // Sixteen times less leak: x goes with the power 2/3.
  VentedStore less(5.9e-3 / 60.0 / 64.0);
  const auto solved_less = solve_steady(less.b.site, CaseIndex{0}, gas_tracers(less.b.site));
  EXPECT_NEAR(x(s.store, 0) / std::get<SteadyFractions>(solved_less).fractions(less.store, 0), 16.0, 0.2);
}

TEST(Coupled, AgreesWithTheOrdinaryDifferentialEquation) {
  // One space, two gaps: the flow is explicit in x, integrated here by many small Runge-Kutta steps.
  const double leak = 2e-4, horizon = 3600.0;
  VentedStore s(leak);
  double traced = 0.0;
  const auto run =
      solve_transient(s.b.site, CaseIndex{0}, gas_tracers(s.b.site), horizon, [&](const DensePiece& piece) {
        if (piece.begin <= 500.0 && 500.0 <= piece.end) {
          traced = bernstein_value(piece.coefficients.first(dense_degree + 1), piece.position_at(500.0));
        }
      });
  const double P = 101325.0, RT = gas_constant * 293.15, N = P * 30.0 / RT, G = leak * P / RT;
  const double rho_o = P * molar_mass_of_air / RT;
  const auto rate = [&](double x) {
    const double rho_i = P * (molar_mass_of_air + x * (0.002016 - molar_mass_of_air)) / RT;
    const double stack = (rho_o - rho_i) * standard_gravity * 2.0;
    // Inflow F through the low vent, F + G through the high one; drops add up to the stack: a scalar equation by
    // bisection.
    double low = 0.0, high = 100.0;
    for (int k = 0; k < 200; ++k) {
      const double F = 0.5 * (low + high), k_in = F * RT / P / 0.03, k_out = (F + G) * RT / P / 0.03;
      (0.5 * rho_o * k_in * k_in + 0.5 * rho_i * k_out * k_out < stack ? low : high) = F;
    }
    return (G - (low + G) * x) / N;
  };
  double x = 0.0, at500 = 0.0;
  const int steps = 72000;
  const double h = horizon / steps;
  for (int k = 0; k < steps; ++k) {
    const double k1 = rate(x), k2 = rate(x + 0.5 * h * k1), k3 = rate(x + 0.5 * h * k2), k4 = rate(x + h * k3);
    x += h / 6.0 * (k1 + 2.0 * k2 + 2.0 * k3 + k4);
    if (k + 1 == 10000) at500 = x;
  }
  EXPECT_NEAR(std::get<TransientResult>(run).end(s.store, 0), x, 2e-6 * x);
  EXPECT_NEAR(traced, at500, 2e-6 * at500);
}

TEST(Coupled, CausesStaySharesOfTheWhole) {
  VentedStore s(2e-4);
  const auto lab = s.b.space("lab", 60.0);
  s.b.airway("door", Doorway{s.store, lab, 0.8, 2.0, 0.0, 0.2, 0.6});
  s.b.airway("crack", Gap{lab, std::nullopt, 0.01, 0.65, 0.5, {}});
  s.b.steady("second", lab, s.h2, 3e-4);
  const auto assessed = assess(s.b.site);
  const auto& a = std::get<Assessment>(assessed);
  ASSERT_FALSE(a.warnings.empty());
  for (const Warning& w : a.warnings) {
    double sum = 0.0;
    for (const Cause& cause : w.causes) sum += cause.share;
    EXPECT_NEAR(sum, 1.0, 1e-9);
    EXPECT_EQ(w.causes.size(), 2u);
  }
  EXPECT_LT(a.balance_error, 1e-9);
}

TEST(Events, WarmingARoomPushesGasOutAndCoolingDrawsAirIn) {
  SiteBuilder b;
  const auto ch4 = b.methane();
  const auto room = b.space("room", 30.0);
  b.site.spaces[0].initial = {{ch4, 0.02}};
  b.airway("crack", Gap{room, std::nullopt, 0.002, 0.65, 0.0, {}});
  b.site.cases[0].events = {{100.0, SetSpaceTemperature{room, 323.15}, {}},
                            {200.0, SetSpaceTemperature{room, 293.15}, {}}};
  const auto run = solve_transient(b.site, CaseIndex{0}, gas_tracers(b.site), 300.0, {});
  const auto& end = std::get<TransientResult>(run);
  EXPECT_LT(end.balance[0].relative_error(), 1e-9);
  // Out at 2 %, in with air: what is left after cooling is diluted by the ratio of temperatures.
  EXPECT_NEAR(end.end(room, 0), 0.02 * 293.15 / 323.15, 1e-5);
  // While it is warm it holds less.
  const auto warm = solve_transient(b.site, CaseIndex{0}, gas_tracers(b.site), 150.0, {});
  EXPECT_LT(std::get<TransientResult>(warm).balance[0].relative_error(), 1e-9);
}

TEST(Events, DoorwayOpensAndShuts) {
  SiteBuilder b;
  const auto ch4 = b.methane();
  const auto warm = b.space("warm", 30.0), cold = b.space("cold", 30.0);
  b.site.spaces[0].temperature = 303.15;
  b.site.spaces[0].initial = {{ch4, 0.02}};
  b.airway("crack", Gap{cold, std::nullopt, 1e-4, 0.65, 0.0, {}});
  const auto door = b.airway("door", Doorway{warm, cold, 0.9, 2.0, 0.0, 0.0, 0.6});
  b.site.cases[0].events = {{600.0, SetAirwayOpen{door, 1.0}, {}}};
  double before = -1.0;
  const auto run = solve_transient(b.site, CaseIndex{0}, gas_tracers(b.site), 3600.0, [&](const DensePiece& piece) {
    if (piece.space == cold && piece.end <= 600.0)
      before = bernstein_value(piece.coefficients.first(dense_degree + 1), 1.0);
  });
  const auto& end = std::get<TransientResult>(run);
  EXPECT_LT(before, 1e-6);
  EXPECT_GT(end.end(cold, 0), 0.005);
}

}  // namespace
}  // namespace leanside
