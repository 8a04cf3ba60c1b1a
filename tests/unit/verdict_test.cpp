// SPDX-License-Identifier: Apache-2.0
// Toxic gas, gas that can be ignited at its source, the rank by energy, the computed time, and what stays open.
#include <algorithm>
#include <cmath>

#include <gtest/gtest.h>

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

const Warning* find(const Assessment& a, SpaceIndex space, Severity severity) {
  for (const Warning& w : a.warnings) {
    if (w.space == space && w.severity == severity) return &w;
  }
  return nullptr;
}

Gas toxic_gas(double idlh) {
  Gas gas = testing::make_inert("poison", 0.04);
  gas.substance.idlh = Sourced{idlh, "test", false};
  return gas;
}

/// A release of 0.001 m3/s into a space of 100 m3 that loses 0.02 m3/s: x(t) = 0.05 (1 - exp(-t 0.02/100)).
struct Room {
  explicit Room(SpaceKind kind) {
    space = build.space("room", 100.0, kind);
    build.fan("extract", space, std::nullopt, 0.02);
    if (kind != SpaceKind::room) build.opening("in", std::nullopt, space);
  }
  SiteBuilder build;
  SpaceIndex space;
};

TEST(Toxic, WarnsInRoomsAtTheIdlh) {
  Room room(SpaceKind::room);
  room.build.steady("leak", room.space, room.build.gas(toxic_gas(0.01)), 0.001);
  const auto a = assessed(room.build.site);
  const Warning* w = find(a, room.space, Severity::toxic);
  ASSERT_NE(w, nullptr);
  ASSERT_TRUE(w->time);
  EXPECT_NEAR(*w->time, -5000.0 * std::log1p(-0.01 / 0.05), 0.01);
  EXPECT_NEAR(w->toxic->worst, 0.05, 1e-9);
  ASSERT_EQ(w->causes.size(), 1u);
  EXPECT_NEAR(w->causes[0].share, 1.0, 1e-12);
  EXPECT_EQ(w->remedy.kind, RemedyKind::leave);
  EXPECT_TRUE(calls_for_action(a));
}

TEST(Toxic, NoWarningOutsideRooms) {
  for (const SpaceKind kind : {SpaceKind::vessel, SpaceKind::cabinet}) {
    Room room(kind);
    room.build.steady("leak", room.space, room.build.gas(toxic_gas(0.01)), 0.001);
    const auto a = assessed(room.build.site);
    EXPECT_EQ(find(a, room.space, Severity::toxic), nullptr);
    const Warning* note = find(a, room.space, Severity::note);
    EXPECT_EQ(note != nullptr, kind == SpaceKind::cabinet);
    if (note != nullptr) {
      EXPECT_EQ(note->remedy.kind, RemedyKind::air_before_opening);
    }
  }
}

TEST(Toxic, NoWarningBelowTheIdlh) {
  Room room(SpaceKind::room);
  room.build.steady("leak", room.space, room.build.gas(toxic_gas(0.05001)), 0.001);
  EXPECT_EQ(find(assessed(room.build.site), room.space, Severity::toxic), nullptr);
  room.build.site.gases[0].substance.idlh->value = 0.04999;
  const auto a = assessed(room.build.site);
  const Warning* w = find(a, room.space, Severity::toxic);
  ASSERT_NE(w, nullptr);
}

/// A pool of a liquid with the lower limit 2 %, at 20 degC.
Site pool_of(double vapour_pressure, std::optional<double> flash_point) {
  SiteBuilder build;
  Gas gas = testing::make_fuel("liquid", 0.06, 0.02, 0.13, 5.0);
  if (flash_point) gas.substance.flash_point = Sourced{*flash_point, "test", false};
  const auto of = build.gas(gas);
  const auto room = build.space("room", 1000.0);
  build.site.spaces[0].air_changes = 10.0 / 3600.0;
  SpillRelease spill;
  spill.amount = 0.01;
  spill.pool = {0.01, 1e-3, vapour_pressure, 293.15};
  build.release("pool", room, of, spill);
  return build.site;
}

