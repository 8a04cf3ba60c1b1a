// SPDX-License-Identifier: Apache-2.0
/// `leanside import` and `leanside export` as a user runs them.
#include <set>

#include <gtest/gtest.h>

#include "cli/run_program.hpp"

namespace leanside::cli_test {
namespace {

class Schedules : public InFolder {
 protected:
  std::string rooms = source("examples/school-wing-rooms.csv").string();
  std::string airways = source("examples/school-wing-airways.csv").string();
};

/// The lines of a site file that describe a space or an airway, each in one row.
std::multiset<std::string> rows_of(const std::string& text) {
  std::multiset<std::string> rows;
  for (const std::string& line : lines_of(text)) {
    if (line.starts_with("  { id = ")) rows.insert(line);
  }
  return rows;
}

TEST_F(Schedules, TheSchoolWingIsMadeFromItsTables) {
  const Outcome made = run({"import", rooms, airways, "--title", "School wing"});
  ASSERT_EQ(made.code, 0) << made.err;
  const auto imported = rows_of(made.out);
  EXPECT_GE(imported.size(), 75u) << "25 rooms and their airways";
  EXPECT_EQ(imported, rows_of(read_file(source("examples/school-wing.toml"))));
}

TEST_F(Schedules, WhatIsExportedImportsAsTheSameTables) {
  ASSERT_EQ(run({"import", rooms, airways, "-o", path("one.toml")}).code, 0);
  const Outcome spaces = run({"export", path("one.toml"), "--what", "spaces"});
  const Outcome ways = run({"export", path("one.toml"), "--what", "airways"});
  ASSERT_EQ(spaces.code, 0) << spaces.err;
  ASSERT_EQ(ways.code, 0) << ways.err;
  write_file(path("spaces.csv"), spaces.out);
  write_file(path("airways.csv"), ways.out);
  const Outcome again = run({"import", path("spaces.csv"), path("airways.csv"), "-o", path("two.toml")});
  ASSERT_EQ(again.code, 0) << again.err;
  EXPECT_EQ(run({"export", path("two.toml"), "--what", "spaces"}).out, spaces.out);
  EXPECT_EQ(run({"export", path("two.toml"), "--what", "airways"}).out, ways.out);
}

TEST_F(Schedules, RowsThatCannotBeReadAreListedByLineAndTheOthersImported) {
  write_file(path("rooms.csv"), "Room;Area (m2);Height (m);Supply (L/s)\n1;20,5;2,7;30\n2;many;2,7;30\n1;12;2,7;10\n");
  const Outcome made = run({"import", path("rooms.csv")});
  EXPECT_EQ(made.code, 1) << "two rows are left out";
  EXPECT_EQ(rows_of(made.out).count("  { id = \"1\", kind = \"room\", floor_area = \"20.5 m2\", height = \"2.7 m\" },"),
            1u)
      << made.out;
  EXPECT_TRUE(has(made.err, "rooms.csv:3:")) << made.err;
  EXPECT_TRUE(has(made.err, "rooms.csv:4:")) << made.err;
  EXPECT_TRUE(has(made.err, "left out: 2")) << made.err;
}

/// The table of rooms with one text in it replaced by another, wherever it stands.
std::string broken(std::string text, const std::string& from, const std::string& to) {
  std::size_t at = text.find(from);
  EXPECT_NE(at, std::string::npos) << from;
  for (; at != std::string::npos; at = text.find(from, at + to.size())) text.replace(at, from.size(), to);
  return text;
}

TEST_F(Schedules, AColumnThatIsWrongAllTheWayIsToldOnce) {
  for (const char* const header : {"Supply", "Supply (m3/hr)"}) {
    write_file(path("rooms.csv"), broken(read_file(rooms), "Supply (m3/h)", header));
    const Outcome made = run({"import", path("rooms.csv"), airways});
    EXPECT_EQ(made.code, 1);
    EXPECT_LE(lines_of(made.err).size(), 4u) << made.err;
    EXPECT_TRUE(has(made.err, "'Supply (m3/h)'")) << made.err;
    EXPECT_TRUE(has(made.err, "more rows, lines 3, 4, 5")) << made.err;
    EXPECT_TRUE(has(made.err, "25 rooms")) << made.err;
  }
}

TEST_F(Schedules, WhatIsWrongWithATableIsSaid) {
  const std::string good = read_file(rooms), ways = read_file(airways);
  struct Wrong {
    std::string rooms, airways, said;
  };
  std::string wide;  // as some spreadsheets write "Unicode text"
  for (const char c : good) wide += std::string{c} + '\0';
  for (const Wrong& wrong :
       {Wrong{broken(good, "Physics laboratory", "Physics, laboratory"), ways, "the row has 12 cells"},
        Wrong{wide, ways, "save it as CSV (UTF-8)"}, Wrong{good, "PK\x03\x04", "save it as CSV (UTF-8)"},
        Wrong{ways, good, "name the table of rooms first"}, Wrong{"", ways, "there is no column 'room'"},
        Wrong{broken(good, "3.0,700,700", "3.0,-700,700"), ways, "found \"-700 m3/h\"; a flow cannot be below 0"},
        Wrong{broken(good, ",AHU 1,0.00,8", ",AHU 1,0.99,8"), ways, "did you mean '0.09'?"},
        Wrong{good, broken(ways, ";50;yes", ";150;yes"), "free_share: found the text '150 %'"}}) {
    write_file(path("rooms.csv"), wrong.rooms);
    write_file(path("airways.csv"), wrong.airways);
    const Outcome made = run({"import", path("rooms.csv"), path("airways.csv")});
    EXPECT_NE(made.code, 0) << wrong.said;
    EXPECT_TRUE(has(made.err, wrong.said)) << made.err;
    EXPECT_LE(lines_of(made.err).size(), 4u) << made.err;
  }
}

TEST_F(Schedules, AScheduleWithoutGasIsNotCalledSafe) {
  ASSERT_EQ(run({"import", rooms, airways, "-o", path("wing.toml")}).code, 0);
  const Outcome checked = run({"check", path("wing.toml")});
  EXPECT_EQ(checked.code, 0) << checked.err;
  EXPECT_TRUE(has(checked.out, "There is no gas in the file")) << checked.out;
  EXPECT_FALSE(has(checked.out, "No warning")) << checked.out;
}

TEST_F(Schedules, AnImportNeverReplacesAFile) {
  write_file(path("mine.toml"), "title = \"My work\"\n");
  const Outcome made = run({"import", rooms, "-o", path("mine.toml")});
  EXPECT_EQ(made.code, 2);
  EXPECT_TRUE(has(made.err, "exists already")) << made.err;
  EXPECT_EQ(read_file(path("mine.toml")), "title = \"My work\"\n");
}

TEST_F(Schedules, TheTemplatesAreTablesThatCanBeImportedOnceFilledIn) {
  const Outcome blank = run({"import", "--template"});
  ASSERT_EQ(blank.code, 0) << blank.err;
  write_file(path("rooms.csv"), blank.out);
  EXPECT_EQ(run({"import", path("rooms.csv")}).code, 2) << "nothing is filled in";
  write_file(path("rooms.csv"), blank.out + "1,Prep room,0,20,2.7,100,100,,,,\n");
  const Outcome made = run({"import", path("rooms.csv")});
  EXPECT_EQ(made.code, 0) << made.err;
  EXPECT_TRUE(has(made.out, "floor_area = \"20 m2\"")) << made.out;
}

}  // namespace
}  // namespace leanside::cli_test
