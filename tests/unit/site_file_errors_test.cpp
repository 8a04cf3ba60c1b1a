// SPDX-License-Identifier: Apache-2.0
// What is said of a wrong site file. tests/cli/bad holds one file a rule; each says in its comments which faults it
// has, where, and which words the message must hold.
#include <algorithm>
#include <cstdint>
#include <ctime>
#include <filesystem>
#include <fstream>
#include <sstream>

#include <gtest/gtest.h>

#include "leanside/site_file.hpp"
#include "support/paths.hpp"

namespace leanside {
namespace {

namespace fs = std::filesystem;

SiteReading read(const std::string& text) { return parse_site(text, "f", built_in_substances()); }

Diagnostics errors_of(const SiteReading& reading) {
  Diagnostics out;
  for (const auto& d : reading.diagnostics) {
    if (d.level == DiagnosticLevel::error) out.push_back(d);
  }
  return out;
}

std::string told(const Diagnostics& diagnostics) {
  std::string out;
  for (const auto& d : diagnostics) out += to_text(d) + "\n";
  return out;
}

bool has(const std::string& text, std::string_view part) { return text.find(part) != std::string::npos; }

/// "# expect 10:10: volume | 30 m3 | 50 m3"
struct Expected {
  int line = 0, column = 0;
  std::vector<std::string> words;
};

std::vector<Expected> expectations(const std::string& text) {
  std::vector<Expected> out;
  std::istringstream lines{text};
  for (std::string line; std::getline(lines, line);) {
    if (!line.starts_with("# expect ")) continue;
    Expected expected;
    char colon = 0;
    std::istringstream words{line.substr(9)};
    words >> expected.line >> colon >> expected.column >> colon;
    for (std::string word; words >> std::ws && std::getline(words, word, '|');) {
      word.erase(word.find_last_not_of(' ') + 1);
      expected.words.push_back(word);
    }
    out.push_back(expected);
  }
  return out;
}

class BadFile : public ::testing::TestWithParam<std::string> {};

TEST_P(BadFile, ReportsLineAndReasonOnly) {
  const auto path = (leanside::testing::source_path("tests/cli/bad") / GetParam()).string();
  const auto text = read_text_file(path);
  ASSERT_TRUE(std::holds_alternative<std::string>(text));
  const auto expected = expectations(std::get<std::string>(text));
  ASSERT_FALSE(expected.empty()) << "the file does not say what is wrong with it";
  const auto reading = read_site(path, built_in_substances());
  EXPECT_FALSE(reading.usable());
  const auto errors = errors_of(reading);
  ASSERT_EQ(errors.size(), expected.size()) << told(errors);
  for (std::size_t i = 0; i < errors.size(); ++i) {
    EXPECT_EQ(errors[i].place.file, path);
    EXPECT_EQ(errors[i].place.line, expected[i].line) << to_text(errors[i]);
    EXPECT_EQ(errors[i].place.column, expected[i].column) << to_text(errors[i]);
    ASSERT_FALSE(expected[i].words.empty());
    for (const auto& word : expected[i].words)
      EXPECT_TRUE(has(errors[i].message, word)) << word << " is not in: " << to_text(errors[i]);
  }
}

std::vector<std::string> bad_files() {
  std::vector<std::string> out;
  for (const auto& entry : fs::directory_iterator{leanside::testing::source_path("tests/cli/bad")}) {
    if (entry.path().extension() == ".toml") out.push_back(entry.path().filename().string());
  }
  std::ranges::sort(out);
  return out;
}

INSTANTIATE_TEST_SUITE_P(OneRule, BadFile, ::testing::ValuesIn(bad_files()), [](const auto& info) {
  std::string name = info.param.substr(0, info.param.size() - 5);
  std::ranges::replace_if(
      name, [](char c) { return c == '-' || c == '.'; }, '_');
  return name;
});

TEST(BadFiles, AreAllThere) { EXPECT_GE(bad_files().size(), 180u); }

TEST(SiteFileErrors, AllFaultsOfAFileComeInOneRunInTheOrderOfTheFile) {
  const auto errors = errors_of(read(R"(title = "Many faults"
[conditions]
pressure = "1 barg"
[[space]]
id = "store"
kind = "romm"
volume = 30
[[airway]]
id = "fan"
kind = "fan"
from = "stor"
to = "outside"
flow = 150 m3/h
[[release]]
id = "leak"
kind = "steady"
into = "store"
gas = "metane"
rate = "5 L"
[[case]]
id = "off"
event = [{ at = 10 min, airway = "fann", on = false }]
)"));
  std::vector<int> lines;
  for (const auto& d : errors) lines.push_back(d.place.line);
  EXPECT_EQ(lines, (std::vector<int>{3, 6, 7, 11, 13, 18, 19, 22, 22})) << told(errors);
}

TEST(SiteFileErrors, FaultyEntriesRemainKnownToOthers) {
  const auto errors = errors_of(read(R"(title = "No follow-on errors"
[[gas]]
id = "mine"
lfl = "4 %"
ufl = "10 %"
molar_mass = "20 g/mol"
[[space]]
id = "gas store"
kind = "room"
volume = 30
[[airway]]
id = "door"
kind = "exchang"
between = ["gas store", "outside"]
flow = "5 m3/h"
[[release]]
id = "leak"
kind = "spill"
into = "gas store"
gas = "mine"
amount = "1 L"
area = "1 m2"
[[case]]
id = "off"
event = [
  { at = "1 min", airway = "door", on = false },
  { at = "1 min", airway = "door", flow = "5 m3/h" },
  { at = "1 min", release = "leak", on = false },
]
)"));
  std::vector<int> lines;
  for (const auto& d : errors) lines.push_back(d.place.line);
  EXPECT_EQ(lines, (std::vector<int>{2, 8, 10, 13, 20})) << told(errors);
}

TEST(SiteFileErrors, MisspeltKeyIsReportedOnce) {
  EXPECT_EQ(errors_of(read("titel = \"x\"\n[[space]]\nid = \"a\"\nkind = \"room\"\nvolum = \"3 m3\"\n")).size(), 2u);
}

TEST(SiteFileErrors, SkippedLinesCauseNoFurtherErrors) {
  const auto errors =
      errors_of(read("title = \"x\"\n[[space]]\nid: \"a\"\nkind = \"room\"\nvolume = \"3 m3\"\n"
                     "[[release]]\nid = \"l\"\nkind = \"steady\"\ninto = \"a\"\ngas = \"methane\"\n"
                     "rate = \"1 kg\"\n"));
  ASSERT_EQ(errors.size(), 2u) << told(errors);
  EXPECT_EQ(errors[0].place.line, 3);
  EXPECT_EQ(errors[1].place.line, 11);
}

TEST(SiteFileErrors, ReportsAQuoteInsideAValue) {
  const std::string rest = "\nkind = \"room\"\nvolume = ";
  const auto first = [&](const std::string& id, const std::string& volume) {
    const auto errors = errors_of(read("title = \"x\"\n[[space]]\n" + id + rest + volume + "\n"));
    return errors.empty() ? "" : to_text(errors[0]);
  };
  for (const char* volume : {"30\" m\u00b3\"", "30\"m3\"  # as measured", "30'm\u00b3'"})
    EXPECT_NE(first("id = \"a\"", volume).find("with a quote in its middle; write volume = \"30"), std::string::npos);
  EXPECT_NE(first("id = \"a\"", "[1, 30'm\u00b3']").find("in the middle of a value"), std::string::npos);
  for (const char* volume : {"0=\"m\u00b3\"", "0[\"m\u00b3\"]", "0{\"m\u00b3\"}", "0.\"m\u00b3\"", "[0=\"m\u00b3\"]",
                             "{ a = 0=\"m\u00b3\" }", "{ a = 0.\"m\u00b3\" }"}) {
    const auto errors = errors_of(read("title = \"x\"\n[[space]]\nid = \"a\"" + rest + volume + "\n"));
    EXPECT_TRUE(has(told(errors), "in the middle of a value") || has(told(errors), "a quote in its middle")) << volume;
  }
  for (const char* volume :
       {"{ \"m\u00b3\" = 1, a.\"m\u00b3\" = \"2\" }", "[\"m\u00b3\",\"a\"]", "{a=[\"m\u00b3\"]}"}) {
    EXPECT_EQ(first("id = \"a\"", volume).find("middle"), std::string::npos) << volume;
  }
  EXPECT_NE(first("id:\"a\u00b2\"", "\"30 m3\"").find("write key = value"), std::string::npos);
  EXPECT_EQ(first("id = \"it's a-\"", "\"30 m3\"").find("middle"), std::string::npos);
}

TEST(SiteFileErrors, ReportsThePlaceOfADate) {
  for (const char* date : {"2026-01-31 8", "2026-01-31 08:00:00"}) {
    const auto errors =
        errors_of(read(std::string{"title = \"x\"\n[[space]]\nid = \"a\"\nkind = \"room\"\nvolume = "} + date + "\n"));
    ASSERT_FALSE(errors.empty());
    EXPECT_EQ(errors[0].place.line, 5);
    EXPECT_NE(errors[0].message.find("without quotes"), std::string::npos) << told(errors);
    const auto in_list = errors_of(read(std::string{"title = \"x\"\nevent = [1, "} + date + "]\n"));
    ASSERT_EQ(in_list.size(), 1u);
    EXPECT_NE(in_list[0].message.find("times count from the start"), std::string::npos) << told(in_list);
  }
}

TEST(SiteFileErrors, ColumnsCountLettersNotBytes) {
  const auto errors = errors_of(read("title = \"\u00DC\u4ED3\"\nnotes = \"\u00E9\u00E9\" x\n"));
  ASSERT_FALSE(errors.empty());
  EXPECT_EQ(errors[0].place.line, 2);
  EXPECT_EQ(errors[0].place.column, 14);
}

TEST(SiteFileErrors, ColumnsAfterAMendedValueAreThoseOfTheUser) {
  const auto errors =
      errors_of(read("title = \"x\"\nevent = [ { at = 10 min, airway = \"a\", on = 3 } ]\n"
                     "[[space]]\nid = \"a\"\nkind = \"room\"\nvolume = \"3 m3\"\n"));
  ASSERT_EQ(errors.size(), 3u) << told(errors);
  EXPECT_EQ(errors[0].place.column, 18);
  EXPECT_EQ(errors[1].place.column, 35);
  EXPECT_EQ(errors[2].place.column, 45);
}

TEST(SiteFileErrors, MessagesCannotDriveTheTerminal) {
  const auto errors =
      errors_of(read("title = \"x\"\n[[space]]\nid = \"a\\u001b[31m\"\nkind = \"\\u0007\"\n"
                     "volume = \"\\u001b[2J m3\"\n"));
  EXPECT_EQ(errors.size(), 3u);
  for (const char c : told(errors)) EXPECT_TRUE(c == '\n' || static_cast<unsigned char>(c) >= 0x20);
}

TEST(SiteFileErrors, LongTextsAreCut) {
  const auto errors = errors_of(read("title = \"x\"\n[[space]]\nid = \"" + std::string(100000, '?') +
                                     "\"\nkind = \"room\"\nvolume = \"3 m3\"\n"));
  ASSERT_EQ(errors.size(), 1u);
  EXPECT_LT(errors[0].message.size(), 1000u);
}

TEST(SiteFileErrors, TenThousandFaultsAreCountedButNotAllKept) {
  std::string text = "title = \"x\"\n";
  for (int i = 0; i < 10000; ++i) text += "wrong-" + std::to_string(i) + " = 1\n";
  text += std::string{"[[space]]\nid = \"a\"\nkind = \"room\"\nvolume = \"3 m3\"\n"};
  const auto errors = errors_of(read(text));
  ASSERT_EQ(errors.size(), 1001u);
  EXPECT_TRUE(has(errors.back().message, "9000 more errors are not shown")) << errors.back().message;
}

TEST(SiteFileErrors, ReportsManyUnknownIdsQuickly) {
  std::string text = "title = \"x\"\n";
  for (int i = 0; i < 20000; ++i) {
    text += "[[space]]\nid = \"room-" + std::to_string(i) + "\"\nkind = \"room\"\nvolume = \"3 m3\"\n";
  }
  for (int i = 0; i < 5000; ++i) {
    text += "[[airway]]\nid = \"d" + std::to_string(i) + "\"\nkind = \"opening\"\nbetween = [\"outside\", \"rum-" +
            std::to_string(i) + "\"]\n";
  }
  const auto before = std::clock();
  const auto errors = errors_of(read(text));
  const double seconds = static_cast<double>(std::clock() - before) / CLOCKS_PER_SEC;
  EXPECT_EQ(errors.size(), 1001u);
  EXPECT_TRUE(has(errors[0].message, "did you mean 'room-0'?")) << errors[0].message;
  EXPECT_LT(seconds, 60.0);  // searched without bound this takes several minutes in a build for debugging
}

TEST(SiteFileErrors, SurvivesEndlessNesting) {
  for (const auto* unit : {"[", "{a=", "a.", "[[", "'''", "\"\"\"", "[a.", "{", "a=[", "\"a\"."}) {
    std::string text = "title = \"x\"\nnotes = ";
    for (int i = 0; i < 200000; ++i) text += unit;
    EXPECT_FALSE(read(text).usable()) << unit;
    text = "title = \"x\"\n";
    for (int i = 0; i < 200000; ++i) text += unit;
    EXPECT_FALSE(read(text).usable()) << unit;
    EXPECT_FALSE(read(text + " = 1\n").usable()) << unit;
    EXPECT_FALSE(read(text + "]\n").usable()) << unit;
  }
}

TEST(SiteFileErrors, ManyCasesTimesManyEventsAreRefused) {
  std::string text = "title = \"x\"\nevent = [\n";
  for (int i = 0; i < 2000; ++i) text += "{ at = \"1 s\", airway = \"f\", on = true },\n";
  text +=
      "]\n[[space]]\nid = \"a\"\nkind = \"room\"\nvolume = \"3 m3\"\n"
      "[[airway]]\nid = \"f\"\nkind = \"opening\"\nbetween = [\"a\", \"outside\"]\n";
  EXPECT_TRUE(read(text).usable());
  for (int i = 0; i < 900; ++i) text += "[[case]]\nid = \"c" + std::to_string(i) + "\"\nevent = []\n";
  const auto errors = errors_of(read(text));
  ASSERT_EQ(errors.size(), 1u);
  EXPECT_TRUE(has(errors[0].message, "2000 events in each of 901 cases")) << errors[0].message;
}

TEST(SiteFileErrors, TooManyCasesOrGasesAreRefused) {
  std::string text = "title = \"x\"\n[[space]]\nid = \"a\"\nkind = \"room\"\nvolume = \"3 m3\"\n";
  std::string cases = text, gases = text;
  for (int i = 0; i < 1001; ++i) {
    cases += "[[case]]\nid = \"c" + std::to_string(i) + "\"\nevent = []\n";
    gases += "[[gas]]\nid = \"g" + std::to_string(i) + "\"\nmolar_mass = \"20 g/mol\"\nsource = \"test\"\n";
  }
  for (const auto& [all, part] :
       {std::pair{cases, "more than 1000; split"}, std::pair{gases, "more than 1000 gases"}}) {
    const auto errors = errors_of(read(all));
    ASSERT_EQ(errors.size(), 1u) << told(errors);
    EXPECT_TRUE(has(errors[0].message, part)) << errors[0].message;
  }
}

class Folder : public ::testing::Test {
 protected:
  void SetUp() override {
    path_ =
        fs::temp_directory_path() / ("leanside-" + std::to_string(::testing::UnitTest::GetInstance()->random_seed()) +
                                     "-" + ::testing::UnitTest::GetInstance()->current_test_info()->name() + "-" +
                                     std::to_string(reinterpret_cast<std::uintptr_t>(this)));
    fs::create_directories(path_);
  }
  void TearDown() override { fs::remove_all(path_); }
  std::string file(const std::string& name, std::string_view text) const {
    std::ofstream{path_ / name, std::ios::binary} << text;
    return (path_ / name).string();
  }
  fs::path path_;
};

std::string only_error(const std::string& path) {
  const auto reading = read_site(path, built_in_substances());
  EXPECT_FALSE(reading.usable());
  EXPECT_EQ(reading.diagnostics.size(), 1u);
  return reading.diagnostics.empty() ? "" : to_text(reading.diagnostics[0]);
}

TEST_F(Folder, NamesTheNearestFileForAMissingOne) {
  file("store.toml", "");
  const auto text = only_error((path_ / "stroe.toml").string());
  EXPECT_TRUE(has(text, "no such file")) << text;
  EXPECT_TRUE(has(text, "store.toml'?")) << text;
  EXPECT_TRUE(has(only_error((path_ / "nowhere" / "x.toml").string()), "no such file"));
  EXPECT_TRUE(has(only_error(""), "no file is named"));
}

TEST_F(Folder, RefusesAFolder) { EXPECT_TRUE(has(only_error(path_.string()), "this is a folder")); }

TEST_F(Folder, RefusesALargeFileUnread) {
  const auto path = file("film.toml", "x");
  fs::resize_file(path, largest_input_file + 1);  // sparse: takes no room
  EXPECT_TRUE(has(only_error(path), "larger than 64 MB"));
}

TEST_F(Folder, StopsReadingAnEndlessDevice) {
  if (!fs::exists("/dev/zero")) return;
  EXPECT_TRUE(has(only_error("/dev/zero"), "larger than 64 MB"));
}

TEST_F(Folder, EmptyFileLacksTitleAndSpace) {
  const auto reading = read_site(file("empty.toml", ""), built_in_substances());
  const auto text = told(reading.diagnostics);
  EXPECT_EQ(reading.diagnostics.size(), 2u);
  EXPECT_TRUE(has(text, "title")) << text;
  EXPECT_TRUE(has(text, "no space")) << text;
}

TEST_F(Folder, NamesUtf16) {
  const auto text = only_error(file("notepad.toml", std::string_view{"\xFF\xFEt\0i\0t\0l\0e\0", 12}));
  EXPECT_TRUE(has(text, "UTF-16")) << text;
}

}  // namespace
}  // namespace leanside
