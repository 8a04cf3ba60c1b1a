// SPDX-License-Identifier: Apache-2.0
// How the time of a run is cut into stretches, and which stretches follow from it.
#include "transport/run/timeline.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include <gtest/gtest.h>

#include "leanside/advanced/release.hpp"
#include "support/build_site.hpp"
#include "transport/transient/run.hpp"
#include "transport/transient/segments.hpp"

namespace leanside::transport {
namespace {

using testing::SiteBuilder;

/// `amount` mol of a liquid with a vapour pressure of 20 kPa, evaporating through k A = `speed` m3/s.
SpillRelease spill(double amount, double speed) {
  SpillRelease r;
  r.amount = amount;
  r.pool = {1.0, speed, 2e4, 293.15};
  return r;
}

struct Timed {
  explicit Timed(const Site& site, double horizon = 3600.0)
      : setup(site, CaseIndex{0}, carried_columns(site, gas_tracers(site), may_follow_gas(site))),
        timeline(setup, horizon),
        state(initial_state(site, CaseIndex{0}, setup.columns.tracers)) {}
  std::vector<double> breakpoints() const { return {timeline.breakpoints().begin(), timeline.breakpoints().end()}; }
  RunSetup setup;
  Timeline timeline;
  RunState state;
};

using Times = std::vector<double>;

TEST(Timeline, HasOneStretchWhereNothingHappens) {
  SiteBuilder b;
  b.space("lab", 50.0);
  const Timed timed(b.site);
  EXPECT_EQ(timed.breakpoints(), (Times{0.0, 3600.0}));
  const Stretch stretch = timed.timeline.stretch(0.0, timed.state);
  EXPECT_EQ(stretch.from, 0.0);
  EXPECT_EQ(stretch.to, 3600.0);
  EXPECT_TRUE(stretch.varying.empty());
}

TEST(Timeline, BreaksAtEventsAndAtStartsAndStopsOfReleases) {
  SiteBuilder b;
  const auto lab = b.space("lab", 50.0);
  const auto fan = b.fan("extract", lab, std::nullopt, 0.1);
  const auto leak = b.release("leak", lab, b.methane(), SteadyRelease{0.01, 600.0});
  b.site.releases[leak.value].start = 300.0;
  b.site.cases[0].events.push_back({1200.0, SetAirwayOn{fan, false}, {}});
  const Timed timed(b.site);
  EXPECT_EQ(timed.breakpoints(), (Times{0.0, 300.0, 900.0, 1200.0, 3600.0}));
  const auto rate = [&](double t) { return timed.timeline.stretch(t, timed.state).state.release_rate[leak.value]; };
  EXPECT_EQ(rate(0.0), 0.0);
  EXPECT_EQ(rate(300.0), 0.01);
  EXPECT_EQ(rate(899.0), 0.01);
  EXPECT_EQ(rate(900.0), 0.0);
  EXPECT_TRUE(timed.timeline.stretch(900.0, timed.state).state.airway_on[fan.value]);
  EXPECT_FALSE(timed.timeline.stretch(1200.0, timed.state).state.airway_on[fan.value]);
}

TEST(Timeline, TakesSimultaneousEventsTogether) {
  SiteBuilder b;
  const auto lab = b.space("lab", 50.0), store = b.space("store", 20.0);
  const auto extract = b.fan("extract", lab, std::nullopt, 0.1), transfer = b.fan("transfer", lab, store, 0.05);
  const auto leak = b.release("leak", lab, b.methane(), SteadyRelease{0.01, std::nullopt});
  b.site.cases[0].events = {{600.0, SetAirwayOn{extract, false}, {}},
                            {600.0, SetAirwayFlow{transfer, 0.02}, {}},
                            {600.0, SetReleaseOn{leak, false}, {}},
                            {600.0, SetAirwayFlow{transfer, 0.03}, {}}};
  const Timed timed(b.site);
  EXPECT_EQ(timed.breakpoints(), (Times{0.0, 600.0, 3600.0}));
  const Stretch before = timed.timeline.stretch(0.0, timed.state), after = timed.timeline.stretch(600.0, timed.state);
  EXPECT_TRUE(before.state.airway_on[extract.value]);
  EXPECT_FALSE(after.state.airway_on[extract.value]);
  EXPECT_EQ(before.state.airway_flow[transfer.value], 0.05);
  EXPECT_EQ(after.state.airway_flow[transfer.value], 0.03) << "the later of two events at the same time counts";
  EXPECT_EQ(before.state.release_rate[leak.value], 0.01);
  EXPECT_EQ(after.state.release_rate[leak.value], 0.0);
}

TEST(Timeline, ReleaseSwitchedOffAndOnAgainGivesItsWholeAmount) {
  SiteBuilder b;
  const auto lab = b.space("lab", 50.0);
  const auto bottle = b.release("bottle", lab, b.methane(), DumpRelease{10.0, 1000.0});
  b.site.cases[0].events = {{400.0, SetReleaseOn{bottle, false}, {}}, {700.0, SetReleaseOn{bottle, true}, {}}};
  const Timed timed(b.site);
  EXPECT_EQ(timed.breakpoints(), (Times{0.0, 400.0, 700.0, 1300.0, 3600.0}));
  double given = 0.0;
  for (double t = 0.0; t < 3600.0;) {
    const Stretch stretch = timed.timeline.stretch(t, timed.state);
    given += stretch.state.release_rate[bottle.value] * (stretch.to - stretch.from);
    t = stretch.to;
  }
  EXPECT_NEAR(given, 10.0, 1e-12);
}

TEST(Timeline, EventsBeyondTheHorizonAndAtItsEndsAddNoBreakpoint) {
  SiteBuilder b;
  const auto lab = b.space("lab", 50.0);
  const auto fan = b.fan("extract", lab, std::nullopt, 0.1);
  for (const double at : {0.0, 3600.0, 7200.0}) b.site.cases[0].events.push_back({at, SetAirwayOn{fan, false}, {}});
  const Timed timed(b.site);
  EXPECT_EQ(timed.breakpoints(), (Times{0.0, 3600.0}));
  EXPECT_FALSE(timed.timeline.stretch(0.0, timed.state).state.airway_on[fan.value]) << "an event at 0 counts at once";
  EXPECT_EQ(Timed(b.site, 0.0).breakpoints(), (Times{0.0}));
}

TEST(Timeline, BreaksWhereTheFlowFromACylinderCeasesToBeChoked) {
  SiteBuilder b;
  const auto lab = b.space("lab", 50.0);
  const auto bottle = b.release("bottle", lab, b.hydrogen(),
                                CylinderRelease{{293.15, 0.002016, 1.406}, {0.001, 0.85}, 0.05, 2e7, 101325.0});
  const Timed timed(b.site, 24.0 * 3600.0);
  const auto ages = breakpoints(b.site.releases[bottle.value]);
  ASSERT_EQ(ages.size(), 1u);
  const Times breakpoints = timed.breakpoints();
  EXPECT_TRUE(std::find(breakpoints.begin(), breakpoints.end(), ages.front()) != breakpoints.end());
  const Stretch stretch = timed.timeline.stretch(0.0, timed.state);
  EXPECT_EQ(stretch.to, ages.front());
  ASSERT_EQ(stretch.varying, (std::vector<ReleaseIndex>{bottle}));
  EXPECT_EQ(stretch.state.release_rate[bottle.value], emission_rate(b.site.releases[bottle.value], 0.0));
}

TEST(Timeline, SpillVariesUntilItIsDry) {
  SiteBuilder b;
  const auto lab = b.space("lab", 50.0);
  const auto acetone = b.release("acetone", lab, b.methane(), spill(2.0, 1e-3));
  Timed timed(b.site);
  EXPECT_EQ(timed.state.stock[acetone.value], 2.0);
  const Stretch wet = timed.timeline.stretch(0.0, timed.state);
  EXPECT_EQ(wet.varying, (std::vector<ReleaseIndex>{acetone}));
  EXPECT_GT(wet.state.release_rate[acetone.value], 0.0);
  timed.state.stock[acetone.value] = 0.0;
  const Stretch dry = timed.timeline.stretch(0.0, timed.state);
  EXPECT_TRUE(dry.varying.empty());
  EXPECT_EQ(dry.state.release_rate[acetone.value], 0.0);
}

TEST(Timeline, SpillEvaporatesMoreSlowlyIntoItsOwnVapour) {
  SiteBuilder b;
  const auto lab = b.space("lab", 50.0);
  const auto acetone = b.release("acetone", lab, b.methane(), spill(2.0, 1e-3));
  Timed timed(b.site);
  const double clean = timed.timeline.stretch(0.0, timed.state).state.release_rate[acetone.value];
  const double half_saturated = 0.5 * 2e4 / b.site.conditions.pressure;
  timed.state.x(lab, 0) = half_saturated;
  const double there = timed.timeline.stretch(0.0, timed.state).state.release_rate[acetone.value];
  EXPECT_NEAR(there, 0.5 * clean, 1e-12 * clean);
}

/// A run of all gases of a site, and its pieces.
struct Ran {
  explicit Ran(const Site& site, double horizon = 3600.0) {
    RunObservers observers;
    observers.pieces = [this](const DensePiece& piece) {
      pieces.push_back(piece);
      pieces.back().coefficients = {};
    };
    observers.segments = [this](const Segment& segment) { segments.push_back(segment); };
    auto outcome = run(site, CaseIndex{0}, gas_tracers(site), horizon, observers);
    if (const auto* fault = std::get_if<Fault>(&outcome)) {
      ADD_FAILURE() << fault->message;
      return;
    }
    result = std::move(std::get<RunOutcome>(outcome).result);
  }
  std::vector<DensePiece> pieces;
  std::vector<Segment> segments;
  TransientResult result;
};

TEST(Run, GoesOnWithConstantFlowsOnceASpillIsDry) {
  SiteBuilder b;
  const auto lab = b.space("lab", 50.0);
  b.fan("extract", lab, std::nullopt, 0.05);
  b.release("acetone", lab, b.methane(), spill(0.5, 1e-3));
  const Ran ran(b.site);
  ASSERT_EQ(ran.result.releases.size(), 1u);
  ASSERT_TRUE(ran.result.releases[0].spent.has_value());
  const double dry = *ran.result.releases[0].spent;
  EXPECT_GT(dry, 0.0);
  EXPECT_LT(dry, 3600.0);
  EXPECT_NEAR(ran.result.releases[0].amount, 0.5, 1e-12);
  ASSERT_EQ(ran.segments.size(), 1u) << "one stretch with constant coefficients";
  EXPECT_EQ(ran.segments[0].from, dry);
  EXPECT_EQ(ran.segments[0].to, 3600.0);
}

TEST(Run, PiecesOfASpaceJoinFromOneStepperToTheNext) {
  SiteBuilder b;
  const auto lab = b.space("lab", 50.0);
  b.fan("extract", lab, std::nullopt, 0.05);
  const auto methane = b.methane();
  b.release("acetone", lab, methane, spill(0.5, 1e-3));
  const auto leak = b.release("leak", lab, methane, SteadyRelease{0.001, 600.0});
  b.site.releases[leak.value].start = 3000.0;
  const Ran ran(b.site);
  ASSERT_FALSE(ran.pieces.empty());
  double end = 0.0;
  for (const DensePiece& piece : ran.pieces) {
    EXPECT_EQ(piece.space, lab);
    EXPECT_EQ(piece.begin, end);
    EXPECT_GE(piece.end, piece.begin);
    end = piece.end;
  }
  EXPECT_EQ(end, 3600.0);
}

TEST(Run, BurstIsASegmentOfItsOwn) {
  SiteBuilder b;
  const auto drum = b.vessel("drum", 0.5), store = b.space("store", 20.0);
  b.fan("extract", store, std::nullopt, 0.01);
  const auto lid = b.airway("lid", Opening{drum, store}, false);
  b.release("gassing", drum, b.hydrogen(), DumpRelease{5.0, 600.0});
  b.site.cases[0].events.push_back({1200.0, SetAirwayOn{lid, true}, {}});
  const Ran ran(b.site);
  ASSERT_EQ(ran.segments.size(), 4u);
  for (std::size_t k = 0; k < 4; ++k) EXPECT_EQ(ran.segments[k].is_burst(), k == 2) << k;
  EXPECT_EQ(ran.segments[2].from, 1200.0);
  for (const DensePiece& piece : ran.pieces) EXPECT_LT(piece.begin, piece.end) << "a burst has no pieces";
  ASSERT_EQ(ran.result.pressures.size(), 1u);
  EXPECT_EQ(ran.result.pressures[0].space, drum);
  EXPECT_EQ(ran.result.pressures[0].final_factor, 1.0);
  EXPECT_NEAR(ran.result.pressures[0].largest_factor,
              1.0 + 5.0 / moles_held(b.site.spaces[drum.value], b.site.conditions), 1e-12);
}

TEST(Run, KeepsNoSegmentsWhereAReleaseVaries) {
  SiteBuilder b;
  const auto lab = b.space("lab", 50.0);
  b.fan("extract", lab, std::nullopt, 0.05);
  const auto methane = b.methane();
  b.release("leak", lab, methane, SteadyRelease{0.001, 600.0});
  auto constant = segments_of(b.site, CaseIndex{0}, 3600.0);
  ASSERT_TRUE(std::get_if<0>(&constant));
  ASSERT_TRUE(std::get<0>(constant).has_value());
  EXPECT_EQ(std::get<0>(constant)->size(), 2u);
  const auto acetone = b.release("acetone", lab, methane, spill(0.5, 1e-3));
  b.site.releases[acetone.value].start = 1800.0;
  const auto varying = segments_of(b.site, CaseIndex{0}, 3600.0);
  ASSERT_TRUE(std::get_if<0>(&varying));
  EXPECT_FALSE(std::get<0>(varying).has_value());
}

}  // namespace
}  // namespace leanside::transport
