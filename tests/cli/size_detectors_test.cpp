// SPDX-License-Identifier: Apache-2.0
/// `leanside size` and `leanside detectors` as a user runs them.
#include <cmath>

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
kind = "opening"
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
  const json read = answer_in(outcome.out);
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

/// The text with the first `from` replaced.
std::string with(std::string text, const std::string& from, const std::string& to) {
  const std::size_t at = text.find(from);
  EXPECT_NE(at, std::string::npos) << from;
  return at == std::string::npos ? text : text.replace(at, from.size(), to);
}

TEST_F(SizeCommand, KeepsTheFlowOfTheFileWhereNoWarningCallsForMore) {
  write_file(path("ample.toml"), with(store, "2 m3/h", "400 m3/h"));
  const Outcome kept = run({"size", path("ample.toml")});
  EXPECT_EQ(kept.code, 0) << kept.err;
  EXPECT_TRUE(has(kept.out, "these fans need no more air")) << kept.out;
  const json lowered = answer_in(run({"size", path("ample.toml"), "--may-lower", "--format", "json"}).out);
  EXPECT_NEAR(lowered["fans"][0]["flow_m3_s"].get<double>() * 3600.0, 30.0, 1e-9);
}

TEST_F(SizeCommand, CountsOxygen) {
  // 250 L/min of nitrogen: the fan has to draw 217 m3/h where oxygen is to stay at 19.5 %.
  std::string text = with(with(store, "\"methane\"", "\"nitrogen\""), "4 L/min", "250 L/min");
  text = with(with(text, "12 m3", "60 m3"), "2 m3/h", "90 m3/h");
  write_file(path("dewars.toml"), text);
  const Outcome outcome = run({"size", path("dewars.toml"), "--format", "json"});
  EXPECT_EQ(outcome.code, 1) << outcome.err;
  const json read = answer_in(outcome.out);
  EXPECT_EQ(read["before"][0]["severity"], "oxygen");
  EXPECT_NEAR(read["fans"][0]["least_m3_s"].get<double>() * 3600.0, 15.0 / (1.0 - 0.195 / 0.2095), 1e-2);
  EXPECT_NEAR(read["fans"][0]["flow_m3_s"].get<double>() * 3600.0, 220.0, 1e-9);
  EXPECT_EQ(run({"check", path("dewars.toml")}).code, 1);
  write_file(path("aired.toml"), with(text, "90 m3/h", "220 m3/h"));
  EXPECT_EQ(run({"check", path("aired.toml")}).code, 0);
}

TEST_F(SizeCommand, SaysWhatAnEventHasToSet) {
  const std::string text =
      with(store, "2 m3/h", "60 m3/h") +
      "[[case]]\nid = \"weekend\"\nevent = [{ at = \"1 h\", airway = \"extract\", flow = \"8 m3/h\" }]\n";
  write_file(path("weekend.toml"), text);
  const json read = answer_in(run({"size", path("weekend.toml"), "--format", "json"}).out);
  EXPECT_EQ(read["found"], true);
  EXPECT_NEAR(read["fans"][0]["flow_m3_s"].get<double>() * 3600.0, 60.0, 1e-9);
  ASSERT_EQ(read["events"].size(), 1u);
  EXPECT_EQ(read["events"][0]["cases"], json::array({"weekend"}));
  EXPECT_NEAR(read["events"][0]["flow_m3_s"].get<double>() * 3600.0, 30.0, 1e-9);
  EXPECT_EQ(read["remaining"][0]["why"], "event");
  const Outcome told = run({"size", path("weekend.toml")});
  EXPECT_TRUE(has(told.out, "Events that limit what these fans can do")) << told.out;
  EXPECT_TRUE(has(told.out, "store, case weekend: until then")) << told.out;
  EXPECT_EQ(run({"check", path("weekend.toml")}).code, 1);
  write_file(path("corrected.toml"), with(text, "8 m3/h", "30 m3/h"));
  EXPECT_EQ(run({"check", path("corrected.toml")}).code, 0);
}

TEST_F(SizeCommand, RecommendsNoGale) {
  write_file(path("closet.toml"), with(store, "12 m3", "0.1 m3"));
  const Outcome outcome = run({"size", path("closet.toml")});
  EXPECT_EQ(outcome.code, 1) << outcome.err;
  EXPECT_TRUE(has(outcome.out, "These would need more than 60 air changes an hour: reduce the source instead"))
      << outcome.out;
  const json read = answer_in(run({"size", path("closet.toml"), "--format", "json"}).out);
  EXPECT_LE(read["fans"][0]["air_changes_per_s"].get<double>() * 3600.0, 60.0 + 1e-9);
  EXPECT_EQ(read["remaining"][0]["why"], "too_much_air");
}

TEST_F(SizeCommand, FindsTheLargestRelease) {
  const Outcome outcome = run({"size", path("store.toml"), "--release", "leak"});
  EXPECT_EQ(outcome.code, 1) << outcome.err;
  EXPECT_TRUE(has(outcome.out, "has to come down to 9.16 %")) << outcome.out;
  EXPECT_TRUE(has(outcome.out, "Caution"));
}

