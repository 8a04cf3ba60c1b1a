// SPDX-License-Identifier: Apache-2.0
/// A site in the units of the USA, and every answer about it: no metric unit may be left in what people read.
#include <cmath>
#include <cstring>
#include <regex>
#include <utility>

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "cli/run_program.hpp"

namespace leanside::cli_test {
namespace {

const char* const plant = R"(title = "Plant wing in US units"
event = [{ at = "2 h", airway = "louvre-low", free_area = "20 in2" }]

[conditions]
units = "us"
temperature = "70 degF"
outside_temperature = "30 degF"
wind_speed = "400 ft/min"

[criteria]
horizon = "3 h"

[[space]]
id = "shop"
name = "Welding shop"
kind = "room"
floor_area = "900 ft2"
height = "12 ft"
ignition = ["arc"]

[[space]]
id = "closet"
name = "Cylinder closet"
kind = "room"
floor_area = "30 ft2"
height = "8 ft"
elevation = "12 ft"

[[space]]
id = "locker"
name = "Paint locker"
kind = "cabinet"
volume = "25 ft3"
stands_in = "shop"

[[space]]
id = "tank"
name = "Test tank"
kind = "vessel"
volume = "4 ft3"
rated_pressure = "30 psig"

[[system]]
id = "ahu"
name = "Roof unit"

[[airway]]
id = "supply"
kind = "fan"
from = "outside"
to = "shop"
flow = "300 cfm"
system = "ahu"

[[airway]]
id = "exhaust"
kind = "fan"
from = "shop"
to = "outside"
flow = "300 cfm"
system = "ahu"

[[airway]]
id = "closet-door"
kind = "doorway"
between = ["shop", "closet"]
width = "3 ft"
height = "7 ft"
open = 0.05

[[airway]]
id = "louvre-low"
kind = "louvre"
between = ["outside", "closet"]
width = "12 in"
height = "6 in"
free_area = "40 in2"
sill = "6 in"

[[airway]]
id = "crack"
kind = "gap"
between = ["outside", "shop"]
leakage_area = "15 in2"
height = "6 ft"

[[airway]]
id = "locker-gaps"
kind = "exchange"
between = ["locker", "shop"]
flow = "3 cfm"

[[release]]
id = "acetylene"
name = "Acetylene cylinder"
kind = "cylinder"
into = "closet"
gas = "acetylene"
contents = "15 lb"
hole = "0.04 in"

[[release]]
id = "hose"
name = "Propane hose"
kind = "orifice"
into = "shop"
gas = "propane"
pressure = "30 psig"
hole = "0.06 in"

[[release]]
id = "thinner"
name = "Spilt thinner"
kind = "spill"
into = "locker"
gas = "acetone"
amount = "0.2 gal"
area = "2 ft2"
on = false

[[release]]
id = "bleed"
name = "Nitrogen bleed"
kind = "steady"
into = "tank"
gas = "nitrogen"
rate = "3 ft3/h"

[[case]]
id = "off"
name = "The roof unit stops"
event = [{ at = "10 min", system = "ahu", on = false }]
)";

/// Lines that hold a number with a metric unit, or such a unit by itself, as headings have it. Millilitres and moles
/// have no counterpart.
std::string metric_lines(const std::string& text) {
  static const std::regex metric(
      R"((^|[^\w.])\d[\d.]* ?(m3/h|m3/s|m3|m2|cm2|mm2|L/min|mL/min|L/s|L|degC|kPa|Pa|mbar|m/s|kg|g/min|mm|cm|m|g|bar)($|[^\w/(]))");
  // Where a rule of the trade is quoted, both units stand beside one another.
  static const std::regex alone(R"((^|[^\w.])(m3/h|m3/s|m3|m2|cm2|L/min|L/s|degC|kPa|m/s|kg/m3|kg)($|[^\w]))");
  static const std::regex both(R"(bar \(15 psi\)|6\.1 m \(20 ft\)|1\.5 m)");
  std::string out;
  for (const std::string& line : lines_of(text)) {
    const bool any = std::regex_search(line, metric) || std::regex_search(line, alone);
    if (any && !std::regex_search(line, both)) out += line + "\n";
  }
  return out;
}

/// What a page shows, without its marks, styles and scripts.
std::string shown(const std::string& page) {
  std::string out;
  for (std::size_t at = 0; at < page.size();) {
    if (page[at] != '<') {
      out += page[at++];
      continue;
    }
    std::string end = ">";
    for (const std::string name : {"style", "script"}) {
      if (page.compare(at + 1, name.size(), name) == 0) end = "</" + name + ">";
    }
    const std::size_t found = page.find(end, at);
    at = found == std::string::npos ? page.size() : found + end.size();
    out += '\n';
  }
  return out;
}

class UsUnits : public InFolder {
 protected:
  void SetUp() override {
    InFolder::SetUp();
    write_file(path("plant.toml"), plant);
  }

