// SPDX-License-Identifier: Apache-2.0
/// `leanside compare` as a user runs it.
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "cli/run_program.hpp"

namespace leanside::cli_test {
namespace {

using nlohmann::json;

class CompareCommand : public InFolder {
 protected:
  void SetUp() override {
    InFolder::SetUp();
    write_file(path("low.toml"), small_site("0.5 L/min"));
    write_file(path("high.toml"), small_site("20 L/min"));
    write_file(path("broken.toml"), "title = 3\n");
  }
};

TEST_F(CompareCommand, ExitCodeSaysWhetherAnythingGotWorse) {
  const Outcome worse = run({"compare", path("low.toml"), path("high.toml")});
  EXPECT_EQ(worse.code, 1) << worse.err;
  EXPECT_TRUE(has(worse.out, "Something got worse."));
  const Outcome better = run({"compare", path("high.toml"), path("low.toml")});
  EXPECT_EQ(better.code, 0) << better.err;
  EXPECT_TRUE(has(better.out, "Nothing got worse."));
  const Outcome same = run({"compare", path("low.toml"), path("low.toml")});
  EXPECT_EQ(same.code, 0) << same.err;
  for (const Outcome& outcome : {worse, better, same}) {
    EXPECT_TRUE(has(outcome.out, "Taken for granted"));
    EXPECT_TRUE(has(outcome.out, "Caution"));
  }
}

TEST_F(CompareCommand, JsonHasTheSame) {
  const Outcome outcome = run({"compare", path("low.toml"), path("high.toml"), "--format", "json"});
  EXPECT_EQ(outcome.code, 1) << outcome.err;
  const json read = json::parse(outcome.out);
  EXPECT_EQ(read["study"], "compare");
  EXPECT_EQ(read["anything_worse"], true);
  EXPECT_EQ(read["compared"], 2);
  ASSERT_EQ(read["changes"].size(), 2u);
  EXPECT_EQ(read["changes"][0]["space"], "room");
  EXPECT_EQ(read["changes"][0]["verdict"], "worse");
  EXPECT_LT(read["changes"][0]["lfl_fraction_before"], read["changes"][0]["lfl_fraction_after"]);
  EXPECT_FALSE(read["notice"].get<std::string>().empty());
  EXPECT_FALSE(read["assumptions"].empty());
}

TEST_F(CompareCommand, BadInputIsToldAndNothingIsWritten) {
  const std::vector<std::pair<std::vector<std::string>, std::string>> cases = {
      {{"compare"}, "BEFORE"},
      {{"compare", path("low.toml")}, "AFTER"},
      {{"compare", path("low.toml"), path("none.toml")}, "none.toml"},
      {{"compare", path("broken.toml"), path("low.toml")}, "broken.toml:1"},
      {{"compare", path("low.toml"), path("low.toml"), "--ignore", "much"}, "--ignore"},
      {{"compare", path("low.toml"), path("low.toml"), "--ignore", "5 kg"}, "--ignore"},
      {{"compare", path("low.toml"), path("high.toml"), "--output", path("high.toml")}, "high.toml"},
      {{"compare", path("low.toml"), path("high.toml"), "--format", "csv"}, "text,json"}};
  for (const auto& [arguments, part] : cases) {
    const Outcome outcome = run(arguments);
    EXPECT_EQ(outcome.code, 2) << part;
    EXPECT_EQ(outcome.out, "") << part;
    EXPECT_TRUE(has(outcome.err, part)) << outcome.err;
  }
  EXPECT_EQ(read_file(path("high.toml")), small_site("20 L/min"));
}

TEST_F(CompareCommand, OutputGoesToAFile) {
  const Outcome outcome = run({"compare", path("low.toml"), path("high.toml"), "--output", path("out.txt"), "--quiet"});
  EXPECT_EQ(outcome.code, 1);
  EXPECT_EQ(outcome.out, "");
  EXPECT_EQ(outcome.err, "");
  EXPECT_TRUE(has(read_file(path("out.txt")), "Something got worse."));
}

}  // namespace
}  // namespace leanside::cli_test
