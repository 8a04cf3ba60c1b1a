// SPDX-License-Identifier: Apache-2.0
/// The commands that write one document: what they write where, and what they refuse.
#include <regex>
#include <string>

#include "cli/run_program.hpp"

namespace leanside::cli_test {
namespace {

using Documents = InFolder;

TEST_F(Documents, APageIsWritten) {
  write_file(path("site.toml"), small_site("40 L/min"));
  const Outcome outcome = run({"report", path("site.toml"), "-o", path("page.html")});
  EXPECT_EQ(outcome.code, 1) << outcome.err;
  EXPECT_EQ(outcome.out, "");
  const std::string page = read_file(path("page.html"));
  EXPECT_TRUE(page.starts_with("<!DOCTYPE html>"));
  EXPECT_TRUE(page.ends_with("</html>\n"));
  EXPECT_TRUE(has(page, "does not replace local codes"));
  EXPECT_TRUE(has(page, "leanside report "));
  EXPECT_EQ(run({"report", path("site.toml")}).out, page);  // the same every time, and the same on standard output
  EXPECT_EQ(names(), (std::vector<std::string>{"page.html", "site.toml"}));
}

TEST_F(Documents, ThePageHasTheDigestOfTheFile) {
  write_file(path("site.toml"), small_site("4 L/min"));
  const std::string page = run({"report", path("site.toml")}).out;
  const std::size_t at = page.find("SHA-256 of it");
  ASSERT_NE(at, std::string::npos);
  const std::string command = "sha256sum '" + path("site.toml") + "' > '" + path("sum") + "'";
  ASSERT_EQ(std::system(command.c_str()), 0);
  EXPECT_TRUE(has(page.substr(at, 200), read_file(path("sum")).substr(0, 64)));
}

TEST_F(Documents, ExitCodesAreThoseOfCheck) {
  for (const char* rate : {"0.1 L/min", "40 L/min"}) {
    write_file(path("site.toml"), small_site(rate));
    const int expected = run({"check", path("site.toml")}).code;
    EXPECT_EQ(run({"report", path("site.toml")}).code, expected);
    EXPECT_EQ(run({"draw", path("site.toml")}).code, expected);
  }
  write_file(path("site.toml"), "title = 3\n");
  for (const char* command : {"report", "draw"}) {
    const Outcome outcome = run({command, path("site.toml"), "-o", path("out")});
    EXPECT_EQ(outcome.code, 2);
    EXPECT_TRUE(has(outcome.err, "site.toml:1:")) << outcome.err;
  }
  EXPECT_EQ(names(), (std::vector<std::string>{"site.toml"}));
}

TEST_F(Documents, AnInputIsNotOverwritten) {
  write_file(path("site.toml"), small_site("4 L/min"));
  for (const char* command : {"report", "draw"}) {
    const Outcome outcome = run({command, path("site.toml"), "-o", path("site.toml")});
    EXPECT_EQ(outcome.code, 2);
    EXPECT_TRUE(has(outcome.err, "would overwrite")) << outcome.err;
  }
  EXPECT_EQ(read_file(path("site.toml")), small_site("4 L/min"));
}

TEST_F(Documents, APictureOfACase) {
  write_file(path("site.toml"), small_site("40 L/min"));
  const Outcome normal = run({"draw", path("site.toml")});
  EXPECT_TRUE(has(normal.out, "xmlns=\"http://www.w3.org/2000/svg\"")) << normal.err;
  const Outcome other = run({"draw", path("site.toml"), "--case", "leak-off"});
  EXPECT_TRUE(has(other.out, "case &quot;leak-off&quot;"));
  const Outcome wrong = run({"draw", path("site.toml"), "--case", "leak-of"});
  EXPECT_EQ(wrong.code, 2);
  EXPECT_TRUE(has(wrong.err, "did you mean 'leak-off'?")) << wrong.err;
}

TEST_F(Documents, RefusesToWriteAPageToATerminal) {
  Setting setting;
  setting.arguments = {"report"};
  setting.terminal = true;
  const Outcome outcome = run(setting);
  EXPECT_EQ(outcome.code, 2);
  EXPECT_EQ(outcome.out, "");
  EXPECT_TRUE(has(outcome.err, "-o FILE")) << outcome.err;
}

TEST_F(Documents, StartersAreSoundAndSayWhatToDo) {
  for (const std::string like :
       {"store", "prep-room", "battery-room", "lab", "collecting", "burner", "strike-back", "sealed", "electrolysis"}) {
    const Outcome written = run({"new", "--like", like, "-o", path(like + ".toml")});
    EXPECT_EQ(written.code, 0) << written.err;
    EXPECT_EQ(written.out, "");
    EXPECT_TRUE(has(written.err, "leanside check")) << written.err;
    const std::string text = read_file(path(like + ".toml"));
    EXPECT_EQ(run({"new", "--like", like}).out, text);
    EXPECT_EQ(text, read_file(source("configs/start/" + like + ".toml")));
    // Every one has something to warn of, and nothing that the reader stumbles over.
    const Outcome outcome = run({"check", path(like + ".toml"), "--full"});
    EXPECT_EQ(outcome.code, 1) << like;
    for (const std::string& line : lines_of(outcome.err)) EXPECT_TRUE(has(line, "may gather")) << line;
    // A place has cases; an experiment is one.
    const bool place = has(text, "[[case]]");
    EXPECT_EQ(has(outcome.out, "In the case:"), place) << like;
    EXPECT_TRUE(place || has(outcome.out, "Vessels") || like == "burner") << outcome.out;
  }
}

TEST_F(Documents, AStarterNeverReplacesAFile) {
  write_file(path("mine.toml"), "# my work\n");
  const Outcome outcome = run({"new", "--like", "lab", "-o", path("mine.toml")});
  EXPECT_EQ(outcome.code, 2);
  EXPECT_TRUE(has(outcome.err, "exists already")) << outcome.err;
  EXPECT_EQ(read_file(path("mine.toml")), "# my work\n");
  EXPECT_EQ(run({"new"}).code, 2);
  EXPECT_EQ(run({"new", "--like", "castle"}).code, 2);
}

TEST_F(Documents, ASpaceIsExplained) {
  write_file(path("site.toml"), small_site("40 L/min"));
  const Outcome outcome = run({"explain", path("site.toml"), "room"});
  EXPECT_EQ(outcome.code, 1) << outcome.err;
  EXPECT_TRUE(has(outcome.out, "x of methane = ")) << outcome.out;
  EXPECT_TRUE(has(outcome.out, "LFL of methane at 25 degC: 0.044 mol/mol   (iec-60079-20-1-2010)")) << outcome.out;
  const Outcome wrong = run({"explain", path("site.toml"), "rom"});
  EXPECT_EQ(wrong.code, 2);
  EXPECT_TRUE(has(wrong.err, "did you mean 'room'?")) << wrong.err;
  // The leak ends in this case: nothing goes on for ever.
  const Outcome off = run({"explain", path("site.toml"), "room", "--case", "leak-off"});
  EXPECT_TRUE(has(off.out, "None gets into this space itself")) << off.out;
  EXPECT_EQ(run({"explain", path("site.toml")}).code, 2);
}

TEST_F(Documents, AHotSpaceIsExplainedWithTheLimitsOfItsTemperature) {
  std::string site = small_site("40 L/min");
  const std::string volume = "volume = \"50 m3\"\n";
  site.insert(site.find(volume) + volume.size(), "temperature = \"125 degC\"\n");
  write_file(path("hot.toml"), site);
  const Outcome outcome = run({"explain", path("hot.toml"), "room"});
  EXPECT_TRUE(has(outcome.out, "LFL of methane at 25 degC: 0.044 mol/mol")) << outcome.out;
  // The line to zero at 900 degC, docs/methods.md: 0.044 (1 - 100/875).
  EXPECT_TRUE(has(outcome.out, "LFL of methane at the temperature of the space: 0.0389714 mol/mol")) << outcome.out;
}

// The page tells the command that makes it again: a name with a blank in it is quoted.
TEST_F(Documents, TheCommandOfThePageCanBeTyped) {
  write_file(path("my store's.toml"), small_site("4 L/min"));
  const std::string page = run({"report", path("my store's.toml")}).out;
  EXPECT_TRUE(has(page, "leanside report &#39;" + path("my store&#39;\\&#39;&#39;s.toml") + "&#39;")) << page;
}

TEST_F(Documents, ThePageTellsWhenADoorOpens) {
  write_file(path("site.toml"), small_site("40 L/min") + R"([[airway]]
id = "window"
kind = "doorway"
between = ["room", "outside"]
width = "1 m"
height = "1 m"
open = "10 %"
[[case]]
id = "shut"
event = [{ at = "30 min", airway = "window", open = "1 %" }]
)");
  const std::string page = run({"report", path("site.toml")}).out;
  EXPECT_TRUE(has(page, "stands 1 % open")) << page;
}

TEST_F(Documents, EquationsOfTheMethodsAreNumberedInOrder) {
  const std::regex numbered{R"(^ {4}.*\((\d+)\) *$)"};
  std::smatch found;
  int count = 0;
  for (const std::string& line : lines_of(read_file(source("docs/methods.md")))) {
    if (!std::regex_match(line, found, numbered)) continue;
    EXPECT_EQ(std::stoi(found[1]), ++count) << line;
  }
  EXPECT_GT(count, 15);
}

TEST_F(Documents, TheExplanationNamesTheSectionOfTheMethodsThatHasTheLimits) {
  std::string warm = small_site("4 L/min");
  warm.insert(warm.find("volume"), "temperature = \"60 degC\"\n");
  write_file(path("site.toml"), warm);
  const std::string text = run({"explain", path("site.toml"), "room"}).out;
  EXPECT_TRUE(has(text, "LFL of methane at the temperature of the space")) << text;
  const std::string methods = read_file(source("docs/methods.md"));
  std::string line;
  for (const std::string& each : lines_of(text)) {
    if (has(each, "LFL of methane at the temperature")) line = each;
  }
  const std::size_t at = line.find("methods.md, ");
  ASSERT_NE(at, std::string::npos) << line;
  EXPECT_NE(methods.find("## " + std::to_string(std::stoi(line.substr(at + 12))) + " Flammability"), std::string::npos);
}

TEST_F(Documents, TheHeadlineCountsTheCasesThatItIsTrueOf) {
  write_file(path("site.toml"), small_site("0.1 L/min") + "[[case]]\nid = \"a\"\n[[case]]\nid = \"b\"\n" +
                                    "[[case]]\nid = \"leak\"\nevent = [{ at = \"0 s\", release = \"big\", on = "
                                    "true }]\n[[release]]\nid = \"big\"\nkind = \"steady\"\ninto = \"room\"\ngas = "
                                    "\"methane\"\nrate = \"100 L/min\"\non = false\n");
  const Outcome outcome = run({"report", path("site.toml")});
  ASSERT_LE(outcome.code, 1) << outcome.err;
  const std::size_t at = outcome.out.find("class=\"verdict\"");
  ASSERT_NE(at, std::string::npos);
  const std::string verdict = outcome.out.substr(at, 400);
  EXPECT_TRUE(has(verdict, "case &quot;leak&quot;")) << verdict;
  EXPECT_TRUE(has(verdict, "1 finding in 5 cases")) << verdict;
  EXPECT_FALSE(has(verdict, "every case")) << verdict;
}

TEST_F(Documents, TheWorstPressureIsNotSaidToBeReachedWhenTenPerCentAreGained) {
  write_file(path("site.toml"),
             "title = \"Flask\"\n[[space]]\nid = \"flask\"\nkind = \"vessel\"\nvolume = \"1 L\"\n[[release]]\nid = "
             "\"gas\"\nkind = \"steady\"\ninto = \"flask\"\ngas = \"nitrogen\"\nrate = \"0.1 L/min\"\nduration = "
             "\"1 h\"\n");
  const std::string page = run({"report", path("site.toml")}).out;
  EXPECT_TRUE(has(page, "the pressure passes 10 % above the air")) << page.substr(0, 3000);
  EXPECT_TRUE(has(page, "and reaches ")) << page.substr(0, 3000);
}

}  // namespace
}  // namespace leanside::cli_test
