// SPDX-License-Identifier: Apache-2.0
/// `leanside check`: exit codes, options and what goes where.
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "cli/run_program.hpp"

namespace leanside::cli_test {
namespace {

using nlohmann::json;
using Check = InFolder;

TEST_F(Check, ExitCodeShowsWhetherAnythingIsOverAMargin) {
  // 50 m3 and one air change an hour: x = G / (50 m3/h + G). 4.4 % is the cautious lower limit of methane.
  const std::vector<std::pair<std::string, int>> cases = {{"0.1 m3/h", 0},   // 4.5 % of the limit: clear
                                                          {"0.3 m3/h", 0},   // 14 %: a note
                                                          {"0.8 m3/h", 1},   // 36 %: over the margin
                                                          {"4 m3/h", 1},     // flammable
                                                          {"150 m3/h", 1}};  // rich
  for (const auto& [rate, code] : cases) {
    write_file(path("site.toml"), small_site(rate));
    const Outcome outcome = run({"check", path("site.toml")});
    EXPECT_EQ(outcome.code, code) << rate << "\n" << outcome.out << outcome.err;
    EXPECT_TRUE(has(outcome.out, "One room"));
  }
}

TEST_F(Check, ShowsANoteButExitsWithZero) {
  write_file(path("site.toml"), small_site("0.3 m3/h"));
  const Outcome outcome = run({"check", path("site.toml"), "--format", "json"});
  EXPECT_EQ(outcome.code, 0);
  EXPECT_EQ(answer_in(outcome.out)["warnings"][0]["severity"], "note");
}

TEST_F(Check, RunsTheBuiltInExampleWithoutAFile) {
  const Outcome outcome = run({"check"});
  EXPECT_EQ(outcome.code, 1);
  EXPECT_TRUE(has(outcome.out, "built-in example")) << outcome.out;
  EXPECT_TRUE(has(outcome.err, "no file was named")) << outcome.err;
  const json read = answer_in(run({"check", "--format", "json", "--quiet"}).out);
  EXPECT_EQ(read["site"]["file"], "built-in example");
}

TEST_F(Check, BuiltInExampleIsTheShippedFile) {
  const json built_in = answer_in(run({"check", "--format", "json"}).out);
  const json shipped = answer_in(run({"check", example("school-prep-room"), "--format", "json"}).out);
  EXPECT_EQ(built_in["warnings"], shipped["warnings"]);
  EXPECT_EQ(built_in["cases"], shipped["cases"]);
}

TEST_F(Check, ComputesOneCaseOnly) {
  write_file(path("site.toml"), small_site("4 m3/h"));
  const json read = answer_in(run({"check", path("site.toml"), "--case", "leak-off", "--format", "json"}).out);
  ASSERT_EQ(read["cases"].size(), 1u);
  EXPECT_EQ(read["cases"][0]["id"], "leak-off");
  for (const json& warning : read["warnings"]) EXPECT_EQ(warning["case"], "leak-off");
  const Outcome unknown = run({"check", path("site.toml"), "--case", "leak-of"});
  EXPECT_EQ(unknown.code, 2);
  EXPECT_EQ(unknown.out, "");
  EXPECT_TRUE(has(unknown.err, "did you mean 'leak-off'?")) << unknown.err;
}

TEST_F(Check, ComputesTheSteadyStateOnly) {
  write_file(path("site.toml"), small_site("4 m3/h"));
  const Outcome outcome = run({"check", path("site.toml"), "--steady-only", "--format", "json"});
  EXPECT_EQ(outcome.code, 1);
  const json read = answer_in(outcome.out);
  EXPECT_EQ(read["steady_only"], true);
  const json& room = read["cases"][0]["spaces"][0];
  EXPECT_EQ(room["end"]["time_s"], 0.0);
  EXPECT_NEAR(room["steady"]["fraction"]["methane"].get<double>(), 4.0 / 54.0, 1e-9);
  EXPECT_TRUE(has(run({"check", path("site.toml"), "--steady-only"}).out, "the steady state only"));
}

TEST_F(Check, EveryFormatGivesTheSameNumbers) {
  write_file(path("site.toml"), small_site("0.8 m3/h"));
  const json read = answer_in(run({"check", path("site.toml"), "--format", "json"}).out);
  const auto csv = lines_of(run({"check", path("site.toml"), "--format", "csv"}).out);
  ASSERT_EQ(csv.size(), 3u);
  EXPECT_TRUE(csv[1].starts_with("normal,room,1,margin,margin,")) << csv[1];
  const double peak = read["cases"][0]["spaces"][0]["peak"]["lfl_fraction"].get<double>();
  EXPECT_EQ(std::stod(csv[1].substr(std::string{"normal,room,1,margin,margin,"}.size())), peak);
}

TEST_F(Check, QuietLeavesOnlyErrorsOnStandardError) {
  EXPECT_EQ(run({"check", "--quiet"}).err, "");
  const Outcome bad = run({"check", path("missing.toml"), "--quiet"});
  EXPECT_EQ(bad.code, 2);
  EXPECT_TRUE(has(bad.err, "missing.toml")) << bad.err;
}

TEST_F(Check, TheLogGoesToStandardError) {
  const std::vector<std::string> plain = {"check", example("cylinder-store")};
  std::vector<std::string> told = plain;
  told.insert(told.end(), {"--log-level", "info"});
  const Outcome with = run(told), without = run(plain);
  EXPECT_TRUE(has(with.err, "info")) << with.err;
  EXPECT_FALSE(has(without.err, "info"));
  EXPECT_EQ(with.out, without.out);
}

TEST_F(Check, NoticesOfTheFileAreShownInBothPlaces) {
  write_file(path("site.toml"), small_site("0.8 m3/h") + "[criteria]\nlimits = \"bulletin-627\"\n");
  const Outcome outcome = run({"check", path("site.toml"), "--format", "json"});
  const json read = answer_in(outcome.out);
  for (const json& notice : read["notices"]) EXPECT_TRUE(has(outcome.err, notice["message"].get<std::string>()));
  EXPECT_EQ(read["limits"][0]["lower_source"], "bulletin-627");
}

TEST_F(Check, SubstancesOfTheUserAreUsed) {
  write_file(path("site.toml"), small_site("0.8 m3/h"));
  const Outcome fault = run({"check", path("site.toml"), "--substances", path("none.toml")});
  EXPECT_EQ(fault.code, 2);
  EXPECT_EQ(fault.out, "");
  EXPECT_TRUE(has(fault.err, "none.toml"));
}

TEST_F(Check, SameInputSameBytes) {
  for (const char* format : {"text", "json", "csv"}) {
    const std::vector<std::string> arguments = {"check", example("two-floor-block"), "--format", format};
    EXPECT_EQ(run(arguments).out, run(arguments).out) << format;
  }
}

TEST_F(Check, ColourOnlyOnATerminalAndNeverWithNoColor) {
  Setting setting;
  setting.arguments = {"check", example("hydrogen-bottle")};
  EXPECT_FALSE(has(run(setting).out, "\x1b"));
  setting.terminal = true;
  EXPECT_TRUE(has(run(setting).out, "\x1b[1;31mFLAMMABLE\x1b[0m"));
  setting.environment = {{"NO_COLOR", "1"}};
  EXPECT_FALSE(has(run(setting).out, "\x1b"));
  setting.environment = {{"TERM", "dumb"}};
  EXPECT_FALSE(has(run(setting).out, "\x1b"));
}

TEST_F(Check, LettersFollowTheLocale) {
  std::string site = small_site("0.8 m3/h");
  site.replace(site.find("One room"), 8, "Salle n\u00b0 3");
  write_file(path("site.toml"), site);
  Setting setting;
  setting.arguments = {"check", path("site.toml")};
  EXPECT_TRUE(has(run(setting).out, "Salle n? 3: "));
  setting.environment = {{"LC_ALL", "C.UTF-8"}};
  EXPECT_TRUE(has(run(setting).out, "Salle n\u00b0 3: "));
  setting.arguments.push_back("--ascii");
  EXPECT_TRUE(has(run(setting).out, "Salle n? 3: "));
}

TEST_F(Check, WidthFollowsColumns) {
  Setting setting;
  setting.folder = source("examples").string();  // the whole path of the tree may be wider than a line
  setting.arguments = {"check", "cylinder-store.toml"};
  for (const std::size_t width : {80u, 110u}) {
    setting.environment = {{"COLUMNS", std::to_string(width)}};
    std::size_t widest = 0;
    for (const std::string& line : lines_of(run(setting).out)) widest = std::max(widest, line.size());
    EXPECT_LE(widest, width);
    EXPECT_GT(widest, width - 12);
  }
}

TEST_F(Check, PrintsTheTextOfTheUserSafely) {
  std::string site = small_site("0.8 m3/h");
  site.replace(site.find("One room"), 8, "One \\u001b[2Jroom\\u202e");
  write_file(path("site.toml"), site);
  Setting setting;
  setting.arguments = {"check", path("site.toml")};
  setting.environment = {{"LC_ALL", "C.UTF-8"}};
  const Outcome outcome = run(setting);
  EXPECT_FALSE(has(outcome.out + outcome.err, "\x1b"));
  EXPECT_FALSE(has(outcome.out, "\u202e"));
}

#if !defined(__SANITIZE_ADDRESS__)  // the sanitizer itself needs all of the address space
TEST_F(Check, ReportsTooLittleMemory) {
  std::string site = small_site("0.8 m3/h");
  for (int i = 0; i < 60000; ++i) {
    site += "[[space]]\nid = \"s" + std::to_string(i) + "\"\nkind = \"room\"\nvolume = \"50 m3\"\n";
  }
  write_file(path("site.toml"), site);
  Setting setting;
  setting.arguments = {"check", path("site.toml"), "--steady-only"};
  setting.memory = 60u << 20;
  const Outcome outcome = run(setting);
  EXPECT_EQ(outcome.code, 3) << outcome.err;
  EXPECT_EQ(outcome.out, "");
  EXPECT_TRUE(has(outcome.err, "not enough memory")) << outcome.err;
}
#endif

// Volumes and flows so far apart that rounding eats the gas: no answer is better than a wrong one.
TEST_F(Check, RefusesAnAnswerThatRoundOffMadeUseless) {
  std::string site = "title = \"Far apart\"\n";
  for (const char* id : {"a", "b"}) {
    site += std::string{"[[space]]\nid = \""} + id + "\"\nkind = \"vessel\"\nvolume = \"1e-8 m3\"\n";
  }
  site += R"([[airway]]
id = "between"
kind = "exchange"
between = ["a", "b"]
flow = "9999 m3/s"
[[airway]]
id = "out"
kind = "exchange"
between = ["a", "outside"]
flow = "1e-15 m3/s"
[[release]]
id = "leak"
kind = "steady"
into = "b"
gas = "methane"
rate = "1e-15 m3/s"
)";
  write_file(path("far.toml"), site);
  const Outcome outcome = run({"check", path("far.toml")});
  EXPECT_EQ(outcome.code, 3);
  EXPECT_EQ(outcome.out, "");
  EXPECT_TRUE(has(outcome.err, "differ too much for the computation; are all units right?")) << outcome.err;
}

}  // namespace
}  // namespace leanside::cli_test
