// SPDX-License-Identifier: Apache-2.0
/// The catalogue of sentences: its templates, and that a page has no word from anywhere else.
#include "report/words/phrases.hpp"

#include <cctype>
#include <filesystem>
#include <fstream>
#include <set>
#include <sstream>
#include <string>
#include <string_view>

#include <gtest/gtest.h>

#include "leanside/assess.hpp"
#include "leanside/report.hpp"
#include "leanside/site_file.hpp"
#include "leanside/substance_file.hpp"
#include "leanside/units.hpp"
#include "support/paths.hpp"

namespace leanside::report {
namespace {

namespace fs = std::filesystem;

/// The names of the places of a template; "" where a brace stands alone.
std::set<std::string> places(std::string_view text) {
  std::set<std::string> out;
  for (std::size_t at = text.find_first_of("{}"); at != text.npos; at = text.find_first_of("{}", at)) {
    const std::size_t end = text.find('}', at);
    if (text[at] == '}' || end == text.npos) return {""};
    out.emplace(text.substr(at + 1, end - at - 1));
    at = end + 1;
  }
  return out;
}

TEST(Phrases, SlotsGoIntoThePlacesOfTheirNames) {
  EXPECT_EQ(filled_in("{b} of {a}, {b}", {{"a", "1"}, {"b", "{a}"}}), "{a} of 1, {a}");
  EXPECT_EQ(filled_in("no place", {}), "no place");
  EXPECT_EQ(filled_in("", {}), "");
}

TEST(Phrases, ThePlacesOfATemplateHaveNames) {
  const Phrases english = language_of("en").phrases;
  EXPECT_GT(english.size(), 400u);
  for (const std::string_view text : english) {
    EXPECT_FALSE(text.empty());
    EXPECT_FALSE(places(text).contains("")) << text;
  }
}

TEST(Phrases, EveryLanguageHasThePlacesOfTheEnglishOnes) {
  const Phrases english = language_of("en").phrases;
  std::vector<std::string> codes = languages();
  codes.emplace_back("zxx");
  for (const std::string& code : codes) {
    const Language& language = language_of(code);
    ASSERT_EQ(language.code, code);
    ASSERT_EQ(language.phrases.size(), english.size());
    for (std::size_t i = 0; i < english.size(); ++i) EXPECT_EQ(places(language.phrases[i]), places(english[i])) << i;
  }
  EXPECT_EQ(language_of("no such language").code, "en");
}

TEST(Phrases, TheLanguageWithoutWordsHasNone) {
  const Site site;
  const Told told{site, language_of("zxx")};
  EXPECT_EQ(told.tell(Phrase::danger_burst, {{"space", "Flask"}}), "Flask xxx xxxxx");
  EXPECT_EQ(told.listed({"a", "b", "c"}), "a, b xxx c");
  EXPECT_EQ(told.count(1, Phrase::one_case, Phrase::cases), "1 xxxx");
  EXPECT_EQ(told.count(2, Phrase::one_case, Phrase::cases), "2 xxxxx");
  EXPECT_EQ(told.language().page->caution, "Xxxxxxx.");
}

/// The words that a reader of some HTML sees or hears: its text, titles and labels; runs of letters.
std::set<std::string> words_in(const std::string& html) {
  std::string text;
  for (std::size_t i = 0; i < html.size(); ++i) {
    if (html[i] != '<') {
      text += html[i];
      continue;
    }
    const std::size_t end = std::min(html.find('>', i), html.size());
    const std::string tag = html.substr(i, end - i);
    for (const std::string_view name : {"aria-label=\"", "title=\"", "alt=\""}) {
      const std::size_t at = tag.find(name);
      if (at == std::string::npos) continue;
      const std::size_t from = at + name.size();
      text += ' ' + tag.substr(from, tag.find('"', from) - from) + ' ';
    }
    text += ' ';
    i = end;
  }
  for (const std::string_view entity : {"&quot;", "&amp;", "&lt;", "&gt;", "&#39;", "&nbsp;"}) {
    for (std::size_t at = text.find(entity); at != std::string::npos; at = text.find(entity, at)) {
      text.replace(at, entity.size(), " ");
    }
  }
  std::set<std::string> out;
  std::string word;
  for (const char c : text + " ") {
    if (std::isalpha(static_cast<unsigned char>(c)) != 0) {
      word += c;
    } else {
      if (!word.empty()) out.insert(word);
      word.clear();
    }
  }
  return out;
}

/// Neither the words of the language without words, nor letters that stand for cases, steps and what is found.
bool is_blank(const std::string& word) {
  return word.size() == 1 || word.find_first_not_of("xX") == std::string::npos ||
         word.find_first_not_of("FPRSTMO") == std::string::npos;
}

std::string read(const fs::path& path) {
  std::ifstream in(path);
  std::stringstream text;
  text << in.rdbuf();
  return text.str();
}

std::string in_small(std::string word) {
  for (char& c : word) c = static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
  return word;
}

/// What a page may say in any language, in small letters: the words of the file, ids of substances and reagents, units;
/// and what the reader of the file puts into words itself: sizes of releases, names of added cases, assumptions that it
/// states.
std::set<std::string> words_given(const fs::path& path, const Site& site) {
  std::string text = read(path);
  for (const Case& one : site.cases) text += ' ' + one.id + ' ' + one.name;
  for (const Airway& one : site.airways) text += ' ' + one.id;
  for (const Release& one : site.releases) text += ' ' + one.as_written;
  for (const Gas& gas : site.gases) text += ' ' + gas.substance.id;
  for (const Assumption& one : site.assumptions) {
    for (const std::string& name : one.names) text += ' ' + name;
  }
  std::istringstream reactions{read(leanside::testing::source_path("configs/reactions.toml"))};
  for (std::string line; std::getline(reactions, line);) {
    if (line.find("name = ") != std::string::npos) text += ' ' + line;
  }
  for (const Unit& unit : leanside::units()) text += ' ' + std::string{unit.symbol};
  std::set<std::string> out{"ppm", "days"};
  for (const std::string& word : words_in(text)) out.insert(in_small(word));
  return out;
}

enum class Part { first_side, up_to_sources };

/// The words of the page of an example, of its first side or of all that stands before its sources, that neither the
/// catalogue nor the site has; nor the engine, which says itself why there is no steady state.
std::set<std::string> words_from_elsewhere(const fs::path& path, std::string_view language, Part part) {
  const auto reading = read_site(path.string(), built_in_substances());
  const Site& site = *reading.usable();
  const auto outcome = assess(site, {});
  const bool summary = part == Part::first_side;
  const std::string page = html_report(site, std::get<Assessment>(outcome), {}, CourseRecord{site}, {},
                                       {.summary = summary, .language = std::string{language}});
  const std::size_t from = page.find("<section id=\"verdict\">");
  const std::size_t to = page.find(summary ? "</section>" : "<section id=\"sources\">", from);
  EXPECT_NE(to, std::string::npos);
  std::set<std::string> given = words_given(path, site);
  for (const CaseResult& result : std::get<Assessment>(outcome).cases) {
    for (const SpaceResult& space : result.spaces) {
      for (const std::string& word : words_in(space.steady.reason)) given.insert(in_small(word));
    }
  }
  const std::string side = page.substr(from, to - from);
  // A name that is too long for its place is cut.
  const auto is_cut = [&](const std::string& word) {
    const auto longer = given.upper_bound(in_small(word));
    const bool dots = side.find(word + "...") != std::string::npos || side.find(word + "\u2026") != std::string::npos;
    return dots && longer != given.end() && longer->starts_with(in_small(word));
  };
  std::set<std::string> out;
  for (const std::string& word : words_in(side)) {
    if (!is_blank(word) && !given.contains(in_small(word)) && !is_cut(word)) out.insert(word);
  }
  return out;
}

std::string listed(const std::set<std::string>& words) {
  std::string out;
  for (const std::string& word : words) out += (out.empty() ? "" : ", ") + word;
  return out;
}

TEST(Phrases, APageHasNoWordFromElsewhere) {
  // The larger sites take long and say nothing that these do not.
  const std::set<std::string> large{"school-wing", "school-wing-night", "two-floor-block"};
  std::size_t seen = 0;
  for (const auto& entry : fs::directory_iterator(leanside::testing::source_path("examples"))) {
    if (entry.path().extension() != ".toml" || large.contains(entry.path().stem().string())) continue;
    for (const Part part : {Part::first_side, Part::up_to_sources}) {
      EXPECT_EQ(listed(words_from_elsewhere(entry.path(), "zxx", part)), "") << entry.path().filename();
    }
    ++seen;
  }
  EXPECT_GT(seen, 15u);
}

TEST(Phrases, AWordFromElsewhereIsFound) {
  const fs::path path = leanside::testing::source_path("examples/hydrogen-bottle.toml");
  EXPECT_GT(words_from_elsewhere(path, "en", Part::first_side).size(), 50u);
  EXPECT_GT(words_from_elsewhere(path, "en", Part::up_to_sources).size(), 150u);
  EXPECT_TRUE(words_in("<p class=\"more\">no <i title=\"a word\">one</i></p>").contains("word"));
}

}  // namespace
}  // namespace leanside::report
