// SPDX-License-Identifier: Apache-2.0
/// `leanside failures` as a user runs it.
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "cli/run_program.hpp"

namespace leanside::cli_test {
namespace {

using nlohmann::json;
using FailuresCommand = InFolder;

TEST_F(FailuresCommand, TellsWhatFailsAndWhatItDoes) {
  const Outcome outcome = run({"failures", example("school-prep-room"), "--quiet"});
  EXPECT_EQ(outcome.code, 1) << outcome.err;
  EXPECT_EQ(outcome.err, "");
  EXPECT_TRUE(has(outcome.out, "the release \"Bench tap left open\" starts")) << outcome.out;
  EXPECT_TRUE(has(outcome.out, "Assumptions"));
  EXPECT_TRUE(has(outcome.out, "Caution"));
}

TEST_F(FailuresCommand, PairsInJson) {
  const Outcome outcome =
      run({"failures", example("school-prep-room"), "--pairs", "--format", "json", "--steady-only"});
  EXPECT_EQ(outcome.code, 1) << outcome.err;
  const json read = answer_in(outcome.out);
  EXPECT_EQ(read["in_time"], false);
  EXPECT_GT(read["pairs_solved"], 10);
  bool pair = false;
  for (const json& group : read["groups"]) pair = pair || group["failures"][0].size() == 2;
  EXPECT_TRUE(pair);
}

TEST_F(FailuresCommand, AReleaseThatIsOffComesOnTopOfTheOthers) {
  write_file(path("balloons.toml"), R"(title = "Balloons that may burst in a room with a seep"
[[space]]
id = "hall"
kind = "room"
volume = "80 m3"
air_changes = "1 /h"
[[release]]
id = "seep"
kind = "steady"
into = "hall"
gas = "methane"
rate = "35 L/min"
[[release]]
id = "balloons"
kind = "dump"
into = "hall"
gas = "methane"
amount = "2 m3"
over = "30 s"
on = false
)");
  // 35 L/min into 80 m3/h: 2.56 %; 2 m3 more make it 4.96 %, over 4.4 %. Neither alone is in the range.
  const Outcome outcome = run({"failures", path("balloons.toml")});
  EXPECT_EQ(outcome.code, 1) << outcome.err;
  EXPECT_TRUE(has(outcome.out, "FLAMMABLE hall: 113 % of the lower flammable limit")) << outcome.out;
  EXPECT_TRUE(has(outcome.out, "after the release starts")) << outcome.out;
  EXPECT_TRUE(has(outcome.out, "on top of the gas that is there by then")) << outcome.out;
}

TEST_F(FailuresCommand, WhatRestsOnALeakIsNotCalledHarmless) {
  const std::string text = R"(title = "Store with one inlet"
[[space]]
id = "store"
kind = "room"
volume = "25 m3"
[[airway]]
id = "inlet"
kind = "opening"
between = ["outside", "store"]
[[airway]]
id = "extract"
kind = "fan"
from = "store"
to = "outside"
flow = "200 m3/h"
[[release]]
id = "leak"
kind = "steady"
into = "store"
gas = "hydrogen"
rate = "1 L/min"
)";
  write_file(path("one-inlet.toml"), text);
  // Leaks let some 70 m3/h into such a room: too little for this fan, enough for one of 30 m3/h.
  std::string gentle = text;
  gentle.replace(gentle.find("200 m3/h"), 8, "30 m3/h");
  write_file(path("gentle.toml"), gentle);
  for (const char* const options : {"--in-time", "--steady-only"}) {
    for (const auto& [file, heading] :
         {std::pair{"one-inlet.toml", "No warning about gas gets worse, but a fan gets too little air"},
          std::pair{"gentle.toml", "Not judged safe: rests on an assumed leak"}}) {
      const Outcome outcome = run({"failures", path(file), options});
      EXPECT_EQ(outcome.code, 1) << outcome.err;
      const std::size_t at = outcome.out.find(heading);
      ASSERT_NE(at, std::string::npos) << outcome.out;
      EXPECT_NE(outcome.out.find("the opening inlet is blocked", at), std::string::npos) << outcome.out;
      EXPECT_FALSE(has(outcome.out, "No warning gets worse when one of these fails")) << outcome.out;
    }
  }
  const json read = answer_in(run({"failures", path("gentle.toml"), "--format", "json"}).out);
  bool found = false;
  for (const json& group : read["groups"]) {
    if (group["assumed_leaks"].empty()) continue;
    found = true;
    EXPECT_EQ(group["failures"][0][0]["airway"], "inlet");
    EXPECT_NEAR(group["assumed_leaks"][0]["inflow_m3_s"].get<double>() * 3600.0, 29.94, 1e-6);
  }
  EXPECT_TRUE(found);
}

TEST_F(FailuresCommand, WithPairsTheSinglesAreToldAsWithout) {
  const auto alone = answer_in(run({"failures", example("school-prep-room"), "--format", "json"}).out);
  const auto both = answer_in(run({"failures", example("school-prep-room"), "--pairs", "--format", "json"}).out);
  ASSERT_LE(alone["groups"].size(), both["groups"].size());
  for (std::size_t g = 0; g < alone["groups"].size(); ++g) EXPECT_EQ(alone["groups"][g], both["groups"][g]);
  EXPECT_EQ(alone["in_time"], both["in_time"]);
}

TEST_F(FailuresCommand, EveryExampleCanBeAsked) {
  for (const auto& entry : std::filesystem::directory_iterator{source("examples")}) {
    if (entry.path().extension() != ".toml") continue;
    const Outcome outcome = run({"failures", entry.path().string(), "--steady-only"});
    EXPECT_LE(outcome.code, 1) << entry.path() << outcome.err;
    EXPECT_TRUE(has(outcome.out, "Caution")) << entry.path();
  }
}

TEST_F(FailuresCommand, NothingThatComesToAMarginIsCodeZero) {
  write_file(path("calm.toml"), small_site("0.001 L/min"));
  EXPECT_EQ(run({"failures", path("calm.toml")}).code, 1) << "without its air change the room fills up";
  write_file(path("empty.toml"),
             "title = \"A room\"\n[[space]]\nid = \"room\"\nkind = \"room\"\nvolume = \"50 m3\"\n"
             "air_changes = \"1 /h\"\n");
  EXPECT_EQ(run({"failures", path("empty.toml")}).code, 0);
}

TEST_F(FailuresCommand, BadInputIsTold) {
  write_file(path("broken.toml"), "title = 3\n");
  const std::vector<std::pair<std::vector<std::string>, std::string>> cases = {
      {{"failures"}, "FILE"},
      {{"failures", path("none.toml")}, "none.toml"},
      {{"failures", path("broken.toml")}, "broken.toml:1"},
      {{"failures", example("school-prep-room"), "--pair"}, "did you mean '--pairs'?"},
      {{"failures", example("school-prep-room"), "--in-time", "--steady-only"}, "--in-time"},
      {{"failures", example("school-prep-room"), "--case", "no-such-case"}, "no-such-case"},
      {{"failures", example("school-prep-room"), "--threads", "-1"}, "--threads"}};
  for (const auto& [arguments, part] : cases) {
    const Outcome outcome = run(arguments);
    EXPECT_EQ(outcome.code, 2) << part;
    EXPECT_EQ(outcome.out, "") << part;
    EXPECT_TRUE(has(outcome.err, part)) << outcome.err;
  }
}

}  // namespace
}  // namespace leanside::cli_test
