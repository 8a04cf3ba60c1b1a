// SPDX-License-Identifier: Apache-2.0
// The events of a run, and what the observers that make up its result note.
#include <array>
#include <cmath>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "support/build_site.hpp"
#include "transport/run/flow_notes.hpp"
#include "transport/run/mole_balance.hpp"
#include "transport/run/pressure_traces.hpp"
#include "transport/run/release_traces.hpp"
#include "transport/run/signals.hpp"

namespace leanside::transport {
namespace {

/// So many sealed vessels without a rating.
Site site_of(std::size_t vessels) {
  Site site;
  site.spaces.resize(vessels);
  return site;
}

using testing::SiteBuilder;

TEST(Signal, CallsObserversInOrderOfSubscription) {
  Signal<int> signal;
  EXPECT_FALSE(signal.has_observers());
  signal.subscribe({});
  EXPECT_FALSE(signal.has_observers()) << "an empty observer is none";
  std::string heard;
  signal.subscribe([&](const int& event) { heard += "a" + std::to_string(event); });
  signal.subscribe([&](const int& event) { heard += "b" + std::to_string(event); });
  EXPECT_TRUE(signal.has_observers());
  signal.notify(1);
  signal.notify(2);
  EXPECT_EQ(heard, "a1b1a2b2");
}

TEST(PieceSignal, RemembersWhichSpacesHadPieces) {
  PieceSignal pieces(2);
  std::vector<std::size_t> spaces;
  pieces.subscribe([&](const DensePiece& piece) { spaces.push_back(piece.space.value); });
  DensePiece piece;
  piece.space = SpaceIndex{1};
  pieces.notify(piece);
  EXPECT_FALSE(pieces.reported(SpaceIndex{0}));
  EXPECT_TRUE(pieces.reported(SpaceIndex{1}));
  EXPECT_EQ(spaces, std::vector<std::size_t>{1});
}

TEST(PressureTraces, FindWhenALinearRiseCrossesALevel) {
  PressureTraces traces(site_of(2));
  const std::array<double, 2> first{1.0, 1.05}, second{1.05, 2.05};
  traces.note({SpaceIndex{1}, 0.0, 100.0, first});
  traces.note({SpaceIndex{1}, 100.0, 200.0, second});
  const std::vector<double> end{1.0, 2.05};
  const auto found = traces.traces(end);
  ASSERT_EQ(found.size(), 1u) << "only spaces that held pressure";
  EXPECT_EQ(found[0].space, SpaceIndex{1});
  EXPECT_EQ(found[0].largest_factor, 2.05);
  EXPECT_EQ(found[0].final_factor, 2.05);
  EXPECT_NEAR(found[0].reaches_110_percent.value(), 105.0, 1e-9);
  EXPECT_NEAR(found[0].reaches_200_percent.value(), 195.0, 1e-9);
}

TEST(PressureTraces, JumpCrossesEveryLevelAtOnceAndTheFirstCrossingCounts) {
  PressureTraces traces(site_of(1));
  const std::array<double, 1> jump{1.5}, higher{3.0};
  traces.note({SpaceIndex{0}, 40.0, 40.0, jump});
  traces.note({SpaceIndex{0}, 70.0, 70.0, higher});
  const auto found = traces.traces(std::vector<double>{1.0});
  ASSERT_EQ(found.size(), 1u);
  EXPECT_EQ(found[0].reaches_110_percent.value(), 40.0);
  EXPECT_EQ(found[0].reaches_200_percent.value(), 70.0);
  EXPECT_EQ(found[0].largest_factor, 3.0);
  EXPECT_EQ(found[0].final_factor, 1.0);
}

TEST(PressureTraces, FollowACurvedRise) {
  // 1 + 2 s^2 in Bernstein form of degree 2 is {1, 1, 3}: it passes 1.1 at s = sqrt(0.05) and 2 at sqrt(0.5).
  PressureTraces traces(site_of(1));
  const std::array<double, 3> factor{1.0, 1.0, 3.0};
  traces.note({SpaceIndex{0}, 100.0, 200.0, factor});
  const auto found = traces.traces(std::vector<double>{3.0});
  ASSERT_EQ(found.size(), 1u);
  EXPECT_NEAR(found[0].reaches_110_percent.value(), 100.0 + 100.0 * std::sqrt(0.05), 1e-9);
  EXPECT_NEAR(found[0].reaches_200_percent.value(), 100.0 + 100.0 * std::sqrt(0.5), 1e-9);
}

TEST(FlowNotes, KeepTheLargestLeakAndWhateverHappenedAtAnyTime) {
  SiteBuilder b;
  const auto lab = b.space("lab", 50.0), store = b.space("store", 20.0);
  const auto fan = b.fan("extract", lab, std::nullopt, 0.1);
  FlowNotes notes(b.site);
  FlowField field;
  field.leaks = {{lab, 0.2}};
  notes.note(field);
  field.leaks = {{lab, -0.5}};
  field.off_curve = {fan};
  notes.note(field);
  field.leaks = {{lab, 0.1}};
  field.off_curve = {};
  field.unvented = {store};
  notes.note(field);
  TransientResult result;
  notes.write(result);
  ASSERT_EQ(result.leaks.size(), 1u);
  EXPECT_EQ(result.leaks[0].space, lab);
  EXPECT_EQ(result.leaks[0].rate, -0.5);
  EXPECT_EQ(result.off_curve, std::vector<AirwayIndex>{fan});
  EXPECT_EQ(result.unvented, std::vector<SpaceIndex>{store});
  EXPECT_TRUE(result.overflowing.empty());
}

TEST(ReleaseTraces, KnowConstantReleasesBeforehandAndAddUpVaryingOnes) {
  SiteBuilder b;
  const auto lab = b.space("lab", 50.0);
  const auto methane = b.methane();
  const auto seep = b.release("seep", lab, methane, SteadyRelease{0.01, std::nullopt});
  const auto dump = b.release("dump", lab, methane, DumpRelease{10.0, 1000.0});
  const auto late = b.release("late", lab, methane, DumpRelease{10.0, 1000.0});
  b.site.releases[late.value].start = 3000.0;
  SpillRelease pool;
  pool.amount = 3.0;
  pool.pool = {1.0, 1e-3, 2e4, 293.15};
  const auto spill = b.release("spill", lab, methane, pool);
  const ReleaseSchedule schedule(b.site, CaseIndex{0});
  ReleaseTraces traces(b.site, schedule, 3600.0);
  traces.note({spill, 1.0, std::nullopt});
  traces.note({spill, 2.0, 1234.0});
  const auto& found = traces.traces();
  ASSERT_EQ(found.size(), 4u);
  EXPECT_NEAR(found[seep.value].amount, 36.0, 1e-12);
  EXPECT_FALSE(found[seep.value].spent.has_value());
  EXPECT_NEAR(found[dump.value].amount, 10.0, 1e-12);
  EXPECT_EQ(found[dump.value].spent.value(), 1000.0);
  EXPECT_NEAR(found[late.value].amount, 6.0, 1e-12);
  EXPECT_FALSE(found[late.value].spent.has_value());
  EXPECT_EQ(found[spill.value].amount, 3.0);
  EXPECT_EQ(found[spill.value].spent.value(), 1234.0);
}

TEST(MoleBalance, CountsWhatIsHeldReleasedAndGone) {
  SiteBuilder b;
  const auto lab = b.space("lab", 50.0);
  const auto methane = b.methane();
  b.site.spaces[lab.value].initial = {{methane, 0.02}};
  b.release("seep", lab, methane, SteadyRelease{0.01, std::nullopt});
  const RunSetup setup(b.site, CaseIndex{0}, carried_columns(b.site, gas_tracers(b.site), false));
  RunState state = initial_state(b.site, CaseIndex{0}, setup.columns.tracers);
  const MoleBalance balance(setup, state);
  state.x(lab, 0) = 0.03;
  state.gone[0] = 1.5;
  const double moles = moles_held(b.site.spaces[lab.value], b.site.conditions);
  const auto found = balance.close(state, std::vector<ReleaseTrace>{{36.0, std::nullopt}});
  ASSERT_EQ(found.size(), 1u);
  EXPECT_NEAR(found[0].initial, 0.02 * moles, 1e-12 * moles);
  EXPECT_NEAR(found[0].held, 0.03 * moles, 1e-12 * moles);
  EXPECT_EQ(found[0].released, 36.0);
  EXPECT_EQ(found[0].gone, 1.5);
}

TEST(Columns, GasesComeFirstWhereSomethingFollowsThem) {
  SiteBuilder b;
  const auto lab = b.space("lab", 50.0);
  b.release("seep", lab, b.methane(), SteadyRelease{0.01, std::nullopt});
  const auto gases = gas_tracers(b.site);
  const std::vector<Tracer> causes{Tracer{{}, {{lab, 1.0}}}, Tracer{}};
  const Columns free = carried_columns(b.site, causes, false);
  EXPECT_EQ(free.first, 0u);
  EXPECT_EQ(free.count(), 2u);
  const Columns following = carried_columns(b.site, causes, true);
  EXPECT_EQ(following.first, 1u);
  EXPECT_EQ(following.asked, 2u);
  EXPECT_EQ(following.count(), 3u);
  EXPECT_EQ(following.tracers.front(), gases.front());
  const Columns same = carried_columns(b.site, gases, true);
  EXPECT_EQ(same.first, 0u);
  EXPECT_EQ(same.count(), 1u);
}

}  // namespace
}  // namespace leanside::transport
