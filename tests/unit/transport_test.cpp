// SPDX-License-Identifier: Apache-2.0
// The stepping method and the transport of gas, against closed forms.
#include "leanside/advanced/transport.hpp"

#include <cmath>
#include <complex>
#include <map>

#include <gtest/gtest.h>

#include "support/build_site.hpp"
#include "transport/linear/laguerre.hpp"
#include "transport/linear/linear_system.hpp"

namespace leanside {
namespace {

using testing::SiteBuilder;

/// Keeps every piece of one space, for evaluation afterwards.
struct Recorder {
  SpaceIndex space;
  std::size_t column = 0;
  struct Piece {
    DensePiece piece;
    std::vector<double> coefficients;
  };
  std::vector<Piece> pieces;

  PieceObserver observer() {
    return [this](const DensePiece& piece) {
      if (piece.space != space) return;
      const auto mine = piece.coefficients.subspan(column * (dense_degree + 1), dense_degree + 1);
      pieces.push_back({piece, {mine.begin(), mine.end()}});
    };
  }
  double at(double time) const {
    for (const Piece& p : pieces) {
      if (time <= p.piece.end) return bernstein_value(p.coefficients, p.piece.position_at(time));
    }
    ADD_FAILURE() << "no piece reaches " << time;
    return 0.0;
  }
};

TransientResult solved(const Site& site, double horizon, const PieceObserver& observe = {}) {
  auto result = solve_transient(site, CaseIndex{0}, gas_tracers(site), horizon, observe);
  if (const auto* fault = std::get_if<Fault>(&result)) {
    ADD_FAILURE() << fault->message;
    return {};
  }
  return std::get<TransientResult>(std::move(result));
}

SteadyFractions steady(const Site& site) {
  auto result = solve_steady(site, CaseIndex{0}, gas_tracers(site));
  if (const auto* fault = std::get_if<Fault>(&result)) {
    ADD_FAILURE() << fault->message;
    return {};
  }
  return std::get<SteadyFractions>(std::move(result));
}

std::complex<double> stability(std::complex<double> z) {
  const std::complex<double> zeta = 1.0 / (1.0 - transport::pole * z);
  std::complex<double> sum = 0.0, power = 1.0;
  for (std::size_t n = 0; n <= transport::order; ++n, power *= 1.0 - zeta) sum += transport::end_weights()[n] * power;
  return sum;
}

TEST(SteppingMethod, IsStableOnTheWholeImaginaryAxis) {
  for (int k = 0; k <= 40000; ++k) EXPECT_LE(std::abs(stability({0.0, 1e-3 * k})), 1.0 + 1e-12);
  for (double y = 40.0; y < 1e8; y *= 1.1) EXPECT_LE(std::abs(stability({0.0, y})), 1.0 + 1e-12);
}

TEST(SteppingMethod, ForgetsInfinitelyFastParts) { EXPECT_NEAR(std::abs(stability({-1e14, 0.0})), 0.0, 1e-9); }

TEST(SteppingMethod, IsOfOrderEight) {
  // The geometric mean over both signs: the next term of the error cancels.
  const auto error = [](double z) {
    return std::sqrt(
        std::abs((stability({z, 0.0}).real() - std::exp(z)) * (stability({-z, 0.0}).real() - std::exp(-z))));
  };
  EXPECT_NEAR(std::log2(error(0.8) / error(0.4)), 9.0, 0.3);
}

TEST(SteppingMethod, ContinuousExtensionHitsBothEnds) {
  // Bernstein coefficients 0 and 8 are the values at the ends: d_0 alone, and the end weights.
  const auto& weights = transport::bernstein_weights();
  for (std::size_t n = 0; n <= transport::order; ++n) {
    EXPECT_NEAR(weights[0][n], n == 0 ? 1.0 : 0.0, 1e-15);
    EXPECT_NEAR(weights[transport::order][n], transport::end_weights()[n], 1e-13);
  }
}

TEST(Transient, OneStirredRoomFollowsTheExponential) {
  SiteBuilder b;
  const auto ch4 = b.methane();
  const auto room = b.space("room", 50.0);
  b.exchange("vent", room, std::nullopt, 0.02);
  b.steady("leak", room, ch4, 2e-4);
  Recorder record{room, 0, {}};
  const auto result = solved(b.site, 28800.0, record.observer());
  // The release displaces as much as it brings: outflow Q + q, dx/dt = (q - (Q + q) x)/V.
  const double q = 2e-4, through = 0.02 + q;
  for (const double t : {1.0, 60.0, 1234.5, 7200.0, 28800.0}) {
    const double exact = q / through * -std::expm1(-through * t / 50.0);
    EXPECT_NEAR(record.at(t), exact, 1e-8 * exact) << t;
  }
  EXPECT_LT(result.balance[0].relative_error(), 1e-10);
  EXPECT_NEAR(steady(b.site).fractions(room, 0), q / through, 1e-15);
}

TEST(Transient, FillingABottleDisplacesItsAirExactly) {
  SiteBuilder b;
  const auto h2 = b.hydrogen();
  const auto bottle = b.vessel("bottle", 1e-3);
  const auto room = b.space("room", 100.0);
  b.site.spaces[room.value].air_changes = 1.0 / 3600.0;
  b.opening("mouth", bottle, room);
  b.release("fill", bottle, h2, DumpRelease{b.site.conditions.pressure * 3e-3 / (gas_constant * 293.15), 60.0});
  Recorder record{bottle, 0, {}};
  solved(b.site, 60.0, record.observer());
  for (const double t : {5.0, 20.0, 40.0, 60.0}) {
    EXPECT_NEAR(record.at(t), -std::expm1(-3.0 * t / 60.0), 1e-9) << t;  // 1 - e^-n after n volumes
  }
}

TEST(Transient, TightVesselGainsPressureAndItsFractionIsARatioOfMoles) {
  SiteBuilder b;
  const auto h2 = b.hydrogen();
  const auto drum = b.vessel("drum", 0.2);
  b.steady("gassing", drum, h2, 1e-6);
  Recorder record{drum, 0, {}};
  const auto result = solved(b.site, 86400.0, record.observer());
  for (const double t : {100.0, 5000.0, 86400.0}) {
    const double gained = 1e-6 * t / 0.2;  // volumes
    EXPECT_NEAR(record.at(t), gained / (1.0 + gained), 1e-9) << t;
  }
  ASSERT_EQ(result.pressures.size(), 1u);
  EXPECT_NEAR(result.pressures[0].final_factor, 1.0 + 1e-6 * 86400.0 / 0.2, 1e-12);
  ASSERT_TRUE(result.pressures[0].reaches_110_percent);
  EXPECT_NEAR(*result.pressures[0].reaches_110_percent, 0.1 * 0.2 / 1e-6, 1e-6);
  EXPECT_LT(result.balance[0].relative_error(), 1e-9);
  const auto state = steady(b.site);
  EXPECT_FALSE(state.reached[drum.value]);
  EXPECT_NE(state.reason[drum.value].find("no way out"), std::string::npos);
}

TEST(Transient, OpenedVesselLetsItsSurplusOutAndGasIsConserved) {
  SiteBuilder b;
  const auto h2 = b.hydrogen();
  const auto drum = b.vessel("drum", 0.2);
  const auto store = b.space("store", 20.0);
  b.fan("extract", store, std::nullopt, 0.01);
  const auto lid = b.airway("lid", Opening{drum, store}, false);
  b.release("gassing", drum, h2, DumpRelease{b.site.conditions.pressure * 0.3 / (gas_constant * 293.15), 600.0});
  b.site.cases[0].events.push_back({1200.0, SetAirwayOn{lid, true}, {}});
  Recorder record{store, 0, {}};
  const auto result = solved(b.site, 3600.0, record.observer());
  // 0.5 m3 in the drum, 0.3 of it hydrogen: 0.3 m3 bursts out at 60 % and mixes as it displaces the air of the store.
  const double jump = 0.6 * -std::expm1(-0.3 / 20.0);
  EXPECT_NEAR(record.at(1200.0 + 1e-6), jump, 1e-7);
  EXPECT_LT(result.balance[0].relative_error(), 1e-9);
}

TEST(Transient, ClosedVesselsAtDifferentPressuresAreNotJoined) {
  SiteBuilder b;
  const auto h2 = b.hydrogen();
  const auto drum = b.vessel("drum", 0.2), flask = b.vessel("flask", 0.1);
  const auto hose = b.airway("hose", Opening{drum, flask}, false);
  b.release("gassing", drum, h2, DumpRelease{b.site.conditions.pressure * 0.05 / (gas_constant * 293.15), 600.0});
  b.site.cases[0].events.push_back({1200.0, SetAirwayOn{hose, true}, {}});
  const auto outcome = solve_transient(b.site, {0}, gas_tracers(b.site), 3600.0, [](const DensePiece&) {});
  const auto* fault = std::get_if<Fault>(&outcome);
  ASSERT_NE(fault, nullptr);
  EXPECT_TRUE(fault->is_bad_input());
  EXPECT_NE(fault->message.find("airway 'hose' joins 'drum' and 'flask', two sealed vessels at different pressures"),
            std::string::npos)
      << fault->message;
}

// What a cooled room draws in all stays in it, however badly it mixes: the gas is what it was, in more air. A warmed
// one lets go of its mixture.
TEST(Transient, ACooledRoomKeepsItsGas) {
  for (const double factor : {1.0, 2.0, 10.0}) {
    for (const double temperature : {278.15, 263.15, 310.15}) {
      SiteBuilder b;
      const auto h2 = b.hydrogen();
      const auto room = b.space("room", 20.0);
      b.site.spaces[0].mixing_factor = factor;
      b.opening("crack", room, std::nullopt);
      b.release("spurt", room, h2, DumpRelease{1.0, 60.0});
      b.site.cases[0].events.push_back({600.0, SetSpaceTemperature{room, temperature}, {}});
      Recorder record{room, 0, {}};
      const auto result = solved(b.site, 1200.0, record.observer());
      const double before = record.at(599.0);
      EXPECT_NEAR(record.at(1200.0), before * std::min(1.0, temperature / 293.15), 1e-9) << factor;
      EXPECT_LT(result.balance[0].relative_error(), 1e-12) << factor << " " << temperature;
    }
  }
}

// Joined before any gas comes in they rise together, and the gas that comes in stays in both.
TEST(Transient, ClosedVesselsThatAreJoinedFromTheStartShareTheirPressure) {
  SiteBuilder b;
  const auto h2 = b.hydrogen();
  const auto drum = b.vessel("drum", 0.2), flask = b.vessel("flask", 0.1);
  b.airway("hose", Opening{drum, flask});
  b.release("gassing", drum, h2, DumpRelease{b.site.conditions.pressure * 0.03 / (gas_constant * 293.15), 600.0});
  const auto result = solved(b.site, 3600.0, [](const DensePiece&) {});
  ASSERT_EQ(result.pressures.size(), 2U);
  for (const PressureTrace& trace : result.pressures) {
    EXPECT_NEAR(trace.final_factor, 1.1, 1e-9);  // 0.03 m3 of gas into 0.3 m3
  }
  EXPECT_LT(result.balance[0].relative_error(), 1e-9);
}

TEST(Transient, StiffPairOfTinyVesselAndHallKeepsItsAccuracy) {
  SiteBuilder b;
  const auto ch4 = b.methane();
  const auto tiny = b.vessel("tiny", 1e-6);
  const auto hall = b.space("hall", 1e4);
  b.exchange("mouth", tiny, hall, 1e-3);
  b.exchange("doors", hall, std::nullopt, 1.0);
  b.steady("leak", tiny, ch4, 1e-5);
  Recorder record{tiny, 0, {}};
  const auto result = solved(b.site, 28800.0, record.observer());
  // The tiny space is the hall plus q/(b + q) of what is missing to pure gas, but for the first milliseconds.
  const double q = 1e-5, b_flow = 1e-3;
  const double hall_end = result.end(hall, 0);
  EXPECT_NEAR(result.end(tiny, 0), (q + b_flow * hall_end) / (b_flow + q), 1e-9);
  EXPECT_NEAR(hall_end, q / (1.0 + q) * -std::expm1(-(1.0 + q) * 28800.0 / 1e4), 1e-8 * hall_end);
  EXPECT_LT(result.steps, 400u);
}

TEST(Transient, MixingFactorOfASteadyDiluteRoomIsKGoverQ) {
  SiteBuilder b;
  const auto ch4 = b.methane();
  const auto room = b.space("room", 30.0);
  b.site.spaces[0].mixing_factor = 4.0;
  b.exchange("vent", room, std::nullopt, 0.05);
  b.steady("leak", room, ch4, 1e-7);
  EXPECT_NEAR(steady(b.site).fractions(room, 0), 4.0 * 1e-7 / 0.05, 1e-5 * 4.0 * 1e-7 / 0.05);
  const auto result = solved(b.site, 40.0 * 4.0 * 30.0 / 0.05);
  EXPECT_NEAR(result.end(room, 0), steady(b.site).fractions(room, 0), 1e-14);
  EXPECT_LT(result.balance[0].relative_error(), 1e-10);
}

TEST(Transient, JunctionMixesWhatMeetsThere) {
  SiteBuilder b;
  const auto ch4 = b.methane();
  const auto a = b.space("a", 20.0), c = b.space("c", 40.0);
  const auto tee = b.junction("tee");
  b.fan("from-a", a, tee, 0.01);
  b.fan("from-c", c, tee, 0.03);
  b.fan("out", tee, std::nullopt, 0.04);
  b.steady("leak", a, ch4, 1e-5);
  // The rooms leak in what they need; leak displaces: less comes in from outside, the fans take what they take.
  const auto state = steady(b.site);
  EXPECT_NEAR(state.fractions(a, 0), 1e-5 / 0.01, 1e-12);
  EXPECT_NEAR(state.fractions(tee, 0), 1e-5 / 0.04, 1e-12);
  Recorder record{tee, 0, {}};
  solved(b.site, 3600.0, record.observer());
  const double exact = 1e-3 * -std::expm1(-0.01 * 1800.0 / 20.0) * 0.25;
  EXPECT_NEAR(record.at(1800.0), exact, 1e-8 * exact);
}

TEST(Transient, EventsCutTheTimeLineExactly) {
  SiteBuilder b;
  const auto ch4 = b.methane();
  const auto room = b.space("room", 50.0);
  const auto fan = b.fan("extract", room, std::nullopt, 0.05);
  b.opening("inlet", std::nullopt, room);
  b.release("burst", room, ch4, SteadyRelease{b.molar(1e-3), 300.0});
  b.site.releases[0].start = 100.0;
  b.site.cases[0].events.push_back({250.0, SetAirwayOn{fan, false}, {}});
  Recorder record{room, 0, {}};
  solved(b.site, 1000.0, record.observer());
  const double q = 1e-3, V = 50.0;
  const double at250 = q / 0.05 * -std::expm1(-0.05 * 150.0 / V);
  EXPECT_EQ(record.at(100.0), 0.0);
  EXPECT_NEAR(record.at(250.0), at250, 1e-9 * at250);
  // Fan off: only the release displaces, to 400 s; then nothing moves.
  const double at400 = 1.0 - (1.0 - at250) * std::exp(-q * 150.0 / V);
  EXPECT_NEAR(record.at(400.0), at400, 1e-9 * at400);
  EXPECT_NEAR(record.at(1000.0), at400, 1e-9 * at400);
}

TEST(Transient, NothingGoesNegativeDownALongChain) {
  SiteBuilder b;
  const auto ch4 = b.methane();
  std::vector<SpaceIndex> rooms;
  for (int i = 0; i < 60; ++i) rooms.push_back(b.space("r" + std::to_string(i), 10.0 + i % 7));
  b.fan("in", std::nullopt, rooms[0], 0.02);
  for (std::size_t i = 0; i + 1 < rooms.size(); ++i) b.fan("f" + std::to_string(i), rooms[i], rooms[i + 1], 0.02);
  b.fan("out", rooms.back(), std::nullopt, 0.02);
  b.site.spaces[0].initial = {{ch4, 0.5}};
  double lowest = 0.0;
  const auto result = solved(b.site, 28800.0, [&](const DensePiece& piece) {
    for (int k = 0; k <= 8; ++k)
      lowest = std::min(lowest, bernstein_value(piece.coefficients.first(dense_degree + 1), k / 8.0));
  });
  EXPECT_GE(lowest, -1e-15);
  EXPECT_LT(result.balance[0].relative_error(), 1e-9);
}

TEST(Steady, ClosedLoopsAreFoundAndNamed) {
  SiteBuilder b;
  const auto ch4 = b.methane();
  const auto a = b.vessel("a", 1.0), c = b.vessel("c", 2.0), apart = b.vessel("apart", 1.0);
  b.exchange("pipe", a, c, 0.01);
  b.site.spaces[a.value].initial = {{ch4, 0.3}};
  const auto state = steady(b.site);
  EXPECT_FALSE(state.reached[a.value]);
  EXPECT_FALSE(state.reached[c.value]);
  EXPECT_NE(state.reason[a.value].find("'a' and 'c'"), std::string::npos) << state.reason[a.value];
  EXPECT_TRUE(state.reached[apart.value]) << "no gas can get there";
}

TEST(Steady, SuperpositionOfCausesIsTheWhole) {
  SiteBuilder b;
  const auto ch4 = b.methane(), h2 = b.hydrogen();
  const auto a = b.space("a", 20.0), c = b.space("c", 30.0);
  b.exchange("door", a, c, 0.02);
  b.exchange("window", c, std::nullopt, 0.03);
  b.steady("one", a, ch4, 1e-4);
  b.steady("two", c, h2, 3e-4);
  const auto whole = steady(b.site);
  const auto causes = cause_tracers(b.site);
  const auto parts = std::get<SteadyFractions>(solve_steady(b.site, CaseIndex{0}, causes.tracers));
  EXPECT_NEAR(parts.fractions(a, 0), whole.fractions(a, 0), 1e-16);
  EXPECT_NEAR(parts.fractions(a, 1), whole.fractions(a, 1), 1e-16);
}

// A peak at the end of a filling vessel was once told some digits behind it, where no piece tells what brought it.
TEST(DensePiece, NoRoundingLeadsOutOfIt) {
  for (int k = 1; k <= 2000; ++k) {
    DensePiece piece;
    piece.growth = k % 4 == 0 ? 0.0 : 1e-7 * k * k;
    piece.segment_begin = 13.7 * (k % 7);
    piece.begin = piece.segment_begin + 0.37 * k;
    piece.end = piece.begin + 28800.0 / k;
    EXPECT_GE(piece.time_at(0.0), piece.begin);
    EXPECT_LE(piece.time_at(1.0), piece.end);
    EXPECT_NEAR(piece.time_at(1.0), piece.end, 1e-12 * piece.end);
    EXPECT_NEAR(piece.position_at(piece.time_at(0.3)), 0.3, 1e-9);
  }
}

}  // namespace
}  // namespace leanside
