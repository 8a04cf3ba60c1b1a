// SPDX-License-Identifier: Apache-2.0
/// The fixed sentences of the page stand in its catalogue of words: none is written where the page is put together.
#include <algorithm>
#include <cctype>
#include <filesystem>
#include <fstream>
#include <set>
#include <sstream>
#include <string>
#include <string_view>
#include <vector>

#include <gtest/gtest.h>

#include "support/paths.hpp"

namespace {

namespace fs = std::filesystem;

/// The text of all string literals of C++ source; comments and characters are left out.
std::vector<std::string> literals_in(const std::string& source) {
  std::vector<std::string> out;
  for (std::size_t i = 0; i < source.size(); ++i) {
    if (source.compare(i, 2, "//") == 0) {
      i = std::min(source.find('\n', i), source.size() - 1);
    } else if (source[i] == '\'' && i > 0 && std::isalnum(static_cast<unsigned char>(source[i - 1])) == 0) {
      i = source.find('\'', i + (source[i + 1] == '\\' ? 3 : 2));
      if (i == std::string::npos) break;
    } else if (source[i] == '"') {
      std::string text;
      for (++i; i < source.size() && source[i] != '"'; ++i) {
        if (source[i] == '\\') {
          ++i;
          text += source[i] == 'n' ? ' ' : source[i];
        } else {
          text += source[i];
        }
      }
      out.push_back(text);
    }
  }
  return out;
}

/// `text` without tags, attributes and places for values.
std::string without_markup(const std::string& text) {
  std::string out;
  for (std::size_t i = 0; i < text.size(); ++i) {
    if (text[i] == '<') {
      i = std::min(text.find('>', i), text.size() - 1);
      out += ' ';
    } else if (text[i] == '{') {
      i = std::min(text.find('}', i), text.size() - 1);
      out += ' ';
    } else if (text[i] == '=' && i + 1 < text.size() && text[i + 1] == '"') {
      const std::size_t name = out.find_last_of(' ');
      out.erase(name == std::string::npos ? 0 : name);
      i = std::min(text.find('"', i + 2), text.size() - 1);
    } else {
      out += text[i];
    }
  }
  return out;
}

/// Whether somebody could read it: two words of letters beside one another, or one with a capital.
bool is_for_readers(const std::string& text) {
  std::istringstream words{text};
  std::string word, before;
  const auto plain = [](const std::string& one, std::size_t least) {
    std::size_t letters = 0;
    for (const char c : one) {
      if (std::isalpha(static_cast<unsigned char>(c)) != 0)
        ++letters;
      else if (std::string_view{".,:;!?"}.find(c) == std::string_view::npos)
        return false;
    }
    return letters >= least;
  };
  while (words >> word) {
    if (plain(word, 2) && plain(before, 2)) return true;
    if (plain(word, 4) && std::isupper(static_cast<unsigned char>(word.front())) != 0 &&
        std::islower(static_cast<unsigned char>(word[1])) != 0) {
      return true;
    }
    before = word;
  }
  return false;
}

std::vector<std::string> sentences_in(const std::string& source) {
  // Names of style classes beside one another.
  static const std::set<std::string> no_words{"symbol flame"};
  std::vector<std::string> out;
  for (const std::string& text : literals_in(source)) {
    if (is_for_readers(without_markup(text)) && !no_words.contains(text)) out.push_back(text);
  }
  return out;
}

TEST(PageCatalogue, ASentenceOutsideItIsFound) {
  const std::vector<std::string> found = sentences_in(
      "f(\"<p class=\\\"more\\\">and more of it</p>\");  // \"not in comments\"\n"
      "g('\"', \"<h2>Assumptions</h2>\");\n"
      "h(\"<svg class=\\\"side\\\" role=\\\"img\\\">\", \"M0 0V-15C-4 -19\", \"{} {}\", \"state-rich\");\n");
  EXPECT_EQ(found, (std::vector<std::string>{"<p class=\"more\">and more of it</p>", "<h2>Assumptions</h2>"}));
}

TEST(PageCatalogue, HoldsEverySentenceOfThePagesParts) {
  // Not yet in it: studies, which are no part of the page.
  const std::set<std::string> not_yet{"study_words.cpp", "failure_words.cpp"};
  // The catalogue of page words itself, and the code of the starters.
  const std::set<std::string> others{"page_words.cpp", "starter.cpp"};
  std::vector<fs::path> files;
  for (const char* folder : {"src/report/html", "src/report/svg", "src/report/words"}) {
    for (const auto& entry : fs::directory_iterator(leanside::testing::source_path(folder))) {
      const std::string name = entry.path().filename().string();
      if (entry.path().extension() == ".cpp" && !not_yet.contains(name) && !others.contains(name)) {
        files.push_back(entry.path());
      }
    }
  }
  EXPECT_GT(files.size(), 45u);
  for (const fs::path& file : files) {
    std::ifstream in(file);
    std::stringstream text;
    text << in.rdbuf();
    for (const std::string& sentence : sentences_in(text.str())) {
      ADD_FAILURE() << file.filename() << ": put this into src/report/words/page_words.cpp or phrases/*.def: \""
                    << sentence << '"';
    }
  }
}

}  // namespace