TEST(NearSource, LiquidCountsFromItsFlashPoint) {
  const auto warned = [](const Site& site) {
    return find(assessed(site), SpaceIndex{0}, Severity::near_source) != nullptr;
  };
  EXPECT_TRUE(warned(pool_of(1000.0, 293.15)));   // at its flash point
  EXPECT_FALSE(warned(pool_of(1000.0, 293.25)));  // below it, and saturated air holds half the lower limit
  EXPECT_TRUE(warned(pool_of(0.0201 * 101325.0, 300.0)));
  EXPECT_FALSE(warned(pool_of(0.0199 * 101325.0, std::nullopt)));
  EXPECT_TRUE(warned(pool_of(0.0201 * 101325.0, std::nullopt)));
}

TEST(NearSource, AnyAmountOfPyrophoricGasCounts) {
  SiteBuilder build;
  Gas gas = testing::make_fuel("self-igniting", 0.03, 0.01, 0.99, 2.0);
  gas.substance.classification = {"pyrophoric"};
  const auto of = build.gas(gas);
  const auto room = build.space("room", 1000.0);
  build.site.spaces[0].air_changes = 10.0 / 3600.0;
  build.steady("fitting", room, of, 1e-12);
  const auto a = assessed(build.site);
  const Warning* w = find(a, room, Severity::near_source);
  ASSERT_NE(w, nullptr);
  EXPECT_EQ(w->source->hazard, SourceHazard::pyrophoric);
  EXPECT_EQ(w->source->release, ReleaseIndex{0});
  EXPECT_EQ(*w->time, 0.0);
}

/// A fuel with the lower limit 1.7 % and an IDLH at an eighth of that, classed as given; 60 % of the limit in steady
/// state.
Assessment with_idlh_near_the_limit(const std::vector<std::string>& classes) {
  Room room(SpaceKind::room);
  Gas gas = testing::make_fuel("fuel", 0.044, 0.017, 0.109, 5.0);
  gas.substance.idlh = Sourced{0.0021, "test", false};
  gas.substance.classification = classes;
  const double wanted = 0.6 * 0.017;
  room.build.steady("leak", room.space, room.build.gas(gas), 0.02 * wanted);
  Assessment out = assessed(room.build.site);
  std::erase_if(out.warnings, [](const Warning& w) { return w.source.has_value(); });
  return out;
}

TEST(Rank, PutsTheMarginBeforeAnIdlhOfATenthOfTheLimit) {
  const auto a = with_idlh_near_the_limit({"flammable-gas"});
  ASSERT_EQ(a.warnings.size(), 2u);
  EXPECT_EQ(a.warnings[0].severity, Severity::margin);
  EXPECT_EQ(a.warnings[1].severity, Severity::toxic);
  EXPECT_TRUE(a.warnings[1].toxic->tenth_of_limit);
}

TEST(Rank, PutsAClassedToxicGasFirst) {
  const auto a = with_idlh_near_the_limit({"flammable-gas", "toxic"});
  ASSERT_EQ(a.warnings.size(), 2u);
  EXPECT_EQ(a.warnings[0].severity, Severity::toxic);
  EXPECT_FALSE(a.warnings[0].toxic->tenth_of_limit);
}

TEST(Toxic, WarnsOnlyOfTheWorstGasWithATenthOfTheLimit) {
  Room room(SpaceKind::room);
  const auto fuel = [&](const std::string& id, double idlh) {
    Gas gas = testing::make_fuel(id, 0.044, 10.0 * idlh, 0.5, 5.0);
    gas.substance.idlh = Sourced{idlh, "test", false};
    return room.build.gas(gas);
  };
  const auto mild = fuel("mild", 0.002), worst = fuel("worst", 0.001);
  room.build.steady("a", room.space, mild, 0.0001);
  room.build.steady("b", room.space, worst, 0.0001);
  room.build.steady("c", room.space, room.build.gas(toxic_gas(1e-4)), 0.0001);
  const auto a = assessed(room.build.site);
  std::vector<std::size_t> gases;
  for (const Warning& w : a.warnings) {
    if (w.toxic) gases.push_back(w.toxic->gas.value);
  }
  EXPECT_EQ(gases, (std::vector<std::size_t>{2, worst.value}));
}

