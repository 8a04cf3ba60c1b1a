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
    EXPECT_TRUE(has(outcome.out, "Assumptions"));
    EXPECT_TRUE(has(outcome.out, "Caution"));
  }
}

TEST_F(CompareCommand, JsonHasTheSame) {
  const Outcome outcome = run({"compare", path("low.toml"), path("high.toml"), "--format", "json"});
  EXPECT_EQ(outcome.code, 1) << outcome.err;
  const json read = answer_in(outcome.out);
  EXPECT_EQ(read["anything_worse"], true);
  EXPECT_EQ(read["compared"], 2);
  ASSERT_EQ(read["changes"].size(), 2u);
  EXPECT_EQ(read["changes"][0]["space"], "room");
  EXPECT_EQ(read["changes"][0]["verdict"], "worse");
  EXPECT_LT(read["changes"][0]["lfl_fraction_before"], read["changes"][0]["lfl_fraction_after"]);
  EXPECT_FALSE(read["assumptions"].empty());
}

const std::string shed_and_tank = R"(title = "Shed"
[criteria]
horizon = "8 h"
[[space]]
id = "shed"
kind = "room"
volume = "12 m3"
[[space]]
id = "tank"
kind = "vessel"
volume = "100 L"
[[airway]]
id = "grille"
kind = "opening"
between = ["outside", "shed"]
[[airway]]
id = "blower"
kind = "fan"
from = "outside"
to = "shed"
flow = "2 m3/h"
on = false
[[release]]
id = "leak"
kind = "steady"
into = "shed"
gas = "methane"
rate = "1 L/min"
[[release]]
id = "bleed"
kind = "steady"
into = "tank"
gas = "nitrogen"
rate = "200 mL/min"
[[case]]
id = "cut"
event = [{ at = "1 h", release = "leak", on = false }]
)";

TEST_F(CompareCommand, ComparesPressureSteadyStateOxygenAndFlows) {
  std::string text = shed_and_tank;
  write_file(path("before.toml"), text);
  text.replace(text.find("on = false"), 10, "on = true ");
  text.replace(text.find("200 mL"), 6, "400 mL");
  write_file(path("after.toml"), text);
  const Outcome outcome = run({"compare", path("before.toml"), path("after.toml"), "--format", "json"});
  EXPECT_EQ(outcome.code, 1) << outcome.err;
  const json read = answer_in(outcome.out);
  const auto aspect = [&](const std::string& case_index, const std::string& space, const std::string& name) {
    for (const json& change : read["changes"]) {
      if (change["case"] != case_index || change["space"] != space) continue;
      for (const json& one : change["aspects"]) {
        if (one["aspect"] == name) return one;
      }
    }
    return json{};
  };
  // 0.2 and 0.4 L/min of gas at 101.325 kPa for 8 h in 100 L.
  const json pressure = aspect("normal", "tank", "pressure");
  ASSERT_FALSE(pressure.is_null()) << outcome.out;
  EXPECT_NEAR(pressure["before"].get<double>(), 101325.0 * 1.96, 1.0);
  EXPECT_NEAR(pressure["after"].get<double>(), 101325.0 * 2.92, 1.0);
  EXPECT_EQ(pressure["verdict"], "worse");
  EXPECT_NEAR(aspect("cut", "tank", "oxygen")["after"].get<double>(), 0.2095 / 2.92, 1e-9);
  EXPECT_EQ(aspect("cut", "shed", "steady_state")["verdict"], "better");
  ASSERT_EQ(read["flows"].size(), 4u);
  EXPECT_EQ(read["flows"][1]["airway"], "blower");
  EXPECT_NEAR(read["flows"][1]["flow_after_m3_s"].get<double>(), 2.0 / 3600.0, 1e-15);
  const Outcome told = run({"compare", path("before.toml"), path("after.toml")});
  for (const char* part : {"pressure 198.6 kPa -> 295.9 kPa", "gas no longer gathers without end",
                           "blower  outside  shed         0         2"}) {
    EXPECT_TRUE(has(told.out, part)) << part << "\n" << told.out;
  }
  const Outcome back = run({"compare", path("after.toml"), path("before.toml")});
  EXPECT_TRUE(has(back.out, "gas now gathers without end")) << back.out;
}

TEST_F(CompareCommand, ComparesBothFilesOverTheSameTime) {
  // The sealed tank fills in both; only the shed beside it needs days to settle, and only in one of them.
  const auto text = [](const std::string& air_changes) {
    return R"(title = "Shed and tank"
[[space]]
id = "shed"
kind = "room"
volume = "12 m3"
air_changes = ")" +
           air_changes + R"("
[[space]]
id = "tank"
kind = "vessel"
volume = "100 L"
[[release]]
id = "leak"
kind = "steady"
into = "shed"
gas = "methane"
rate = "10 mL/min"
[[release]]
id = "bleed"
kind = "steady"
into = "tank"
gas = "nitrogen"
rate = "2 mL/min"
)";
  };
  write_file(path("still.toml"), text("0.01 /h"));
  write_file(path("aired.toml"), text("2 /h"));
  for (const bool turned : {false, true}) {
    const std::string before = turned ? "aired.toml" : "still.toml", after = turned ? "still.toml" : "aired.toml";
    const json read = answer_in(run({"compare", path(before), path(after), "--format", "json"}).out);
    for (const json& change : read["changes"]) EXPECT_NE(change["space"], "tank") << change;
    EXPECT_FALSE(read["changes"].empty());
  }
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
      {{"compare", path("low.toml"), path("high.toml"), "--format", "csv"}, "expected one of text, json"}};
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
