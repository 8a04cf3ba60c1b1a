// SPDX-License-Identifier: Apache-2.0
/// What the fuzzers once broke (tests/fuzz/found), what they begin with, and drawn sites, without a fuzzer.
#include <algorithm>
#include <filesystem>
#include <fstream>
#include <random>
#include <sstream>

#include <gtest/gtest.h>

#include "fuzz/targets.hpp"
#include "leanside/site_file.hpp"

namespace leanside::fuzz {
namespace {

namespace fs = std::filesystem;

fs::path source(const std::string& path) { return fs::path{LEANSIDE_SOURCE_DIR} / path; }

/// Every file of a folder through a target; how many there were.
std::size_t replay(const Target& target, const fs::path& folder) {
  std::vector<fs::path> files;
  if (fs::exists(folder)) {
    for (const auto& entry : fs::directory_iterator{folder}) files.push_back(entry.path());
  }
  std::sort(files.begin(), files.end());
  for (const fs::path& file : files) {
    SCOPED_TRACE(std::string{target.name} + " " + file.string());
    std::ostringstream text;
    text << std::ifstream{file, std::ios::binary}.rdbuf();
    EXPECT_NO_THROW(target.run(text.str()));
  }
  return files.size();
}

TEST(Fuzz, WhatWasFoundStaysMended) {
  for (const Target& target : targets) replay(target, source("tests/fuzz/found") / target.name);
}

TEST(Fuzz, SeedsKeepTheirPromises) {
  for (const Target& target : targets) replay(target, source("tests/fuzz/seeds") / target.name);
  EXPECT_GT(replay({"site_file", site_file}, source("examples")), 10u);
  EXPECT_GT(replay({"site_file", site_file}, source("tests/cli/bad")), 100u);
  EXPECT_GT(replay({"substances", substances}, source("configs")), 1u);
}

TEST(Fuzz, DrawnSitesAreMostlySitesAndKeepTheirPromises) {
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
