// SPDX-License-Identifier: Apache-2.0
// What `leanside check` prints without --full: the lines that people act on.
#include <algorithm>
#include <filesystem>

#include <gtest/gtest.h>

#include "cli/verdicts.hpp"

namespace leanside::cli_test {
namespace {

using FirstScreen = CheckedSites;

// A screen of a terminal, and with the last examples a little more: each of three findings takes what it needs.
TEST_F(FirstScreen, OfEveryExampleFits) {
  for (const auto& entry : std::filesystem::directory_iterator{source("examples")}) {
    if (entry.path().extension() != ".toml") continue;
    const Outcome answer = run({"check", entry.path().string(), "--quiet"});
    ASSERT_LE(answer.code, 1) << entry.path() << answer.err;
    const json data = answer_in(run({"check", entry.path().string(), "--quiet", "--format", "json"}).out);
    const std::size_t spaces = data.at("cases").at(0).at("spaces").size();
    constexpr std::size_t few = 10, screen = 40;
    EXPECT_LE(lines_of(answer.out).size(), spaces <= few ? screen : screen + 5) << entry.path() << "\n" << answer.out;
    EXPECT_TRUE(has(answer.out, "screening aid")) << entry.path();
  }
}

TEST_F(FirstScreen, BeginsWithTheWorstAndWhatToDo) {
  const Answer answer = checked(R"(title = "Store"
[[space]]
id = "store"
kind = "room"
volume = "30 m3"
air_changes = "1 /h"
[[release]]
id = "hose"
name = "Hose breaks"
kind = "steady"
into = "store"
gas = "hydrogen"
rate = "100 L/min"
on = false
)");
  const auto lines = lines_of(answer.text);
  ASSERT_GE(lines.size(), 6u);
  EXPECT_TRUE(has(lines[0], "Store: Hydrogen can be ignited in store, if Hose breaks, ")) << answer.text;
  EXPECT_TRUE(has(answer.first_lines(), " 1  FLAMMABLE     store, if Hose breaks")) << answer.text;
  EXPECT_TRUE(has(answer.first_lines(), "    When: ")) << answer.text;
  EXPECT_TRUE(has(answer.first_lines(), "    Do: Stop the gas from \"Hose breaks\"")) << answer.text;
  EXPECT_EQ(answer.data.at("findings").at(0).at("release"), "hose");
  EXPECT_EQ(answer.data.at("findings").at(0).at("cases"), json::array({"if-hose"}));
}

TEST_F(FirstScreen, CountsWhatItLeavesOut) {
  std::string site = "title = \"Many\"\n";
  for (int i = 0; i < 14; ++i) {
    const std::string n = std::to_string(i);
    site += "[[space]]\nid = \"s" + n + "\"\nkind = \"room\"\nvolume = \"30 m3\"\nair_changes = \"1 /h\"\n" +
            "[[release]]\nid = \"r" + n + "\"\nkind = \"steady\"\ninto = \"s" + n +
            "\"\ngas = \"methane\"\nrate = \"100 L/min\"\n";
  }
  write_file(path("many.toml"), site);
  const Outcome answer = run({"check", path("many.toml"), "--quiet"});
  EXPECT_TRUE(has(answer.out, "14 findings in 1 case")) << answer.out;
  EXPECT_TRUE(has(answer.out, "more findings: --full")) << answer.out;
  EXPECT_LE(lines_of(answer.out).size(), 45u) << answer.out;
  EXPECT_TRUE(has(run({"check", path("many.toml"), "--quiet", "--full"}).out, " in full"));
}

TEST_F(FirstScreen, TellsHowCloseAReleaseIsDangerous) {
  const Answer answer = checked(R"(title = "Hall"
[[space]]
id = "hall"
kind = "room"
volume = "3000 m3"
air_changes = "10 /h"
ignition = ["charger"]
[[release]]
id = "line"
kind = "orifice"
into = "hall"
gas = "methane"
pressure = "4 bar"
hole = "2 mm"
)");
  EXPECT_EQ(answer.code, 1);
  const json zone = answer.data.at("warnings").at(0).at("zone");
  EXPECT_EQ(zone.at("shape"), "jet");
  EXPECT_TRUE(has(answer.flowing(), "gas can be ignited within")) << answer.text;
  EXPECT_TRUE(has(answer.flowing(), "never beside the gas: charger")) << answer.text;
  EXPECT_FALSE(has(answer.flowing(), "No more air")) << answer.text;
}

TEST_F(FirstScreen, RefusesAHighMarginWithoutAReason) {
  write_file(path("high.toml"),
             "title = \"T\"\n[criteria]\nwarn_at = \"80 %\"\n[[space]]\nid = \"a\"\nkind = \"room\"\n"
             "volume = \"30 m3\"\n");
  const Outcome answer = run({"check", path("high.toml")});
  EXPECT_EQ(answer.code, 2);
  EXPECT_TRUE(has(answer.err, ":3:11: error: ")) << answer.err;
  EXPECT_TRUE(has(answer.err, "accept_high_margin")) << answer.err;
}

}  // namespace
}  // namespace leanside::cli_test
