// SPDX-License-Identifier: Apache-2.0
#include "leanside/study/compare.hpp"

#include <algorithm>
#include <string>
#include <variant>

#include <gtest/gtest.h>

#include "leanside/report.hpp"
#include "support/build_site.hpp"

namespace leanside {
namespace {

using testing::SiteBuilder;

/// A store with a steady leak of methane, aired by a fan of `flow` m3/s, and an office beside it without gas.
SiteBuilder store(double flow, double leak = 4.0 / 60000.0) {
  SiteBuilder b;
  const GasIndex methane = b.methane();
  const SpaceIndex room = b.space("store", 12.0);
  const SpaceIndex office = b.space("office", 40.0);
  b.fan("extract", room, std::nullopt, flow);
  b.opening("grille", std::nullopt, room);
  b.exchange("window", office, std::nullopt, 0.01);
  b.steady("regulator", room, methane, leak);
  return b;
}

Assessment solved(const Site& site) {
  auto outcome = assess(site);
  EXPECT_TRUE(std::holds_alternative<Assessment>(outcome));
  return std::get<Assessment>(std::move(outcome));
}

Comparison between(const Site& a, const Site& b, const CompareOptions& options = {}) {
  return compare(a, solved(a), b, solved(b), options);
}

const AspectChange* aspect(const SpaceChange& change, Aspect wanted) {
  for (const AspectChange& a : change.aspects) {
    if (a.aspect == wanted) return &a;
  }
  return nullptr;
}

TEST(Compare, TheSameSiteDoesNotDiffer) {
  const Site site = store(0.001).site;
  const Comparison c = between(site, site);
  EXPECT_FALSE(c.anything_worse);
  EXPECT_TRUE(c.changes.empty());
  EXPECT_TRUE(c.warnings.empty());
  EXPECT_TRUE(c.flows.empty());
  EXPECT_TRUE(c.terms.empty());
  EXPECT_EQ(c.compared, 2u);
}

TEST(Compare, KeepsStorageNotesApartFromWarnings) {
  SiteBuilder b = store(0.001);
  CylinderRelease cylinder;
  cylinder.water_volume = 0.05;
  cylinder.pressure = 2e7;
  cylinder.hole = {1e-3, 0.8};
  const ReleaseIndex bottle = b.release("bottle", SpaceIndex{0}, b.nitrogen(), cylinder);
  b.site.releases[bottle.value].on = false;
  const Assessment answer = solved(b.site);
  ASSERT_EQ(std::count_if(answer.warnings.begin(), answer.warnings.end(),
                          [](const Warning& w) { return w.space == SpaceIndex{0} && w.storage.has_value(); }),
            1);
  ASSERT_GE(answer.warnings.size(), 2u);
  const Comparison same = compare(b.site, answer, b.site, answer);
  EXPECT_TRUE(same.warnings.empty());
  EXPECT_FALSE(same.anything_worse);
  // Without the bottle the note alone is gone.
  Site without = b.site;
  without.releases.pop_back();
  const Comparison gone = between(b.site, without);
  ASSERT_EQ(gone.warnings.size(), 1u);
  EXPECT_TRUE(answer.warnings[*gone.warnings[0].before].storage.has_value());
  EXPECT_FALSE(gone.anything_worse);
}

TEST(Compare, LessAirIsWorseByTheClosedForm) {
  // x = G / Q once G is small: 4 L/min of methane into 1 and into 0.5 L/s of leaving mixture.
  const Site before = store(0.001).site, after = store(0.0005).site;
  const Comparison c = between(before, after);
  EXPECT_TRUE(c.anything_worse);
  ASSERT_EQ(c.changes.size(), 1u);
  const SpaceChange& change = c.changes[0];
  EXPECT_EQ(before.spaces[change.space_before.value].id, "store");
  EXPECT_EQ(change.verdict, Verdict::worse);
  const double leak = 4.0 / 60000.0;
  EXPECT_NEAR(change.lfl_before, leak / 0.001 / 0.044, 1e-9);
  EXPECT_NEAR(change.lfl_after, leak / 0.0005 / 0.044, 1e-9);
  ASSERT_NE(aspect(change, Aspect::lfl_fraction), nullptr);
  EXPECT_EQ(aspect(change, Aspect::lfl_fraction)->verdict, Verdict::worse);
  // The fan, and the grille that feeds it (which lets in what the leak does not).
  ASSERT_EQ(c.flows.size(), 2u);
  EXPECT_NEAR(c.flows[0].forward_before, 0.001, 1e-12);
  EXPECT_NEAR(c.flows[0].forward_after, 0.0005, 1e-12);
  EXPECT_NEAR(c.flows[1].forward_after, 0.0005 - leak, 1e-12);
}

TEST(Compare, ReversingTheOrderReversesTheVerdict) {
  const Site a = store(0.001).site, b = store(0.01).site;
  const Comparison there = between(a, b), back = between(b, a);
  EXPECT_FALSE(there.anything_worse);
  EXPECT_TRUE(back.anything_worse);
  ASSERT_EQ(there.changes.size(), 1u);
  EXPECT_EQ(there.changes[0].verdict, Verdict::better);
  ASSERT_EQ(back.changes.size(), 1u);
  EXPECT_EQ(back.changes[0].verdict, Verdict::worse);
  // The warning of the weak fan comes down to a note one way, and up again the other.
  ASSERT_EQ(there.warnings.size(), 1u);
  EXPECT_EQ(there.warnings[0].verdict, Verdict::better);
  ASSERT_EQ(back.warnings.size(), 1u);
  EXPECT_EQ(back.warnings[0].verdict, Verdict::worse);
}

TEST(Compare, WarningsVanishAndAppear) {
  const Site a = store(0.001).site, b = store(0.1).site;
  const Comparison there = between(a, b), back = between(b, a);
  ASSERT_EQ(there.warnings.size(), 1u);
  EXPECT_TRUE(there.warnings[0].before && !there.warnings[0].after);
  ASSERT_EQ(back.warnings.size(), 1u);
  EXPECT_TRUE(!back.warnings[0].before && back.warnings[0].after);
}

TEST(Compare, MatchesByIdInAnyOrder) {
  const Site before = store(0.001).site;
  Site after = before;
  std::swap(after.spaces[0], after.spaces[1]);
  for (Airway& airway : after.airways) {
    const auto turn = [](Side& side) {
      if (side) side = SpaceIndex{1 - side->value};
    };
    if (auto* fan = std::get_if<Fan>(&airway.kind)) turn(fan->from), turn(fan->to);
    if (auto* opening = std::get_if<Opening>(&airway.kind)) turn(opening->first), turn(opening->second);
    if (auto* exchange = std::get_if<Exchange>(&airway.kind)) turn(exchange->first), turn(exchange->second);
  }
  after.releases[0].into = SpaceIndex{1};
  std::reverse(after.airways.begin(), after.airways.end());
  const Comparison c = between(before, after);
  EXPECT_TRUE(c.spaces.empty() && c.airways.empty());
  EXPECT_TRUE(c.changes.empty());
  EXPECT_TRUE(c.flows.empty());
}

TEST(Compare, AddedAndRemovedAreNamed) {
  const Site before = store(0.01).site;
  Site after = before;
  after.spaces[1].id = "study";
  after.releases[0].id = "valve";
  after.cases.push_back({"fan-off", "", {{0.0, SetAirwayOn{AirwayIndex{0}, false}, {}}}});
  const Comparison c = between(before, after);
  EXPECT_EQ(c.spaces.added, std::vector<std::string>{"study"});
  EXPECT_EQ(c.spaces.removed, std::vector<std::string>{"office"});
  EXPECT_EQ(c.releases.added, std::vector<std::string>{"valve"});
  EXPECT_EQ(c.cases.added, std::vector<std::string>{"fan-off"});
  // The new case has a warning, but it asks what was not asked before.
  ASSERT_FALSE(c.warnings.empty());
  EXPECT_TRUE(c.warnings[0].of_unmatched);
  EXPECT_FALSE(c.anything_worse);
}

TEST(Compare, ANewSpaceWithAWarningIsWorse) {
  SiteBuilder b = store(0.01);
  const Site before = b.site;
  const SpaceIndex cupboard = b.space("cupboard", 1.0, SpaceKind::cabinet);
  b.exchange("gaps", cupboard, std::nullopt, 0.0001);
  b.steady("bottle", cupboard, GasIndex{0}, 1e-5);
  const Comparison c = between(before, b.site);
  EXPECT_TRUE(c.anything_worse);
  EXPECT_TRUE(c.changes.empty());
  EXPECT_TRUE(between(b.site, before).anything_worse == false);
}

TEST(Compare, TooRichToFlammableCountsAsWorse) {
  // A vessel full of methane against one that holds a mixture inside the range.
  SiteBuilder b;
  b.methane();
  const SpaceIndex vessel = b.vessel("tank", 1.0);
  b.site.spaces[vessel.value].initial = {{GasIndex{0}, 0.95}};
  Site after = b.site;
  after.spaces[vessel.value].initial = {{GasIndex{0}, 0.10}};
  const Comparison c = between(b.site, after);
  EXPECT_TRUE(c.anything_worse);
  ASSERT_EQ(c.changes.size(), 1u);
  // There is more oxygen than before, which alone would be better.
  EXPECT_EQ(c.changes[0].verdict, Verdict::mixed);
  ASSERT_NE(aspect(c.changes[0], Aspect::severity), nullptr);
  EXPECT_EQ(aspect(c.changes[0], Aspect::severity)->verdict, Verdict::worse);
  ASSERT_NE(aspect(c.changes[0], Aspect::lfl_fraction), nullptr);
  EXPECT_EQ(aspect(c.changes[0], Aspect::lfl_fraction)->verdict, Verdict::differs);
}

// Where a change of the fan by 1 % changes the worst by less than 1 % of the limit.
TEST(Compare, SmallChangesAreListedButDecideNothing) {
  const Site before = store(0.01).site, after = store(0.0099).site;
  const Comparison listed = between(before, after);
  EXPECT_FALSE(listed.anything_worse);
  EXPECT_FALSE(listed.changes.empty());
  CompareOptions options;
  options.decisive = 0.0;
  EXPECT_TRUE(between(before, after, options).anything_worse);
  options.least_change = 0.01;
  EXPECT_FALSE(between(before, after, options).anything_worse);
}

TEST(Compare, ReportsDifferentTerms) {
  const Site before = store(0.01).site;
  Site after = before;
  after.criteria.warn_at = 0.2;
  after.gases[0].limits->lower = 0.05;
  const Comparison c = between(before, after);
  ASSERT_EQ(c.terms.size(), 2u);
  EXPECT_NE(c.terms[0].find("25 %"), std::string::npos) << c.terms[0];
  EXPECT_NE(c.terms[1].find("methane"), std::string::npos) << c.terms[1];
}

TEST(Compare, TextListsWhatGotWorseAndTheCaution) {
  const Site before = store(0.01).site, after = store(0.0005).site;
  const Assessment a = solved(before), b = solved(after);
  const std::string text = comparison_text(before, a, after, b, compare(before, a, after, b), TextStyle{});
  EXPECT_EQ(text.rfind("Before and after", 0), 0u);
  EXPECT_NE(text.find("Something got worse."), std::string::npos);
  EXPECT_NE(text.find("store"), std::string::npos);
  EXPECT_NE(text.find("Assumptions"), std::string::npos);
  EXPECT_GT(text.rfind("Caution"), text.find("Assumptions"));
}

}  // namespace
}  // namespace leanside
