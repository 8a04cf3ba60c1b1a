// SPDX-License-Identifier: Apache-2.0
/// Verdicts of rooms in a row, mixed and in layers: less air, more gas, a fan that starts later or a leak that is
/// stopped later is never the milder case. Small changes change what is computed little.
#include <algorithm>
#include <cmath>
#include <string>

#include <gtest/gtest.h>

#include "property/draw.hpp"
#include "support/build_site.hpp"

namespace {

using namespace leanside;

double between(double low, double high) { return low + (high - low) * 1e-4 * *rc::gen::inRange(0, 10001); }
double spread(double low, double high) { return low * std::pow(high / low, between(0.0, 1.0)); }

/// How late things happen, and how much air there is.
struct Row {
  Site site;
  AirwayIndex fan;
  ReleaseIndex leak;
};

/// One to three rooms in a row. Outside air comes into the last one and is drawn out of the first one, where gas leaks:
/// more air is then better for all of them.
Row draw_row(bool layered) {
  leanside::testing::SiteBuilder build;
  auto fuel = *rc::gen::arbitrary<bool>() ? leanside::testing::make_fuel("light", 0.002016, 0.04, 0.75, 0.5)
                                          : leanside::testing::make_fuel("heavy", 0.044, 0.021, 0.095, 5.0);
  fuel.substance.diffusivity_in_air = Sourced{fuel.substance.id == "light" ? 7.58e-5 : 1.12e-5, "test", false};
  const auto gas = build.gas(fuel);
  const int rooms = layered ? 1 : *rc::gen::inRange(1, 4);
  for (int k = 0; k < rooms; ++k) {
    const double height = between(2.0, 5.0), area = between(4.0, 60.0);
    const auto room = build.space("room-" + std::to_string(k), height * area);
    Space& space = build.site.spaces[room.value];
    space.floor_area = area;
    space.height = height;
    if (layered) {
      space.stratification = *rc::gen::arbitrary<bool>() ? Stratification::layered : Stratification::worse_of_both;
    }
    if (k > 0) build.opening("door-" + std::to_string(k), room, SpaceIndex{room.value - 1});
  }
  build.opening("inlet", std::nullopt, SpaceIndex{static_cast<std::size_t>(rooms) - 1});
  Row row;
  row.fan = build.fan("extract", SpaceIndex{0}, std::nullopt, spread(1e-3, 0.3));
  const double rate = spread(1e-6, 2e-3);
  row.leak =
      build.release("leak", SpaceIndex{0}, gas, SteadyRelease{build.molar(rate), 60.0 * *rc::gen::inRange(1, 240)});
  build.site.releases[row.leak.value].height = between(0.0, 1.0) * *build.site.spaces[0].height;
  build.site.criteria.horizon = (layered ? 2.0 : 8.0) * 3600.0;
  build.site.criteria.open_ended = false;
  row.site = build.site;
  return row;
}

struct Level {
  int severity = 0;      ///< less is worse
  double highest = 0.0;  ///< share of the lower limit
};

Level level(const Site& site) {
  const auto answer = property::assessment(site);
  Level out{static_cast<int>(Severity::note) + 1, 0.0};
  for (const auto& warning : answer.warnings) {
    if (warning.source) continue;  // close to the leak, whatever the room
    out.severity = std::min(out.severity, static_cast<int>(warning.severity));
  }
  for (const auto& space : answer.cases[0].spaces) out.highest = std::max(out.highest, space.peak.lfl_fraction);
  return out;
}

void expect_no_milder(const Site& better, const Site& worse) {
  const Level one = level(better), two = level(worse);
  RC_LOG() << "severity " << one.severity << " and " << two.severity << ", of the limit " << one.highest << " and "
           << two.highest << "\n";
  RC_ASSERT(two.highest >= one.highest * (1.0 - 1e-6) - 1e-12);
  // Where both are at a threshold within the tolerance of fractions, either may be named.
  if (two.highest > one.highest * (1.0 + 1e-5)) RC_ASSERT(two.severity <= one.severity);
}

Site with_less_air(Row row) {
  std::get<Fan>(row.site.airways[row.fan.value].kind).flow *= between(0.05, 0.95);
  return row.site;
}

Site with_more_gas(Row row) {
  std::get<SteadyRelease>(row.site.releases[row.leak.value].kind).rate *= between(1.05, 10.0);
  return row.site;
}

Site stopped_later(Row row) {
  auto& duration = std::get<SteadyRelease>(row.site.releases[row.leak.value].kind).duration;
  *duration *= between(1.05, 5.0);
  return row.site;
}

/// The fan off at first, and on from `at` s.
Site fan_on_at(Row row, double at) {
  row.site.airways[row.fan.value].on = false;
  row.site.cases[0].events = {{at, SetAirwayOn{row.fan, true}, {}}};
  return row.site;
}

RC_GTEST_PROP(MixedRooms, AreNeverMilderWithLessAir, ()) {
  const Row row = draw_row(false);
  expect_no_milder(row.site, with_less_air(row));
}

RC_GTEST_PROP(MixedRooms, AreNeverMilderWithMoreGasOrWhenItIsStoppedLater, ()) {
  const Row row = draw_row(false);
  expect_no_milder(row.site, with_more_gas(row));
  expect_no_milder(row.site, stopped_later(row));
}

RC_GTEST_PROP(MixedRooms, AreNeverMilderWhenTheFanStartsLater, ()) {
  const Row row = draw_row(false);
  const double at = 60.0 * *rc::gen::inRange(1, 240);
  expect_no_milder(fan_on_at(row, at), fan_on_at(row, at * between(1.01, 2.0)));
}

/// One change of the four in each: rooms in layers take long.
RC_GTEST_PROP(LayeredRooms, AreNeverMilderWithLessAirOrMoreGasOrLaterAction, ()) {
  const Row row = draw_row(true);
  const double at = 60.0 * *rc::gen::inRange(1, 240);
  switch (*rc::gen::inRange(0, 4)) {
    case 0:
      return expect_no_milder(row.site, with_less_air(row));
    case 1:
      return expect_no_milder(row.site, with_more_gas(row));
    case 2:
      return expect_no_milder(row.site, stopped_later(row));
    default:
      return expect_no_milder(fan_on_at(row, at), fan_on_at(row, at * between(1.01, 2.0)));
  }
}

/// A thousandth more of anything changes the highest share of the limit by no more than some thousandths.
RC_GTEST_PROP(Levels, ChangeLittleWithSmallChanges, ()) {
  const Row row = draw_row(*rc::gen::arbitrary<bool>());
  Row other = row;
  const double factor = 1.001;
  switch (*rc::gen::inRange(0, 3)) {
    case 0:
      std::get<SteadyRelease>(other.site.releases[other.leak.value].kind).rate *= factor;
      break;
    case 1:
      std::get<Fan>(other.site.airways[other.fan.value].kind).flow *= factor;
      break;
    default:
      *std::get<SteadyRelease>(other.site.releases[other.leak.value].kind).duration *= factor;
  }
  const double one = level(row.site).highest, two = level(other.site).highest;
  RC_LOG() << one << " and " << two << "\n";
  RC_ASSERT(std::abs(two - one) <= 0.005 * one + 1e-9);
}

}  // namespace
