// SPDX-License-Identifier: Apache-2.0
// Advice that is followed in the site does what it says, and no advice is given that does not help.
#include <string>

#include <gtest/gtest.h>

#include "hazard/judge.hpp"
#include "leanside/report.hpp"
#include "published/run.hpp"

namespace leanside {
namespace {

using published::assessed;
using testing::SiteBuilder;

TEST(Remedy, FreshAirBesideVentsOfTheirOwnIsJustEnough) {
  SiteBuilder b;
  const auto store = b.space("store", 30.0);
  for (const double z : {0.0, 2.0}) {
    b.airway("vent" + std::to_string(z), Gap{store, std::nullopt, 0.003, 0.5, z, {}});
  }
  b.steady("leak", store, b.hydrogen(), 20e-3 / 60.0);
  const Assessment before = assessed(b.site);
  ASSERT_FALSE(before.warnings.empty());
  const Remedy& remedy = before.warnings[0].remedy;
  ASSERT_EQ(remedy.kind, RemedyKind::more_fresh_air);
  ASSERT_TRUE(remedy.extra_air);
  const auto after = [&](double share) {
    const Site changed = hazard::with_extra_air(b.site, store, share * *remedy.extra_air);
    return assessed(changed).cases[0].spaces[0].steady.at.lfl_fraction;
  };
  EXPECT_LT(after(1.0), 0.25);
  EXPECT_NEAR(after(1.0), remedy.value_after, 1e-6);
  EXPECT_GT(after(0.998), 0.25);
}

const Warning* worst_of(const Assessment& assessment, SpaceIndex space) {
  for (const Warning& warning : assessment.warnings) {
    if (warning.space == space && !warning.source) return &warning;
  }
  return nullptr;
}

bool has(const std::string& text, const std::string& part) { return text.find(part) != std::string::npos; }

/// A laboratory with a seep, and a hose that comes off an hour later; both m3 or m3/s at site conditions.
struct Laboratory {
  SiteBuilder b;
  SpaceIndex room = b.space("laboratory", 60.0);
  GasIndex gas = b.methane();
  ReleaseIndex seep, hose;
  Laboratory(double seeping, double dumped) {
    b.site.spaces[0].air_changes = 2.0 / 3600.0;
    seep = b.steady("seep", room, gas, seeping);
    hose = b.release("hose", room, gas, DumpRelease{b.molar(dumped), 120.0});
    b.site.releases[hose.value].start = 3600.0;
    b.site.releases[seep.value].as_written = "as the file says";
  }
};

TEST(Remedy, SaysWhatTheOtherReleasesStillDo) {
  const Laboratory lab(25e-3 / 60.0, 6.0);  // 25 L/min are over the margin by themselves
  const Assessment before = assessed(lab.b.site);
  const Warning* warning = worst_of(before, lab.room);
  ASSERT_NE(warning, nullptr);
  ASSERT_EQ(warning->severity, Severity::flammable);
  const StopAdvice& stop = warning->remedy.stop;
  ASSERT_EQ(stop.releases, (std::vector<ReleaseIndex>{lab.hose, lab.seep}));
  // The seep alone: q/(Q + q) of 120 m3/h of air.
  const double rest = 1.5 / 121.5 / 0.044;
  ASSERT_TRUE(stop.after_first && stop.after_all);
  EXPECT_NEAR(stop.after_first->worst, rest, 1e-6);
  EXPECT_TRUE(stop.after_first->over && stop.after_first->steady_over);
  EXPECT_FALSE(stop.after_all->over);
  EXPECT_NEAR(stop.after_all->worst, 0.0, 1e-12);
  const std::string text = remedy_sentence(lab.b.site, *warning);
  EXPECT_TRUE(has(text, "Stop the gas from \"hose\" and stop the gas from \"seep\"")) << text;
  EXPECT_TRUE(has(text, "With only \"hose\" stopped, it still reaches 28 %")) << text;
}

TEST(Remedy, DoesNotAskForMoreThanSixtyAirChangesAnHour) {
  const Laboratory lab(25e-3 / 60.0, 6.0);
  const Assessment before = assessed(lab.b.site);
  const Warning* warning = worst_of(before, lab.room);
  ASSERT_NE(warning, nullptr);
  const Remedy& remedy = warning->remedy;
  EXPECT_EQ(remedy.kind, RemedyKind::reduce_source);
  EXPECT_EQ(remedy.air_limit, AirLimit::too_much);
  EXPECT_FALSE(remedy.extra_air);
  // What sixty leave, two of which the room has already.
  const auto aired = assessed(hazard::with_extra_air(lab.b.site, lab.room, 58.0 / 3600.0 * 60.0));
  ASSERT_TRUE(remedy.after_air);
  EXPECT_NEAR(remedy.after_air->worst, aired.cases[0].spaces[0].peak.lfl_fraction, 1e-9);
  EXPECT_TRUE(remedy.after_air->over);
  EXPECT_FALSE(remedy.after_air->steady_over);
  const std::string text = remedy_sentence(lab.b.site, *warning);
  EXPECT_TRUE(has(text, "More air alone is not enough: even with 60 air changes an hour")) << text;
  EXPECT_TRUE(has(text, "above the margin for")) << text;
}

TEST(Remedy, LessGasIsJustLittleEnough) {
  for (const double seeping : {0.0, 5e-3 / 60.0, 25e-3 / 60.0}) {
    const Laboratory lab(seeping, 6.0);
    const Assessment before = assessed(lab.b.site);
    const Warning* warning = worst_of(before, lab.room);
    ASSERT_NE(warning, nullptr);
    ASSERT_TRUE(warning->remedy.reduction) << seeping;
    const Reduction& less = *warning->remedy.reduction;
    EXPECT_EQ(less.releases.size(), seeping > 20e-3 / 60.0 ? 2u : 1u);
    const auto worst = [&](double share) {
      Site changed = lab.b.site;
      for (const ReleaseIndex release : less.releases) {
        auto& kind = changed.releases[release.value].kind;
        if (auto* steady = std::get_if<SteadyRelease>(&kind)) steady->rate *= share;
        if (auto* dump = std::get_if<DumpRelease>(&kind)) dump->amount *= share;
      }
      const SpaceResult room = assessed(changed).cases[0].spaces[0];
      return std::max(room.peak.lfl_fraction, room.steady.at.lfl_fraction);
    };
    EXPECT_LT(worst(less.share), 0.25) << seeping;
    EXPECT_NEAR(worst(less.share), less.after.worst, 1e-9) << seeping;
    EXPECT_GT(worst(1.03 * less.share), 0.25) << seeping;
    EXPECT_TRUE(has(remedy_sentence(lab.b.site, *warning), "Or use less: \"hose\" with no more than ")) << seeping;
  }
}

// The steady state asks for little air, the hose for much more: what is advised holds for both.
TEST(Remedy, AirForTheSteadyStateIsCheckedOverTheWholeCourse) {
  const Laboratory lab(25e-3 / 60.0, 1.0);
  const Assessment before = assessed(lab.b.site);
  const Warning* warning = worst_of(before, lab.room);
  ASSERT_NE(warning, nullptr);
  ASSERT_EQ(warning->remedy.kind, RemedyKind::more_air_for_peak);
  const SpaceResult after =
      assessed(hazard::with_extra_air(lab.b.site, lab.room, *warning->remedy.extra_air)).cases[0].spaces[0];
  EXPECT_LT(after.peak.lfl_fraction, 0.25);
  EXPECT_GT(after.peak.lfl_fraction, 0.249);
  EXPECT_LT(after.steady.at.lfl_fraction, 0.25);
}

TEST(Remedy, NoAirIsAdvisedForAVesselWithFuelOrForASmallSpace) {
  SiteBuilder b;
  const auto gas = b.hydrogen();
  const auto hall = b.space("hall", 500.0);
  b.site.spaces[0].air_changes = 3.0 / 3600.0;
  const auto tube = b.vessel("tube", 150e-6), drum = b.vessel("drum", 0.2);
  const auto box = b.space("box", 0.02, SpaceKind::cabinet);
  for (const SpaceIndex space : {tube, drum, box}) b.exchange("way" + std::to_string(space.value), space, hall, 1e-5);
  for (const SpaceIndex space : {tube, drum, box}) b.steady("r" + std::to_string(space.value), space, gas, 3e-7);
  const Assessment assessment = assessed(b.site);
  for (const SpaceIndex space : {tube, drum, box}) {
    const Warning* warning = worst_of(assessment, space);
    ASSERT_NE(warning, nullptr);
    const Remedy& remedy = warning->remedy;
    EXPECT_FALSE(remedy.extra_air) << space.value;
    EXPECT_EQ(remedy.air_limit, space == box ? AirLimit::too_small : AirLimit::holds_fuel);
    EXPECT_EQ(remedy.kind, space == box ? RemedyKind::stop_source : RemedyKind::keep_air_out);
    ASSERT_TRUE(remedy.reduction) << space.value;
    EXPECT_FALSE(remedy.reduction->after.over);
    const std::string text = remedy_sentence(b.site, *warning);
    EXPECT_FALSE(has(text, "fresh air into")) << text;
    EXPECT_FALSE(has(text, "people") || has(text, "Nobody")) << text;
    EXPECT_EQ(has(text, "inert gas"), space != box) << text;
  }
}

TEST(Remedy, NamesTheSourceFirst) {
  const Laboratory lab(25e-3 / 60.0, 1.0);
  const Assessment before = assessed(lab.b.site);
  const std::string text = remedy_sentence(lab.b.site, *worst_of(before, lab.room));
  const auto source = text.find("Stop the gas"), people = text.find("Until then"), air = text.find("fresh air");
  ASSERT_NE(source, std::string::npos) << text;
  EXPECT_LT(source, people) << text;
  EXPECT_LT(people, air) << text;
  EXPECT_NE(air, std::string::npos) << text;
}

}  // namespace
}  // namespace leanside
