// SPDX-License-Identifier: Apache-2.0
/// Runs the targets without a fuzzer: on inputs that once broke something (tests/fuzz/found), on seeds, and on drawn
/// sites.
#include <filesystem>
#include <random>

#include <gtest/gtest.h>

#include "fuzz/files.hpp"
#include "fuzz/targets.hpp"
#include "leanside/site_file.hpp"

namespace leanside::fuzz {
namespace {

namespace fs = std::filesystem;

/// Runs a target on every file of a folder. Returns the number of files.
std::size_t replay(const Target& target, const std::string& folder) {
  const std::vector<fs::path> files = files_of(folder);
  for (const fs::path& file : files) {
    SCOPED_TRACE(std::string{target.name} + " " + file.string());
    EXPECT_NO_THROW(target.run(bytes_of(file)));
  }
  return files.size();
}

TEST(Fuzz, FoundInputsStayFixed) {
  for (const Target& target : targets) replay(target, "tests/fuzz/found/" + std::string{target.name});
}

TEST(Fuzz, SeedsKeepThePromises) {
  for (const Target& target : targets) replay(target, "tests/fuzz/seeds/" + std::string{target.name});
  EXPECT_GT(replay({"site_file", site_file}, "examples"), 10u);
  EXPECT_GT(replay({"site_file", site_file}, "tests/cli/bad"), 100u);
  EXPECT_GT(replay({"substances", substances}, "configs"), 1u);
}

TEST(Fuzz, DrawnSitesAreOftenUsableAndKeepThePromises) {
  std::mt19937 random{7};  // its sites are quick to solve; the fuzzer looks for slow ones
  std::size_t usable = 0;
  constexpr std::size_t tries = 40;
  for (std::size_t i = 0; i < tries; ++i) {
    std::string bytes(40 + random() % 200, ' ');
    for (char& c : bytes) c = static_cast<char>(random() % 256);
    const std::string text = drawn_site(std::string_view{bytes}.substr(1));
    usable += parse_site(text, "drawn.toml", built_in_substances()).usable() != nullptr ? 1 : 0;
    EXPECT_NO_THROW(solver(bytes)) << text;
  }
  EXPECT_GT(usable, tries / 4) << "too few reach the solver";
}

}  // namespace
}  // namespace leanside::fuzz
