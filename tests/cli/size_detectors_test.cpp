// SPDX-License-Identifier: Apache-2.0
/// `leanside size` and `leanside detectors` as a user runs them.
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "cli/run_program.hpp"

namespace leanside::cli_test {
namespace {

using nlohmann::json;

const char* const store = R"(title = "Store"
[[space]]
id = "store"
kind = "room"
volume = "12 m3"
[[airway]]
id = "extract"
kind = "fan"
from = "store"
to = "outside"
flow = "2 m3/h"
[[airway]]
id = "grille"
kind = "relief"
between = ["outside", "store"]
[[release]]
id = "leak"
kind = "steady"
into = "store"
gas = "methane"
rate = "4 L/min"
)";

class SizeCommand : public InFolder {
 protected:
  void SetUp() override {
    InFolder::SetUp();
    write_file(path("store.toml"), store);
    write_file(path("broken.toml"), "title = 3\n");
  }
};
using DetectorsCommand = SizeCommand;

TEST_F(SizeCommand, FindsTheAirAndChecksIt) {
  const Outcome outcome = run({"size", path("store.toml"), "--format", "json"});
  EXPECT_EQ(outcome.code, 1) << outcome.err;  // as the file has it, the store is over its margin
  const json read = json::parse(outcome.out);
  EXPECT_EQ(read["found"], true);
  ASSERT_EQ(read["fans"].size(), 1u);
  // 4 L/min over a quarter of the cautious lower limit of 4.4 %: 21.8 m3/h, rounded up to 30.
  EXPECT_NEAR(read["fans"][0]["least_m3_s"].get<double>() * 3600.0, 0.24 / (0.25 * 0.044), 1e-3);
  EXPECT_NEAR(read["fans"][0]["flow_m3_s"].get<double>() * 3600.0, 30.0, 1e-9);
  EXPECT_NEAR(read["fans"][0]["air_changes_per_s"].get<double>() * 3600.0, 2.5, 1e-9);
  // With that flow in the file, `check` finds nothing over the margin.
  std::string text = store;
  text.replace(text.find("2 m3/h"), 6, "30 m3/h");
  write_file(path("sized.toml"), text);
  EXPECT_EQ(run({"check", path("sized.toml")}).code, 0);
  EXPECT_EQ(run({"size", path("sized.toml")}).code, 0);
}

TEST_F(SizeCommand, FindsTheLargestRelease) {
  const Outcome outcome = run({"size", path("store.toml"), "--release", "leak"});
  EXPECT_EQ(outcome.code, 1) << outcome.err;
  EXPECT_TRUE(has(outcome.out, "has to come down to 9.16 %")) << outcome.out;
  EXPECT_TRUE(has(outcome.out, "Caution"));
}

TEST_F(SizeCommand, BadInputIsTold) {
  const std::vector<std::pair<std::vector<std::string>, std::string>> cases = {
      {{"size"}, "FILE"},
      {{"size", path("broken.toml")}, "broken.toml:1"},
      {{"size", path("store.toml"), "--fan", "extrct"}, "did you mean 'extract'?"},
      {{"size", path("store.toml"), "--fan", "grille"}, "'grille' is no fan"},
      {{"size", path("store.toml"), "--release", "leek"}, "did you mean 'leak'?"},
      {{"size", path("store.toml"), "--release", "leak", "--fan", "extract"}, "--release"},
      {{"size", path("store.toml"), "--step", "10 kg"}, "--step"},
      {{"size", path("store.toml"), "--step", "0 m3/h"}, "--step"}};
  for (const auto& [arguments, part] : cases) {
    const Outcome outcome = run(arguments);
    EXPECT_EQ(outcome.code, 2) << part;
    EXPECT_EQ(outcome.out, "") << part;
    EXPECT_TRUE(has(outcome.err, part)) << outcome.err;
  }
}

TEST_F(SizeCommand, EveryExampleCanBeAsked) {
  for (const auto& entry : std::filesystem::directory_iterator{source("examples")}) {
    if (entry.path().extension() != ".toml") continue;
    if (entry.path().stem() == "two-floor-block") continue;  // its many fans take some seconds
    const Outcome sized = run({"size", entry.path().string()});
    const Outcome placed = run({"detectors", entry.path().string(), "--count", "2"});
    EXPECT_LE(placed.code, 1) << entry.path() << placed.err;
    if (has(read_file(entry.path()), "stratification")) {
      EXPECT_EQ(sized.code, 2) << entry.path();
      EXPECT_TRUE(has(sized.err, "not supported yet")) << sized.err;
      EXPECT_TRUE(has(placed.out, "layer that the gas gathers in")) << placed.out;
      continue;
    }
    EXPECT_LE(sized.code, 1) << entry.path() << sized.err;
    for (const Outcome& outcome : {sized, placed}) EXPECT_TRUE(has(outcome.out, "Caution")) << entry.path();
  }
}

TEST_F(DetectorsCommand, PlacesThem) {
  const Outcome outcome = run({"detectors", path("store.toml"), "--format", "json"});
  EXPECT_EQ(outcome.code, 0) << outcome.err;
  const json read = json::parse(outcome.out);
  EXPECT_EQ(read["exact"], true);
  ASSERT_EQ(read["places"].size(), 1u);
  EXPECT_EQ(read["places"][0]["space"], "store");
  EXPECT_EQ(read["places"][0]["mount"][0], "high");
  const Outcome text = run({"detectors", path("store.toml"), "--alarm", "20 %"});
  EXPECT_EQ(text.code, 0);
  EXPECT_TRUE(has(text.out, "20 % of the lower")) << text.out;
}

TEST_F(DetectorsCommand, BadDetectorInputIsTold) {
  const std::vector<std::pair<std::vector<std::string>, std::string>> cases = {
      {{"detectors"}, "FILE"},
      {{"detectors", path("store.toml"), "--count", "0"}, "--count"},
      {{"detectors", path("store.toml"), "--alarm", "0"}, "--alarm"},
      {{"detectors", path("store.toml"), "--alarm", "150 %"}, "--alarm"},
      {{"detectors", path("store.toml"), "--in", "stor"}, "did you mean 'store'?"}};
  for (const auto& [arguments, part] : cases) {
    const Outcome outcome = run(arguments);
    EXPECT_EQ(outcome.code, 2) << part;
    EXPECT_EQ(outcome.out, "") << part;
    EXPECT_TRUE(has(outcome.err, part)) << outcome.err;
  }
}

}  // namespace
}  // namespace leanside::cli_test
