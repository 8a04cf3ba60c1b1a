// SPDX-License-Identifier: Apache-2.0
// What a right site file is read as.
#include "leanside/site_file.hpp"

#include <gtest/gtest.h>

namespace leanside {
namespace {

constexpr std::string_view small = R"(title = "Gas store"

[[space]]
id = "store"
kind = "room"
volume = "30 m3"
)";

SiteReading read(const std::string& text) { return parse_site(text, "store.toml", built_in_substances()); }

Site good(const std::string& text) {
  auto reading = read(text);
  for (const auto& d : reading.diagnostics) EXPECT_EQ(d.level, DiagnosticLevel::notice) << to_text(d);
  if (!reading.usable()) {
    ADD_FAILURE() << "not usable";
    return {};
  }
  return *reading.usable();
}

std::string with(std::string_view more) { return std::string{small} + std::string{more}; }

TEST(SiteFile, SmallestSiteTakesTheDefaults) {
  const auto site = good(std::string{small});
  EXPECT_EQ(site.title, "Gas store");
  EXPECT_EQ(site.file, "store.toml");
  ASSERT_EQ(site.spaces.size(), 1u);
  const auto& store = site.spaces[0];
  EXPECT_EQ(store.kind, SpaceKind::room);
  EXPECT_DOUBLE_EQ(store.volume, 30.0);
  EXPECT_DOUBLE_EQ(store.temperature, 293.15);
  EXPECT_EQ(store.mixing_factor, 1.0);
  EXPECT_EQ(store.air_changes, 0.0);
  EXPECT_EQ(store.elevation, 0.0);
  EXPECT_TRUE(store.initial.empty());
  EXPECT_EQ(store.place.line, 3);
  EXPECT_DOUBLE_EQ(site.conditions.pressure, 101325.0);
  EXPECT_DOUBLE_EQ(site.conditions.oxygen_in_air, 0.2095);
  EXPECT_DOUBLE_EQ(site.criteria.warn_at, 0.25);
  EXPECT_DOUBLE_EQ(site.criteria.note_at, 0.10);
  EXPECT_DOUBLE_EQ(site.criteria.oxygen_low, 0.195);
  EXPECT_DOUBLE_EQ(site.criteria.oxygen_high, 0.235);
  EXPECT_DOUBLE_EQ(site.criteria.horizon, 28800.0);
  EXPECT_EQ(site.criteria.limits, "cautious");
  EXPECT_TRUE(site.gases.empty());
  ASSERT_EQ(site.cases.size(), 1u);
  EXPECT_EQ(site.cases[0].id, "normal");
}

TEST(SiteFile, ConditionsAndCriteriaAreRead) {
  const auto site = good(with(R"([conditions]
temperature = "15 degC"
outside_temperature = "-5 degC"
pressure = "950 hPa"
oxygen_in_air = "20.9 %"
wind_speed = "0 m/s"
[criteria]
warn_at = 0.2
note_at = "5 %"
oxygen_low = "19 %"
oxygen_high = "23 %"
limits = "bulletin-627"
horizon = "2 d"
)"));
  EXPECT_DOUBLE_EQ(site.conditions.temperature, 288.15);
  EXPECT_DOUBLE_EQ(site.conditions.outside_temperature, 268.15);
  EXPECT_DOUBLE_EQ(site.conditions.pressure, 95000.0);
  EXPECT_DOUBLE_EQ(site.conditions.oxygen_in_air, 0.209);
  EXPECT_DOUBLE_EQ(site.criteria.warn_at, 0.2);
  EXPECT_DOUBLE_EQ(site.criteria.note_at, 0.05);
  EXPECT_DOUBLE_EQ(site.criteria.oxygen_low, 0.19);
  EXPECT_DOUBLE_EQ(site.criteria.oxygen_high, 0.23);
  EXPECT_EQ(site.criteria.limits, "bulletin-627");
  EXPECT_DOUBLE_EQ(site.criteria.horizon, 172800.0);
  EXPECT_DOUBLE_EQ(site.spaces[0].temperature, 288.15);
}

TEST(SiteFile, OutsideIsAsWarmAsInsideUnlessItSaysOtherwise) {
  EXPECT_DOUBLE_EQ(good(with("[conditions]\ntemperature = \"15 degC\"\n")).conditions.outside_temperature, 288.15);
}

TEST(SiteFile, SizesFollowFromEachOther) {
  const auto site = good(R"(title = "Sizes"
space = [
  { id = "a", kind = "room", floor_area = "12 m2", height = "2.5 m" },
  { id = "b", kind = "room", volume = "30 m3", floor_area = "12 m2" },
  { id = "c", kind = "room", volume = "30 m3", height = "2.5 m" },
  { id = "d", kind = "room", volume = "30.1 m3", floor_area = "12 m2", height = "2.5 m" },
]
)");
  for (std::size_t i = 0; i < 3; ++i) {
    EXPECT_DOUBLE_EQ(site.spaces[i].volume, 30.0);
    EXPECT_DOUBLE_EQ(site.spaces[i].floor_area.value(), 12.0);
    EXPECT_DOUBLE_EQ(site.spaces[i].height.value(), 2.5);
  }
  EXPECT_DOUBLE_EQ(site.spaces[3].volume, 30.1);  // a rounded figure is no contradiction
}

TEST(SiteFile, AllOfASpaceIsRead) {
  const auto site = good(R"(title = "One"
[[space]]
id = "hood.1_a-b"
name = "Fume hood"
kind = "cabinet"
volume = "1200 L"
elevation = "-3 m"
temperature = "25 degC"
mixing_factor = 2
air_changes = "10 /h"
initial = { nitrogen = "50 %", hydrogen = 0.25 }
ignition = ["hot plate", "lamp"]
)");
  const auto& hood = site.spaces[0];
  EXPECT_EQ(hood.name, "Fume hood");
  EXPECT_EQ(hood.kind, SpaceKind::cabinet);
  EXPECT_DOUBLE_EQ(hood.volume, 1.2);
  EXPECT_DOUBLE_EQ(hood.elevation, -3.0);
  EXPECT_DOUBLE_EQ(hood.temperature, 298.15);
  EXPECT_DOUBLE_EQ(hood.mixing_factor, 2.0);
  EXPECT_DOUBLE_EQ(hood.air_changes, 10.0 / 3600.0);
  ASSERT_EQ(hood.initial.size(), 2u);
  EXPECT_EQ(site.gases[hood.initial[0].gas.value].substance.id, "nitrogen");  // as written, not by letter
  EXPECT_DOUBLE_EQ(hood.initial[0].fraction, 0.5);
  EXPECT_EQ(site.gases[hood.initial[1].gas.value].substance.id, "hydrogen");
  EXPECT_DOUBLE_EQ(hood.initial[1].fraction, 0.25);
  EXPECT_EQ(hood.ignition, (std::vector<std::string>{"hot plate", "lamp"}));
}

TEST(SiteFile, AllOfAnAirwayIsRead) {
  const auto site = good(with(R"(
[[space]]
id = "lab"
kind = "room"
volume = "80 m3"
[[airway]]
id = "extract"
kind = "fan"
from = "store"
to = "outside"
flow = "360 m3/h"
on = false
[[airway]]
id = "door"
kind = "exchange"
between = ["store", "lab"]
flow = "36 m3/h"
[[airway]]
id = "grille"
kind = "opening"
between = ["outside", "lab"]
)"));
  ASSERT_EQ(site.airways.size(), 3u);
  const auto& fan = std::get<Fan>(site.airways[0].kind);
  EXPECT_FALSE(site.airways[0].on);
  EXPECT_EQ(fan.from, Side{SpaceIndex{0}});
  EXPECT_EQ(fan.to, Side{});
  EXPECT_DOUBLE_EQ(fan.flow, 0.1);
  const auto& door = std::get<Exchange>(site.airways[1].kind);
  EXPECT_TRUE(site.airways[1].on);
  EXPECT_EQ(door.second, Side{SpaceIndex{1}});
  EXPECT_DOUBLE_EQ(door.flow, 0.01);
  EXPECT_EQ(first_side(site.airways[2]), Side{});
  EXPECT_EQ(second_side(site.airways[2]), Side{SpaceIndex{1}});
}

TEST(SiteFile, EventsOfTheFileAreInEveryCaseAndOrderedByTime) {
  const auto site = good(R"(title = "Events"
event = [
  { at = "30 min", airway = "fan", on = true },
  { at = "5 min", airway = "fan", flow = "72 m3/h" },
]
[[space]]
id = "store"
kind = "room"
volume = "30 m3"
[[airway]]
id = "fan"
kind = "fan"
from = "store"
to = "outside"
flow = "36 m3/h"
[[release]]
id = "leak"
kind = "steady"
into = "store"
gas = "methane"
rate = "1 L/min"
[[case]]
id = "off"
name = "Fan off"
event = [
  { at = "5 min", airway = "fan", on = false },
  { at = "0 s", release = "leak", on = false },
]
[[case]]
id = "again"
[[case.event]]
at = "1 min"
release = "leak"
on = true
)");
  ASSERT_EQ(site.cases.size(), 3u);
  const auto& normal = site.cases[0].events;
  ASSERT_EQ(normal.size(), 2u);
  EXPECT_DOUBLE_EQ(normal[0].at, 300.0);
  EXPECT_DOUBLE_EQ(std::get<SetAirwayFlow>(normal[0].change).flow, 0.02);
  EXPECT_TRUE(std::get<SetAirwayOn>(normal[1].change).on);
  const auto& off = site.cases[1];
  EXPECT_EQ(off.name, "Fan off");
  ASSERT_EQ(off.events.size(), 4u);
  EXPECT_TRUE(std::holds_alternative<SetReleaseOn>(off.events[0].change));
  EXPECT_TRUE(std::holds_alternative<SetAirwayFlow>(off.events[1].change));  // of the file: before, at equal times
  EXPECT_FALSE(std::get<SetAirwayOn>(off.events[2].change).on);
  EXPECT_DOUBLE_EQ(off.events[3].at, 1800.0);
  ASSERT_EQ(site.cases[2].events.size(), 3u);
  EXPECT_DOUBLE_EQ(site.cases[2].events[0].at, 60.0);
}

TEST(SiteFile, AcceptsWindowsLineEndsAndByteOrderMark) {
  std::string text = "\xEF\xBB\xBF";
  for (const char c : small) text += c == '\n' ? std::string{"\r\n"} : std::string{c};
  const auto site = good(text);
  EXPECT_EQ(site.title, "Gas store");
  EXPECT_EQ(site.spaces[0].place.line, 3);
  EXPECT_EQ(site.spaces[0].place.column, 1);
}

TEST(SiteFile, TitlesMayBeInAnyLanguage) {
  const auto site = good("title = \"Chemikalienlager \u00DC\u4ED3\u5E93\"\n" + std::string{small.substr(20)});
  EXPECT_EQ(site.title, "Chemikalienlager \u00DC\u4ED3\u5E93");
}

TEST(BuiltInSite, IsASite) {
  const auto reading = parse_site(built_in_site(), "", built_in_substances());
  EXPECT_TRUE(reading.usable());
}

}  // namespace
}  // namespace leanside
