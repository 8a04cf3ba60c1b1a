// SPDX-License-Identifier: Apache-2.0
// Zones of releases and when they are a warning; warnings grouped by cause; ratings; notices of the flows.
#include <algorithm>
#include <cmath>

#include <gtest/gtest.h>

#include "hazard/judge.hpp"
#include "leanside/assess.hpp"
#include "leanside/site_file.hpp"
#include "support/build_site.hpp"

namespace leanside {
namespace {

using testing::SiteBuilder;

Assessment assessed(const Site& site) {
  auto result = assess(site);
  if (const auto* fault = std::get_if<Fault>(&result)) {
    ADD_FAILURE() << fault->message;
    return {};
  }
  return std::get<Assessment>(std::move(result));
}

std::size_t count(const Assessment& a, Severity severity) {
  return static_cast<std::size_t>(
      std::count_if(a.warnings.begin(), a.warnings.end(), [&](const Warning& w) { return w.severity == severity; }));
}

/// A methane leak of `rate` m3/s into a space of `volume` m3 with 60 air changes an hour.
struct Aired {
  explicit Aired(double rate, double volume = 1000.0, SpaceKind kind = SpaceKind::room) {
    space = build.space("space", volume, kind);
    build.site.spaces[0].air_changes = 60.0 / 3600.0;
    leak = build.steady("leak", space, build.methane(), rate);
  }
  SiteBuilder build;
  SpaceIndex space;
  ReleaseIndex leak;
};

TEST(Zones, OfASmallLeakIsNoWarning) {
  const auto a = assessed(Aired(2e-5).build.site);
  EXPECT_TRUE(a.warnings.empty());
  ASSERT_EQ(a.cases[0].zones.size(), 1u);
  const SourceZone& zone = a.cases[0].zones[0];
  EXPECT_EQ(zone.zone.shape, ZoneShape::plume);
  const double gravity = standard_gravity * (1.0 - 0.016043 / molar_mass_of_air);
  const double fresh = fraction_over_background(0.044, zone.background * 0.044);
  // The plume is shorter than a leak may stay laminar.
  EXPECT_NEAR(plume_reach(2e-5, gravity, fresh), 0.27, 0.01);
  EXPECT_DOUBLE_EQ(zone.zone.reach, laminar_length);
  EXPECT_GT(zone.zone.keep_out, zone.zone.reach);
}

TEST(Zones, OfALargeLeakIsAWarningWhateverTheAverageIs) {
  const auto a = assessed(Aired(5e-3).build.site);
  ASSERT_EQ(count(a, Severity::near_source), 1u);
  const Warning& w = a.warnings.front();
  EXPECT_LT(w.lfl_fraction, 0.01);
  EXPECT_EQ(w.source->hazard, SourceHazard::zone);
  ASSERT_TRUE(w.source->zone);
  EXPECT_GT(w.source->zone->zone.cloud, zone_volume);
  EXPECT_EQ(w.remedy.kind, RemedyKind::remove_source);
}

TEST(Zones, CountByTheShareOfASmallSpace) {
  const auto warned = [](double volume) {
    return count(assessed(Aired(2e-5, volume).build.site), Severity::near_source) == 1;
  };
  const double cloud = assessed(Aired(2e-5).build.site).cases[0].zones[0].zone.cloud;
  EXPECT_FALSE(warned(1.5 * cloud / zone_share));
  EXPECT_TRUE(warned(0.9 * cloud / zone_share));
}

TEST(Zones, HalfAMetreCountsBesideAnIgnitionSource) {
  Aired far(1.3e-4);
  const auto before = assessed(far.build.site);
  ASSERT_GE(before.cases[0].zones[0].zone.reach, zone_reach);
  EXPECT_EQ(count(before, Severity::near_source), 0u);
  far.build.site.spaces[0].ignition = {"heater"};
  EXPECT_EQ(count(assessed(far.build.site), Severity::near_source), 1u);
  Aired near(6e-5);
  near.build.site.spaces[0].ignition = {"heater"};
  EXPECT_EQ(count(assessed(near.build.site), Severity::near_source), 0u);
}

TEST(Zones, NoneInSpacesWithoutOxygen) {
  SiteBuilder build;
  const auto vessel = build.vessel("tube", 0.5);
  const auto nitrogen = build.nitrogen();
  build.site.spaces[0].initial = {{nitrogen, 1.0}};
  build.opening("vent", vessel, std::nullopt);
  build.steady("nitrogen", vessel, nitrogen, 0.01);
  build.steady("leak", vessel, build.methane(), 1e-5);
  EXPECT_TRUE(assessed(build.site).cases[0].zones.empty());
}

TEST(Zones, AreNoNewsWhereTheSpaceBurnsAsAWhole) {
  Aired room(0.1, 100.0);
  const auto a = assessed(room.build.site);
  EXPECT_EQ(count(a, Severity::flammable), 1u);
  EXPECT_EQ(count(a, Severity::near_source), 0u);
  ASSERT_EQ(a.cases[0].zones.size(), 1u);
  EXPECT_TRUE(a.cases[0].zones[0].fills_space);
}

TEST(Zones, FillACabinetThatLeavesNoRoomToMix) {
  const auto a = assessed(Aired(2e-5, 0.03, SpaceKind::cabinet).build.site);
  ASSERT_EQ(count(a, Severity::near_source), 1u);
  EXPECT_TRUE(a.cases[0].zones[0].fills_space);
}

TEST(Zones, OfFittingsAreThoseOfOne) {
  Aired room(1e-9);
  room.build.site.releases[0].kind = FittingsRelease{100.0, room.build.molar(1e-4)};
  const auto many = assessed(room.build.site).cases[0].zones[0];
  Aired one(1e-4);
  const auto single = assessed(one.build.site).cases[0].zones[0];
  EXPECT_NEAR(many.zone.reach, single.zone.reach, 0.05 * single.zone.reach);  // the background differs
  EXPECT_GT(many.zone.reach, single.zone.reach);
}

TEST(Zones, OfAHoleAreJets) {
  Aired room(1e-9);
  OrificeRelease line;
  line.held = {293.15, 0.016043, 1.31};
  line.hole = {0.002, 0.85};
  line.pressure = 3e5;
  room.build.site.releases[0].kind = line;
  const auto zone = assessed(room.build.site).cases[0].zones[0];
  EXPECT_EQ(zone.zone.shape, ZoneShape::jet);
  const double air = standard_atmosphere * molar_mass_of_air / (gas_constant * 293.15);
  const double at_rest = 3e5 * 0.016043 / (gas_constant * 293.15);
  const ExitPlane plane = exit_plane(at_rest, 3e5, 1.31, standard_atmosphere);
  const double fresh = fraction_over_background(0.044, zone.background * 0.044);
  const double expected = jet_reach(plane.density, 0.002, air, mass_fraction(fresh, 0.016043, molar_mass_of_air));
  EXPECT_NEAR(zone.zone.reach, expected, 1e-9);
}

// ---- findings

/// A leak into a room that passes its air on to a corridor.
struct Chain {
  explicit Chain(double rate) {
    store = build.space("store", 100.0);
    corridor = build.space("corridor", 100.0);
    build.fan("through", store, corridor, 0.1);
    build.fan("out", corridor, std::nullopt, 0.2);
    build.opening("in", std::nullopt, store);
    build.opening("more", std::nullopt, corridor);
    leak = build.steady("leak", store, build.methane(), rate);
  }
  SiteBuilder build;
  SpaceIndex store, corridor;
  ReleaseIndex leak;
};

TEST(Findings, TellOfOneCauseAndAllThatItReaches) {
  const auto a = assessed(Chain(0.006).build.site);
  ASSERT_EQ(a.findings.size(), 1u);
  EXPECT_EQ(a.findings[0].warnings.size(), a.warnings.size());
  EXPECT_GE(a.warnings.size(), 2u);
  EXPECT_EQ(a.warnings[a.findings[0].warnings[0]].space, SpaceIndex{0});
}

TEST(Findings, OfSeveralCasesWithTheSameEffectAreOne) {
  Chain chain(0.006);
  chain.build.new_case("other", {{60.0, SetAirwayFlow{AirwayIndex{1}, 0.2}, {}}});
  chain.build.new_case("stops", {{60.0, SetAirwayOn{AirwayIndex{0}, false}, {}}});
  const auto a = assessed(chain.build.site);
  ASSERT_GE(a.findings.size(), 2u);
  EXPECT_EQ(a.findings[0].cases, (std::vector<CaseIndex>{CaseIndex{0}, CaseIndex{1}}));
}

TEST(Findings, NameEveryWarningOrOneThatDoesTheSame) {
  Chain chain(0.006);
  chain.build.steady("second", chain.corridor, GasIndex{0}, 0.02);
  chain.build.new_case("stops", {{60.0, SetAirwayOn{AirwayIndex{1}, false}, {}}});
  const auto a = assessed(chain.build.site);
  for (std::size_t i = 0; i < a.warnings.size(); ++i) {
    const Warning& w = a.warnings[i];
    const bool told = std::any_of(a.findings.begin(), a.findings.end(), [&](const Finding& f) {
      const bool names_case = std::find(f.cases.begin(), f.cases.end(), w.case_index) != f.cases.end();
      return names_case && std::any_of(f.warnings.begin(), f.warnings.end(), [&](std::size_t k) {
               return k == i || (a.warnings[k].space == w.space && a.warnings[k].severity == w.severity);
             });
    });
    EXPECT_TRUE(told) << i;
  }
}

// ---- ratings, and who breathes

/// 0.001 m3/s of nitrogen into a sealed vessel of 1 m3: the pressure doubles in 1000 s.
Site sealed(std::optional<double> rated) {
  SiteBuilder build;
  const auto vessel = build.vessel("vessel", 1.0);
  build.site.spaces[0].rated_pressure = rated;
  build.steady("gas", vessel, build.nitrogen(), 0.001);
  return build.site;
}

TEST(RatedPressure, IsTheThresholdWhereThereIsOne) {
  const auto without = assessed(sealed(std::nullopt));
  ASSERT_EQ(count(without, Severity::pressure), 1u);
  EXPECT_NEAR(*without.warnings[0].time, 100.0, 1e-6);
  const auto with = assessed(sealed(3.0 * standard_atmosphere));
  ASSERT_EQ(count(with, Severity::pressure), 1u);
  EXPECT_NEAR(*with.warnings[0].time, 2000.0, 1e-5);
  EXPECT_EQ(with.warnings[0].rated_pressure, 3.0 * standard_atmosphere);
  Site strong = sealed(100.0 * standard_atmosphere);
  EXPECT_EQ(count(assessed(strong), Severity::pressure), 0u);
  strong.criteria.open_ended = true;  // follows the pressure until it reaches the rating
  const auto later = assessed(strong);
  ASSERT_EQ(count(later, Severity::pressure), 1u);
  EXPECT_NEAR(*later.warnings[0].time, 99000.0, 1.0);
}

TEST(EnteredVessel, IsJudgedForBreathing) {
  SiteBuilder build;
  const auto tank = build.vessel("tank", 10.0);
  build.fan("out", tank, std::nullopt, 0.1);
  build.opening("in", std::nullopt, tank);
  build.steady("purge", tank, build.nitrogen(), 0.02);
  EXPECT_EQ(count(assessed(build.site), Severity::oxygen), 0u);
  build.site.spaces[0].entered = true;
  EXPECT_EQ(count(assessed(build.site), Severity::oxygen), 1u);
}

// ---- notices of the flows

TEST(FlowNotices, TellOfAnImbalanceAndOfWindWithoutEffect) {
  SiteBuilder build;
  const auto room = build.space("room", 100.0);
  build.fan("supply", std::nullopt, room, 0.10);
  build.fan("extract", room, std::nullopt, 0.13);
  const auto notices = assessed(build.site).cases[0].air.notices;
  ASSERT_EQ(notices.size(), 1u);
  EXPECT_EQ(notices[0].kind, FlowNotice::Kind::imbalance);
  EXPECT_TRUE(notices[0].into);
  EXPECT_NEAR(notices[0].flow, 0.03, 1e-9);
  EXPECT_NEAR(notices[0].share, 0.03 / 0.13, 1e-9);
  std::get<Fan>(build.site.airways[0].kind).flow = 0.125;
  EXPECT_TRUE(assessed(build.site).cases[0].air.notices.empty());
  build.site.conditions.wind_speed = 3.0;
  const auto windy = assessed(build.site).cases[0].air.notices;
  ASSERT_EQ(windy.size(), 1u);
  EXPECT_EQ(windy[0].kind, FlowNotice::Kind::wind_without_effect);
}

// ---- cases added for releases that are off

Site read(const std::string& text) {
  const auto reading = parse_site(text, "site.toml", built_in_substances());
  EXPECT_NE(reading.usable(), nullptr) << (reading.diagnostics.empty() ? "" : to_text(reading.diagnostics.front()));
  return reading.usable() != nullptr ? *reading.usable() : Site{};
}

const char* const two_bottles = R"(title = "Two bottles"
[[space]]
id = "store"
kind = "room"
volume = "30 m3"
air_changes = "1 /h"
[[release]]
id = "one"
name = "Hose of bottle 1 breaks"
kind = "steady"
into = "store"
gas = "methane"
rate = "10 L/min"
on = false
[[release]]
id = "two"
kind = "steady"
into = "store"
gas = "methane"
rate = "10 L/min"
on = false
)";

TEST(AddedCases, AreOneForEachReleaseThatNothingTurnsOn) {
  const Site site = read(two_bottles);
  ASSERT_EQ(site.cases.size(), 3u);
  EXPECT_EQ(site.cases[1].id, "if-one");
  EXPECT_EQ(site.cases[1].name, "if Hose of bottle 1 breaks");
  EXPECT_EQ(site.cases[2].name, "if two leaks");
  EXPECT_EQ(site.cases[2].added_for, ReleaseIndex{1});
  EXPECT_EQ(without_added_cases(site).cases.size(), 1u);
  const auto a = assessed(site);
  EXPECT_TRUE(a.not_judged.empty());
  EXPECT_FALSE(a.warnings.empty());
}

TEST(AddedCases, StartOnTopOfWhatOthersGather) {
  const Site site = read(std::string{two_bottles} + R"([[release]]
id = "seep"
kind = "steady"
into = "store"
gas = "methane"
rate = "1 L/min"
)");
  ASSERT_EQ(site.cases.size(), 3u);
  ASSERT_EQ(site.cases[1].events.size(), 1u);
  EXPECT_EQ(site.cases[1].events[0].at, 4.0 * 3600.0);
}

TEST(AddedCases, LeaveACaseOfTheFileAlone) {
  const Site site = read(std::string{two_bottles} + R"([[case]]
id = "both"
event = [{ at = "0 s", release = "one", on = true }, { at = "0 s", release = "two", on = true }]
)");
  EXPECT_EQ(site.cases.size(), 2u);
}

TEST(HighMargin, NeedsAReason) {
  const std::string start = "title = \"T\"\n[criteria]\nwarn_at = \"60 %\"\n";
  const std::string space = "[[space]]\nid = \"a\"\nkind = \"room\"\nvolume = \"30 m3\"\n";
  EXPECT_EQ(parse_site(start + space, "site.toml", built_in_substances()).usable(), nullptr);
  const Site site = read(start + "accept_high_margin = \"a detector shuts the valve\"\n" + space);
  EXPECT_TRUE(std::any_of(site.assumptions.begin(), site.assumptions.end(), [](const Assumption& one) {
    return !one.names.empty() && one.names.front().find("a detector shuts the valve") != std::string::npos;
  }));
}

}  // namespace
}  // namespace leanside