// A bag let out at once, eight taps that leak, and a flask that gives its gas by the batch.
const char* const by_the_piece = R"([[release]]
id = "bag"
kind = "dump"
into = "store"
gas = "methane"
amount = "10 L"
over = "1 s"
[[release]]
id = "taps"
kind = "fittings"
into = "store"
gas = "methane"
count = 8
each = "1 mL/min"
on = false
[[release]]
id = "flask"
kind = "reaction"
into = "store"
reaction = "magnesium-hydrochloric-acid"
amounts = { magnesium = "10 g", hydrochloric-acid = "excess" }
over = "1 s"
on = false
)";

TEST_F(SizeCommand, SizesWhatIsThereByTheAmountOrTheCount) {
  std::string text = store;
  text.insert(text.find("[[release]]"), by_the_piece);
  text.replace(text.find("4 L/min"), 7, "0 L/min");
  text += "[[case]]\nid = \"shut\"\nevent = [{ at = \"1 h\", release = \"bag\", on = false }]\n";
  write_file(path("pieces.toml"), text);
  const auto sized = [&](const std::string& release) {
    const Outcome outcome = run({"size", path("pieces.toml"), "--release", release, "--format", "json"});
    EXPECT_LE(outcome.code, 1) << outcome.err;  // gas can be ignited close to some of them, whatever their size
    return answer_in(outcome.out);
  };
  // V(1 - exp(-B / V)) = 1.1 % of 12 m3: what goes out at once is what is there already.
  const double bags = -12000.0 * std::log1p(-0.011) / 10.0;
  EXPECT_NEAR(sized("bag")["factor"].get<double>(), bags, 0.1);
  EXPECT_EQ(sized("bag")["at_once"], std::floor(bags));
  // n q / (Q + n q) = 1.1 %, beside 10 L that are long gone; the fan draws Q + n q in all: 2 m3/h.
  EXPECT_NEAR(sized("taps")["factor"].get<double>(), 0.011 * 2.0e6 / 60.0 / 8.0, 0.1);
  // 10 g of magnesium give 0.4114 mol, 9.9 L of hydrogen; with the bag's methane n such flasks come to a quarter of
  // what the mixture needs at 4 % and 4.4 %.
  const double hydrogen = 10.0 / 24.305 * 8.314462618 * 293.15 / 101325.0 / 12.0, methane = 0.010 / 12.0;
  const double flasks = (0.25 - methane / 0.044) / (hydrogen / 0.04);
  const json flask = sized("flask");
  EXPECT_EQ(flask["at_once"], std::floor(flasks)) << flasks;
  EXPECT_TRUE(has(run({"size", path("pieces.toml"), "--release", "flask"}).out, "room for 11 such releases at once"));
  EXPECT_TRUE(has(run({"size", path("pieces.toml"), "--release", "bag"}).out, "room for 13 such releases"));
  text.replace(text.find("\"10 g\""), 6, "\"1 kg\"");
  write_file(path("pieces.toml"), text);
  EXPECT_EQ(sized("flask")["at_once"], 0);
  EXPECT_TRUE(has(run({"size", path("pieces.toml"), "--release", "flask"}).out, "has to come down to"));
}

TEST_F(SizeCommand, WhatNoSizeOfAReleaseCanMendIsSaid) {
  std::string text = store;
  text.insert(text.find("[[release]]"), by_the_piece);
  write_file(path("over.toml"), text);
  const Outcome outcome = run({"size", path("over.toml"), "--release", "bag"});
  EXPECT_EQ(outcome.code, 1) << outcome.err;
  EXPECT_TRUE(has(outcome.out, "every space that this release reaches has a warning without it")) << outcome.out;
}

TEST_F(SizeCommand, FanWithACurveIsNotSized) {
  std::string text = store;
  text.replace(text.find("flow = \"2 m3/h\""), 15, R"(curve = [["0 Pa", "9 m3/h"], ["50 Pa", "0 m3/h"]])");
  write_file(path("curve.toml"), text);
  const Outcome outcome = run({"size", path("curve.toml"), "--fan", "extract"});
  EXPECT_EQ(outcome.code, 2) << outcome.out;
  EXPECT_TRUE(has(outcome.err, "'extract' follows a curve")) << outcome.err;
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
      {{"size", path("store.toml"), "--may-lower", "--release", "leak"}, "--may-lower"},
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
      EXPECT_TRUE(has(placed.out, "layer that the gas gathers in")) << placed.out;
    }
    EXPECT_LE(sized.code, 1) << entry.path() << sized.err;
    for (const Outcome& outcome : {sized, placed}) EXPECT_TRUE(has(outcome.out, "Caution")) << entry.path();
  }
}

TEST_F(DetectorsCommand, PlacesThem) {
  const Outcome outcome = run({"detectors", path("store.toml"), "--format", "json"});
  EXPECT_EQ(outcome.code, 0) << outcome.err;
  const json read = answer_in(outcome.out);
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
