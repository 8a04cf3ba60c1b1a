// SPDX-License-Identifier: Apache-2.0
#include "leanside/study/size.hpp"

#include <algorithm>
#include <cmath>
#include <string>
#include <variant>

#include <gtest/gtest.h>

#include "bench/building.hpp"
#include "leanside/report.hpp"
#include "leanside/site_file.hpp"
#include "leanside/study/sweep.hpp"
#include "leanside/units.hpp"
#include "support/build_site.hpp"

namespace leanside {
namespace {

using testing::SiteBuilder;

Sizing sized(const Site& site, const SizeOptions& options = {}) {
  auto outcome = size_site(site, options);
  EXPECT_TRUE(std::holds_alternative<Sizing>(outcome));
  return std::get<Sizing>(std::move(outcome));
}

/// One room, a fan that draws, a grille, a leak.
SiteBuilder store(double flow, double leak) {
  SiteBuilder b;
  const GasIndex methane = b.methane();
  const SpaceIndex room = b.space("store", 12.0);
  b.fan("extract", room, std::nullopt, flow);
  b.opening("grille", std::nullopt, room);
  b.steady("regulator", room, methane, leak);
  return b;
}

TEST(Size, LeastAirOfOneRoomIsTheClosedForm) {
  const double leak = 4.0 / 60000.0, enough = leak / (0.25 * 0.044);  // m3/s
  SizeOptions options;
  options.may_lower = true;
  for (const double now : {0.0005, 0.05}) {  // too little and far too much
    const Sizing s = sized(store(now, leak).site, options);
    ASSERT_TRUE(s.found) << s.reason;
    ASSERT_EQ(s.fans.size(), 1u);
    EXPECT_NEAR(s.fans[0].least, enough, 3e-6 * enough);
    EXPECT_GE(s.fans[0].flow, s.fans[0].least);
    EXPECT_LT(s.fans[0].flow - s.fans[0].least, 10.0 / 3600.0);
    EXPECT_NEAR(std::remainder(s.fans[0].flow, 10.0 / 3600.0), 0.0, 1e-12);
    EXPECT_EQ(s.before.empty(), now > enough);
    ASSERT_FALSE(s.binding.empty());
    EXPECT_LT(s.binding[0].lfl_fraction, 0.25);
  }
}

TEST(Size, LowersNoFlowUnlessAsked) {
  const Sizing s = sized(store(0.05, 4.0 / 60000.0).site);
  ASSERT_TRUE(s.found);
  EXPECT_EQ(s.fans[0].flow, 0.05);
  EXPECT_TRUE(s.before.empty() && s.remaining.empty());
  EXPECT_EQ(s.runs, 1u);
  // Two fans, of which one is far larger than its room needs: it stays, though the other is raised.
  SiteBuilder b = store(0.001, 1e-4);
  const SpaceIndex other = b.space("other", 30.0);
  b.fan("other-extract", other, std::nullopt, 0.05);
  b.opening("other-grille", std::nullopt, other);
  const Sizing two = sized(b.site);
  ASSERT_TRUE(two.found);
  EXPECT_NEAR(two.fans[0].least, 1e-4 / (0.25 * 0.044), 2e-3 * two.fans[0].least);
  EXPECT_EQ(two.fans[1].flow, 0.05);
}

/// Severities other than notes that are left with the flows of an answer.
std::vector<std::string> left_with(const Site& site) {
  const auto outcome = assess(site);
  std::vector<std::string> out;
  for (const Warning& w : std::get<Assessment>(outcome).warnings) {
    if (w.severity == Severity::note) continue;
    out.push_back(site.cases[w.case_index.value].id + " " + site.spaces[w.space.value].id + " " +
                  std::string{word_of(w.severity)});
  }
  return out;
}

TEST(Size, OxygenCounts) {
  // Nitrogen G, a fan that draws Q: oxygen is 20.95 % (1 - G/Q), and 19.5 % is the least.
  SiteBuilder b;
  const SpaceIndex room = b.space("dewars", 50.0);
  b.fan("extract", room, std::nullopt, 0.03);
  b.opening("grille", std::nullopt, room);
  b.steady("boil-off", room, b.nitrogen(), 0.005);
  const Sizing s = sized(b.site);
  ASSERT_EQ(s.before.size(), 1u);
  EXPECT_EQ(s.before[0].severity, Severity::oxygen);
  ASSERT_TRUE(s.found) << s.reason;
  const double enough = 0.005 / (1.0 - 0.195 / 0.2095);
  EXPECT_NEAR(s.fans[0].least, enough, 1e-6 * enough);
  EXPECT_EQ(left_with(with_sizes(b.site, s)), std::vector<std::string>{});
  SizeOptions options;
  options.release = ReleaseIndex{0};
  const Sizing largest = sized(b.site, options);
  ASSERT_TRUE(largest.found) << largest.reason;
  EXPECT_NEAR(largest.factor, 0.03 * (1.0 - 0.195 / 0.2095) / 0.005, 1e-3);
}

/// A charger room whose fan a case sets back.
SiteBuilder set_back(double base, double night, double leak) {
  SiteBuilder b = store(base, leak);
  b.new_case("night", {{600.0, SetAirwayFlow{AirwayIndex{0}, night}, {}}});
  return b;
}

TEST(Size, NamesTheFlowThatAnEventMustSet) {
  const double leak = 4.0 / 60000.0, enough = leak / (0.25 * 0.044);
  SiteBuilder b = set_back(2.0 * enough, 0.5 * enough, leak);
  const Sizing s = sized(b.site);
  ASSERT_TRUE(s.found) << s.reason;
  EXPECT_EQ(s.fans[0].flow, 2.0 * enough) << "no base flow changes the night";
  ASSERT_EQ(s.remaining.size(), 1u);
  EXPECT_EQ(s.remaining[0].why, Obstacle::event);
  EXPECT_EQ(s.remaining[0].warning.case_index, CaseIndex{1});
  ASSERT_EQ(s.events.size(), 1u);
  EXPECT_EQ(s.events[0].at, 600.0);
  EXPECT_EQ(s.events[0].now, 0.5 * enough);
  ASSERT_TRUE(s.events[0].flow);
  EXPECT_GE(*s.events[0].flow, enough * (1.0 - 1e-9));
  EXPECT_LT(*s.events[0].flow, enough + 10.0 / 3600.0);
  EXPECT_EQ(left_with(with_sizes(b.site, s)), std::vector<std::string>{});
  // Both flows are too small: the answer gives both.
  b = set_back(0.5 * enough, 0.4 * enough, leak);
  const Sizing both = sized(b.site);
  ASSERT_TRUE(both.found) << both.reason;
  EXPECT_GT(both.fans[0].flow, both.fans[0].now);
  ASSERT_EQ(both.events.size(), 1u);
  EXPECT_EQ(left_with(with_sizes(b.site, both)), std::vector<std::string>{});
}

TEST(Size, AnEventThatSwitchesAFanOffIsNamed) {
  SiteBuilder b = store(0.001, 4.0 / 60000.0);
  b.new_case("off", {{60.0, SetAirwayOn{AirwayIndex{0}, false}, {}}});
  const Sizing s = sized(b.site);
  ASSERT_TRUE(s.found) << "the normal case can be helped";
  ASSERT_EQ(s.events.size(), 1u);
  EXPECT_TRUE(s.events[0].switches_off);
  EXPECT_FALSE(s.events[0].flow);
  for (const Remaining& r : s.remaining) {
    EXPECT_EQ(r.warning.case_index, CaseIndex{1});
    EXPECT_EQ(r.why, Obstacle::out_of_reach);
  }
  EXPECT_FALSE(s.remaining.empty());
  EXPECT_EQ(left_with(with_sizes(b.site, s)).size(), s.remaining.size());
}

TEST(Size, NeverAdvisesMoreThanSixtyAirChanges) {
  // A closet of 0.1 m3 is aired by 6 m3/h at most; the leak would take 21.8 m3/h.
  SiteBuilder b = store(0.001, 4.0 / 60000.0);
  b.site.spaces[0].volume = 0.1;
  const Sizing s = sized(b.site);
  EXPECT_FALSE(s.found);
  EXPECT_NE(s.reason.find("60 air changes"), std::string::npos) << s.reason;
  ASSERT_EQ(s.remaining.size(), 1u);
  EXPECT_EQ(s.remaining[0].why, Obstacle::too_much_air);
  EXPECT_NEAR(s.fans[0].flow, 6.0 / 3600.0, 1e-12) << "the most that was tried";
  EXPECT_NEAR(s.remaining[0].warning.lfl_fraction, 4.0 / 60000.0 / (6.0 / 3600.0) / 0.044, 1e-6);
  // Two fans on one room share what is sensible.
  b.fan("second", SpaceIndex{0}, std::nullopt, 0.0005);
  const Sizing two = sized(b.site);
  EXPECT_FALSE(two.found);
  EXPECT_NEAR(two.fans[0].flow + two.fans[1].flow, 6.0 / 3600.0, 1e-8);
}

TEST(Size, KeepsAPassingPeakUnderTheMargin) {
  SiteBuilder b = store(0.001, 1e-9);
  b.release("spilt", SpaceIndex{0}, GasIndex{0}, DumpRelease{b.molar(0.2), 3600.0});
  const Sizing s = sized(b.site);
  ASSERT_TRUE(s.found) << s.reason;
  // G/Q (1 - exp(-Q t/V)) at the end of the dump, with Q = fan.
  const double rate = 0.2 / 3600.0, q = s.fans[0].least;
  EXPECT_NEAR(rate / q * (1.0 - std::exp(-q * 3600.0 / 12.0)) / 0.044, 0.25, 1e-4);
}

TEST(Size, WorstCaseCounts) {
  SiteBuilder b = store(0.001, 1e-5);
  const ReleaseIndex more = b.steady("burst", SpaceIndex{0}, GasIndex{0}, 1e-4);
  b.site.releases[more.value].on = false;
  b.new_case("burst", {{0.0, SetReleaseOn{more, true}, {}}});
  const Sizing s = sized(b.site);
  ASSERT_TRUE(s.found);
  EXPECT_NEAR(s.fans[0].least, 1.1e-4 / (0.25 * 0.044), 1e-7);
}

TEST(Size, NamesWarningsThatNoFanCanEnd) {
  SiteBuilder b = store(0.001, 4.0 / 60000.0);
  const SpaceIndex tank = b.vessel("tank", 1.0);
  b.site.spaces[tank.value].initial = {{GasIndex{0}, 1.0}};
  const Sizing s = sized(b.site);
  ASSERT_TRUE(s.found);
  ASSERT_EQ(s.remaining.size(), 1u);
  EXPECT_EQ(s.remaining[0].warning.space, tank);
  EXPECT_EQ(s.remaining[0].why, Obstacle::out_of_reach);
}

TEST(Size, FansOfTwoRoomsAreLoweredOneByOne) {
  // The second room needs a fifth of what the first does: the common factor is that of the first.
  SiteBuilder b = store(0.001, 1e-4);
  const SpaceIndex other = b.space("other", 30.0);
  b.fan("other-extract", other, std::nullopt, 0.001);
  b.opening("other-grille", std::nullopt, other);
  b.steady("seep", other, GasIndex{0}, 2e-5);
  SizeOptions options;
  options.step = 0.1 / 3600.0;
  const Sizing s = sized(b.site, options);
  ASSERT_TRUE(s.found);
  EXPECT_TRUE(s.lowered_one_by_one);
  EXPECT_NEAR(s.fans[0].least, 1e-4 / (0.25 * 0.044), 2e-3 * s.fans[0].least);
  EXPECT_NEAR(s.fans[1].least, 2e-5 / (0.25 * 0.044), 2e-2 * s.fans[1].least);
}

TEST(Size, LargestReleaseOfTodaysAirIsTheClosedForm) {
  const double leak = 1e-5;
  SizeOptions options;
  options.release = ReleaseIndex{0};
  const Sizing s = sized(store(0.01, leak).site, options);
  ASSERT_TRUE(s.found) << s.reason;
  // 11.0 times, rounded down to three figures.
  EXPECT_NEAR(s.factor, 0.25 * 0.044 * 0.01 / leak, 0.1 + 1e-9);
  EXPECT_LE(s.factor, 0.25 * 0.044 * 0.01 / leak);
  EXPECT_EQ(s.whole, 10.0);
  const Sizing too_much = sized(store(0.01, 1e-3).site, options);
  ASSERT_TRUE(too_much.found);
  EXPECT_NEAR(too_much.factor, 0.25 * 0.044 * 0.01 / 1e-3, 1e-3);
  EXPECT_EQ(too_much.whole, 0.0);
}

TEST(Size, AFactorIsWrittenWithThreeFigures) {
  SizeOptions options;
  options.release = ReleaseIndex{0};
  for (const double leak : {1e-7, 3e-7, 7e-7, 1e-6, 3e-6, 7e-6, 1.3e-5, 1.7e-5, 4.1e-5, 1.1e-3}) {
    const std::string written = format_exact(sized(store(0.01, leak).site, options).factor);
    EXPECT_LE(written.size(), 6U) << written;
  }
}

TEST(Size, SaysThatThereIsNoFan) {
  SiteBuilder b;
  const SpaceIndex room = b.space("room", 50.0);
  b.site.spaces[room.value].air_changes = 1e-4;
  b.steady("leak", room, b.methane(), 1e-3);
  const Sizing s = sized(b.site);
  EXPECT_FALSE(s.found);
  EXPECT_NE(s.reason.find("fan"), std::string::npos);
}

TEST(Size, ResultForABuildingHolds) {
  const SiteReading reading = parse_site(bench::building_text(30, 2), "building.toml", built_in_substances());
  ASSERT_NE(reading.usable(), nullptr);
  // Fans of a building are tied together by ducts: one exchange of a cupboard is no fan, so the cupboards stay.
  SizeOptions options;
  const Sizing s = sized(*reading.usable(), options);
  EXPECT_GT(s.runs, 1u);
  if (s.found) {
    for (const Constraint& c : s.binding) {
      if (c.subject == Subject::fuel) {
        EXPECT_LT(c.lfl_fraction, 0.25);
      }
    }
  } else {
    EXPECT_FALSE(s.reason.empty());
  }
}

TEST(Size, TextGivesTheAmountAndTheCaution) {
  const Site site = store(0.0005, 4.0 / 60000.0).site;
  const std::string text = sizing_text(site, sized(site), TextStyle{});
  EXPECT_NE(text.find("How much air is enough"), std::string::npos);
  EXPECT_NE(text.find("extract"), std::string::npos);
  EXPECT_NE(text.find("30"), std::string::npos) << text;  // 21.8 m3/h, rounded up
  EXPECT_GT(text.rfind("Caution"), text.find("Assumptions"));
}

}  // namespace
}  // namespace leanside
