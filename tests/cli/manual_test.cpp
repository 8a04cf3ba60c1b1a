// SPDX-License-Identifier: Apache-2.0
/// The manual page and the completions know every command and option that the help knows.
#include <algorithm>
#include <regex>
#include <set>
#include <sstream>

#include "cli/run_program.hpp"

namespace leanside::cli_test {
namespace {

std::set<std::string> found(const std::string& text, const std::string& pattern) {
  std::set<std::string> out;
  const std::regex regex{pattern};
  for (std::sregex_iterator it{text.begin(), text.end(), regex}, end; it != end; ++it) out.insert((*it)[1]);
  return out;
}

std::set<std::string> commands() {
  const std::string help = run({"--help"}).out;
  return found(help.substr(help.find("Subcommands")), "\n  ([a-z]+) ");
}

std::set<std::string> options_of(const std::string& command) {
  return found(run({command, "--help"}).out, "[ ,](--[a-z-]+)");
}

std::string definitions(const std::string& what) { return run({"definitions", what}).out; }

TEST(Manual, KnowsEveryCommandAndOption) {
  ASSERT_GE(commands().size(), 6u);
  EXPECT_FALSE(commands().contains("definitions"));
  std::string page = definitions("man");
  page = std::regex_replace(page, std::regex{R"(\\-)"}, "-");
  for (const std::string& command : commands()) {
    const std::size_t begin = page.find(".SS leanside " + command + "\n");
    ASSERT_NE(begin, std::string::npos) << command;
    const std::string section = page.substr(begin, page.find(".S", begin + 3) - begin);
    for (const std::string& option : options_of(command)) {
      EXPECT_TRUE(has(section, "\\fB" + option + "\\fR")) << command << " " << option;
    }
  }
  for (const char* part : {".SH NAME", ".SH EXIT STATUS", "NO_COLOR", "does not replace local codes"}) {
    EXPECT_TRUE(has(page, part)) << part;
  }
}

TEST(Manual, CompletionsKnowEveryCommandAndOption) {
  const std::string zsh = definitions("zsh"), fish = definitions("fish");
  EXPECT_TRUE(zsh.starts_with("#compdef leanside\n"));
  for (const std::string& command : commands()) {
    EXPECT_TRUE(has(zsh, "\n" + command + ")\n")) << command;
    EXPECT_TRUE(has(fish, " -a " + command + " ")) << command;
    for (const std::string& option : options_of(command)) {
      EXPECT_TRUE(has(zsh, "'" + option + "[")) << option;
      EXPECT_TRUE(has(fish, "from " + command + "' -l " + option.substr(2) + " ")) << option;
    }
  }
}

class BashCompletion : public InFolder {
 protected:
  /// What bash offers for the last of the words.
  std::set<std::string> offered(const std::vector<std::string>& words) {
    write_file(path("completion"), definitions("bash"));
    std::string script = "source completion; COMP_WORDS=(leanside";
    for (const std::string& word : words) script += " '" + word + "'";
    script +=
        "); COMP_CWORD=" + std::to_string(words.size()) + R"(; _leanside; printf '%s\n' "${COMPREPLY[@]}" > offered)";
    write_file(path("script"), script);
    const std::string command = "cd '" + folder_.string() + "' && bash --norc script";
    EXPECT_EQ(std::system(command.c_str()), 0);
    std::set<std::string> out;
    for (const std::string& line : lines_of(read_file(path("offered")))) {
      if (!line.empty()) out.insert(line);
    }
    return out;
  }
};

TEST_F(BashCompletion, OffersWhatFits) {
  write_file(path("store.toml"), "");
  EXPECT_TRUE(std::ranges::includes(offered({""}), commands()));
  EXPECT_EQ(offered({"subs"}), (std::set<std::string>{"substances"}));
  EXPECT_TRUE(offered({"check", "--st"}).contains("--steady-only"));
  EXPECT_EQ(offered({"check", "--format", ""}), (std::set<std::string>{"text", "json", "csv"}));
  EXPECT_EQ(offered({"new", "--like", "b"}), (std::set<std::string>{"battery-room", "burner"}));
  EXPECT_EQ(offered({"report", "st"}), (std::set<std::string>{"store.toml"}));
  EXPECT_EQ(offered({"report", "-o", "st"}), (std::set<std::string>{"store.toml"}));
  for (const std::string& command : commands())
    EXPECT_TRUE(std::ranges::includes(offered({command, "-"}), options_of(command)));
}

}  // namespace
}  // namespace leanside::cli_test
