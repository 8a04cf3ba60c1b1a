// SPDX-License-Identifier: Apache-2.0
/// What a user reads of a building of a thousand rooms: the worst first, and little enough to be read.
#include <algorithm>

#include <gtest/gtest.h>

#include "bench/building.hpp"
#include "cli/run_program.hpp"

namespace leanside::cli_test {
namespace {

constexpr std::size_t three_screens = 120;

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

TEST_F(LargeSite, EverythingFitsOnThreeScreens) {
  const Outcome full = run({"check", path("tower.toml"), "--full", "--quiet"});
  ASSERT_LE(full.code, 1) << full.err;
  EXPECT_LE(lines_of(full.out).size(), three_screens) << full.out;
  EXPECT_TRUE(has(full.out, "By floor and system, the worst first")) << full.out;
  EXPECT_TRUE(has(full.out, "floor at 0 m")) << full.out;
  EXPECT_TRUE(has(full.out, "`leanside export FILE --what flows` writes all of them")) << full.out;
  EXPECT_TRUE(has(full.out, "Caution"));
  const Outcome first = run({"check", path("tower.toml"), "--quiet"});
  EXPECT_LE(lines_of(first.out).size(), 42u) << first.out;
}

TEST_F(LargeSite, TheHintShowsEveryAirway) {
  const Outcome flows = run({"export", path("tower.toml"), "--what", "flows"});
  ASSERT_LE(flows.code, 1) << flows.err;
  EXPECT_GT(lines_of(flows.out).size(), 2500u);
  const Outcome csv = run({"check", path("tower.toml"), "--format", "csv", "--quiet"});
  EXPECT_GT(lines_of(csv.out).size(), 1000u);
}

TEST_F(LargeSite, FailuresFitOnThreeScreensAndFollowTheWorst) {
  write_file(path("block.toml"), tower(150));  // each failure of a thousand rooms takes long in a build for tests
  const Outcome outcome = run({"failures", path("block.toml"), "--quiet"});
  ASSERT_LE(outcome.code, 1) << outcome.err;
  EXPECT_LE(lines_of(outcome.out).size(), three_screens) << outcome.out;
  EXPECT_TRUE(has(outcome.out, "over time as well")) << outcome.out;
  EXPECT_TRUE(has(outcome.out, "By floor and system, the worst first")) << outcome.out;
}

}  // namespace
}  // namespace leanside::cli_test