  /// The same plant with something changed of every kind.
  std::string changed() {
    std::string text = plant;
    for (const auto& [from, to] : {std::pair{"300 cfm", "200 cfm"}, std::pair{"70 degF", "75 degF"},
                                   std::pair{"400 ft/min", "300 ft/min"}, std::pair{"0.06 in", "0.08 in"}}) {
      for (std::size_t at = 0; (at = text.find(from, at)) != std::string::npos;)
        text.replace(at, std::strlen(from), to);
    }
    write_file(path("changed.toml"), text);
    return path("changed.toml");
  }

  /// A tracer that the roof unit thins out: 300 cfm of 10800 ft3.
  std::string decay() {
    std::string text = "time_min,shop\n";
    for (int minute = 0; minute <= 60; minute += 5) {
      text += std::to_string(minute) + "," + std::to_string(400.0 * std::exp(-minute / 36.0)) + "\n";
    }
    write_file(path("decay.csv"), text);
    return path("decay.csv");
  }
};

TEST_F(UsUnits, NoMetricUnitIsLeftInAnyText) {
  const std::string file = path("plant.toml");
  const std::vector<std::vector<std::string>> commands = {
      {"check", file, "--full"},
      {"check", file, "--format", "csv"},
      {"check", file, "--full", "--steady-only"},
      {"failures", file, "--steady-only"},
      {"failures", file, "--pairs", "--steady-only"},
      {"failures", file, "--case", "normal"},
      {"size", file},
      {"size", file, "--opening", "louvre-low"},
      {"size", file, "--release", "hose"},
      {"size", file, "--fan", "exhaust", "--may-lower"},
      {"spread", file, "--draws", "320", "--steady-only"},  // one draw comes close to a balance far from the answer
      {"tracer", decay(), file, "--background", "0"},
      {"detectors", file, "--count", "1"},
      {"release", file},
      {"stock", file},
      {"compare", file, file},
      {"compare", file, changed()},
      {"reactions"},
      {"export", file, "--what", "spaces"},
      {"export", file, "--what", "airways"},
      {"export", file, "--what", "flows"},
      {"export", file, "--what", "warnings"},
      {"export", file, "--what", "findings"},
      {"substances", "acetone", "--units", "us"},
      {"purge", "propane", "--volume", "40 ft3", "--pressure", "60 psig", "--temperature", "70 degF", "--units", "us"}};
  for (const auto& command : commands) {
    const Outcome outcome = run(command);
    EXPECT_LE(outcome.code, 1) << command[0] << outcome.err;
    EXPECT_EQ(metric_lines(outcome.out), "") << command[0];
    EXPECT_EQ(metric_lines(outcome.err), "") << command[0] << ", messages";
  }
}

TEST_F(UsUnits, BoundsOfAPurgeAreInThem) {
  for (const std::vector<std::string>& wrong : {std::vector<std::string>{"--volume", "1e9 ft3"},
                                                {"--volume", "40 ft3", "--flow", "0 cfm"},
                                                {"--volume", "40 ft3", "--pressure", "1 psi"},
                                                {"--volume", "40 ft3", "--vacuum", "40 psi"},
                                                {"--volume", "40 ft3", "--temperature", "900 degF"},
                                                {"--volume", "40 ft3", "--temperature", "380 degF"}}) {
    std::vector<std::string> words{"purge", "carbon-disulfide", "--units", "us"};
    words.insert(words.end(), wrong.begin(), wrong.end());
    const Outcome outcome = run(words);
    EXPECT_EQ(outcome.code, 2) << outcome.out;
    EXPECT_TRUE(has(outcome.err, "expected")) << outcome.err;
    EXPECT_EQ(metric_lines(outcome.err), "");
  }
}

TEST_F(UsUnits, ThePageIsInThemToo) {
  const Outcome outcome = run({"report", path("plant.toml"), "-o", path("plant.html"), "--quiet"});
  ASSERT_LE(outcome.code, 1) << outcome.err;
  EXPECT_EQ(metric_lines(shown(read_file(path("plant.html")))), "");
}

TEST_F(UsUnits, ExplainStartsFromBoth) {
  const Outcome outcome = run({"explain", path("plant.toml"), "shop"});
  ASSERT_LE(outcome.code, 1) << outcome.err;
  EXPECT_TRUE(has(outcome.out, "m3/h (300 cfm)")) << outcome.out;
  EXPECT_TRUE(has(outcome.out, "(70 degF)")) << outcome.out;
}

TEST_F(UsUnits, MessagesAboutAFileAreInTheUnitsThatAreAskedFor) {
  write_file(path("tall.toml"),
             "title = \"Tall\"\n[[space]]\nid = \"a\"\nkind = \"room\"\nfloor_area = \"10 m2\"\nheight = \"3 m\"\n"
             "[[airway]]\nid = \"gap\"\nkind = \"gap\"\nbetween = [\"outside\", \"a\"]\nleakage_area = \"20 cm2\"\n"
             "height = \"6 m\"\n");
  EXPECT_TRUE(has(run({"check", path("tall.toml")}).err, "6 m")) << run({"check", path("tall.toml")}).err;
  const Outcome us = run({"check", path("tall.toml"), "--units", "us"});
  EXPECT_EQ(us.code, 2);
  EXPECT_TRUE(has(us.err, "19.7 ft")) << us.err;
}

TEST_F(UsUnits, JsonStaysInSiAndSaysSo) {
  const auto us = nlohmann::json::parse(run({"check", path("plant.toml"), "--format", "json"}).out);
  const auto si = nlohmann::json::parse(run({"check", path("plant.toml"), "--format", "json", "--units", "si"}).out);
  EXPECT_EQ(us["units"], "SI");
  EXPECT_EQ(us["answer"]["conditions"], si["answer"]["conditions"]);
  EXPECT_EQ(us["answer"]["cases"], si["answer"]["cases"]);
}

TEST_F(UsUnits, WhatIsExportedIsImportedAgain) {
  write_file(path("spaces.csv"), run({"export", path("plant.toml"), "--what", "spaces"}).out);
  write_file(path("airways.csv"), run({"export", path("plant.toml"), "--what", "airways"}).out);
  EXPECT_TRUE(has(read_file(path("spaces.csv")), "area (ft2)")) << read_file(path("spaces.csv"));
  const Outcome made = run({"import", path("spaces.csv"), path("airways.csv"), "-o", path("again.toml")});
  ASSERT_EQ(made.code, 0) << made.err;
  EXPECT_EQ(run({"export", path("again.toml"), "--what", "airways", "--units", "us"}).out,
            read_file(path("airways.csv")));
}

}  // namespace
}  // namespace leanside::cli_test