TEST(CallsForAction, CountsAStarvedFan) {
  Assessment a;
  a.cases.emplace_back();
  EXPECT_FALSE(calls_for_action(a));
  a.cases[0].starved.emplace_back();
  EXPECT_TRUE(calls_for_action(a));
}

TEST(Rank, PutsMoreEnergyFirst) {
  SiteBuilder build;
  const auto gas = build.methane();
  build.site.gases[0].substance.net_heat = Sourced{802.6e3, "test", false};
  const auto small = build.space("small", 1.0), large = build.space("large", 100.0);
  build.steady("into-small", small, gas, 1e-4);  // there in some 8 min
  build.steady("into-large", large, gas, 1e-3);  // there in some 75 min
  const auto a = assessed(build.site);
  ASSERT_GE(a.warnings.size(), 2u);
  EXPECT_EQ(a.warnings[0].space, large);
  const Warning* later = find(a, large, Severity::flammable);
  const Warning* sooner = find(a, small, Severity::flammable);
  ASSERT_TRUE(later != nullptr && sooner != nullptr);
  EXPECT_GT(*later->time, *sooner->time);
  // At most 17 % of 100 m3 inside the range: 17 m3 at 20 degC of 802.6 kJ/mol.
  EXPECT_NEAR(later->energy, 17.0 * 101325.0 / (8.314463 * 293.15) * 802.6e3, 0.001 * later->energy);
}

/// 50 m3 that 1.2 m3/h of methane fills by displacement through an opening into a well aired corridor.
SiteBuilder slow_fill() {
  SiteBuilder build;
  const auto gas = build.methane();
  const auto boiler = build.space("boiler", 200.0), corridor = build.space("corridor", 300.0);
  build.site.spaces[corridor.value].air_changes = 5.0 / 3600.0;
  build.opening("door", boiler, corridor);
  build.steady("leak", boiler, gas, 1.2 / 3600.0);
  return build;
}

TEST(SlowFill, IsFlammableOnItsWayPastTheRange) {
  SiteBuilder build = slow_fill();
  build.site.criteria.open_ended = true;
  const auto a = assessed(build.site);
  const Warning* w = find(a, SpaceIndex{0}, Severity::flammable);
  ASSERT_NE(w, nullptr);
  ASSERT_TRUE(w->time);
  // Nothing comes in but gas: x = 1 - exp(-t q/V).
  EXPECT_NEAR(*w->time, -200.0 / 1.2 * 3600.0 * std::log1p(-0.044), 1.0);
  EXPECT_GT(a.horizon, *w->time);
}

TEST(SlowFill, IsFlammableLaterWhereTheHorizonEndsBefore) {
  SiteBuilder build = slow_fill();
  build.site.criteria.horizon = 3600.0;
  const auto a = assessed(build.site);
  const Warning* w = find(a, SpaceIndex{0}, Severity::flammable);
  ASSERT_NE(w, nullptr);
  EXPECT_FALSE(w->time);
  ASSERT_TRUE(w->later);
  EXPECT_NEAR(*w->later, -200.0 / 1.2 * 3600.0 * std::log1p(-0.044), 1.0);
  EXPECT_EQ(a.horizon, 3600.0);
}

