// SPDX-License-Identifier: Apache-2.0
/// Help, version, bad usage, and `leanside substances`.
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "cli/run_program.hpp"

namespace leanside::cli_test {
namespace {

using nlohmann::json;
using Substances = InFolder;

TEST(Usage, HelpAndVersionOfEveryCommand) {
  for (const char* name : {"", "check", "substances", "release", "reactions", "stock", "purge", "compare", "failures",
                           "size", "detectors", "tracer"}) {
    std::vector<std::string> command;
    if (*name != '\0') command.push_back(name);
    for (const char* option : {"--help", "-h", "--version"}) {
      std::vector<std::string> arguments = command;
      arguments.push_back(option);
      const Outcome outcome = run(arguments);
      EXPECT_EQ(outcome.code, 0);
      EXPECT_EQ(outcome.err, "");
      EXPECT_TRUE(has(outcome.out, "leanside")) << outcome.out;
    }
  }
  EXPECT_EQ(run({"--version"}).out, run({"check", "--version"}).out);
  EXPECT_TRUE(has(run({"check", "--help"}).out, "Exit codes: 0"));
}

TEST(Usage, BadUsageIsExitCodeTwoWithAWayOut) {
  const std::vector<std::pair<std::vector<std::string>, std::string>> cases = {
      {{}, "--help"},
      {{"chek"}, "did you mean 'check'?"},
      {{"check", "--fromat", "json"}, "did you mean '--format'?"},
      {{"check", "--format", "xml"}, "text,json,csv"},
      {{"check", "--format"}, "--format"},
      {{"check", "a.toml", "b.toml"}, "b.toml"},
      {{"check", "--series-points", "10"}, "--series"},
      {{"check", "--series", "x.csv", "--series-points", "0"}, "--series-points"},
      {{"check", "--series", "x.csv", "--series-points", "nan"}, "--series-points"},
      {{"check", "--series", "x.csv", "--sustained-only"}, "--sustained-only"},
      {{"check", "--log-level", "loud"}, "--log-level"},
      {{"substances", "--format", "csv"}, "text,json"},
      {{"substances", "hydrogn"}, "did you mean 'hydrogen'?"}};
  for (const auto& [arguments, part] : cases) {
    const Outcome outcome = run(arguments);
    EXPECT_EQ(outcome.code, 2) << part;
    EXPECT_EQ(outcome.out, "") << part;
    EXPECT_TRUE(has(outcome.err, part)) << outcome.err;
    EXPECT_TRUE(has(outcome.err, "error")) << outcome.err;
  }
}

TEST_F(Substances, ACardAndAList) {
  const Outcome list = run({"substances"});
  EXPECT_EQ(list.code, 0);
  EXPECT_TRUE(has(list.out, "hydrogen"));
  EXPECT_TRUE(has(list.out, "natural-gas"));
  const Outcome card = run({"substances", "hydrogen"});
  EXPECT_EQ(card.code, 0);
  EXPECT_TRUE(has(card.out, "it rises"));
  EXPECT_TRUE(has(card.out, "iec-60079-20-1-2010"));
  EXPECT_EQ(run({"substances", "natural-gas"}).code, 0);
  const json read = json::parse(run({"substances", "hydrogen", "--format", "json"}).out);
  EXPECT_EQ(read["cautious_limits"]["lower"], 0.04);
  EXPECT_GE(json::parse(run({"substances", "--format", "json"}).out)["substances"].size(), 80u);
}

TEST_F(Substances, AFileOfTheUserAddsToTheTable) {
  // The shipped table is in the format that a file of the user has; under another id it is a new substance.
  std::string text = read_file(source("configs/substances.toml"));
  const std::string id = "\"hydrogen\"";
  const std::size_t at = text.find("id = " + id);
  ASSERT_NE(at, std::string::npos);
  text.replace(at, 5 + id.size(), "id = \"my-hydrogen\"");
  write_file(path("mine.toml"), text);
  const Outcome outcome = run({"substances", "my-hydrogen", "--substances", path("mine.toml")});
  EXPECT_EQ(outcome.code, 0) << outcome.err;
  EXPECT_TRUE(has(outcome.out, "my-hydrogen"));
  EXPECT_EQ(run({"substances", "my-hydrogen"}).code, 2);
}

TEST_F(Substances, AFaultyFileIsToldWithItsPlace) {
  write_file(path("mine.toml"), "[[substance]]\nid = 3\n");
  const Outcome outcome = run({"substances", "--substances", path("mine.toml")});
  EXPECT_EQ(outcome.code, 2);
  EXPECT_EQ(outcome.out, "");
  EXPECT_TRUE(has(outcome.err, "mine.toml:")) << outcome.err;
}

}  // namespace
}  // namespace leanside::cli_test
