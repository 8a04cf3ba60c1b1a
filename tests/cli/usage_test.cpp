// SPDX-License-Identifier: Apache-2.0
/// Help, version, bad usage, and `leanside substances`.
#include <algorithm>

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "cli/run_program.hpp"

namespace leanside::cli_test {
namespace {

using nlohmann::json;
using Substances = InFolder;

/// All commands, and the empty word for none.
std::vector<std::string> commands() {
  return {"",      "check", "report",  "page",     "draw", "new",       "explain", "substances", "release", "reactions",
          "purge", "stock", "compare", "failures", "size", "detectors", "tracer",  "spread",     "merge"};
}

TEST(Usage, HelpAndVersionOfEveryCommand) {
  for (const std::string& name : commands()) {
    std::vector<std::string> command;
    if (!name.empty()) command.push_back(name);
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

TEST(Usage, EveryCommandHasTheSameNamesForOutputAndQuiet) {
  for (const std::string& name : commands()) {
    if (name.empty()) continue;
    const std::string help = run({name, "--help"}).out;
    EXPECT_TRUE(has(help, "-o,--output FILE")) << help;
    EXPECT_TRUE(has(help, "--quiet")) << help;
    EXPECT_TRUE(has(help, "Exit codes: 0")) << help;
  }
}

TEST_F(Substances, EveryCommandThatReadsNoSiteWritesToAFile) {
  for (const std::vector<std::string>& words :
       {std::vector<std::string>{"substances"}, {"reactions"}, {"purge", "hydrogen", "--volume", "200 L"}}) {
    const std::string printed = run(words).out;
    std::vector<std::string> to_file = words;
    to_file.insert(to_file.end(), {"-o", path("out"), "--quiet"});
    const Outcome outcome = run(to_file);
    EXPECT_EQ(outcome.code, 0) << outcome.err;
    EXPECT_EQ(outcome.out + outcome.err, "");
    EXPECT_EQ(read_file(path("out")), printed);
  }
}

TEST(Usage, ErrorsOfEveryCommandHaveTheSameForm) {
  for (const std::vector<std::string>& words : {std::vector<std::string>{"check"},
                                                {"report"},
                                                {"draw"},
                                                {"release"},
                                                {"stock"},
                                                {"failures"},
                                                {"size"},
                                                {"detectors"},
                                                {"spread"},
                                                {"merge"}}) {
    std::vector<std::string> all = words;
    all.push_back("no-such-file.toml");
    const Outcome outcome = run(all);
    EXPECT_EQ(outcome.code, 2) << words[0];
    EXPECT_TRUE(outcome.err.starts_with("no-such-file.toml: error: ")) << words[0] << ": " << outcome.err;
  }
  for (const std::vector<std::string>& words : {std::vector<std::string>{"check", "--case", "x"},
                                                {"draw", "--case", "x"},
                                                {"substances", "x"},
                                                {"purge", "hydrogen", "--volume", "x"},
                                                {"explain", example("gas-store"), "x"}}) {
    const Outcome outcome = run(words);
    EXPECT_EQ(outcome.code, 2) << words[0];
    EXPECT_TRUE(has(outcome.err, "leanside: error: ")) << words[0] << ": " << outcome.err;
  }
}

TEST(Usage, BadUsageExitsWithTwoAndPointsToTheHelp) {
  const std::vector<std::pair<std::vector<std::string>, std::string>> cases = {
      {{}, "no command is given; `leanside --help`"},
      {{"chek"}, "there is no command 'chek'; did you mean 'check'? `leanside --help`"},
      {{"check", "--fromat", "json"},
       "check has no option '--fromat'; did you mean '--format'? `leanside check --help`"},
      {{"check", "--format", "xml"}, "found 'xml'; expected one of text, json, csv"},
      {{"check", "--format"}, "--format"},
      {{"check", "a.toml", "b.toml"}, "check takes no further word, but there is 'b.toml'"},
      {{"check", "--series-points", "10"}, "--series"},
      {{"check", "--series", "x.csv", "--series-points", "0"}, "--series-points"},
      {{"check", "--series", "x.csv", "--series-points", "nan"}, "--series-points"},
      {{"check", "--series", "x.csv", "--steady-only"}, "--steady-only"},
      {{"spread", "a.toml", "--seed", "18446744073709551616"}, "expected a whole number from 0 to"},
      {{"spread", "a.toml", "--draws", "1.5"}, "expected a whole number from 1 to 100000000"},
      {{"detectors", "a.toml", "--count", "-1"}, "expected a whole number from 1 to 1000"},
      {{"tracer", "a.csv", "a.toml", "--background", "nan"}, "expected a number"},
      {{"purge", "hydrogen", "--volume", "1 m3", "--margin", "nan"}, "expected a number from 0.05 to 1"},
      {{"compare", "a.toml", "b.toml", "--ignore", ""}, "--ignore"},
      {{"check", "--log-level", "loud"}, "--log-level"},
      {{"substances", "--format", "csv"}, "expected one of text, json"},
      {{"substances", "hydrogn"}, "did you mean 'hydrogen'?"}};
  for (const auto& [arguments, part] : cases) {
    const Outcome outcome = run(arguments);
    EXPECT_EQ(outcome.code, 2) << part;
    EXPECT_EQ(outcome.out, "") << part;
    EXPECT_TRUE(has(outcome.err, part)) << outcome.err;
    EXPECT_TRUE(has(outcome.err, "error")) << outcome.err;
  }
}

/// Every option of a command that takes a number, with what has to stand behind a bare number.
struct NumberOption {
  std::vector<std::string> words;  ///< the command up to the option
  std::string unit;
};
std::vector<NumberOption> number_options() {
  const auto purge = [](const std::string& option) {
    return std::vector<std::string>{"purge", "hydrogen", "--volume", "1 m3", option};
  };
  const std::string site = example("gas-store");
  return {{{"check", site, "--series", "/dev/null", "--series-points"}, ""},
          {{"purge", "hydrogen", "--volume"}, " m3"},
          {purge("--flow"), " m3/h"},
          {purge("--pressure"), " bar"},
          {purge("--vacuum"), " bar"},
          {purge("--oxygen-in-gas"), " %"},
          {purge("--temperature"), " K"},
          {purge("--margin"), ""},
          {{"size", site, "--step"}, " m3/h"},
          {{"detectors", site, "--count"}, ""},
          {{"detectors", site, "--alarm"}, " %"},
          {{"compare", site, site, "--ignore"}, " %"},
          {{"failures", site, "--threads"}, ""},
          {{"failures", site, "--shard"}, "/2"},
          {{"spread", site, "--threads"}, ""},
          {{"spread", site, "--draws"}, ""},
          {{"spread", site, "--seed"}, ""},
          {{"tracer", "readings.csv", site, "--background"}, ""},
          {{"tracer", "readings.csv", site, "--confidence"}, " %"},
          {{"tracer", "readings.csv", site, "--noise"}, " ppm"}};
}

TEST(Usage, NoNumberOnTheCommandLineIsWithoutBounds) {
  for (const NumberOption& option : number_options()) {
    for (const char* number : {"nan", "inf", "-inf", "-1", "1e300", "1e-400", "1e999", "18446744073709551616", ""}) {
      std::vector<std::string> arguments = option.words;
      arguments.push_back(number + option.unit);
      const Outcome outcome = run(arguments);
      EXPECT_EQ(outcome.code, 2) << option.words.front() << " " << option.words.back() << " " << arguments.back();
      EXPECT_EQ(outcome.out, "") << option.words.back();
      EXPECT_TRUE(has(outcome.err, option.words.back())) << arguments.back() << ": " << outcome.err;
    }
  }
}

/// The help of every command, without what is no number: the test above has to know each option that is one.
TEST(Usage, TheListOfOptionsThatAreNumbersIsWhole) {
  const std::vector<std::string> kinds = {" COUNT", " NUMBER", " FLOW",   " PRESSURE",    " FRACTION", " SHARE",
                                          " FLOAT", " UINT",   " VOLUME", " TEMPERATURE", " I/N"};
  std::size_t found = 0, known = number_options().size();
  for (const std::string& name : commands()) {
    if (name.empty()) continue;
    for (const std::string& line : lines_of(run({name, "--help"}).out)) {
      const auto option = line.find("--");
      if (option == std::string::npos || option > 12) continue;
      const auto is_one = [&](const std::string& kind) { return has(line.substr(option), kind); };
      if (std::none_of(kinds.begin(), kinds.end(), is_one)) continue;
      ++found;
    }
  }
  EXPECT_EQ(found, known);
}

/// Words of a command line that contradict each other.
struct Contradiction {
  std::vector<std::string> command, one, other;
};

TEST(Usage, OptionsThatContradictEachOtherAreRefused) {
  const std::vector<std::string> fan{"--fan", "f"}, opening{"--opening", "o"}, release{"--release", "r"},
      step{"--step", "5 m3/h"}, may_lower{"--may-lower"}, series{"--series", "x.csv"}, steady{"--steady-only"},
      rooms{"--template"}, airways{"--template-airways"};
  for (const auto& [command, one, other] :
       {Contradiction{{"size", "a.toml"}, release, fan}, Contradiction{{"size", "a.toml"}, release, opening},
        Contradiction{{"size", "a.toml"}, release, step}, Contradiction{{"size", "a.toml"}, release, may_lower},
        Contradiction{{"failures", "a.toml"}, steady, {"--in-time"}}, Contradiction{{"check"}, steady, series},
        Contradiction{{"import"}, rooms, airways}, Contradiction{{"import"}, rooms, {"rooms.csv"}},
        Contradiction{{"import"}, airways, {"rooms.csv", "airways.csv"}}}) {
    for (const bool turned : {false, true}) {
      std::vector<std::string> words = command;
      for (const auto* part : {turned ? &other : &one, turned ? &one : &other}) {
        words.insert(words.end(), part->begin(), part->end());
      }
      const Outcome outcome = run(words);
      EXPECT_EQ(outcome.code, 2) << one[0] << " " << other[0];
      EXPECT_TRUE(has(outcome.err, "excludes")) << outcome.err;
      EXPECT_TRUE(has(outcome.err, one[0])) << outcome.err;
    }
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
  const json read = answer_in(run({"substances", "hydrogen", "--format", "json"}).out);
  EXPECT_EQ(read["cautious_limits"]["lower"], 0.04);
  EXPECT_GE(answer_in(run({"substances", "--format", "json"}).out)["substances"].size(), 80u);
}

TEST_F(Substances, AFileOfSubstancesAddsToTheTable) {
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

TEST_F(Substances, ReportsThePlaceOfAFaultInASubstanceFile) {
  write_file(path("mine.toml"), "[[substance]]\nid = 3\n");
  const Outcome outcome = run({"substances", "--substances", path("mine.toml")});
  EXPECT_EQ(outcome.code, 2);
  EXPECT_EQ(outcome.out, "");
  EXPECT_TRUE(has(outcome.err, "mine.toml:")) << outcome.err;
}

}  // namespace
}  // namespace leanside::cli_test
