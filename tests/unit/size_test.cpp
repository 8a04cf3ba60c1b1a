// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <string>
#include <variant>

#include <gtest/gtest.h>

#include "bench/building.hpp"
#include "leanside/quantity.hpp"
#include "leanside/report.hpp"
#include "leanside/site_file.hpp"
#include "leanside/study.hpp"
#include "support/build_site.hpp"
#include "support/reference_sites.hpp"

namespace leanside {
namespace {

using testing::SiteBuilder;

/// The sustained lfl_fraction of a space, or NaN.
double value_of(const Site& site, SpaceIndex space) {
  AssessOptions how;
  how.sustained_only = true;
  how.explain = false;
  const auto outcome = assess(site, how);
  const auto* assessment = std::get_if<Assessment>(&outcome);
  if (assessment == nullptr) return std::nan("");
  const SustainedInstant& at = assessment->cases.front().spaces[space.value].sustained;
  return at.reached ? at.at.lfl_fraction : std::nan("");
}

Derivatives derived(const Site& site, SpaceIndex space) {
  auto outcome = derivatives(site, CaseIndex{0}, space);
  const auto* found = std::get_if<std::optional<Derivatives>>(&outcome);
  EXPECT_TRUE(found != nullptr && found->has_value());
  return found != nullptr && *found ? **found : Derivatives{};
}

/// Central difference of `value` at 0; NaN where the two sides differ by more than curvature explains: a kink, where a
/// relief or a leak turns round.
template <class Value>
double difference(const Value& value, double step) {
  const double there = value(step), back = value(-step), here = value(0.0);
  const double near = value(0.5 * step), nearer = value(-0.5 * step);
  const double up = (there - here) / step, down = (here - back) / step;
  const double slope = (4.0 * (near - nearer) / step - (there - back) / (2.0 * step)) / 3.0;  // Richardson
  const double half_up = (near - here) / (0.5 * step), half_down = (here - nearer) / (0.5 * step);
  const bool smooth = std::abs(half_up - half_down) <= 0.6 * std::abs(up - down) + 1e-7 * std::abs(slope) + 1e-9;
  return smooth ? slope : std::nan("");
}

/// All derivatives of one space against differences; the number of those compared that are not zero.
std::size_t compare(const Site& site, SpaceIndex space, const std::string& what) {
  const Derivatives d = derived(site, space);
  std::size_t compared = 0;
  for (std::size_t i = 0; i < site.airways.size(); ++i) {
    const auto moved = [&](double by) {
      Site changed = site;
      if (auto* fan = std::get_if<Fan>(&changed.airways[i].kind)) fan->flow += by;
      if (auto* exchange = std::get_if<Exchange>(&changed.airways[i].kind)) exchange->flow += by;
      return value_of(changed, space);
    };
    double flow = 0.0;
    if (const auto* fan = std::get_if<Fan>(&site.airways[i].kind)) flow = fan->flow;
    if (const auto* exchange = std::get_if<Exchange>(&site.airways[i].kind)) flow = exchange->flow;
    if (flow <= 0.0 || !site.airways[i].on) continue;
    const double slope = difference(moved, 1e-3 * flow);
    if (std::isnan(slope)) continue;
    const double scale = value_of(site, space) / flow;
    EXPECT_NEAR(d.by_flow[i], slope, 1e-5 * std::abs(slope) + 1e-6 * scale) << what << ", " << site.airways[i].id;
    compared += slope != 0.0;
  }
  for (std::size_t r = 0; r < site.releases.size(); ++r) {
    const auto* steady = std::get_if<SteadyRelease>(&site.releases[r].kind);
    if (steady == nullptr || steady->duration || !site.releases[r].on || steady->rate <= 0.0) continue;
    const auto moved = [&](double by) {
      Site changed = site;
      std::get<SteadyRelease>(changed.releases[r].kind).rate += by;
      return value_of(changed, space);
    };
    const double slope = difference(moved, 1e-3 * steady->rate);
    if (std::isnan(slope)) continue;
    const double scale = value_of(site, space) / steady->rate;
    EXPECT_NEAR(d.by_release[r], slope, 1e-5 * std::abs(slope) + 1e-6 * scale) << what << ", " << site.releases[r].id;
    compared += slope != 0.0;
  }
  return compared;
}

TEST(Derivatives, OfOneRoomAreTheClosedForm) {
  // x = G/Q: the fan takes out Q, of which the grille lets in Q - G.
  SiteBuilder b;
  const GasIndex methane = b.methane();
  const SpaceIndex room = b.space("store", 12.0);
  const AirwayIndex fan = b.fan("extract", room, std::nullopt, 0.01);
  b.relief("grille", std::nullopt, room);
  const ReleaseIndex leak = b.steady("regulator", room, methane, 4.0 / 60000.0);
  const Derivatives d = derived(b.site, room);
  const double G = 4.0 / 60000.0, Q = 0.01;
  EXPECT_NEAR(d.by_flow[fan.value], -G / (Q * Q) / 0.044, 1e-9);
  EXPECT_NEAR(d.by_release[leak.value], 1.0 / b.molar(Q) / 0.044, 1e-9);
}

TEST(Derivatives, WithMixingLoopsTemperaturesAndLeaksAgreeWithDifferences) {
  SiteBuilder b;
  const GasIndex methane = b.methane(), hydrogen = b.hydrogen();
  const SpaceIndex lab = b.space("lab", 60.0), prep = b.space("prep", 25.0), corridor = b.space("corridor", 80.0);
  const SpaceIndex hood = b.space("hood", 1.2, SpaceKind::cabinet),
                   cupboard = b.space("cupboard", 0.5, SpaceKind::cabinet);
  const SpaceIndex plant = b.space("plant", 30.0), annex = b.space("annex", 15.0);
  b.site.spaces[prep.value].mixing_factor = 3.0;
  b.site.spaces[lab.value].mixing_factor = 1.5;
  b.site.spaces[lab.value].temperature = 300.0;
  b.site.spaces[corridor.value].air_changes = 1e-4;
  b.fan("hood-fan", hood, std::nullopt, 0.15);
  b.fan("supply", std::nullopt, lab, 0.05);
  b.fan("transfer", lab, prep, 0.01);
  b.relief("sash", prep, hood);
  b.relief("door-a", corridor, prep);
  b.relief("door-b", corridor, lab);
  b.relief("door-c", lab, prep);
  b.relief("front", corridor, std::nullopt);
  b.exchange("gaps", cupboard, prep, 0.0004);
  // Two rooms without a way outside: what the fans leave over leaks, shared between them.
  b.fan("plant-in", std::nullopt, plant, 0.03);
  b.fan("annex-in", lab, annex, 0.008);
  b.fan("plant-out", plant, std::nullopt, 0.012);
  b.relief("hatch", plant, annex);
  b.steady("bottle", cupboard, hydrogen, 2e-6);
  b.steady("taps", prep, methane, 1e-5);
  b.steady("boiler", plant, methane, 3e-5);
  b.steady("line", lab, methane, 2e-5);
  std::size_t compared = 0;
  for (const SpaceIndex space : {lab, prep, corridor, hood, cupboard, plant, annex}) {
    compared += compare(b.site, space, b.site.spaces[space.value].id);
  }
  EXPECT_GT(compared, 30u);
}

TEST(Derivatives, OfRandomSitesAgreeWithDifferences) {
  std::size_t compared = 0;
  for (std::uint64_t seed = 1; seed <= 30; ++seed) {
    reference::Recipe recipe;
    recipe.events = false;
    recipe.stiff = false;
    recipe.tight_vessels = false;
    const Site site = reference::random_site(seed, recipe);
    for (std::size_t i = 0; i < site.spaces.size(); ++i) {
      const auto outcome = derivatives(site, CaseIndex{0}, SpaceIndex{i});
      const auto* found = std::get_if<std::optional<Derivatives>>(&outcome);
      if (found == nullptr || !*found || !(value_of(site, SpaceIndex{i}) > 1e-6)) continue;
      compared += compare(site, SpaceIndex{i}, std::to_string(seed) + " " + site.spaces[i].id);
    }
  }
  EXPECT_GT(compared, 100u);
}

TEST(Derivatives, AreNotGivenWhereFlowsFollowPressures) {
  SiteBuilder b;
  const SpaceIndex room = b.space("room", 50.0);
  b.steady("leak", room, b.methane(), 1e-5);
  b.airway("low", Gap{room, std::nullopt, 0.01, 0.65, 0.5, std::nullopt});
  b.airway("high", Gap{room, std::nullopt, 0.01, 0.65, 2.0, std::nullopt});
  const auto outcome = derivatives(b.site, CaseIndex{0}, room);
  EXPECT_FALSE(std::get<std::optional<Derivatives>>(outcome).has_value());
}

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
  b.relief("grille", std::nullopt, room);
  b.steady("regulator", room, methane, leak);
  return b;
}

TEST(Size, LeastAirOfOneRoomIsTheClosedForm) {
  const double leak = 4.0 / 60000.0, enough = leak / (0.25 * 0.044);  // m3/s
  for (const double now : {0.0005, 0.05}) {                           // too little and far too much
    const Sizing s = sized(store(now, leak).site);
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

TEST(Size, APassingPeakIsKeptUnderTheMarginToo) {
  SiteBuilder b = store(0.001, 1e-9);
  b.release("spilt", SpaceIndex{0}, GasIndex{0}, DumpRelease{b.molar(0.2), 600.0});
  const Sizing s = sized(b.site);
  ASSERT_TRUE(s.found) << s.reason;
  // G/Q (1 - exp(-Q t/V)) at the end of the dump, with Q = fan.
  const double rate = 0.2 / 600.0, q = s.fans[0].least;
  EXPECT_NEAR(rate / q * (1.0 - std::exp(-q * 600.0 / 12.0)) / 0.044, 0.25, 1e-4);
}

TEST(Size, OfEveryCaseTheWorstCounts) {
  SiteBuilder b = store(0.001, 1e-5);
  const ReleaseIndex more = b.steady("burst", SpaceIndex{0}, GasIndex{0}, 1e-4);
  b.site.releases[more.value].on = false;
  b.new_case("burst", {{0.0, SetReleaseOn{more, true}, {}}});
  const Sizing s = sized(b.site);
  ASSERT_TRUE(s.found);
  EXPECT_NEAR(s.fans[0].least, 1.1e-4 / (0.25 * 0.044), 1e-7);
}

TEST(Size, WhatNoFanCanHelpIsLeftOutAndNamed) {
  SiteBuilder b = store(0.001, 4.0 / 60000.0);
  const SpaceIndex tank = b.vessel("tank", 1.0);
  b.site.spaces[tank.value].initial = {{GasIndex{0}, 1.0}};
  const Sizing s = sized(b.site);
  ASSERT_TRUE(s.found);
  ASSERT_EQ(s.out_of_reach.size(), 1u);
  EXPECT_EQ(s.out_of_reach[0].space, tank);
}

TEST(Size, FansOfTwoRoomsAreLoweredOneByOne) {
  // The second room needs a tenth of what the first does: the common factor is that of the first.
  SiteBuilder b = store(0.001, 1e-4);
  const SpaceIndex other = b.space("other", 30.0);
  b.fan("other-extract", other, std::nullopt, 0.001);
  b.relief("other-grille", std::nullopt, other);
  b.steady("seep", other, GasIndex{0}, 1e-5);
  SizeOptions options;
  options.step = 0.1 / 3600.0;
  const Sizing s = sized(b.site, options);
  ASSERT_TRUE(s.found);
  EXPECT_TRUE(s.lowered_one_by_one);
  EXPECT_NEAR(s.fans[0].least, 1e-4 / (0.25 * 0.044), 2e-3 * s.fans[0].least);
  EXPECT_NEAR(s.fans[1].least, 1e-5 / (0.25 * 0.044), 2e-2 * s.fans[1].least);
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

TEST(Size, ASiteWithoutAFanIsToldSo) {
  SiteBuilder b;
  const SpaceIndex room = b.space("room", 50.0);
  b.site.spaces[room.value].air_changes = 1e-4;
  b.steady("leak", room, b.methane(), 1e-3);
  const Sizing s = sized(b.site);
  EXPECT_FALSE(s.found);
  EXPECT_NE(s.reason.find("fan"), std::string::npos);
}

TEST(Size, ABuildingIsSizedAndTheResultHolds) {
  const SiteReading reading = parse_site(bench::building_text(30, 2), "building.toml", built_in_substances());
  ASSERT_NE(reading.usable(), nullptr);
  // Fans of a building are tied together by ducts: one exchange of a cupboard is no fan, so the cupboards stay.
  SizeOptions options;
  const Sizing s = sized(*reading.usable(), options);
  EXPECT_GT(s.runs, 1u);
  if (s.found) {
    for (const Constraint& c : s.binding) EXPECT_LT(c.lfl_fraction, 0.25);
  } else {
    EXPECT_FALSE(s.reason.empty());
  }
}

TEST(Size, TheTextSaysHowMuchAndEndsWithTheCaution) {
  const Site site = store(0.0005, 4.0 / 60000.0).site;
  const std::string text = sizing_text(site, sized(site), TextStyle{});
  EXPECT_NE(text.find("How much air is enough"), std::string::npos);
  EXPECT_NE(text.find("extract"), std::string::npos);
  EXPECT_NE(text.find("30"), std::string::npos) << text;  // 21.8 m3/h, rounded up
  EXPECT_GT(text.rfind("Caution"), text.find("Taken for granted"));
}

}  // namespace
}  // namespace leanside
