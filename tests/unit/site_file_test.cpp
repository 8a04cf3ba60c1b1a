// SPDX-License-Identifier: Apache-2.0
// What a right site file is read as.
#include "leanside/site_file.hpp"

#include <cmath>
#include <filesystem>

#include <gtest/gtest.h>

#include "support/paths.hpp"

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
  for (const auto& d : reading.diagnostics) EXPECT_EQ(d.gravity, Gravity::notice) << to_text(d);
  if (!reading.usable()) {
    ADD_FAILURE() << "not usable";
    return {};
  }
  return *reading.usable();
}

std::string with(std::string_view more) { return std::string{small} + std::string{more}; }

std::string all_assumptions(const Site& site) {
  std::string out;
  for (const auto& sentence : site.assumptions) out += sentence + "\n";
  return out;
}

bool has(const std::string& text, std::string_view part) { return text.find(part) != std::string::npos; }

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

TEST(SiteFile, AFillingMayBeAMixtureAndPartsOfItAdd) {
  const auto site = good(
      R"(title = "Filling"
[[gas]]
id = "half"
source = "invented for this test"
parts = { methane = "50 %", air = "50 %" }
[[space]]
id = "v"
kind = "vessel"
volume = "1 L"
initial = { half = "60 %", methane = "10 %", air = "20 %" }
)");
  ASSERT_EQ(site.gases.size(), 1u);
  ASSERT_EQ(site.spaces[0].initial.size(), 1u);
  EXPECT_NEAR(site.spaces[0].initial[0].fraction, 0.4, 1e-15);
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
kind = "relief"
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

TEST(SiteFile, SizesOfReleasesBecomeMoles) {
  // Ideal gas at site conditions: n = P V / (R T); mass by the molar mass of what is released.
  const auto site = good(with(R"(
[conditions]
temperature = "25 degC"
pressure = "90 kPa"
[[gas]]
id = "mix"
source = "invented for this test"
parts = { hydrogen = "50 %", nitrogen = "50 %" }
[[release]]
id = "a"
kind = "steady"
into = "store"
gas = "methane"
rate = "6 L/min"
[[release]]
id = "b"
kind = "steady"
into = "store"
gas = "mix"
rate = "3 g/s"
duration = "90 s"
[[release]]
id = "c"
kind = "steady"
into = "store"
gas = "methane"
rate = "6 mol/min"
start = "1 h"
on = false
[[release]]
id = "d"
name = "Bottle"
kind = "dump"
into = "store"
gas = "hydrogen"
amount = " 20 L"
over = "10 min"
[[release]]
id = "e"
kind = "fittings"
into = "store"
gas = "hydrogen"
count = 12
each = "2 mL/min"
)"));
  const double mol_per_m3 = 90000.0 / (gas_constant * 298.15);
  ASSERT_EQ(site.releases.size(), 5u);
  const auto& a = std::get<SteadyRelease>(site.releases[0].kind);
  EXPECT_NEAR(a.rate, 1e-4 * mol_per_m3, 1e-15);
  EXPECT_FALSE(a.duration);
  EXPECT_EQ(site.releases[0].as_written, "6 L/min");
  EXPECT_EQ(site.releases[0].gas.name, "methane");

  const auto& b = std::get<SteadyRelease>(site.releases[1].kind);
  const double molar = 0.5 * built_in_substances().find("hydrogen")->molar_mass.value +
                       0.5 * built_in_substances().find("nitrogen")->molar_mass.value;
  EXPECT_NEAR(b.rate, 3e-3 / molar, 1e-12);
  EXPECT_DOUBLE_EQ(b.duration.value(), 90.0);
  EXPECT_EQ(site.releases[1].as_written, "3 g/s for 90 s");

  EXPECT_DOUBLE_EQ(std::get<SteadyRelease>(site.releases[2].kind).rate, 0.1);
  EXPECT_DOUBLE_EQ(site.releases[2].start, 3600.0);
  EXPECT_FALSE(site.releases[2].on);

  const auto& d = std::get<DumpRelease>(site.releases[3].kind);
  EXPECT_NEAR(d.amount, 0.02 * mol_per_m3, 1e-14);
  EXPECT_DOUBLE_EQ(d.over, 600.0);
  EXPECT_EQ(site.releases[3].as_written, "20 L over 10 min");
  EXPECT_EQ(site.releases[3].name, "Bottle");

  const auto& e = std::get<FittingsRelease>(site.releases[4].kind);
  EXPECT_EQ(e.count, 12.0);
  EXPECT_NEAR(e.each, 2e-6 / 60.0 * mol_per_m3, 1e-18);
  EXPECT_EQ(site.releases[4].as_written, "12 fittings of 2 mL/min");
}

TEST(SiteFile, OnlyGasesThatOccurAreTrackedInOrderOfAppearance) {
  const auto site = good(with(R"(
initial = { nitrogen = "10 %" }
[[gas]]
id = "not-used"
molar_mass = "20 g/mol"
source = "invented for this test"
[[release]]
id = "a"
kind = "steady"
into = "store"
gas = "propane"
rate = "1 L/min"
[[release]]
id = "b"
kind = "steady"
into = "store"
gas = "nitrogen"
rate = "1 L/min"
[[release]]
id = "c"
kind = "steady"
into = "store"
gas = "air"
rate = "1 L/min"
)"));
  ASSERT_EQ(site.gases.size(), 2u);
  EXPECT_EQ(site.gases[0].substance.id, "nitrogen");
  EXPECT_FALSE(site.gases[0].limits);
  EXPECT_EQ(site.gases[1].substance.id, "propane");
  ASSERT_TRUE(site.gases[1].limits);
  EXPECT_GT(site.gases[1].limits->lower, 0.0);
  EXPECT_TRUE(site.releases[2].gas.shares.empty());
  EXPECT_DOUBLE_EQ(molar_mass(site.releases[2].gas, site.gases), molar_mass_of_air);
}

TEST(SiteFile, AGasOfTheFileBringsItsOwnValuesAndSource) {
  const auto site = good(with(R"(
[[gas]]
id = "lab-gas"
name = "Laboratory gas"
molar_mass = "20 g/mol"
lfl = "4 %"
ufl = "16 %"
loc = "10 %"
oxygen_demand = 2.5
net_heat = "800 kJ/mol"
flash_point = "-20 degC"
source = "sheet of the maker, 2021"
[[release]]
id = "a"
kind = "steady"
into = "store"
gas = "lab-gas"
rate = "1 g/min"
)"));
  ASSERT_EQ(site.gases.size(), 1u);
  const auto& gas = site.gases[0];
  EXPECT_EQ(gas.substance.name, "Laboratory gas");
  EXPECT_DOUBLE_EQ(gas.substance.molar_mass.value, 0.02);
  EXPECT_EQ(gas.substance.molar_mass.source, "sheet of the maker, 2021");
  ASSERT_TRUE(gas.limits);
  EXPECT_DOUBLE_EQ(gas.limits->lower, 0.04);
  EXPECT_DOUBLE_EQ(gas.limits->upper, 0.16);
  EXPECT_EQ(gas.limits->lower_source, "sheet of the maker, 2021");
  EXPECT_DOUBLE_EQ(gas.substance.limiting_oxygen->value, 0.10);
  EXPECT_DOUBLE_EQ(gas.substance.oxygen_demand->value, 2.5);
  EXPECT_DOUBLE_EQ(gas.substance.net_heat->value, 8e5);
  EXPECT_DOUBLE_EQ(gas.substance.flash_point->value, 253.15);
  EXPECT_NEAR(std::get<SteadyRelease>(site.releases[0].kind).rate, 1e-3 / 60.0 / 0.02, 1e-15);
}

TEST(SiteFile, AMixtureMayUseGasesOfTheFileWhereverTheyStand) {
  const auto site = good(with(R"(
[[gas]]
id = "town-gas"
source = "invented for this test"
parts = { special = "30 %", hydrogen = 0.5, air = "20 %" }
[[gas]]
id = "special"
molar_mass = "40 g/mol"
source = "invented for this test"
[[release]]
id = "a"
kind = "steady"
into = "store"
gas = "town-gas"
rate = "1 L/min"
)"));
  ASSERT_EQ(site.releases[0].gas.shares.size(), 2u);
  double sum = 0.0;
  for (const auto& share : site.releases[0].gas.shares) sum += share.fraction;
  EXPECT_NEAR(sum, 0.8, 1e-15);
}

TEST(SiteFile, PartsThatAreRoundedToAMillionthAddUpExactly) {
  const auto site = good(with(R"(
[[gas]]
id = "m"
source = "invented for this test"
parts = { hydrogen = 0.3333333, methane = 0.3333333, propane = 0.3333333 }
[[release]]
id = "a"
kind = "steady"
into = "store"
gas = "m"
rate = "1 L/min"
)"));
  double sum = 0.0;
  for (const auto& share : site.releases[0].gas.shares) sum += share.fraction;
  EXPECT_NEAR(sum, 1.0, 1e-15);
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

TEST(SiteFile, LineEndsOfWindowsAndAByteOrderMarkAreFine) {
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

TEST(Assumptions, DefaultsAreSaidOnceAndOnlyWhereTheyWereTaken) {
  const auto bare = all_assumptions(good(std::string{small}));
  for (const auto part : {"20 degC outside and in every space", "101.325 kPa", "25 % of the lower limit",
                          "computing until the verdict can no longer change", "every space is well mixed",
                          "no way for air is given for the space 'store'"}) {
    EXPECT_TRUE(has(bare, part)) << part << "\n" << bare;
  }
  const auto full = all_assumptions(good(with(R"(mixing_factor = 1
air_changes = "1 /h"
[conditions]
temperature = "20 degC"
outside_temperature = "20 degC"
pressure = "1 atm"
[criteria]
warn_at = 0.25
note_at = 0.1
oxygen_low = 0.195
oxygen_high = 0.235
limits = "cautious"
horizon = "8 h"
)")));
  EXPECT_EQ(full, "");
}

TEST(Assumptions, ManySpacesAreNamedByAFew) {
  std::string text =
      "title = \"Many\"\n[[space]]\nid = \"first\"\nkind = \"room\"\nvolume = \"30 m3\"\nmixing_factor = 2\n";
  for (int i = 0; i < 20; ++i) {
    text += "[[space]]\nid = \"r" + std::to_string(i) + "\"\nkind = \"room\"\nvolume = \"30 m3\"\n";
  }
  const auto site = good(text);
  const auto all = all_assumptions(site);
  EXPECT_TRUE(has(all, "the spaces 'r0', 'r1', 'r2', 'r3' and 16 more are well mixed")) << all;
  EXPECT_TRUE(has(all, "'first', 'r0', 'r1', 'r2' and 17 more")) << all;
  EXPECT_LT(site.assumptions.size(), 8u);
}

TEST(Assumptions, VesselsWithoutAnOpeningAreSealed) {
  const auto all =
      all_assumptions(good("title = \"V\"\n[[space]]\nid = \"bottle\"\nkind = \"vessel\"\nvolume = \"2 L\"\n"));
  EXPECT_TRUE(has(all, "the space 'bottle': sealed")) << all;
}

TEST(Assumptions, MixturesOfTheTableSayWhatTheyAreMadeOf) {
  const auto all = all_assumptions(good(with(R"(
[[release]]
id = "a"
kind = "steady"
into = "store"
gas = "natural-gas"
rate = "1 L/min"
)")));
  EXPECT_TRUE(has(all, "natural-gas consists of methane ")) << all;
}

TEST(Assumptions, LimitsThatFallBackAreNamed) {
  const std::string text = with(R"([criteria]
limits = "one-source"
[[release]]
id = "a"
kind = "steady"
into = "store"
gas = "listed"
rate = "1 L/min"
[[release]]
id = "b"
kind = "steady"
into = "store"
gas = "unlisted"
rate = "1 L/min"
)");
  SubstanceTable table;
  Substance gas;
  gas.id = gas.name = "listed";
  gas.molar_mass = {0.03, "test"};
  gas.limits = {{"one-source", 0.05, 0.15}, {"other-source", 0.04, 0.16}};
  table.put(gas);
  gas.id = gas.name = "unlisted";
  gas.limits = {{"other-source", 0.04, 0.16}};
  table.put(gas);
  const auto reading = parse_site(text, "f", table);
  ASSERT_TRUE(reading.usable());
  EXPECT_DOUBLE_EQ(reading.usable()->gases[0].limits->lower, 0.05);
  EXPECT_DOUBLE_EQ(reading.usable()->gases[1].limits->lower, 0.04);
  const auto all = all_assumptions(*reading.usable());
  EXPECT_TRUE(has(all, "the source 'one-source' does not give both limits of 'unlisted'")) << all;
}

TEST(Notices, UnlikelyValuesAreUsedButQuestioned) {
  const auto reading = read(R"(title = "Unlikely"
[conditions]
temperature = "80 degC"
pressure = "1 kPa"
[[space]]
id = "tiny"
kind = "room"
volume = "1 L"
air_changes = "2000 /h"
mixing_factor = 20
[[airway]]
id = "fan"
kind = "fan"
from = "tiny"
to = "outside"
flow = "200 m3/s"
[[release]]
id = "leak"
kind = "steady"
into = "tiny"
gas = "methane"
rate = "2 L/s"
[[release]]
id = "nothing"
kind = "steady"
into = "tiny"
gas = "methane"
rate = "0 L/s"
start = "3 d"
duration = "0 s"
[[case]]
id = "same"
)");
  ASSERT_TRUE(reading.usable());
  std::string all;
  for (const auto& d : reading.diagnostics) {
    EXPECT_EQ(d.gravity, Gravity::notice) << to_text(d);
    all += to_text(d) + "\n";
  }
  for (const auto part :
       {":3:15: notice: [conditions]: temperature: 80 degC", ":4:12: notice: [conditions]: pressure: 1 kPa",
        ":5:1: notice: space 'tiny': 0.001 m3 is very little for a room", ":9:15: notice: space 'tiny': air_changes",
        ":10:17: notice: space 'tiny': mixing_factor", ":16:8: notice: airway 'fan': flow: 200 m3/s is very much",
        ":22:8: notice: release 'leak': rate: this fills the space 'tiny' in less than a second",
        ":28:8: notice: release 'nothing': rate: is 0", ":30:12: notice: release 'nothing': duration: is 0",
        ":31:1: notice: case 'same': has no event"}) {
    EXPECT_TRUE(has(all, part)) << part << "\n" << all;
  }
}

// Gas that is left mixed though it may gather is told of in its own test.
TEST(Notices, OfGasThatMayGatherAreCutShortInALargeSite) {
  std::string text = "title = \"x\"\n";
  for (int i = 0; i < 13; ++i) {
    const std::string id = "room-" + std::to_string(i);
    text += "[[space]]\nid = \"" + id + "\"\nkind = \"room\"\nvolume = \"30 m3\"\n";
    text += "[[release]]\nid = \"leak-" + std::to_string(i) + "\"\nkind = \"steady\"\ninto = \"" + id +
            "\"\ngas = \"hydrogen\"\nrate = \"1 L/min\"\n";
  }
  const auto reading = parse_site(text, "x.toml", built_in_substances());
  ASSERT_TRUE(reading.usable());
  int each = 0, rest = 0;
  for (const auto& d : reading.diagnostics) {
    each += has(to_text(d), "may gather under the ceiling") ? 1 : 0;
    rest += has(to_text(d), "the same holds for 3 more spaces") ? 1 : 0;
  }
  EXPECT_EQ(each, 10);
  EXPECT_EQ(rest, 1);
}

TEST(Notices, AnOrdinarySiteHasNoOther) {
  for (const auto& entry : std::filesystem::directory_iterator{leanside::testing::source_path("examples")}) {
    if (entry.path().extension() != ".toml") continue;
    const auto reading = read_site(entry.path().string(), built_in_substances());
    EXPECT_TRUE(reading.usable()) << entry.path();
    for (const auto& d : reading.diagnostics) {
      if (!has(d.message, "may gather")) ADD_FAILURE() << to_text(d);
    }
  }
}

TEST(BuiltInSite, IsASite) {
  const auto reading = parse_site(built_in_site(), "", built_in_substances());
  EXPECT_TRUE(reading.usable());
}

TEST(MolarMass, AirFillsWhatTheSharesLeave) {
  Gas gas;
  gas.substance.molar_mass.value = 0.002;
  const std::vector<Gas> gases{gas};
  EXPECT_DOUBLE_EQ(molar_mass({}, gases), molar_mass_of_air);
  EXPECT_DOUBLE_EQ(molar_mass({{{GasIndex{0}, 1.0}}, "g"}, gases), 0.002);
  EXPECT_NEAR(molar_mass({{{GasIndex{0}, 0.25}}, "g"}, gases), 0.0005 + 0.75 * molar_mass_of_air, 1e-15);
}

}  // namespace
}  // namespace leanside
