// SPDX-License-Identifier: Apache-2.0
/// What docs/studies.md shows is what the program does. A block that opens with ```toml NAME (or csv) is a file of that
/// name; a block that opens with ```console runs the command of its first line, and the rest must be in the answer,
/// "..." standing for what was left out.
#include <sstream>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "cli/run_program.hpp"

namespace leanside::cli_test {
namespace {

using StudiesPage = InFolder;

struct Block {
  std::string opening;  ///< what follows the fence
  std::string text;
};

std::vector<Block> blocks_of(const std::string& page) {
  std::vector<Block> out;
  bool inside = false;
  for (const std::string& line : lines_of(page)) {
    if (line.rfind("```", 0) == 0) {
      inside = !inside;
      if (inside) out.push_back({line.substr(3), ""});
      continue;
    }
    if (inside) out.back().text += line + "\n";
  }
  EXPECT_FALSE(inside) << "a block that does not end";
  return out;
}

std::vector<std::string> words_of(const std::string& line) {
  std::istringstream in{line};
  std::vector<std::string> out;
  for (std::string word; in >> word;) out.push_back(word);
  return out;
}

TEST_F(StudiesPage, EveryAnswerShownIsGiven) {
  std::size_t runs = 0;
  for (const Block& block : blocks_of(read_file(source("docs/studies.md")))) {
    const auto opening = words_of(block.opening);
    if (opening.size() == 2 && opening[0] != "console") write_file(path(opening[1]), block.text);
    if (opening.empty() || opening[0] != "console") continue;
    const std::size_t end = block.text.find('\n');
    auto command = words_of(block.text.substr(0, end));
    ASSERT_GE(command.size(), 3u) << block.text;
    ASSERT_EQ(command[0], "$");
    ASSERT_EQ(command[1], "leanside");
    Setting setting;
    setting.arguments.assign(command.begin() + 2, command.end());
    setting.folder = folder_.string();
    const Outcome outcome = run(setting);
    EXPECT_LE(outcome.code, 1) << block.text << outcome.err;
    std::string segment;
    auto lines = lines_of(block.text.substr(end + 1));
    lines.push_back("...");
    for (const std::string& line : lines) {
      if (line != "...") {
        segment += line + "\n";
        continue;
      }
      EXPECT_TRUE(has(outcome.out, segment)) << block.text.substr(0, end) << "\nlacks\n"
                                             << segment << "\nin\n"
                                             << outcome.out;
      segment.clear();
    }
    ++runs;
  }
  EXPECT_GE(runs, 1u);
}

}  // namespace
}  // namespace leanside::cli_test
