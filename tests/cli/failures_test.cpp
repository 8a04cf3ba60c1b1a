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
  EXPECT_TRUE(has(outcome.out, "Taken for granted"));
  EXPECT_TRUE(has(outcome.out, "Caution"));
}

TEST_F(FailuresCommand, PairsInJson) {
  const Outcome outcome =
      run({"failures", example("school-prep-room"), "--pairs", "--format", "json", "--sustained-only"});
  EXPECT_EQ(outcome.code, 1) << outcome.err;
  const json read = json::parse(outcome.out);
  EXPECT_EQ(read["study"], "failures");
  EXPECT_EQ(read["in_time"], false);
  EXPECT_GT(read["pairs_solved"], 10);
  bool pair = false;
  for (const json& group : read["groups"]) pair = pair || group["failures"][0].size() == 2;
  EXPECT_TRUE(pair);
}

TEST_F(FailuresCommand, EveryExampleCanBeAsked) {
  for (const auto& entry : std::filesystem::directory_iterator{source("examples")}) {
    if (entry.path().extension() != ".toml") continue;
    const Outcome outcome = run({"failures", entry.path().string(), "--sustained-only"});
    if (has(read_file(entry.path()), "stratification")) {
      EXPECT_EQ(outcome.code, 2) << entry.path();
      EXPECT_TRUE(has(outcome.err, "not supported yet")) << outcome.err;
      continue;
    }
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
      {{"failures", example("school-prep-room"), "--in-time", "--sustained-only"}, "--in-time"},
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
