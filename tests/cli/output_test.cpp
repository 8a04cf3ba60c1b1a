// SPDX-License-Identifier: Apache-2.0
/// Where results go: whole or not at all.
#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <sstream>

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>
#include <sys/stat.h>
#include <sys/wait.h>

#include "cli/run_program.hpp"
#include "support/paths.hpp"

namespace leanside::cli_test {
namespace {

namespace fs = std::filesystem;

class Output : public InFolder {
 protected:
  void SetUp() override {
    InFolder::SetUp();
    write_file(path("site.toml"), small_site("0.8 m3/h"));
  }
  Outcome check(std::vector<std::string> more) const {
    std::vector<std::string> arguments = {"check", path("site.toml")};
    arguments.insert(arguments.end(), more.begin(), more.end());
    return run(arguments);
  }
};

TEST_F(Output, TheFileHasTheSameTextAsStandardOutput) {
  for (const char* format : {"text", "json", "csv"}) {
    const Outcome outcome = check({"--format", format, "--output", path("out")});
    EXPECT_EQ(outcome.code, 1);
    EXPECT_EQ(outcome.out, "");
    EXPECT_EQ(read_file(path("out")), check({"--format", format}).out);
    EXPECT_EQ(names(), (std::vector<std::string>{"out", "site.toml"}));
  }
}

TEST_F(Output, AnOldFileIsReplacedAndKeepsItsPermissions) {
  write_file(path("out"), std::string(100000, 'x'));
  fs::permissions(path("out"), fs::perms::owner_read | fs::perms::owner_write);
  EXPECT_EQ(check({"--output", path("out")}).code, 1);
  EXPECT_EQ(read_file(path("out")), check({}).out);
  EXPECT_EQ(fs::status(path("out")).permissions(), fs::perms::owner_read | fs::perms::owner_write);
}

TEST_F(Output, AnOldFileStaysWhenThereIsNoAnswer) {
  write_file(path("out"), "old");
  write_file(path("site.toml"), "title = 3\n");
  EXPECT_EQ(check({"--output", path("out")}).code, 2);
  EXPECT_EQ(read_file(path("out")), "old");
  EXPECT_EQ(names(), (std::vector<std::string>{"out", "site.toml"}));
}

TEST_F(Output, ASymbolicLinkStaysAndItsTargetIsReplaced) {
  fs::create_directory(folder_ / "results");
  write_file(folder_ / "results" / "real", "old");
  fs::create_symlink("results/real", folder_ / "link");
  EXPECT_EQ(check({"--output", path("link")}).code, 1);
  EXPECT_TRUE(fs::is_symlink(folder_ / "link"));
  EXPECT_FALSE(fs::is_symlink(folder_ / "results" / "real"));
  EXPECT_EQ(read_file(folder_ / "results" / "real"), check({}).out);
  fs::create_symlink("results/new", folder_ / "dangling");
  EXPECT_EQ(check({"--output", path("dangling")}).code, 1);
  EXPECT_EQ(read_file(folder_ / "results" / "new"), check({}).out);
}

TEST_F(Output, ReportsAFileThatCannotBeWrittenAndLeavesNothing) {
  write_file(path("plain"), "x");
  fs::create_directory(folder_ / "folder");
  fs::create_symlink("loop", folder_ / "loop");
  const auto before = names();
  for (const std::string& target :
       {path("folder"), path("none/out"), path("plain/out"), path("loop"), std::string{"/dev/full"}, std::string{}}) {
    for (const char* option : {"--output", "--series"}) {
      const Outcome outcome = check({option, target});
      EXPECT_EQ(outcome.code, 2) << target << "\n" << outcome.err;
      EXPECT_EQ(outcome.out, "") << option << " " << target;
      EXPECT_TRUE(has(outcome.err, "error: ")) << target;
      EXPECT_EQ(names(), before);
    }
  }
}

TEST_F(Output, WritesNeitherFileWhenOneFails) {
  EXPECT_EQ(check({"--output", path("out"), "--series", path("none/series")}).code, 2);
  EXPECT_EQ(check({"--output", "/dev/full", "--series", path("series")}).code, 2);
  EXPECT_EQ(names(), (std::vector<std::string>{"site.toml"}));
  Setting setting;
  setting.arguments = {"check", path("site.toml"), "--series", path("series")};
  setting.standard_output = "/dev/full";
  EXPECT_EQ(run(setting).code, 2);
  EXPECT_EQ(names(), (std::vector<std::string>{"site.toml"}));
}

TEST_F(Output, TheSiteFileIsNeverOverwritten) {
  const std::string site = read_file(path("site.toml"));
  fs::create_symlink("site.toml", folder_ / "link");
  fs::create_hard_link(folder_ / "site.toml", folder_ / "twin");
  for (const char* target : {"site.toml", "./site.toml", "link", "twin"}) {
    for (const char* option : {"--output", "--series"}) {
      const Outcome outcome = check({option, path(target)});
      EXPECT_EQ(outcome.code, 2) << target;
      EXPECT_TRUE(has(outcome.err, "overwrite")) << outcome.err;
    }
  }
  EXPECT_EQ(check({"--output", path("both"), "--series", path("both")}).code, 2);
  EXPECT_EQ(read_file(path("site.toml")), site);
}

TEST_F(Output, ReportsAnErrorWhenStandardOutputFails) {
  for (const std::vector<std::string>& arguments :
       {std::vector<std::string>{"check", path("site.toml")}, std::vector<std::string>{"substances"},
        std::vector<std::string>{"--help"}, std::vector<std::string>{"check", "--version"}}) {
    for (const char* target : {"/dev/full", "closed", "broken"}) {
      Setting setting;
      setting.arguments = arguments;
      setting.standard_output = target;
      const Outcome outcome = run(setting);
      EXPECT_EQ(outcome.code, 2) << arguments[0] << " to " << target << "\n" << outcome.err;
      EXPECT_TRUE(has(outcome.err, "standard output")) << outcome.err;
    }
  }
}

TEST_F(Output, AFileIsWrittenThoughStandardOutputIsClosed) {
  Setting setting;
  setting.arguments = {"check", path("site.toml"), "--output", path("out")};
  setting.standard_output = "closed";
  EXPECT_EQ(run(setting).code, 1);
  EXPECT_EQ(read_file(path("out")), check({}).out);
}

/// Of a series: case, time, space, quantity and value.
std::array<std::string, 5> row_of(const std::string& line) {
  std::istringstream in{line};
  std::array<std::string, 5> row;
  for (std::string& field : row) std::getline(in, field, ',');
  return row;
}

TEST_F(Output, TheSeriesIsInOrderOfTimeAndComplete) {
  EXPECT_EQ(check({"--series", path("series.csv"), "--series-points", "16"}).code, 1);
  const auto lines = lines_of(read_file(path("series.csv")));
  ASSERT_GT(lines.size(), 1u);
  EXPECT_EQ(lines[0], "case,time_s,space,gas,fraction");
  std::map<std::string, std::vector<double>> times;
  std::map<std::string, double> last;
  for (std::size_t i = 1; i < lines.size(); ++i) {
    const auto [case_index, time, space, gas, fraction] = row_of(lines[i]);
    ASSERT_EQ(space, "room");
    times[case_index + " " + gas].push_back(std::stod(time));
    last[case_index + " " + gas] = std::stod(fraction);
  }
  EXPECT_EQ(times.size(), 2u * 3u);
  for (const auto& [key, of_key] : times) {
    ASSERT_EQ(of_key.size(), 17u) << key;
    for (std::size_t i = 0; i < of_key.size(); ++i) {
      EXPECT_DOUBLE_EQ(of_key[i], 28800.0 * static_cast<double>(i) / 16.0) << key;
    }
  }
  // One room of 50 m3: x(t) = G/(Q+G) (1 - exp(-(Q+G) t / V)) with Q = 50 m3/h, G = 0.8 m3/h, t = 8 h.
  const double end = 0.8 / 50.8 * -std::expm1(-50.8 * 8.0 / 50.0);
  EXPECT_NEAR(last["normal methane"], end, 1e-6 * end);
  EXPECT_NEAR(last["normal oxygen"], 0.2095 * (1.0 - end), 1e-6);
  EXPECT_NEAR(last["normal lfl_fraction"], end / 0.044, 1e-5);
}

TEST_F(Output, TheSeriesOfALayeredRoomHasBothLayersAndTheirEdge) {
  // Without a horizon the run lasts until gas leaves by the window, and the balance below holds no longer.
  std::string cellar = read_file(example("propane-cellar"));
  cellar.insert(cellar.find("[conditions]"), "[criteria]\nhorizon = \"8 h\"\n\n");
  write_file(path("cellar.toml"), cellar);
  const Outcome outcome = run({"check", path("cellar.toml"), "--series", path("series.csv"), "--series-points", "24"});
  EXPECT_LE(outcome.code, 1) << outcome.err;
  std::map<std::string, std::map<std::string, std::map<std::string, double>>> rows;  // case and time, space, quantity
  for (const std::string& line : lines_of(read_file(path("series.csv")))) {
    const auto [case_index, time, space, gas, fraction] = row_of(line);
    if (case_index != "case") rows[case_index + " " + time][space][gas] = std::stod(fraction);
  }
  const double height = 2.2;  // of the cellar
  ASSERT_TRUE(has(read_file(source("examples/propane-cellar.toml")), "height = \"2.2 m\""));
  bool seen = false;
  for (const auto& [when, at] : rows) {
    if (!at.contains("cellar:lower")) continue;
    const double edge = at.at("cellar").at("interface_m");
    const double lower = at.at("cellar:lower").at("propane"), upper = at.at("cellar:upper").at("propane");
    EXPECT_GE(edge, 0.0) << when;
    EXPECT_LE(edge, height) << when;
    EXPECT_GE(lower, upper - 1e-12) << when << ": propane is heavy";
    // The room under its own id is the far end of the layer that the gas gathers in, its richest part.
    EXPECT_GE(at.at("cellar").at("propane"), std::max(lower, upper) - 1e-12) << when;
    // 40 g/h of propane into 35.2 m3. What goes out of the window above the gas is air with the propane that has
    // diffused so high: nearly 9 % of it in 8 h. Other tests close the balance to round-off.
    const double time = std::stod(when.substr(when.find(' ')));
    const double released = 40.0 / 44.096 / 3600.0 * time * 8.314462618 * 285.15 / 101325.0;
    if (when.starts_with("normal")) {
      const double held = (edge * lower + (height - edge) * upper) * 16.0;
      EXPECT_LE(held, released * (1.0 + 1e-6)) << when;
      EXPECT_GE(held, 0.91 * released) << when;
    }
    seen = seen || lower > 2.0 * upper;
  }
  EXPECT_TRUE(seen);
}

TEST_F(Output, ASeriesTooLargeToHoldIsRefused) {
  std::string site = small_site("0.8 m3/h");
  for (int i = 0; i < 200; ++i) {
    site += "[[space]]\nid = \"s" + std::to_string(i) + "\"\nkind = \"room\"\nvolume = \"50 m3\"\n";
  }
  write_file(path("site.toml"), site);
  const Outcome outcome = check({"--series", path("series.csv"), "--series-points", "1000000"});
  EXPECT_EQ(outcome.code, 2);
  EXPECT_TRUE(has(outcome.err, "--series-points")) << outcome.err;
}

TEST_F(Output, SeesThatTwoPathsNameTheSameNewFile) {
  Setting setting;
  setting.folder = folder_.string();
  for (const auto& [output, series] : {std::pair{"a.txt", "./a.txt"}, {"./a.txt", "a.txt"}, {"a.txt", "x/../a.txt"}}) {
    fs::create_directories(folder_ / "x");
    setting.arguments = {"check", "site.toml", "--output", output, "--series", series};
    const Outcome outcome = run(setting);
    EXPECT_EQ(outcome.code, 2) << output << " " << series;
    EXPECT_TRUE(has(outcome.err, "both name")) << outcome.err;
    setting.arguments[3] = (folder_ / "a.txt").string();
    EXPECT_EQ(run(setting).code, 2) << series;
    EXPECT_FALSE(fs::exists(folder_ / "a.txt"));
  }
}

TEST_F(Output, IgnoresWhatAKilledRunLeft) {
  // The names that this run would try first.
  const std::string command = "cd '" + folder_.string() +
                              "' && touch .answer.$$.part .answer.$$.0.part .answer.$$.1.part && exec '" +
                              leanside::testing::program_path().string() + "' check site.toml --output answer";
  const int status = std::system(command.c_str());
  ASSERT_TRUE(WIFEXITED(status));
  EXPECT_LE(WEXITSTATUS(status), 1);
  EXPECT_FALSE(read_file(path("answer")).empty());
}

TEST_F(Output, ReportsNoBalanceWithoutACourseInTime) {
  const auto balance = [&](std::vector<std::string> more) {
    more.insert(more.end(), {"--format", "json"});
    const nlohmann::json answer = answer_in(check(more).out);
    EXPECT_EQ(answer.at("balance").at("relative_error").is_null(),
              answer.at("cases").at(0).at("balance").at("relative_error").is_null());
    return answer.at("balance").at("relative_error");
  };
  EXPECT_TRUE(balance({"--sustained-only"}).is_null());
  EXPECT_TRUE(balance({}).is_number());
  EXPECT_TRUE(has(check({"--sustained-only", "--log-level", "info"}).err, "balance error not computed"));
}

}  // namespace
}  // namespace leanside::cli_test