TEST(SlowFill, OfAVesselWithoutOxygenStaysInerted) {
  SiteBuilder build;
  const auto gas = build.methane(), nitrogen = build.nitrogen();
  const auto tank = build.vessel("tank", 1.0);
  build.site.spaces[0].initial = {{nitrogen, 1.0}};
  build.opening("vent", tank, std::nullopt);
  build.steady("fill", tank, gas, 1e-4);
  const auto a = assessed(build.site);
  EXPECT_EQ(find(a, tank, Severity::flammable), nullptr);
  EXPECT_NE(find(a, tank, Severity::rich), nullptr);
}

TEST(ComputedTime, IsLongerOnlyIfNeeded) {
  SiteBuilder build;
  const auto gas = build.methane();
  const auto room = build.space("room", 30.0);
  build.site.spaces[0].air_changes = 5.0 / 3600.0;
  build.steady("leak", room, gas, 1e-4);
  build.site.criteria.open_ended = true;
  EXPECT_EQ(assessed(build.site).horizon, 8.0 * 3600.0);
  build.site.spaces[0].air_changes = 0.02 / 3600.0;  // a time constant of 50 h
  const auto a = assessed(build.site);
  const SpaceResult& slow = a.cases[0].spaces[0];
  EXPECT_GT(a.horizon, 4.0 * 50.0 * 3600.0);
  EXPECT_NEAR(slow.end.lfl_fraction, slow.steady.at.lfl_fraction, 0.01 * slow.steady.at.lfl_fraction);
  EXPECT_TRUE(a.not_judged.empty());
}

TEST(ComputedTime, WaitsForStartsAndEventsInEveryCase) {
  SiteBuilder build;
  const auto gas = build.methane();
  const auto room = build.space("room", 30.0);
  build.site.spaces[0].air_changes = 5.0 / 3600.0;
  const auto leak = build.steady("leak", room, gas, 1e-3);
  build.site.releases[leak.value].on = false;
  build.new_case("breaks", {{20.0 * 24.0 * 3600.0, SetReleaseOn{leak, true}, {}}});
  build.site.criteria.open_ended = true;
  std::vector<std::pair<std::size_t, double>> seen;
  AssessOptions options;
  options.series_points = 4;
  options.series = [&](CaseIndex case_index, double time, const FractionField&) {
    seen.emplace_back(case_index.value, time);
  };
  const auto a = assessed(build.site, options);
  EXPECT_GT(a.horizon, 20.0 * 24.0 * 3600.0);
  ASSERT_EQ(a.cases.size(), 2u);
  EXPECT_EQ(a.cases[0].spaces[0].end.time, a.horizon);
  EXPECT_EQ(a.cases[1].spaces[0].end.time, a.horizon);
  ASSERT_EQ(seen.size(), 10u);  // each case once, over the same time
  EXPECT_EQ(seen[4].second, a.horizon);
  EXPECT_EQ(seen[9].second, a.horizon);
  EXPECT_TRUE(
      std::any_of(a.warnings.begin(), a.warnings.end(), [](const Warning& w) { return w.case_index.value == 1; }));
}

TEST(NotJudged, ReportsReleasesThatNoCaseTurnsOn) {
  SiteBuilder build;
  const auto gas = build.methane();
  const auto room = build.space("room", 30.0);
  build.site.spaces[0].air_changes = 5.0 / 3600.0;
  const auto hose = build.steady("hose", room, gas, 1e-3);
  build.site.releases[hose.value].on = false;
  auto a = assessed(build.site);
  ASSERT_EQ(a.not_judged.size(), 1u);
  EXPECT_EQ(a.not_judged[0].kind, OpenQuestion::release_off);
  EXPECT_EQ(a.not_judged[0].release, hose);
  EXPECT_TRUE(a.warnings.empty());
  EXPECT_TRUE(calls_for_action(a));
  build.new_case("breaks", {{0.0, SetReleaseOn{hose, true}, {}}});
  a = assessed(build.site);
  EXPECT_TRUE(std::none_of(a.not_judged.begin(), a.not_judged.end(),
                           [](const NotJudged& open) { return open.kind == OpenQuestion::release_off; }));
}

}  // namespace
}  // namespace leanside
