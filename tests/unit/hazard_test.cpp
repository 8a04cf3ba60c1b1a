// SPDX-License-Identifier: Apache-2.0
// What the fractions mean: crossings, time in the range, severities, rank, causes and remedies.
#include <cmath>
#include <numeric>

#include <gtest/gtest.h>

#include "hazard/judge.hpp"
#include "leanside/assess.hpp"
#include "support/build_site.hpp"

namespace leanside {
namespace {

using testing::SiteBuilder;

Assessment assessed(const Site& site, const AssessOptions& options = {}) {
  auto result = assess(site, options);
  if (const auto* fault = std::get_if<Fault>(&result)) {
    ADD_FAILURE() << fault->message;
    return {};
  }
  return std::get<Assessment>(std::move(result));
}

const Warning* find(const Assessment& a, SpaceIndex space, Severity severity, CaseIndex case_index = {0}) {
  for (const Warning& w : a.warnings) {
    if (w.space == space && w.severity == severity && w.case_index == case_index) return &w;
  }
  return nullptr;
}

std::optional<Crossing> crossing(const SpaceResult& r, Threshold t, std::size_t nth = 0) {
  for (const Crossing& c : r.crossings) {
    if (c.threshold == t && nth-- == 0) return c;
  }
  return std::nullopt;
}

double total_share(const Warning& w) {
  return std::accumulate(w.causes.begin(), w.causes.end(), 0.0, [](double s, const Cause& c) { return s + c.share; });
}

/// A store of 20 m3 with an extract of `flow` and a steady methane leak of `leak`, both m3/s.
struct Store {
  SiteBuilder b;
  GasIndex gas = b.methane();
  SpaceIndex store = b.space("store", 20.0);
  AirwayIndex extract;
  Store(double flow, double leak) : extract{b.fan("extract", store, std::nullopt, flow)} {
    b.steady("leak", store, gas, leak);
  }
};

TEST(Assess, CrossingsOfAStirredRoomAreThoseOfTheExponential) {
  Store s(0.01, 5e-4);  // tends to 5 %: over the lower limit of 4.4 %
  const auto a = assessed(s.b.site);
  const SpaceResult& r = a.cases[0].spaces[0];
  // The fan fixes the outflow: dx/dt = (q - Q x)/V.
  const auto time_of = [](double x) { return -20.0 / 0.01 * std::log1p(-x / 0.05); };
  EXPECT_NEAR(crossing(r, Threshold::note)->up, time_of(0.0044), 1e-6 * 28800);
  EXPECT_NEAR(crossing(r, Threshold::warn)->up, time_of(0.011), 1e-6 * 28800);
  EXPECT_NEAR(crossing(r, Threshold::lfl)->up, time_of(0.044), 1e-6 * 28800);
  EXPECT_FALSE(crossing(r, Threshold::lfl)->down);
  EXPECT_FALSE(crossing(r, Threshold::ufl));
  EXPECT_NEAR(r.flammable_time, 28800.0 - time_of(0.044), 1e-3);
  EXPECT_NEAR(r.flammable_gas, 20.0 * 0.05, 1e-5);
  EXPECT_NEAR(r.peak.time, 28800.0, 1e-6);
  const Warning* w = find(a, s.store, Severity::flammable);
  ASSERT_NE(w, nullptr);
  EXPECT_NEAR(*w->time, time_of(0.044), 0.03);
  EXPECT_NEAR(total_share(*w), 1.0, 1e-12);
}

TEST(Assess, RemedySolvedAgainIsJustUnderTheThreshold) {
  for (const double mixing : {1.0, 3.0}) {
    Store s(0.01, 5e-4);
    s.b.site.spaces[0].mixing_factor = mixing;
    const auto a = assessed(s.b.site);
    const Warning* w = find(a, s.store, Severity::flammable);
    ASSERT_NE(w, nullptr);
    ASSERT_EQ(w->remedy.kind, RemedyKind::more_fresh_air);
    const auto with = [&](double flow) {
      const auto again = assessed(hazard::with_extra_air(s.b.site, s.store, flow));
      return again.cases[0].spaces[0].steady.at.lfl_fraction;
    };
    EXPECT_LT(with(*w->remedy.extra_air), 0.25);
    EXPECT_GT(with(*w->remedy.extra_air), 0.25 * (1.0 - 1e-5));
    EXPECT_GT(with(*w->remedy.extra_air * 0.999), 0.25);
  }
}

TEST(Assess, RemedyHoldsWhereAirComesBackThroughAnotherRoom) {
  Store s(0.01, 5e-4);
  const auto corridor = s.b.space("corridor", 60.0);
  s.b.exchange("door", s.store, corridor, 0.05);
  s.b.site.spaces[0].mixing_factor = 2.0;
  const auto a = assessed(s.b.site);
  const Warning* w = find(a, s.store, Severity::flammable);
  ASSERT_NE(w, nullptr);
  ASSERT_EQ(w->remedy.kind, RemedyKind::more_fresh_air);
  const auto again = assessed(hazard::with_extra_air(s.b.site, s.store, *w->remedy.extra_air));
  EXPECT_NEAR(again.cases[0].spaces[0].steady.at.lfl_fraction, 0.25, 1e-5);
}

TEST(Assess, PassingPeakIsFoundAndItsRemedyHolds) {
  SiteBuilder b;
  const auto ch4 = b.methane();
  const auto room = b.space("room", 30.0);
  b.site.spaces[0].air_changes = 2.0 / 3600.0;
  b.release("gust", room, ch4, DumpRelease{b.molar(0.6), 120.0});
  const auto a = assessed(b.site);
  const SpaceResult& r = a.cases[0].spaces[0];
  EXPECT_NEAR(r.peak.time, 120.0, 1e-9);
  EXPECT_TRUE(r.steady.reached);
  EXPECT_EQ(r.steady.at.lfl_fraction, 0.0);
  const Warning* w = find(a, room, Severity::margin);
  ASSERT_NE(w, nullptr);
  ASSERT_EQ(w->remedy.kind, RemedyKind::more_air_for_peak);
  const auto again = assessed(hazard::with_extra_air(b.site, room, *w->remedy.extra_air));
  EXPECT_LT(again.cases[0].spaces[0].peak.lfl_fraction, 0.25);
  EXPECT_GT(again.cases[0].spaces[0].peak.lfl_fraction, 0.249);
}

// A room where nothing burns is at its worst when its oxygen is farthest from that of air, above it or below.
TEST(Assess, WorstInstantWithoutFuelIsThatOfTheOxygen) {
  for (const bool rich : {false, true}) {
    SiteBuilder b;
    const auto room = b.space("room", 30.0);
    b.site.spaces[0].air_changes = 2.0 / 3600.0;
    b.release("gust", room, rich ? b.oxygen() : b.nitrogen(), DumpRelease{b.molar(6.0), 300.0});
    const auto a = assessed(b.site);
    const SpaceResult& r = a.cases[0].spaces[0];
    EXPECT_NEAR(r.peak.time, 300.0, 1e-6) << rich;
    // x(T) of the gas with Q = 60 m3/h of air and q = 72 m3/h of gas into 30 m3, T = 300 s.
    const double q = 6.0 / 300.0, out = q + 60.0 / 3600.0, x = q / out * -std::expm1(-out * 300.0 / 30.0);
    EXPECT_NEAR(r.peak.oxygen, rich ? 0.2095 * (1.0 - x) + x : 0.2095 * (1.0 - x), 1e-7) << rich;
    EXPECT_NEAR(rich ? r.highest_oxygen : r.lowest_oxygen, r.peak.oxygen, 1e-9) << rich;
  }
}

// A dump that goes on past the horizon: the peak is the last instant, and the steady state knows nothing of it.
TEST(Assess, PeakAtTheEndOfTheHorizonHasARemedyToo) {
  SiteBuilder b;
  const auto room = b.space("room", 30.0);
  b.site.spaces[0].air_changes = 0.2 / 3600.0;
  b.release("gust", room, b.methane(), DumpRelease{b.molar(3.0), 2.0 * b.site.criteria.horizon});
  const auto a = assessed(b.site);
  EXPECT_EQ(a.cases[0].spaces[0].peak.time, b.site.criteria.horizon);
  const Warning* w = find(a, room, Severity::margin);
  ASSERT_NE(w, nullptr);
  ASSERT_EQ(w->remedy.kind, RemedyKind::more_air_for_peak);
  const auto again = assessed(hazard::with_extra_air(b.site, room, *w->remedy.extra_air));
  EXPECT_LT(again.cases[0].spaces[0].peak.lfl_fraction, 0.25);
  EXPECT_GT(again.cases[0].spaces[0].peak.lfl_fraction, 0.249);
}

// The pump and the exchange renew the air of the box 760 times an hour: what is left to advise is less gas.
TEST(Assess, AdvisesNoMoreAirWhereItIsRenewedSixtyTimesAnHour) {
  SiteBuilder b;
  const auto inner = b.space("inner", 0.33, SpaceKind::cabinet), outer = b.space("outer", 0.47, SpaceKind::cabinet);
  b.exchange("between", inner, outer, 70e-3);
  b.exchange("port", outer, std::nullopt, 1e-3);
  b.fan("pump", inner, outer, 120e-3);
  b.opening("return", outer, inner);
  b.opening("grille", outer, std::nullopt);
  b.release("r", outer, b.methane(), SteadyRelease{b.molar(2e-3 / 60.0), 3600.0});
  const auto a = assessed(b.site);
  const Warning* w = find(a, inner, Severity::margin);
  ASSERT_NE(w, nullptr);
  EXPECT_EQ(w->remedy.kind, RemedyKind::reduce_source);
  EXPECT_FALSE(w->remedy.extra_air);
  ASSERT_TRUE(w->remedy.reduction);
  const ReleaseIndex all[] = {ReleaseIndex{0}};
  const auto after = assessed(hazard::with_share(b.site, all, w->remedy.reduction->share));
  EXPECT_LT(after.cases[0].spaces[inner.value].peak.lfl_fraction, b.site.criteria.warn_at);
}

TEST(Assess, OpenBottleOfHydrogenPassesThroughTheRange) {
  SiteBuilder b;
  const auto h2 = b.hydrogen();
  const auto bottle = b.vessel("bottle", 2e-3);
  const auto room = b.space("room", 100.0);
  b.site.spaces[room.value].air_changes = 1.0 / 3600.0;
  b.site.spaces[bottle.value].initial = {{h2, 1.0}};
  b.exchange("mouth", bottle, room, 2e-6);
  const auto a = assessed(b.site);
  const SpaceResult& r = a.cases[0].spaces[bottle.value];
  EXPECT_EQ(r.peak.state, MixtureState::rich);
  EXPECT_EQ(r.peak.time, 0.0);
  const auto over = crossing(r, Threshold::ufl);
  ASSERT_TRUE(over && over->down);
  EXPECT_EQ(over->up, 0.0);
  EXPECT_NEAR(*over->down, -1000.0 * std::log(0.77), 0.2);
  const auto stoichiometric = crossing(r, Threshold::stoichiometric);
  ASSERT_TRUE(stoichiometric && stoichiometric->down);
  EXPECT_NEAR(*stoichiometric->down, -1000.0 * std::log(1.0 / (1.0 + 0.5 / 0.2095)), 0.5);
  const auto lower = crossing(r, Threshold::lfl);
  EXPECT_NEAR(r.flammable_time, *lower->down - *over->down, 1e-3);
  EXPECT_NEAR(*r.flammable_from, *over->down, 1e-3);
  const Warning* w = find(a, bottle, Severity::flammable);
  ASSERT_NE(w, nullptr);
  EXPECT_EQ(w->remedy.kind, RemedyKind::keep_air_out);
  ASSERT_EQ(w->causes.size(), 1u);
  EXPECT_EQ(w->causes[0].initial_of, bottle);
  EXPECT_EQ(find(a, bottle, Severity::oxygen), nullptr) << "nobody breathes what is in a vessel";
}

TEST(Assess, ClosedBottleOfHydrogenIsRichAndNeverClear) {
  SiteBuilder b;
  const auto h2 = b.hydrogen();
  const auto bottle = b.vessel("bottle", 2e-3);
  b.site.spaces[0].initial = {{h2, 1.0}};
  const auto a = assessed(b.site);
  const Warning* w = find(a, bottle, Severity::rich);
  ASSERT_NE(w, nullptr);
  EXPECT_EQ(*w->time, 0.0);
  EXPECT_EQ(w->remedy.kind, RemedyKind::keep_air_out);
  EXPECT_FALSE(a.cases[0].spaces[0].steady.reached);
}

TEST(Assess, MixtureTooPoorInOxygenIsInerted) {
  SiteBuilder b;
  const auto ch4 = b.methane();
  const auto n2 = b.nitrogen();
  const auto tank = b.vessel("tank", 1.0);
  b.site.spaces[0].initial = {{ch4, 0.08}, {n2, 0.6}};
  const auto a = assessed(b.site);
  EXPECT_EQ(a.cases[0].spaces[0].peak.state, MixtureState::inerted);
  EXPECT_NE(find(a, tank, Severity::rich), nullptr);
}

TEST(Assess, InertLeakLowersOxygenOnly) {
  SiteBuilder b;
  const auto n2 = b.nitrogen();
  const auto room = b.space("room", 40.0);
  b.fan("extract", room, std::nullopt, 0.02);
  b.steady("boil-off", room, n2, 4e-3);
  const auto a = assessed(b.site);
  ASSERT_EQ(a.warnings.size(), 1u);
  const Warning& w = a.warnings[0];
  EXPECT_EQ(w.severity, Severity::oxygen);
  EXPECT_NEAR(w.oxygen, 0.2095 * 0.8, 1e-9);
  EXPECT_NEAR(*w.time, -40.0 / 0.02 * std::log1p(-(1.0 - 0.195 / 0.2095) / 0.2), 0.03);
  EXPECT_NEAR(total_share(w), 1.0, 1e-12);
  ASSERT_EQ(w.remedy.kind, RemedyKind::restore_oxygen);
  ASSERT_TRUE(w.remedy.extra_air);
  EXPECT_NEAR(w.remedy.value_after, 0.195, 1e-6);
}

TEST(Assess, WarnsOfPressureInASealedVessel) {
  SiteBuilder b;
  const auto h2 = b.hydrogen();
  const auto drum = b.vessel("drum", 0.2);
  b.steady("gassing", drum, h2, 1e-5);
  const auto a = assessed(b.site);
  const Warning* w = find(a, drum, Severity::pressure);
  ASSERT_NE(w, nullptr);
  EXPECT_NEAR(*w->time, 0.1 * 0.2 / 1e-5, 0.01);
  EXPECT_NEAR(w->pressure, 101325.0 * (1.0 + 1e-5 * 28800.0 / 0.2), 0.1);
  EXPECT_EQ(w->remedy.kind, RemedyKind::vent_vessel);
  EXPECT_NEAR(total_share(*w), 1.0, 1e-12);
}

TEST(Assess, PressureBehindAJunctionComesFromTheReleaseBeforeIt) {
  SiteBuilder b;
  const auto first = b.vessel("first", 0.08), second = b.vessel("second", 0.03), tee = b.junction("tee");
  b.opening("near", first, tee);
  b.opening("far", tee, second);
  const auto leak = b.steady("leak", first, b.methane(), 1e-6);
  const auto into_tee = b.steady("other", tee, GasIndex{0}, 3e-6);
  const auto a = assessed(b.site);
  for (const SpaceIndex space : {first, second}) {
    const Warning* w = find(a, space, Severity::pressure);
    ASSERT_NE(w, nullptr);
    ASSERT_EQ(w->causes.size(), 2u);
    EXPECT_EQ(*w->causes[0].release, into_tee);
    EXPECT_NEAR(w->causes[0].share, 0.75, 1e-12);
    EXPECT_EQ(*w->causes[1].release, leak);
  }
}

TEST(Assess, CausesShareTheWorstInstantExactly) {
  SiteBuilder b;
  const auto ch4 = b.methane();
  const auto h2 = b.hydrogen();
  const auto store = b.space("store", 20.0), lab = b.space("lab", 60.0);
  b.exchange("hatch", store, lab, 0.01);
  b.fan("extract", lab, std::nullopt, 0.03);
  b.site.spaces[lab.value].initial = {{ch4, 0.002}};
  b.steady("one", store, ch4, 2e-4);
  b.release("two", lab, h2, DumpRelease{b.molar(0.9), 600.0});
  b.site.releases[1].start = 1800.0;
  const auto a = assessed(b.site);
  const Warning* w = find(a, lab, Severity::margin);
  ASSERT_NE(w, nullptr);
  EXPECT_NEAR(a.cases[0].spaces[lab.value].peak.time, 2400.0, 1e-6);
  ASSERT_EQ(w->causes.size(), 3u);
  EXPECT_NEAR(total_share(*w), 1.0, 1e-12);
  // Each cause alone, by leaving the gas of the others out while they still displace: air in their place.
  Site only_two = b.site;
  only_two.releases[0].gas.shares.clear();
  only_two.spaces[lab.value].initial.clear();
  const double alone = assessed(only_two).cases[0].spaces[lab.value].peak.lfl_fraction;
  for (const Cause& cause : w->causes) {
    if (cause.release == ReleaseIndex{1}) {
      EXPECT_NEAR(cause.share, alone / w->lfl_fraction, 1e-8);
    }
  }
}

TEST(Assess, RanksBySeverityCaseAndTime) {
  Store s(0.05, 5e-4);  // 1 %: a note in the normal case
  const auto fan_off = s.b.new_case("fan-off", {{600.0, SetAirwayOn{s.extract, false}, {}}});
  const auto slow = s.b.new_case("fan-slow", {{0.0, SetAirwayFlow{s.extract, 0.011}, {}}});
  const auto a = assessed(s.b.site);
  ASSERT_GE(a.warnings.size(), 3u);
  EXPECT_EQ(a.warnings[0].severity, Severity::flammable);
  EXPECT_EQ(a.warnings[0].case_index, fan_off);
  EXPECT_EQ(a.warnings[1].case_index, slow);
  EXPECT_LT(*a.warnings[0].time, *a.warnings[1].time);
  for (std::size_t i = 1; i < a.warnings.size(); ++i) EXPECT_LE(a.warnings[i - 1].severity, a.warnings[i].severity);
}

TEST(Assess, SteadyWarningHasNoTime) {
  Store s(1e-3, 5e-5);
  s.b.site.criteria.horizon = 600.0;
  const auto a = assessed(s.b.site);
  ASSERT_FALSE(a.warnings.empty());
  EXPECT_TRUE(a.warnings[0].worst_is_steady);
  EXPECT_FALSE(a.warnings[0].time);
  EXPECT_EQ(a.warnings[0].remedy.kind, RemedyKind::more_fresh_air);
}

TEST(Assess, ExactlyAtTheThresholdCounts) {
  SiteBuilder b;
  const auto ch4 = b.methane();
  const auto room = b.vessel("jar", 1.0);
  b.site.spaces[0].initial = {{ch4, 0.25 * 0.044}};
  EXPECT_NE(find(assessed(b.site), room, Severity::margin), nullptr);
  b.site.spaces[0].initial = {{ch4, 0.25 * 0.044 * (1.0 - 1e-6)}};
  EXPECT_EQ(find(assessed(b.site), room, Severity::margin), nullptr);
}

TEST(Assess, SeriesComesInOrderOfTimeAndMatchesTheResult) {
  Store s(0.01, 5e-4);
  AssessOptions options;
  options.series_points = 100;
  double last_time = -1.0, last_value = 0.0;
  int count = 0;
  options.series = [&](CaseIndex, double t, const FractionField& x) {
    EXPECT_GT(t, last_time);
    last_time = t;
    last_value = x(s.store, 0);
    EXPECT_NEAR(last_value, 0.05 * -std::expm1(-0.01 * t / 20.0), 1e-8);
    ++count;
  };
  assessed(s.b.site, options);
  EXPECT_EQ(count, 101);
  EXPECT_EQ(last_time, 28800.0);
}

TEST(Assess, SteadyOnlySolvesNothingInTime) {
  Store s(0.01, 5e-4);
  AssessOptions options;
  options.steady_only = true;
  const auto a = assessed(s.b.site, options);
  EXPECT_NEAR(a.cases[0].spaces[0].steady.at.fraction[0], 0.05, 1e-12);
  EXPECT_TRUE(a.cases[0].spaces[0].crossings.empty());
  ASSERT_FALSE(a.warnings.empty());
  EXPECT_TRUE(a.warnings[0].worst_is_steady);
}

TEST(Assess, ReportsAFaultOfTheSite) {
  SiteBuilder b;
  b.methane();
  const auto tee = b.junction("tee");
  b.fan("in", std::nullopt, tee, 0.05);
  const auto result = assess(b.site);
  ASSERT_TRUE(std::holds_alternative<Fault>(result));
  EXPECT_TRUE(std::get<Fault>(result).is_bad_input());
}

}  // namespace
}  // namespace leanside
