// SPDX-License-Identifier: Apache-2.0
/// Schedules to site files, and back.
#include "leanside/schedule.hpp"

#include <algorithm>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "leanside/report.hpp"
#include "leanside/site_file.hpp"

namespace leanside {
namespace {

ImportedSchedule imported(const std::string& rooms, const std::string& airways = {}, ScheduleOptions options = {}) {
  std::optional<ScheduleTable> second;
  if (!airways.empty()) second = ScheduleTable{airways, "airways.csv"};
  auto read = import_schedule({rooms, "rooms.csv"}, second, built_in_substances(), options);
  if (const auto* fault = std::get_if<Fault>(&read)) {
    ADD_FAILURE() << fault->message;
    return {};
  }
  return std::get<ImportedSchedule>(std::move(read));
}

Site site_of(const ImportedSchedule& schedule) {
  const SiteReading reading = parse_site(schedule.site_file, "imported.toml", built_in_substances());
  for (const Diagnostic& d : reading.diagnostics) {
    if (d.level == DiagnosticLevel::error) ADD_FAILURE() << to_text(d) << "\n" << schedule.site_file;
  }
  return reading.usable() != nullptr ? *reading.usable() : Site{};
}

const Space& space(const Site& site, const std::string& id) {
  const auto found = std::find_if(site.spaces.begin(), site.spaces.end(), [&](const Space& s) { return s.id == id; });
  if (found == site.spaces.end()) throw std::runtime_error{"no space " + id};
  return *found;
}

const Airway& airway(const Site& site, const std::string& id) {
  const auto found =
      std::find_if(site.airways.begin(), site.airways.end(), [&](const Airway& a) { return a.id == id; });
  if (found == site.airways.end()) throw std::runtime_error{"no airway " + id};
  return *found;
}

double flow(const Site& site, const std::string& id) { return 3600.0 * std::get<Fan>(airway(site, id).kind).flow; }

/// The lines of what was left out.
std::vector<int> left_out(const ImportedSchedule& schedule) {
  std::vector<int> lines;
  for (const Diagnostic& d : schedule.remarks) {
    if (d.level == DiagnosticLevel::error) lines.push_back(d.place.line);
  }
  return lines;
}

const std::string three_rooms =
    "Room,Name,Area (m2),Height (m),Supply (m3/h),Extract (m3/h),Transfer to,AHU,Door to,Undercut (mm)\n"
    "0.01,Corridor,40,2.6,300,,outside,AHU 1,,\n"
    "0.02,Laboratory,60,3,500,620,outside,AHU 1,0.01,8\n"
    "Store A,,12,2.5,,90,0.01,,0.01,\n";

TEST(Schedule, MakesRoomsFansWaysAndSystems) {
  const Site site = site_of(imported(three_rooms));
  ASSERT_EQ(site.spaces.size(), 3u);
  EXPECT_NEAR(space(site, "0.02").volume, 180.0, 1e-9);
  EXPECT_EQ(space(site, "0.02").name, "Laboratory");
  EXPECT_EQ(space(site, "Store-A").name, "Store A") << "the name keeps what an id cannot have";
  EXPECT_NEAR(flow(site, "0.02.supply"), 500.0, 1e-9);
  EXPECT_NEAR(flow(site, "0.02.extract"), 620.0, 1e-9);
  EXPECT_EQ(std::get<Fan>(airway(site, "0.02.extract").kind).to, Side{});
  EXPECT_TRUE(std::holds_alternative<Opening>(airway(site, "Store-A.transfer").kind));
  const auto& slit = std::get<Doorway>(airway(site, "0.02.undercut").kind);
  EXPECT_EQ(slit.form, OpeningForm::undercut);
  EXPECT_NEAR(slit.height, 0.008, 1e-12);
  EXPECT_FALSE(airway(site, "0.02.door").on) << "a door of a schedule is shut";
  ASSERT_EQ(site.systems.size(), 1u);
  EXPECT_EQ(site.systems[0].id, "AHU-1");
  EXPECT_EQ(airways_of(site, SystemIndex{0}).size(), 3u);
  EXPECT_FALSE(airway(site, "Store-A.extract").system) << "the store has no system in the schedule";
}

TEST(Schedule, ReadsSemicolonsWithDecimalCommasAndTabs) {
  const std::string semicolons =
      "\xEF\xBB\xBFRaum;Area [m\xC2\xB2];Height [m];Supply [m\xC2\xB3/h]\r\nA1;12,5;2,75;1.200\r\n";
  const Site german = site_of(imported(semicolons));
  EXPECT_NEAR(space(german, "A1").volume, 12.5 * 2.75, 1e-9);
  EXPECT_NEAR(flow(german, "A1.supply"), 1200.0, 1e-9) << "beside decimal commas a point marks thousands";
  const Site tabs = site_of(imported("room\tvolume, ft3\tsupply cfm\nB\t1000\t50\n"));
  EXPECT_NEAR(space(tabs, "B").volume, 28.316846592, 1e-6);
  EXPECT_NEAR(flow(tabs, "B.supply"), 50.0 * 1.69901082, 1e-5);
  const Site litres = site_of(imported("room,volume (m3),supply (l/s)\nC,30,\"12.5\"\n"));
  EXPECT_NEAR(flow(litres, "C.supply"), 45.0, 1e-9);
}

TEST(Schedule, RefusesANumberThatCanBeMeantTwoWays) {
  const std::string rooms = "room;volume (m3);supply (m3/h)\nA;30;1,200\nB;40;90\n";
  const ImportedSchedule unclear = imported(rooms);
  EXPECT_EQ(left_out(unclear), std::vector<int>{2});
  EXPECT_EQ(site_of(unclear).airways.size(), 1u);
  ScheduleOptions options;
  options.decimal = DecimalMark::comma;
  EXPECT_NEAR(flow(site_of(imported(rooms, {}, options)), "A.supply"), 1.2, 1e-9);
  options.decimal = DecimalMark::point;
  EXPECT_NEAR(flow(site_of(imported(rooms, {}, options)), "A.supply"), 1200.0, 1e-9);
}

TEST(Schedule, ListsEachRowThatItLeavesOutWithItsLine) {
  const ImportedSchedule schedule = imported(
      "room,area (m2),height (m),supply (m3/h),transfer to\n"
      "A,20,2.5,100,B\n"
      "A,30,2.5,100,\n"          // 3: twice
      ",10,2.5,,\n"              // 4: no room
      "C,10,,,\n"                // 5: no height
      "D,ten,2.5,,\n"            // 6: no number
      "E,10,2.5,100,C\n"         // 7: leads to a row that was left out; the room itself stays
      "F,10,2.5,100,Bee\n"       // 8: no such room; the room itself stays
      "B,10,2.5,-5,A\n"          // 9: a flow below 0; the room itself stays
      "\"G\nwing\",-10,2.5,,\n"  // 10: an area below 0
      "H,10,2.5,,A\n");
  auto lines = left_out(schedule);
  std::sort(lines.begin(), lines.end());
  EXPECT_EQ(lines, (std::vector<int>{3, 4, 5, 6, 7, 8, 9, 10}));
  for (const Diagnostic& d : schedule.remarks) EXPECT_EQ(d.place.file, "rooms.csv") << d.message;
  const Site site = site_of(schedule);
  EXPECT_EQ(site.spaces.size(), 5u) << "A, B, E, F and H";
  EXPECT_EQ(schedule.rooms, 5u);
}

TEST(Schedule, AsksForAUnitAndSaysWhichColumnsItDoesNotUse) {
  const ImportedSchedule schedule = imported("room,area,height (m),volumme (m3),remarks\nA,20,2.5,,\nB,10 m2,2.5,,\n");
  EXPECT_EQ(left_out(schedule), std::vector<int>{2});
  std::string all;
  for (const Diagnostic& d : schedule.remarks) all += d.message + "\n";
  EXPECT_NE(all.find("unit is missing"), std::string::npos) << all;
  EXPECT_NE(all.find("did you mean 'volume'"), std::string::npos) << all;
  EXPECT_NE(all.find("'remarks' is not used"), std::string::npos) << all;
}

TEST(Schedule, WithoutAColumnOfRoomsIsAFault) {
  for (const std::string text :
       {"", "area (m2),height (m)\n3,4\n", "room,volume (m3)\n", "room,volume (m3)\nA,none\n"}) {
    const auto read = import_schedule({text, "rooms.csv"}, {}, built_in_substances());
    EXPECT_TRUE(std::holds_alternative<Fault>(read)) << text;
  }
}

const std::string many_airways =
    "airway,kind,from,to,flow (m3/h),leakage_area (cm2),exponent,width (m),height (m),sill (m),free_share (%),open (%),"
    "discharge,wind_coefficient,curve,on,system\n"
    "hood,fan,0.02,outside,200,,,,,,,,,,,yes,\n"
    "roof,fan,0.02,outside,,,,,,,,,,,0 Pa : 300 m3/h | 80 Pa : 0 m3/h,no,\n"
    "crack,gap,0.02,outside,,25,0.6,,1,,,,,0.6,,,\n"
    "grille,louvre,0.02,outside,,,,0.6,0.4,2,50,,,-0.3,,,\n"
    "hatch,window,0.02,0.01,,,,0.8,0.5,1,,30,,,,,\n"
    "leaf,doorway,0.02,Store A,,,,0.9,2,,,10,0.7,,,,\n"
    "swap,exchange,Store A,0.01,40,,,,,,,,,,,,\n";

TEST(Schedule, ReadsEveryKindOfAirway) {
  const Site site = site_of(imported(three_rooms, many_airways));
  EXPECT_EQ(std::get<Fan>(airway(site, "roof").kind).curve.size(), 2u);
  EXPECT_FALSE(airway(site, "roof").on);
  EXPECT_NEAR(std::get<Doorway>(airway(site, "grille").kind).width, 0.3, 1e-12) << "half of it is free";
  EXPECT_NEAR(std::get<Doorway>(airway(site, "hatch").kind).open, 0.3, 1e-12);
  EXPECT_NEAR(std::get<Gap>(airway(site, "crack").kind).leakage_area, 25e-4, 1e-15);
}

TEST(Schedule, ExportAndImportAgreeFromThenOn) {
  const Site first = site_of(imported(three_rooms, many_airways));
  const std::string spaces = spaces_csv(first), airways = airways_csv(first);
  const ImportedSchedule again = imported(spaces, airways);
  EXPECT_TRUE(left_out(again).empty());
  const Site second = site_of(again);
  EXPECT_EQ(spaces_csv(second), spaces);
  EXPECT_EQ(airways_csv(second), airways);
  ASSERT_EQ(second.airways.size(), first.airways.size());
  for (const Airway& one : first.airways) {
    const Airway& other = airway(second, one.id);
    EXPECT_EQ(other.kind.index(), one.kind.index()) << one.id;
    EXPECT_EQ(other.on, one.on) << one.id;
    EXPECT_EQ(other.system.has_value(), one.system.has_value()) << one.id;
  }
  for (const Space& one : first.spaces) EXPECT_NEAR(space(second, one.id).volume, one.volume, 1e-9 * one.volume);
}

TEST(Schedule, ItsTemplatesAreTablesWithoutARow) {
  EXPECT_NE(rooms_template().find("supply (m3/h)"), std::string::npos);
  const ImportedSchedule filled =
      imported(rooms_template() + "A,Hall,0,20,2.5,100,100,,AHU 1,,\n", airways_template() + "x,fan,A,outside,50\n");
  EXPECT_TRUE(filled.remarks.empty());
  EXPECT_EQ(filled.airways, 3u);
}

}  // namespace
}  // namespace leanside
