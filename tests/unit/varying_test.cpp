// SPDX-License-Identifier: Apache-2.0
// Releases whose rate varies, in the network, against closed forms and a plain integration of their own.
#include <algorithm>
#include <array>
#include <cmath>
#include <map>

#include <gtest/gtest.h>

#include "leanside/advanced/release.hpp"
#include "leanside/advanced/transport.hpp"
#include "leanside/assess.hpp"
#include "support/build_site.hpp"

namespace leanside {
namespace {

using testing::SiteBuilder;

CylinderRelease hydrogen_cylinder(double pressure = 2e7, double hole = 0.001) {
  return {{293.15, 0.002016, 1.406}, {hole, 0.85}, 0.05, pressure, standard_atmosphere};
}

/// `amount` mol of a liquid with a vapour pressure of 20 kPa, evaporating through k A = `speed` m3/s.
SpillRelease spill(double amount, double speed) {
  SpillRelease r;
  r.amount = amount;
  r.pool = {1.0, speed, 2e4, 293.15};
  return r;
}

TransientResult run(const Site& site, double horizon, const PieceObserver& observe = {}) {
  auto result = solve_transient(site, CaseIndex{0}, gas_tracers(site), horizon, observe);
  if (const auto* fault = std::get_if<Fault>(&result)) {
    ADD_FAILURE() << fault->message;
    return {};
  }
  return std::get<TransientResult>(std::move(result));
}

/// The fraction of the first column in a space at some times, read off the pieces of one run.
std::map<double, double> course(const Site& site, SpaceIndex space, const std::vector<double>& times) {
  std::map<double, double> found;
  run(site, *std::max_element(times.begin(), times.end()), [&](const DensePiece& piece) {
    if (piece.space != space) return;
    for (const double t : times) {
      if (t < piece.begin || t > piece.end) continue;
      found[t] = bernstein_value(piece.coefficients.subspan(0, dense_degree + 1), piece.position_at(t));
    }
  });
  return found;
}

void expect_balanced(const TransientResult& result) {
  for (const ColumnBalance& balance : result.balance) EXPECT_LT(balance.relative_error(), 1e-12);
}

TEST(CylinderInARoom, DisplacesWhatItPushesOutExactly) {
  // Only the release moves the air: N dx = (1 - x) dE, so x = 1 - exp(-E/N), whatever the course of E.
  SiteBuilder b;
  const auto gas = b.hydrogen();
  const auto room = b.space("room", 20.0);
  b.opening("door", room, std::nullopt);
  const auto r = b.release("valve", room, gas, hydrogen_cylinder());
  const Release& release = b.site.releases[r.value];
  const Blowdown cylinder(std::get<CylinderRelease>(release.kind).held, {0.001, 0.85}, 0.05, 2e7, standard_atmosphere);
  const double moles = moles_held(b.site.spaces[0], b.site.conditions);
  const std::vector<double> times = {5.0,
                                     100.0,
                                     0.99 * cylinder.choked_until(),
                                     cylinder.choked_until() + 10.0,
                                     0.999 * cylinder.duration(),
                                     cylinder.duration() + 100.0};
  for (const auto& [t, x] : course(b.site, room, times)) {
    EXPECT_NEAR(x, -std::expm1(-cylinder.amount_out(t) / moles), 2e-8) << t;
  }
  const auto result = run(b.site, 2.0 * cylinder.duration());
  expect_balanced(result);
  EXPECT_NEAR(result.end(room, 0) / -std::expm1(-cylinder.stock() / moles), 1.0, 1e-9);
  EXPECT_NEAR(result.releases[0].amount / cylinder.stock(), 1.0, 1e-12);
  ASSERT_TRUE(result.releases[0].spent);
  EXPECT_NEAR(*result.releases[0].spent / cylinder.duration(), 1.0, 1e-12);
}

TEST(CylinderInARoom, OfLittlePressureIsSubsonicToTheEnd) {
  SiteBuilder b;
  const auto gas = b.hydrogen();
  const auto room = b.space("room", 1.0);
  b.opening("door", room, std::nullopt);
  b.release("valve", room, gas, hydrogen_cylinder(1.5 * standard_atmosphere));
  const auto result = run(b.site, 3600.0);
  expect_balanced(result);
  const double stock = total_amount(b.site.releases[0]);
  EXPECT_NEAR(stock, 0.5 * standard_atmosphere * 0.05 / (gas_constant * 293.15), 1e-12);
  EXPECT_NEAR(result.end(room, 0) / -std::expm1(-stock / moles_held(b.site.spaces[0], b.site.conditions)), 1.0, 1e-9);
}

TEST(CylinderInATightVessel, RaisesItsPressureAndIsBlamedForIt) {
  SiteBuilder b;
  const auto gas = b.hydrogen();
  const auto tank = b.vessel("tank", 3.0);
  b.release("valve", tank, gas, hydrogen_cylinder());
  b.release("seep", tank, gas, SteadyRelease{1e-4, std::nullopt});
  const Blowdown cylinder({293.15, 0.002016, 1.406}, {0.001, 0.85}, 0.05, 2e7, standard_atmosphere);
  const double moles = moles_held(b.site.spaces[0], b.site.conditions);
  const double horizon = 1000.0;
  b.site.criteria.horizon = horizon;
  const auto result = run(b.site, horizon);
  expect_balanced(result);
  const double in = cylinder.amount_out(horizon) + 1e-4 * horizon;
  ASSERT_EQ(result.pressures.size(), 1u);
  EXPECT_NEAR(result.pressures[0].final_factor, 1.0 + in / moles, 1e-9);
  EXPECT_NEAR(result.end(tank, 0), in / (moles + in), 1e-9);
  const auto assessed = assess(b.site);
  const auto& answer = std::get<Assessment>(assessed);
  const SpaceResult& space = answer.cases[0].spaces[0];
  ASSERT_TRUE(space.pressure_110 && space.pressure_200);
  for (const auto& [level, when] : {std::pair{0.1, *space.pressure_110}, std::pair{1.0, *space.pressure_200}}) {
    EXPECT_NEAR((cylinder.amount_out(when) + 1e-4 * when) / (level * moles), 1.0, 1e-6);
  }
  const auto pressure = std::find_if(answer.warnings.begin(), answer.warnings.end(),
                                     [](const Warning& w) { return w.severity == Severity::pressure; });
  ASSERT_NE(pressure, answer.warnings.end());
  EXPECT_EQ(pressure->causes.at(0).release, ReleaseIndex{0});
  EXPECT_NEAR(pressure->causes.at(0).share, cylinder.amount_out(horizon) / in, 1e-9);
}

TEST(Reaction, OfFirstOrderGivesHalfOfItInEachHalfTime) {
  SiteBuilder b;
  const auto gas = b.hydrogen();
  const auto room = b.space("room", 2.0);
  b.opening("door", room, std::nullopt);
  ReactionRelease reaction;
  reaction.amount = 3.0;
  reaction.half_time = 60.0;
  b.release("flask", room, gas, reaction);
  const double moles = moles_held(b.site.spaces[0], b.site.conditions);
  for (const auto& [t, x] : course(b.site, room, {30.0, 60.0, 120.0, 600.0, 5000.0})) {
    EXPECT_NEAR(x, -std::expm1(-3.0 * (1.0 - std::exp2(-t / 60.0)) / moles), 2e-9) << t;
  }
  const auto result = run(b.site, 5000.0);
  expect_balanced(result);
  EXPECT_NEAR(result.releases[0].amount, 3.0, 1e-11);
}

TEST(Reaction, OverATimeIsADumpToTheLastDigit) {
  SiteBuilder b;
  const auto gas = b.hydrogen();
  const auto room = b.space("room", 2.0);
  b.exchange("air", room, std::nullopt, 0.01);
  ReactionRelease reaction;
  reaction.amount = 3.0;
  reaction.over = 600.0;
  b.release("flask", room, gas, reaction);
  const double found = run(b.site, 500.0).end(room, 0);
  b.site.releases[0].kind = DumpRelease{3.0, 600.0};
  EXPECT_EQ(found, run(b.site, 500.0).end(room, 0));
}

TEST(Reaction, ThatIsInterruptedGoesOnWhereItStopped) {
  SiteBuilder b;
  const auto gas = b.hydrogen();
  const auto room = b.space("room", 2.0);
  b.opening("door", room, std::nullopt);
  ReactionRelease reaction;
  reaction.amount = 3.0;
  reaction.half_time = 60.0;
  const auto r = b.release("flask", room, gas, reaction);
  b.site.cases[0].events = {{30.0, SetReleaseOn{r, false}, {}}, {200.0, SetReleaseOn{r, true}, {}}};
  const auto result = run(b.site, 260.0);
  EXPECT_NEAR(result.releases[0].amount, 3.0 * (1.0 - std::exp2(-90.0 / 60.0)), 1e-11);
  expect_balanced(result);
}

TEST(Spill, InATightVesselSaturatesItExponentially) {
  // V dp/dt = k A (p_sat - p): its own vapour pressure, whatever the total.
  SiteBuilder b;
  const auto gas = b.methane();
  const auto tank = b.vessel("tank", 2.0);
  b.release("pool", tank, gas, spill(1000.0, 0.004));
  const double rate = 0.004 / 2.0;
  const double saturated = 2e4 * 2.0 / (gas_constant * 293.15);
  const double moles = moles_held(b.site.spaces[0], b.site.conditions);
  for (const double t : {50.0, 500.0, 5000.0, 1e6}) {
    const auto result = run(b.site, t);
    const double vapour = -saturated * std::expm1(-rate * t);
    EXPECT_NEAR(result.end(tank, 0) / (vapour / (moles + vapour)), 1.0, 1e-7) << t;
    EXPECT_NEAR(result.releases[0].amount / vapour, 1.0, 1e-7) << t;
    EXPECT_FALSE(result.releases[0].spent);
    expect_balanced(result);
  }
  EXPECT_LT(run(b.site, 1e6).steps, 200u) << "a saturated space asks for no small steps";
}

TEST(Spill, IsDryAtTheInstantOfTheClosedForm) {
  SiteBuilder b;
  const auto gas = b.methane();
  const auto tank = b.vessel("tank", 2.0);
  const double saturated = 2e4 * 2.0 / (gas_constant * 293.15);
  b.release("pool", tank, gas, spill(0.7 * saturated, 0.004));
  const auto result = run(b.site, 3600.0);
  ASSERT_TRUE(result.releases[0].spent);
  EXPECT_NEAR(*result.releases[0].spent / (-std::log(0.3) / 0.002), 1.0, 1e-7);
  EXPECT_NEAR(result.releases[0].amount / (0.7 * saturated), 1.0, 1e-12);
  expect_balanced(result);
}

TEST(Spill, WhoseVapourIsSweptAwayKeepsItsRate) {
  SiteBuilder b;
  const auto gas = b.methane();
  const auto room = b.space("room", 20.0);
  b.exchange("gale", room, std::nullopt, 2000.0);
  b.release("pool", room, gas, spill(2.0, 0.004));
  const auto result = run(b.site, 3600.0);
  const double rate = 0.004 * 2e4 / (gas_constant * 293.15);
  ASSERT_TRUE(result.releases[0].spent);
  EXPECT_NEAR(*result.releases[0].spent / (2.0 / rate), 1.0, 1e-5);
}

TEST(Spill, TwoInOneSpaceShareTheVapourThatIsThere) {
  SiteBuilder b;
  const auto gas = b.methane();
  const auto tank = b.vessel("tank", 2.0);
  b.release("large", tank, gas, spill(1000.0, 0.003));
  b.release("small", tank, gas, spill(1000.0, 0.001));
  const double t = 400.0;
  const auto result = run(b.site, t);
  const double vapour = -2e4 * 2.0 / (gas_constant * 293.15) * std::expm1(-0.002 * t);
  EXPECT_NEAR(result.releases[0].amount / (0.75 * vapour), 1.0, 1e-7);
  EXPECT_NEAR(result.releases[1].amount / (0.25 * vapour), 1.0, 1e-7);
  expect_balanced(result);

  const auto causes = cause_tracers(b.site);
  const auto traced = solve_transient(b.site, CaseIndex{0}, causes.tracers, t, {});
  const auto& end = std::get<TransientResult>(traced).end;
  EXPECT_NEAR(end(tank, 0) / end(tank, 1), 3.0, 1e-9);
  EXPECT_NEAR((end(tank, 0) + end(tank, 1)) / result.end(tank, 0), 1.0, 1e-9);
}

TEST(Spill, TheSmallerDriesFirstAndTheLargerGoesOn) {
  SiteBuilder b;
  const auto gas = b.methane();
  const auto room = b.space("room", 20.0);
  b.exchange("air", room, std::nullopt, 0.01);
  b.release("large", room, gas, spill(3.0, 0.003));
  b.release("small", room, gas, spill(1.0, 0.003));
  const auto result = run(b.site, 24 * 3600.0);
  ASSERT_TRUE(result.releases[0].spent && result.releases[1].spent);
  EXPECT_LT(*result.releases[1].spent, *result.releases[0].spent);
  EXPECT_NEAR(result.releases[0].amount, 3.0, 1e-11);
  EXPECT_NEAR(result.releases[1].amount, 1.0, 1e-11);
  expect_balanced(result);
}

/// dx/dt and dS/dt of a ventilated room, integrated by the classic Runge-Kutta method with small steps.
struct RoomAndPool {
  double moles, air, rate, saturated;  // mol, mol/s, mol/s into clean air, mole fraction
  std::array<double, 2> slope(const std::array<double, 2>& y) const {
    const double in = rate * std::max(0.0, 1.0 - y[0] / saturated);
    return {(in - (air + in) * y[0]) / moles, -in};
  }
  std::array<double, 2> after(double stock, double seconds, int steps) const {
    std::array<double, 2> y{0.0, stock};
    const double h = seconds / steps;
    const auto moved = [](std::array<double, 2> a, const std::array<double, 2>& b, double s) {
      return std::array<double, 2>{a[0] + s * b[0], a[1] + s * b[1]};
    };
    for (int k = 0; k < steps; ++k) {
      const auto a = slope(y), b = slope(moved(y, a, 0.5 * h)), c = slope(moved(y, b, 0.5 * h));
      const auto d = slope(moved(y, c, h));
      for (std::size_t i = 0; i < 2; ++i) y[i] += h / 6.0 * (a[i] + 2.0 * b[i] + 2.0 * c[i] + d[i]);
    }
    return y;
  }
};

TEST(Spill, InAVentilatedRoomFollowsAPlainIntegration) {
  SiteBuilder b;
  const auto gas = b.methane();
  const auto room = b.space("room", 20.0);
  b.exchange("air", room, std::nullopt, 0.005);
  b.release("pool", room, gas, spill(90.0, 0.01));
  const RoomAndPool reference{moles_held(b.site.spaces[0], b.site.conditions), b.molar(0.005),
                              0.01 * 2e4 / (gas_constant * 293.15), 2e4 / standard_atmosphere};
  for (const double t : {100.0, 600.0, 1200.0}) {
    const auto result = run(b.site, t);
    const auto expected = reference.after(90.0, t, 20000);
    EXPECT_NEAR(result.end(room, 0) / expected[0], 1.0, 1e-7) << t;
    EXPECT_NEAR((90.0 - result.releases[0].amount) / expected[1], 1.0, 1e-7) << t;
  }
}

TEST(Spill, WorksWhereFlowsFollowTheGasAndBesideOtherReleases) {
  SiteBuilder b;
  const auto gas = b.methane();
  const auto other = b.hydrogen();
  const auto low = b.space("low", 20.0), high = b.space("high", 20.0);
  b.site.spaces[low.value].mixing_factor = 2.0;
  b.airway("gap", Gap{low, std::nullopt, 0.01, 0.65, 0.1, {}});
  b.airway("door", Doorway{low, high, 0.8, 2.0, 0.0, 1.0, 0.6});
  b.airway("vent", Gap{high, std::nullopt, 0.01, 0.65, 2.2, {}});
  b.release("pool", low, gas, spill(3.0, 0.005));
  b.release("valve", high, other, hydrogen_cylinder(2e6));
  b.steady("seep", low, other, 1e-5);
  const auto result = run(b.site, 3600.0);
  for (const ColumnBalance& balance : result.balance) EXPECT_LT(balance.relative_error(), 1e-9);
  EXPECT_TRUE(result.releases[0].spent);
  EXPECT_NEAR(result.releases[0].amount, 3.0, 1e-11);
  EXPECT_NEAR(result.releases[1].amount, total_amount(b.site.releases[1]), 1e-9);
}

TEST(Spill, AddsNothingToTheSteadyState) {
  SiteBuilder b;
  const auto gas = b.methane();
  const auto room = b.space("room", 20.0);
  b.exchange("air", room, std::nullopt, 0.005);
  b.release("pool", room, gas, spill(50.0, 0.01));
  b.release("valve", room, gas, hydrogen_cylinder());
  EXPECT_FALSE(lasts(b.site.releases[0]) || lasts(b.site.releases[1]));
  const auto solved = solve_steady(b.site, CaseIndex{0}, gas_tracers(b.site));
  EXPECT_EQ(std::get<SteadyFractions>(solved).fractions(room, 0), 0.0);
}

TEST(Spill, ThatIsCoveredKeepsWhatItHas) {
  SiteBuilder b;
  const auto gas = b.methane();
  const auto tank = b.vessel("tank", 2.0);
  const auto r = b.release("pool", tank, gas, spill(1000.0, 0.004));
  b.site.cases[0].events = {{100.0, SetReleaseOn{r, false}, {}}, {900.0, SetReleaseOn{r, true}, {}}};
  const auto result = run(b.site, 1000.0);
  EXPECT_NEAR(result.releases[0].amount / (-2e4 * 2.0 / (gas_constant * 293.15) * std::expm1(-0.002 * 200.0)), 1.0,
              1e-7);
}

}  // namespace
}  // namespace leanside
