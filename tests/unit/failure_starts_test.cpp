// SPDX-License-Identifier: Apache-2.0
// Releases that start at their worst moment, and pairs beside singles.
#include <algorithm>
#include <cmath>
#include <string>
#include <variant>
#include <vector>

#include <gtest/gtest.h>

#include "leanside/report.hpp"
#include "unit/failing_sites.hpp"

namespace leanside {
namespace {

using testing::SiteBuilder;
using testing::store;
using testing::studied;

/// The only outcome of one kind.
const FailureOutcome& outcome_of(const FailureStudy& study, FailureKind kind) {
  const auto found = std::find_if(study.outcomes.begin(), study.outcomes.end(), [&](const FailureOutcome& o) {
    return o.failures.size() == 1 && study.failures[o.failures[0]].kind == kind;
  });
  EXPECT_NE(found, study.outcomes.end());
  return *found;
}

/// A room with a steady seep and a dump that is off; `amount` m3 over `over` s.
SiteBuilder seep_and_dump(double amount, double over) {
  SiteBuilder b;
  const GasIndex methane = b.methane();
  const SpaceIndex room = b.space("room", 100.0);
  b.site.spaces[0].air_changes = 1.0 / 3600.0;
  b.steady("seep", room, methane, 0.044 / 60.0);
  const ReleaseIndex hose = b.release("hose", room, methane, DumpRelease{b.molar(amount), over});
  b.site.releases[hose.value].on = false;
  return b;
}

TEST(Failures, ReleaseStartsFromTheSteadyStateOfTheOthers) {
  const SiteBuilder b = seep_and_dump(2.5, 60.0);
  FailureOptions options;
  options.in_time = InTime::always;
  const FailureOutcome hose = outcome_of(studied(b.site, options), FailureKind::release_starts);
  ASSERT_FALSE(hose.consequences.empty());
  EXPECT_EQ(hose.consequences[0].severity, Severity::flammable);
  // By hand: the seep's G/(Q + G), then one minute with both, what comes in pushing out as much.
  const double q = 100.0 / 3600.0, seep = 0.044 / 60.0, dump = 2.5 / 60.0;
  const double before = seep / (q + seep), tends_to = (seep + dump) / (q + seep + dump);
  const double after = tends_to + (before - tends_to) * std::exp(-(q + seep + dump) * 60.0 / 100.0);
  EXPECT_NEAR(hose.consequences[0].lfl_fraction, after / 0.044, 1e-3);
  EXPECT_GT(hose.consequences[0].lfl_fraction, 1.12);
  ASSERT_TRUE(hose.consequences[0].starts && hose.consequences[0].time);
  EXPECT_GT(*hose.consequences[0].starts, 4.0 * 3600.0);
  EXPECT_GT(*hose.consequences[0].time, *hose.consequences[0].starts);
  EXPECT_LT(*hose.consequences[0].time, *hose.consequences[0].starts + 60.0);
}

TEST(Failures, JudgesTheWholeReleaseBeyondTheHorizon) {
  // 20 h of release with a horizon of 1 h: x = D/(Q + D) beside the seep, all but reached after 20 h.
  SiteBuilder b = seep_and_dump(40.0, 20.0 * 3600.0);
  b.site.criteria.horizon = 3600.0;
  FailureOptions options;
  options.in_time = InTime::always;
  const FailureOutcome hose = outcome_of(studied(b.site, options), FailureKind::release_starts);
  ASSERT_FALSE(hose.consequences.empty());
  const double q = 100.0 / 3600.0, in = 0.044 / 60.0 + 40.0 / 72000.0;
  EXPECT_NEAR(hose.consequences[0].lfl_fraction, in / (q + in) / 0.044, 1e-6);
}

TEST(Failures, MomentsOfAStart) {
  SiteBuilder b = seep_and_dump(2.5, 600.0);
  const std::vector<ReleaseIndex> hose{ReleaseIndex{1}};
  // The seep is within 1 % of its steady state well before the horizon of 8 h.
  auto moments = std::get<StartMoments>(start_moments(b.site, hose));
  EXPECT_EQ(moments.at, (std::vector<double>{0.0, 28800.0}));
  EXPECT_EQ(moments.until, 57600.0);
  b.site.criteria.horizon = 3600.0;  // ... but not within one: 2, 4, 8 h are tried
  moments = std::get<StartMoments>(start_moments(b.site, hose));
  EXPECT_EQ(moments.at, (std::vector<double>{0.0, 3600.0, 8.0 * 3600.0}));
  b.site.cases[0].events = {{1800.0, SetReleaseOn{ReleaseIndex{0}, false}, {}}};
  moments = std::get<StartMoments>(start_moments(b.site, hose));
  EXPECT_TRUE(std::ranges::count(moments.at, 1800.0) == 1 && std::ranges::count(moments.at, 1200.0) == 1);
  for (int k = 0; k < 20; ++k) b.site.cases[0].events.push_back({2000.0 + 40.0 * k, SetReleaseOn{{}, false}, {}});
  moments = std::get<StartMoments>(start_moments(b.site, hose));
  EXPECT_EQ(moments.at.size(), 12u);
  EXPECT_GT(moments.left_out, 0u);
  EXPECT_EQ(moments.at.front(), 0.0);
  b.site.cases[0].events.clear();
  b.site.releases[0].on = false;  // no gas: any moment is like any other
  moments = std::get<StartMoments>(start_moments(b.site, hose));
  EXPECT_EQ(moments.at, std::vector<double>{0.0});
  EXPECT_EQ(moments.until, 3600.0);
}

TEST(Failures, ShowsPairsThatAreWorseTogether) {
  // Two fans, each enough by itself.
  SiteBuilder b;
  const SpaceIndex room = b.space("store", 12.0);
  b.fan("one", room, std::nullopt, 0.01);
  b.fan("two", room, std::nullopt, 0.01);
  b.opening("grille", std::nullopt, room);
  b.steady("regulator", room, b.methane(), 2.0 / 60000.0);
  FailureOptions options;
  options.pairs = true;
  options.in_time = InTime::never;
  const FailureStudy study = studied(b.site, options);
  EXPECT_EQ(study.pairs_solved, 3u);
  ASSERT_EQ(study.outcomes.size(), 4u);  // of the pairs only that of the two fans
  EXPECT_EQ(study.pairs_worse, 1u);
  const FailureOutcome& pair = study.outcomes[study.groups.back().outcomes[0]];
  ASSERT_EQ(pair.failures.size(), 2u);
  EXPECT_EQ(study.failures[pair.failures[0]].kind, FailureKind::fan_off);
  EXPECT_EQ(study.failures[pair.failures[1]].kind, FailureKind::fan_off);
  EXPECT_TRUE(study.dependences.empty());
}

void expect_same(const FailureStudy& singles, const FailureStudy& both) {
  EXPECT_EQ(singles.in_time, both.in_time);
  ASSERT_LE(singles.groups.size(), both.groups.size());
  for (std::size_t g = 0; g < singles.groups.size(); ++g) {
    EXPECT_EQ(singles.groups[g].outcomes, both.groups[g].outcomes);
    const FailureOutcome &a = singles.outcomes[singles.groups[g].outcomes[0]],
                         &b = both.outcomes[both.groups[g].outcomes[0]];
    ASSERT_EQ(a.consequences.size(), b.consequences.size());
    for (std::size_t k = 0; k < a.consequences.size(); ++k) {
      EXPECT_EQ(a.consequences[k].lfl_fraction, b.consequences[k].lfl_fraction);
      EXPECT_EQ(a.consequences[k].time, b.consequences[k].time);
      EXPECT_EQ(a.consequences[k].severity, b.consequences[k].severity);
    }
  }
}

TEST(Failures, PairsLeaveSinglesUnchanged) {
  FailureOptions options;
  const FailureStudy singles = studied(store().site, options);
  options.pairs = true;
  const FailureStudy both = studied(store().site, options);
  EXPECT_TRUE(both.in_time && both.pairs_in_time);
  expect_same(singles, both);
  EXPECT_GT(both.pairs_solved, 0u);
}

TEST(Failures, ManyPairsLeaveTheSinglesInTime) {
  SiteBuilder b;
  const GasIndex methane = b.methane();
  for (int k = 0; k < 30; ++k) {
    const std::string id = std::to_string(k);
    const SpaceIndex room = b.space("room-" + id, 20.0 + k);
    b.fan("fan-" + id, room, std::nullopt, 0.005);
    b.fan("spare-" + id, room, std::nullopt, 0.005);
    b.opening("grille-" + id, std::nullopt, room);
    if (k < 3) b.steady("leak-" + id, room, methane, 5e-5);
  }
  FailureOptions options;
  const FailureStudy singles = studied(b.site, options);
  options.pairs = true;
  const FailureStudy both = studied(b.site, options);
  EXPECT_TRUE(both.in_time);
  EXPECT_FALSE(both.pairs_in_time);
  expect_same(singles, both);
  // Each fan is enough by itself: of the pairs those of the two fans of a room with a leak are worse.
  EXPECT_EQ(both.pairs_worse, 3u);
  const std::string text = failures_text(b.site, {&both, 1}, TextStyle{});
  EXPECT_NE(text.find("the pairs in steady state, the worst 3 over time as well"), std::string::npos) << text;
}

}  // namespace
}  // namespace leanside
