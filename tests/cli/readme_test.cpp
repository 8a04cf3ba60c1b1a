// SPDX-License-Identifier: Apache-2.0
/// What the README shows is what the program does.
#include <string>

#include <gtest/gtest.h>

#include "cli/run_program.hpp"

namespace leanside::cli_test {
namespace {

using Readme = InFolder;

/// What stands in the first fenced block of a language.
std::string fenced(const std::string& text, const std::string& language) {
  const std::string fence = "```" + language + "\n";
  const std::size_t begin = text.find(fence);
  if (begin == std::string::npos) return {};
  const std::size_t from = begin + fence.size();
  return text.substr(from, text.find("```", from) - from);
}

TEST_F(Readme, FirstSiteFileHasTheAnswerThatIsShown) {
  const std::string readme = read_file(source("README.md"));
  const std::string answer = fenced(readme, "text");
  ASSERT_FALSE(answer.empty());
  write_file(path("store.toml"), fenced(readme, "toml"));
  Setting setting;
  setting.arguments = {"check", "store.toml"};
  setting.folder = folder_.string();
  const Outcome outcome = run(setting);
  EXPECT_EQ(outcome.code, 1) << outcome.err;
  EXPECT_TRUE(has(outcome.out, answer)) << outcome.out;
}

}  // namespace
}  // namespace leanside::cli_test
