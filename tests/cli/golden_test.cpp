// SPDX-License-Identifier: Apache-2.0
/// The answers to the shipped examples, kept in tests/cli/golden to be read and judged. A change of wording or of a
/// number shows here; after judging it, tests/cli/golden/regenerate PROGRAM writes them anew.
#include <set>

#include <gtest/gtest.h>

#include "cli/run_program.hpp"

namespace leanside::cli_test {
namespace {

namespace fs = std::filesystem;

std::set<std::string> stems(const fs::path& folder, const std::string& extension) {
  std::set<std::string> out;
  for (const auto& entry : fs::directory_iterator{folder}) {
    if (entry.path().extension() == extension) out.insert(entry.path().stem().string());
  }
  return out;
}

TEST(Golden, EveryExampleHasAnAnswer) {
  const auto examples = stems(source("examples"), ".toml");
  EXPECT_GE(examples.size(), 6u);
  EXPECT_EQ(examples, stems(source("tests/cli/golden"), ".txt"));
}

TEST(Golden, TheAnswersAreTheSame) {
  for (const std::string& name : stems(source("examples"), ".toml")) {
    Setting setting;
    setting.folder = source("examples").string();
    setting.arguments = {"check", name + ".toml"};
    const Outcome outcome = run(setting);
    EXPECT_LE(outcome.code, 1) << outcome.err;
    const auto expected = lines_of(read_file(source("tests/cli/golden/" + name + ".txt")));
    const auto found = lines_of(outcome.out);
    for (std::size_t i = 0; i < std::max(expected.size(), found.size()); ++i) {
      ASSERT_EQ(i < found.size() ? found[i] : "(end)", i < expected.size() ? expected[i] : "(end)")
          << name << ", line " << i + 1;
    }
  }
}

}  // namespace
}  // namespace leanside::cli_test
