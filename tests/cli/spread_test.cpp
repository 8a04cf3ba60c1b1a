// SPDX-License-Identifier: Apache-2.0
/// `leanside spread` as a user runs it; parts of sweeps and `leanside merge`.
#include <algorithm>

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "cli/run_program.hpp"

namespace leanside::cli_test {
namespace {

using nlohmann::json;
using SpreadCommand = InFolder;

TEST_F(SpreadCommand, TellsChancesPercentilesAndWhatMatters) {
  const Outcome outcome = run({"spread", example("uncertain-store"), "--draws", "2400"});
  EXPECT_EQ(outcome.code, 1) << outcome.err;
  for (const std::string& line : lines_of(outcome.err)) EXPECT_TRUE(has(line, "may gather")) << line;
  for (const char* part : {"How sure: ", "6 values given as ranges, 2400 draws (triangular, seed", "over 25 %",
                           "over the limit", "Which value matters most", "release fitting: rate", "0.2 L/min",
                           "Assumptions", "each value is drawn by itself", "Caution"}) {
    EXPECT_TRUE(has(outcome.out, part)) << part << "\n" << outcome.out;
  }
  EXPECT_FALSE(has(outcome.out, "their best ones are taken")) << "here they are not";
}

TEST_F(SpreadCommand, OtherCommandsTakeTheBestValuesAndSaySo) {
  for (const char* command : {"check", "failures", "size", "detectors"}) {
    std::vector<std::string> arguments{command, example("uncertain-store")};
    if (arguments[0] == "check") arguments.emplace_back("--full");
    const Outcome outcome = run(arguments);
    EXPECT_LE(outcome.code, 1) << command << outcome.err;
    EXPECT_TRUE(has(outcome.out,
                    "values are given as ranges, and their best ones are taken: space store: volume 27 m3 (24 m3 "
                    "to 28 m3)"))
        << command << outcome.out;
  }
}

TEST_F(SpreadCommand, AnswersWithoutAssumptionsComeWithANotice) {
  const std::string site = example("uncertain-store");
  for (const std::vector<std::string>& command :
       {std::vector<std::string>{"release", site}, std::vector<std::string>{"stock", site},
        std::vector<std::string>{"explain", site, "cabinet"}, std::vector<std::string>{"draw", site}}) {
    const Outcome outcome = run(command);
    EXPECT_LE(outcome.code, 1) << command[0];
    EXPECT_TRUE(has(outcome.err, "notice: values are given as ranges, and their best ones are taken: space store"))
        << command[0] << outcome.err;
  }
}

TEST_F(SpreadCommand, SeedsThreadsAndShapes) {
  const std::string site = example("uncertain-store");
  const auto answer = [&](std::vector<std::string> more) {
    std::vector<std::string> all = {"spread", site, "--draws", "700", "--format", "json"};
    all.insert(all.end(), more.begin(), more.end());
    const Outcome outcome = run(all);
    EXPECT_EQ(outcome.code, 1) << outcome.err;
    return outcome.out;
  };
  const std::string first = answer({"--threads", "1"});
  EXPECT_EQ(answer({"--threads", "2"}), first);
  EXPECT_EQ(answer({"--threads", "3", "--seed", "1"}), first);
  EXPECT_NE(answer({"--seed", "2"}), first);
  EXPECT_NE(answer({"--shape", "two-piece"}), first);
  const json only = answer_in(answer({"--case", "fan-off"}));
  for (const json& space : only["spaces"]) EXPECT_EQ(space["case"], "fan-off");
}

TEST_F(SpreadCommand, NothingThatComesToAMarginIsCodeZero) {
  std::string calm = small_site("0.001 L/min");
  const std::string rate = "\"0.001 L/min\"";
  calm.replace(calm.find(rate), rate.size(), R"({ low = "0.5 mL/min", best = "1 mL/min", high = "2 mL/min" })");
  write_file(path("calm.toml"), calm);
  const Outcome outcome = run({"spread", path("calm.toml"), "--draws", "300"});
  EXPECT_EQ(outcome.code, 0) << outcome.out << outcome.err;
  EXPECT_TRUE(has(outcome.out, "That is no proof"));
}

TEST_F(SpreadCommand, WithoutRangesUsualOnesAreTakenAndNamed) {
  write_file(path("plain.toml"), small_site("1 L/min"));
  const Outcome outcome = run({"spread", path("plain.toml"), "--draws", "600"});
  EXPECT_LE(outcome.code, 1) << outcome.err;
  EXPECT_TRUE(has(outcome.out, "no value of the file is a range")) << outcome.out;
  EXPECT_TRUE(has(outcome.out, "0.5 L/min")) << outcome.out;
}

TEST_F(SpreadCommand, BadInputIsTold) {
  write_file(path("plain.toml"), "title = \"x\"\n[[space]]\nid = \"a\"\nkind = \"room\"\nvolume = \"3 m3\"\n");
  const std::string good = example("uncertain-store");
  const std::vector<std::pair<std::vector<std::string>, std::string>> cases = {
      {{"spread"}, "FILE"},
      {{"spread", path("none.toml")}, "none.toml"},
      {{"spread", path("plain.toml")}, "no value of this file is a range"},
      {{"spread", good, "--draws", "100"}, "100 draws are too few for 6 ranges: at least 256 are needed"},
      {{"spread", good, "--draws", "0"}, "--draws"},
      {{"spread", good, "--shape", "round"}, "--shape"},
      {{"spread", good, "--seed", "-1"}, "--seed"},
      {{"spread", good, "--seed", "18446744073709551616"}, "18446744073709551615"},
      {{"spread", good, "--seed", "1.5"}, "--seed"},
      {{"spread", good, "--case", "fan-of"}, "did you mean 'fan-off'?"},
      {{"spread", good, "--shard", "3/2"}, "such as 1/4"},
      {{"spread", good, "--shard", "half"}, "such as 1/4"},
      {{"spread", good, "--output", good}, "would overwrite"},
      {{"failures", good, "--shard", "0/2"}, "such as 1/4"}};
  for (const auto& [arguments, part] : cases) {
    const Outcome outcome = run(arguments);
    EXPECT_EQ(outcome.code, 2) << part;
    EXPECT_EQ(outcome.out, "") << part;
    EXPECT_TRUE(has(outcome.err, part)) << outcome.err;
  }
}

/// Writes the parts of a sweep as part-1 to part-n; their names.
std::vector<std::string> parts_of(const std::filesystem::path& folder, std::vector<std::string> command, int count,
                                  const std::string& name = "part-") {
  std::vector<std::string> out;
  for (int i = 1; i <= count; ++i) {
    out.push_back((folder / (name + std::to_string(i))).string());
    auto all = command;
    for (const std::string& word : {std::string{"--shard"}, std::to_string(i) + "/" + std::to_string(count),
                                    std::string{"--output"}, out.back()}) {
      all.push_back(word);
    }
    const Outcome outcome = run(all);
    EXPECT_EQ(outcome.code, 0) << outcome.err;
    EXPECT_EQ(outcome.out, "");
  }
  return out;
}

std::vector<std::string> merge(std::vector<std::string> parts, std::vector<std::string> more = {}) {
  std::vector<std::string> out = {"merge"};
  out.insert(out.end(), parts.begin(), parts.end());
  out.insert(out.end(), more.begin(), more.end());
  return out;
}

TEST_F(SpreadCommand, PartsJoinedAreTheWholeByteForByte) {
  const std::string prep_room = example("school-prep-room"), store = example("uncertain-store");
  const std::vector<std::vector<std::string>> commands = {
      {"spread", store, "--draws", "300"},
      {"spread", store, "--draws", "300", "--seed", "7", "--shape", "two-piece", "--case", "fan-off", "--steady-only"},
      {"failures", prep_room, "--pairs", "--steady-only"},
      {"failures", store, "--pairs"}};
  const std::vector<std::vector<std::string>> formats = {{}, {"--format", "json"}};
  for (const auto& command : commands) {
    std::vector<Outcome> whole;
    for (const auto& format : formats) {
      auto all = command;
      all.insert(all.end(), format.begin(), format.end());
      whole.push_back(run(all));
    }
    for (const int count : {1, 3}) {
      auto parts = parts_of(folder_, command, count);
      std::reverse(parts.begin(), parts.end());  // any order will do
      for (std::size_t k = 0; k < formats.size(); ++k) {
        const Outcome merged = run(merge(parts, formats[k]));
        EXPECT_EQ(merged.out, whole[k].out) << command[0] << " " << command[1] << " " << count;
        EXPECT_EQ(merged.code, whole[k].code) << merged.err;
      }
    }
  }
}

TEST_F(SpreadCommand, PartsThatDoNotBelongTogetherAreRefused) {
  const std::string store = example("uncertain-store");
  const std::vector<std::string> base = {"spread", store, "--draws", "300"};
  const auto good = parts_of(folder_, base, 2);
  const auto of_three = parts_of(folder_, base, 3, "three-");
  const auto seed = parts_of(folder_, {"spread", store, "--draws", "300", "--seed", "2"}, 2, "seed-");
  const auto failures = parts_of(folder_, {"failures", store}, 2, "failures-");
  std::string changed = read_file(store);
  changed.replace(changed.find("0.7 m3"), 6, "0.8 m3");
  write_file(path("other.toml"), changed);
  const auto other = parts_of(folder_, {"spread", path("other.toml"), "--draws", "300"}, 2, "other-");
  write_file(path("same.toml"), read_file(store));
  const auto before = parts_of(folder_, {"spread", path("same.toml"), "--draws", "300"}, 2, "before-");
  write_file(path("same.toml"), changed);
  const auto after = parts_of(folder_, {"spread", path("same.toml"), "--draws", "300"}, 2, "after-");
  std::string old = read_file(good[1]);
  const std::string version = "\"version\":\"";
  old.replace(old.find(version) + version.size(), 1, "9");
  write_file(path("old"), old);
  write_file(path("short"), read_file(good[1]).substr(0, 4000));
  write_file(path("site"), read_file(store));
  const std::vector<std::pair<std::vector<std::string>, std::string>> cases = {
      {{good[0]}, "part 2 of 2 is missing"},
      {{good[0], good[0]}, "are both part 1 of 2"},
      {{of_three[1]}, "parts 1, 3 of 3 are missing"},
      {{good[0], of_three[1]}, "are shards of 2 and of 3"},
      {{good[0], seed[1]}, "different options"},
      {{good[0], failures[1]}, "different studies"},
      {{good[0], other[1]}, "different files"},
      {{before[0], after[1]}, "changed in between"},
      {{good[0], path("old")}, "different versions"},
      {{good[0], path("short")}, "cut off"},
      {{good[0], path("site")}, "not what a run with --shard writes"},
      {{good[0], path("none")}, "none"},
      {{}, "PART"}};
  for (const auto& [parts, message] : cases) {
    const Outcome outcome = run(merge(parts));
    EXPECT_EQ(outcome.code, 2) << message;
    EXPECT_EQ(outcome.out, "") << message;
    EXPECT_TRUE(has(outcome.err, message)) << message << "\n" << outcome.err;
  }
  EXPECT_EQ(run(merge(good, {"--output", good[0]})).code, 2) << "a part would be overwritten";
}

TEST_F(SpreadCommand, PartsCarryTheirSubstances) {
  write_file(path("mine.toml"),
             "[[substance]]\nid = \"mystery-gas\"\nname = \"Mystery gas\"\nsource = \"invented\"\n"
             "molar_mass_g_mol = 30\nlimits_pct = [[3, 12]]\noxygen_demand = 3\n");
  std::string site = small_site("1 L/min");
  site.replace(site.find("\"methane\""), 9, "\"mystery-gas\"");
  site.replace(site.find("\"1 L/min\""), 9, R"({ low = "0.5 L/min", best = "1 L/min", high = "2 L/min" })");
  write_file(path("site.toml"), site);
  const std::vector<std::string> command = {"spread", path("site.toml"), "--draws",
                                            "300",    "--substances",    path("mine.toml")};
  const Outcome whole = run(command);
  ASSERT_LE(whole.code, 1) << whole.err;
  const auto parts = parts_of(folder_, command, 2);
  std::filesystem::remove(path("mine.toml"));
  std::filesystem::remove(path("site.toml"));
  EXPECT_EQ(run(merge(parts)).out, whole.out);
}

}  // namespace
}  // namespace leanside::cli_test
