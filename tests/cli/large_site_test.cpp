// SPDX-License-Identifier: Apache-2.0
/// What a user reads of a building of a thousand rooms: the worst first, and little enough to be read.
#include <algorithm>
#include <set>
#include <string>
#include <vector>

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "bench/building.hpp"
#include "cli/run_program.hpp"

namespace leanside::cli_test {
namespace {

constexpr std::size_t two_screens = 80;

class LargeSite : public InFolder {
 protected:
  void SetUp() override {
    InFolder::SetUp();
    write_file(path("tower.toml"), tower(1000));
  }

  static std::string tower(std::size_t rooms) {
    std::string text = bench::building_text(rooms);
    // Floors of 3.4 m each.
    for (int floor = 1; floor < 20; ++floor) {
      const std::string f = "f" + std::to_string(floor) + "-";
      const std::string elevation =
          "elevation = \"" + std::to_string(34 * floor / 10) + "." + std::to_string(34 * floor % 10) + " m\"\n";
      for (std::size_t at = 0; (at = text.find("[[space]]\nid = \"" + f, at)) != std::string::npos;) {
        at = text.find("kind = ", at);
        text.insert(at, elevation);
      }
    }
    return text;
  }
};

TEST_F(LargeSite, EverythingFitsOnTwoScreens) {
  const Outcome full = run({"check", path("tower.toml"), "--full", "--quiet"});
  ASSERT_LE(full.code, 1) << full.err;
  EXPECT_LE(lines_of(full.out).size(), two_screens) << full.out;
  EXPECT_TRUE(has(full.out, "By floor and system, the worst first")) << full.out;
  EXPECT_TRUE(has(full.out, "floor at 0 m")) << full.out;
  EXPECT_TRUE(has(full.out, "`leanside export FILE --what flows` writes all of them")) << full.out;
  EXPECT_TRUE(has(full.out, "Caution"));
  EXPECT_FALSE(has(full.out, ": --full")) << "everything is there already";
  const Outcome first = run({"check", path("tower.toml"), "--quiet"});
  EXPECT_LE(lines_of(first.out).size(), 42u) << first.out;
}

/// The words of the worst finding, which no length may cost.
void names_the_worst(const std::string& text, const std::string& place) {
  EXPECT_TRUE(has(text, place)) << text;
  EXPECT_TRUE(has(text, "assumption")) << text;
  EXPECT_TRUE(has(text, "This is a screening aid")) << text;
  EXPECT_TRUE(has(text, "--format json")) << text;
}

TEST_F(LargeSite, EveryKindOfAssumptionIsNamed) {
  const auto all = answer_in(run({"check", path("tower.toml"), "--format", "json", "--quiet"}).out);
  std::set<std::string> kinds;
  for (const auto& one : all["assumptions"]) kinds.insert(one["kind"].get<std::string>());
  ASSERT_GT(kinds.size(), 5u);
  const Outcome full = run({"check", path("tower.toml"), "--full", "--quiet"});
  const std::vector<std::string> lines = lines_of(full.out);
  const auto head = std::ranges::find_if(lines, [](const auto& line) { return has(line, " assumptions ("); });
  ASSERT_NE(head, lines.end()) << full.out;
  const auto end = std::find(head, lines.end(), "");
  EXPECT_EQ(static_cast<std::size_t>(end - head) - 1, kinds.size()) << full.out;
}

TEST_F(LargeSite, SizesFitOnTwoScreens) {
  for (const std::vector<std::string>& options : {std::vector<std::string>{}, {"--release", "f0-r3-bottle"}}) {
    std::vector<std::string> words{"size", path("tower.toml"), "--quiet"};
    words.insert(words.end(), options.begin(), options.end());
    const Outcome outcome = run(words);
    ASSERT_LE(outcome.code, 1) << outcome.err;
    EXPECT_LE(lines_of(outcome.out).size(), two_screens) << outcome.out;
    names_the_worst(outcome.out, "f0-r3-cupboard");
  }
}

TEST_F(LargeSite, AComparisonFitsOnTwoScreens) {
  std::string text = tower(1000);
  // The fans of one floor run slower, and the worst leak is smaller.
  for (std::size_t at = 0; (at = text.find("id = \"f1-r", at)) != std::string::npos; ++at) {
    const std::size_t flow = text.find("flow = \"", at), next = text.find("[[", at);
    if (flow < next) text.replace(flow + 8, 1, "1");
  }
  const std::size_t leak = text.find("1500 mL/min");
  ASSERT_NE(leak, std::string::npos);
  text.replace(leak, 4, "200");
  write_file(path("after.toml"), text);
  for (const bool turned : {false, true}) {
    const std::string one = path(turned ? "after.toml" : "tower.toml");
    const std::string other = path(turned ? "tower.toml" : "after.toml");
    const Outcome outcome = run({"compare", one, other, "--quiet"});
    ASSERT_LE(outcome.code, 1) << outcome.err;
    EXPECT_LE(lines_of(outcome.out).size(), two_screens) << outcome.out;
    names_the_worst(outcome.out, "f0-r3-cupboard");
  }
}

TEST_F(LargeSite, DetectorsFitOnTwoScreens) {
  for (const char* const count : {"1", "10"}) {
    const Outcome outcome = run({"detectors", path("tower.toml"), "--count", count, "--quiet"});
    ASSERT_LE(outcome.code, 1) << outcome.err;
    EXPECT_LE(lines_of(outcome.out).size(), two_screens) << outcome.out;
    names_the_worst(outcome.out, "f0-r3-cupboard");
  }
}

TEST_F(LargeSite, TheHintShowsEveryAirway) {
  const Outcome flows = run({"export", path("tower.toml"), "--what", "flows"});
  ASSERT_LE(flows.code, 1) << flows.err;
  EXPECT_GT(lines_of(flows.out).size(), 2500u);
  const Outcome csv = run({"check", path("tower.toml"), "--format", "csv", "--quiet"});
  EXPECT_GT(lines_of(csv.out).size(), 1000u);
}

TEST_F(LargeSite, FailuresFitOnTwoScreensAndFollowTheWorst) {
  for (const std::size_t rooms : {std::size_t{150}, std::size_t{1000}}) {
    write_file(path("block.toml"), tower(rooms));
    const Outcome outcome = run({"failures", path("block.toml"), "--quiet"});
    ASSERT_LE(outcome.code, 1) << outcome.err;
    EXPECT_LE(lines_of(outcome.out).size(), two_screens) << outcome.out;
    EXPECT_TRUE(has(outcome.out, "over time as")) << outcome.out;
    EXPECT_TRUE(has(outcome.out, "By floor and system, the worst first")) << outcome.out;
    EXPECT_TRUE(has(outcome.out, "nothing else was computed"))
        << "what was cut for time is told in full: " << outcome.out;
    names_the_worst(outcome.out, "f0-r3-cupboard");
  }
}

}  // namespace
}  // namespace leanside::cli_test
