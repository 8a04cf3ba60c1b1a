// SPDX-License-Identifier: Apache-2.0
/// Every file of tests/cli/bad breaks one rule of the site file: each is refused with a place, and nothing is written.
#include <algorithm>
#include <regex>

#include <gtest/gtest.h>

#include "cli/run_program.hpp"

namespace leanside::cli_test {
namespace {

namespace fs = std::filesystem;
using BadInput = InFolder;

TEST_F(BadInput, ReportsThePlaceAndWritesNothing) {
  std::size_t files = 0;
  for (const auto& entry : fs::directory_iterator{source("tests/cli/bad")}) {
    if (entry.path().extension() != ".toml") continue;
    ++files;
    const std::string name = entry.path().filename().string();
    const Outcome outcome =
        run({"check", entry.path().string(), "--output", path("out.json"), "--series", path("series.csv")});
    EXPECT_EQ(outcome.code, 2) << name << "\n" << outcome.err;
    EXPECT_EQ(outcome.out, "") << name;
    EXPECT_TRUE(names().empty()) << name << " left something behind";
    // Where a whole part is missing there is no line to point at: the file is.
    const std::regex place{name + "(:[0-9]+:[0-9]+)?: error: .{15,}"};
    EXPECT_TRUE(std::regex_search(outcome.err, place)) << name << "\n" << outcome.err;
  }
  EXPECT_GT(files, 20u);
}

TEST_F(BadInput, RefusesWhatIsNotATextFile) {
  fs::create_directory(folder_ / "folder");
  write_file(folder_ / "empty", "");
  write_file(folder_ / "bytes", std::string{"title = \"\xff\xfe\"\n"});
  write_file(folder_ / "zeros", std::string(100, '\0'));
  write_file(folder_ / "utf16", std::string{"\xff\xfet\0i\0t\0l\0e\0", 12});
  write_file(folder_ / "deep", "a = " + std::string(100000, '[') + std::string(100000, ']') + "\n");
  {
    std::string big = "title = \"big\"\n";
    big.resize(100u << 20, '#');
    write_file(folder_ / "big", big);
  }
  for (const char* name : {"missing", "folder", "empty", "bytes", "zeros", "utf16", "deep", "big"}) {
    const Outcome outcome = run({"check", path(name)});
    EXPECT_EQ(outcome.code, 2) << name << "\n" << outcome.err;
    EXPECT_EQ(outcome.out, "") << name;
    EXPECT_TRUE(has(outcome.err, name)) << outcome.err;
    EXPECT_TRUE(has(outcome.err, "error")) << outcome.err;
    EXPECT_LT(outcome.err.size(), 20000u) << name << ": too much is said";
  }
}

TEST_F(BadInput, PrintsHostileNamesSafely) {
  write_file(path("site.toml"), "title = \"x\"\n\"ke\\u001b[2Jy\" = 1\n");
  const Outcome outcome = run({"check", path("site.toml")});
  EXPECT_EQ(outcome.code, 2);
  EXPECT_FALSE(has(outcome.err, "\x1b")) << outcome.err;
  const Outcome missing = run({"check", path("a\x1b]0;b\nc")});
  EXPECT_EQ(missing.code, 2);
  EXPECT_FALSE(has(missing.err, "\x1b"));
}

}  // namespace
}  // namespace leanside::cli_test
