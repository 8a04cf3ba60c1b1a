// SPDX-License-Identifier: Apache-2.0
/// The reader of a table of substances: what it takes, and every fault that it must name with its place.
#include "leanside/substance_file.hpp"

#include <algorithm>
#include <ostream>
#include <random>
#include <stdexcept>
#include <string>

#include <gtest/gtest.h>

#include "embedded.hpp"
#include "leanside/substance.hpp"

namespace leanside {
namespace {

const std::string good = R"([[substance]]
id = "trial-gas"
name = "Trial gas"
synonyms = ["gas of the trial"]
formula = "CH4"
cas = "74-82-8"
classification = ["flammable-gas", "toxic"]
molar_mass_g_mol = [20, "label"]
limits_pct = [[5, "-", "first"], [4, 16, "second", "recalled"]]
limiting_oxygen_pct = [11, "first", "recalled"]
flash_point_c = [-20.5, "first"]
idlh_ppm = [500, "first"]
antoine = { a = 6, b = 900, c = -30, from_k = 200, to_k = 300, source = "first" }
vapour_pressure = { c = [50, -3000, -5, 1e-5, 2], from_k = 180, to_k = 320, source = "second" }

[[mixture]]
id = "trial-mixture"
parts_pct = { trial-gas = 40, nitrogen = 60 }
source = "invented"
)";

SubstanceTable read(const std::string& text) {
  const auto reading = parse_substances(text, "own.toml");
  if (const auto* faults = std::get_if<Fault>(&reading)) {
    for (const auto& fault : faults->diagnostics) ADD_FAILURE() << to_text(fault);
    return {};
  }
  return std::get<SubstanceTable>(reading);
}

Diagnostics faults_of(const std::string& text) {
  const auto reading = parse_substances(text, "own.toml");
  const auto* faults = std::get_if<Fault>(&reading);
  return faults ? faults->diagnostics : Diagnostics{};
}

std::string replaced(std::string text, const std::string& what, const std::string& by) {
  const auto at = text.find(what);
  if (at == std::string::npos) throw std::logic_error("not in the text: " + what);
  return text.replace(at, what.size(), by);
}

TEST(SubstanceFile, ReadsEveryKindOfValueInSi) {
  const SubstanceTable table = read(good);
  const Substance* gas = table.find("trial-gas");
  ASSERT_NE(gas, nullptr);
  EXPECT_EQ(gas->name, "Trial gas");
  EXPECT_EQ(gas->synonyms, std::vector<std::string>{"gas of the trial"});
  EXPECT_EQ(gas->classification, (std::vector<std::string>{"flammable-gas", "toxic"}));
  EXPECT_DOUBLE_EQ(gas->molar_mass.value, 0.020);
  EXPECT_EQ(gas->molar_mass.source, "label");
  EXPECT_FALSE(gas->molar_mass.recalled);
  ASSERT_EQ(gas->limits.size(), 2u);
  EXPECT_DOUBLE_EQ(gas->limits[0].lower.value(), 0.05);
  EXPECT_FALSE(gas->limits[0].upper);
  EXPECT_DOUBLE_EQ(gas->limits[1].upper.value(), 0.16);
  EXPECT_TRUE(gas->limits[1].recalled);
  EXPECT_DOUBLE_EQ(gas->limiting_oxygen->value, 0.11);
  EXPECT_TRUE(gas->limiting_oxygen->recalled);
  EXPECT_DOUBLE_EQ(gas->flash_point->value, 252.65);
  EXPECT_DOUBLE_EQ(gas->idlh->value, 5e-4);
  EXPECT_FALSE(gas->net_heat);
  EXPECT_EQ(gas->antoine->c, -30.0);
  EXPECT_EQ(gas->antoine->t_max, 300.0);
  EXPECT_EQ(gas->vapour_pressure->c4, 1e-5);
  EXPECT_EQ(gas->vapour_pressure->t_min, 180.0);
  EXPECT_EQ(gas->vapour_pressure->source, "second");
}

TEST(SubstanceFile, KeepsTheOrderOfTheParts) {
  const SubstanceTable table = read(good);
  const Mixture* mixture = table.find_mixture("trial-mixture");
  ASSERT_NE(mixture, nullptr);
  ASSERT_EQ(mixture->parts.size(), 2u);
  EXPECT_EQ(mixture->parts[0].substance, "trial-gas");
  EXPECT_DOUBLE_EQ(mixture->parts[0].fraction, 0.4);
  EXPECT_EQ(mixture->parts[1].substance, "nitrogen");  // a built-in one
  EXPECT_EQ(mixture->name, "trial-mixture");
}

TEST(SubstanceFile, HoldsOnlyWhatTheFileGives) { EXPECT_EQ(read(good).substances().size(), 1u); }

TEST(SubstanceFile, GivesTheSourceOfTheSubstanceToValuesWithoutOne) {
  const SubstanceTable table = read(R"([[substance]]
id = "short"
source = "data sheet"
molar_mass_g_mol = 30
limits_pct = [[3, 12]]
boiling_point_c = [-88, "handbook"]
antoine = { a = 6, b = 900, c = -30, from_k = 200, to_k = 300 }
)");
  const Substance* gas = table.find("short");
  ASSERT_NE(gas, nullptr);
  EXPECT_EQ(gas->molar_mass.source, "data sheet");
  EXPECT_EQ(gas->limits.at(0).source, "data sheet");
  EXPECT_EQ(gas->boiling_point->source, "handbook");
  EXPECT_EQ(gas->antoine->source, "data sheet");
}

TEST(SubstanceFile, ReadsTheBuiltInTableAsAnyOther) {
  EXPECT_EQ(read(std::string{embedded::substances}).substances().size(), built_in_substances().substances().size());
}

// ---- faults ----

struct Wrong {
  const char* what;     ///< of the good text
  const char* by;       ///< what is put in its place
  int line;             ///< where the fault must be told
  const char* message;  ///< a part of what must be said
};
void PrintTo(const Wrong& wrong, std::ostream* out) { *out << wrong.what << " made " << wrong.by; }
class FaultOfSubstanceFile : public testing::TestWithParam<Wrong> {};

TEST_P(FaultOfSubstanceFile, HasItsPlace) {
  const Wrong& wrong = GetParam();
  const auto faults = faults_of(replaced(good, wrong.what, wrong.by));
  ASSERT_FALSE(faults.empty()) << wrong.by;
  EXPECT_TRUE(std::ranges::any_of(faults,
                                  [&](const Diagnostic& fault) {
                                    return fault.place.line == wrong.line && fault.place.column > 0 &&
                                           fault.place.file == "own.toml" && fault.level == DiagnosticLevel::error &&
                                           fault.message.find(wrong.message) != std::string::npos;
                                  }))
      << "wanted line " << wrong.line << ": " << wrong.message << "\ngot " << to_text(faults.front());
}

INSTANTIATE_TEST_SUITE_P(OfKeys, FaultOfSubstanceFile,
                         testing::Values(Wrong{"flash_point_c", "flash_piont_c", 11, "did you mean 'flash_point_c'"},
                                         Wrong{"flash_point_c", "flash_point", 11, "did you mean 'flash_point_c'"},
                                         Wrong{"limiting_oxygen_pct", "loc", 10, "did you mean 'limiting_oxygen_pct'"},
                                         Wrong{"parts_pct", "parts", 18, "did you mean 'parts_pct'"},
                                         Wrong{"[[mixture]]", "[[mixtures]]", 16, "did you mean 'mixture'"},
                                         Wrong{"a = 6,", "a = 6, d = 2,", 13, "unknown key 'd'"},
                                         Wrong{"c = [50", "C = [50", 14, "unknown key 'C'"},
                                         Wrong{"id = \"trial-gas\"\n", "", 1, "'id'"},
                                         Wrong{"molar_mass_g_mol = [20, \"label\"]\n", "", 1, "molar_mass_g_mol"},
                                         Wrong{"parts_pct = { trial-gas = 40, nitrogen = 60 }\n", "", 16, "parts_pct"},
                                         Wrong{"b = 900, ", "", 13, "'b'"}, Wrong{"to_k = 300, ", "", 13, "'to_k'"}));

INSTANTIATE_TEST_SUITE_P(
    OfTypes, FaultOfSubstanceFile,
    testing::Values(Wrong{"[20, \"label\"]", "[\"20\", \"label\"]", 8, "expected a number in g/mol"},
                    Wrong{"[20, \"label\"]", "\"20 g/mol\"", 8, "expected a number in g/mol"},
                    Wrong{"[20, \"label\"]", "[]", 8, "empty"},
                    Wrong{"[20, \"label\"]", "[20, 7]", 8, "where the source belongs"},
                    Wrong{"[500, \"first\"]", "[500, \"first\", \"remembered\"]", 12, "only \"recalled\""},
                    Wrong{"[500, \"first\"]", "[500, \"first\", \"recalled\", 1]", 12, "only \"recalled\""},
                    Wrong{"[[5, \"-\", \"first\"], [4, 16, \"second\", \"recalled\"]]", "[4, 16, \"second\"]", 9,
                          "a list for each source"},
                    Wrong{"[5, \"-\", \"first\"]", "[5]", 9, "too short"},
                    Wrong{"[5, \"-\", \"first\"]", "[5, \"none\", \"first\"]", 9, "found the text 'none'"},
                    Wrong{"c = [50, -3000, -5, 1e-5, 2]", "c = [50, -3000]", 14, "five numbers"},
                    Wrong{"c = [50, -3000, -5, 1e-5, 2]", "c = [50, -3000, -5, nan, 2]", 14, "five numbers"},
                    Wrong{"synonyms = [\"gas of the trial\"]", "synonyms = \"gas\"", 4, "synonyms"},
                    Wrong{"[[mixture]]", "[mixture]", 16, "[[mixture]]"},
                    Wrong{"parts_pct = { trial-gas = 40, nitrogen = 60 }", "parts_pct = 5", 18, "parts_pct"},
                    Wrong{"nitrogen = 60", "nitrogen = \"60 %\"", 18, "expected a number in %"}));

INSTANTIATE_TEST_SUITE_P(
    OfNumbers, FaultOfSubstanceFile,
    testing::Values(Wrong{"[20, \"label\"]", "[nan, \"label\"]", 8, "nan"},
                    Wrong{"[20, \"label\"]", "[inf, \"label\"]", 8, "inf"},
                    Wrong{"[20, \"label\"]", "[-20, \"label\"]", 8, "more than 0"},
                    Wrong{"[20, \"label\"]", "[0, \"label\"]", 8, "more than 0"},
                    Wrong{"[20, \"label\"]", "[20000, \"label\"]", 8, "at most 10000"},
                    Wrong{"[-20.5, \"first\"]", "[-280, \"first\"]", 11, "more than -273.15"},
                    Wrong{"[500, \"first\"]", "[2000000, \"first\"]", 12, "at most 1000000"},
                    Wrong{"[11, \"first\"", "[110, \"first\"", 10, "at most 100"},
                    Wrong{"[4, 16,", "[16, 4,", 9, "is not below the upper limit"},
                    Wrong{"[4, 16,", "[4, 4,", 9, "is not below the upper limit"},
                    Wrong{"[4, 16,", "[0, 16,", 9, "more than 0"}, Wrong{"[4, 16,", "[4, 101,", 9, "at most 100"},
                    Wrong{"[5, \"-\", \"first\"], [4, 16, \"second\", \"recalled\"]", "[5, \"-\", \"first\"]", 9,
                          "no source gives an upper limit"},
                    Wrong{"[5, \"-\", \"first\"], [4, 16, \"second\", \"recalled\"]", "[\"-\", 16, \"first\"]", 9,
                          "no source gives a lower limit"},
                    Wrong{"[5, \"-\", \"first\"], [4, 16, \"second\", \"recalled\"]",
                          "[9, \"-\", \"first\"], [\"-\", 8, \"second\"]", 9, "is not below the highest upper limit"},
                    Wrong{"[5, \"-\", \"first\"]", "[\"-\", \"-\", \"first\"]", 9, "neither limit"},
                    Wrong{"from_k = 200, to_k = 300", "from_k = 300, to_k = 200", 13, "is not above from_k"},
                    Wrong{"c = -30", "c = -230", 13, "from_k + c"},
                    Wrong{"nitrogen = 60", "nitrogen = 59.99", 18, "add up to 99.99 %"},
                    Wrong{"nitrogen = 60", "nitrogen = 60.0002", 18, "not to 100 %"},
                    Wrong{"nitrogen = 60", "nitrogen = -60", 18, "more than 0"},
                    Wrong{"limiting_oxygen_pct = [11,", "nitrogen_equivalent = [0.5,", 10, "a gas that does not burn"},
                    Wrong{"limiting_oxygen_pct = [11,", "nitrogen_equivalent = [1.5,", 10, "at most 1"}));

INSTANTIATE_TEST_SUITE_P(OfSources, FaultOfSubstanceFile,
                         testing::Values(Wrong{"[20, \"label\"]", "20", 8, "has no source"},
                                         Wrong{"[20, \"label\"]", "[20]", 8, "has no source"},
                                         Wrong{"[20, \"label\"]", "[20, \"  \"]", 8, "where the source belongs"},
                                         Wrong{"[5, \"-\", \"first\"]", "[5, \"-\"]", 9, "has no source"},
                                         Wrong{", to_k = 300, source = \"first\"", ", to_k = 300", 13, "'source'"},
                                         Wrong{"source = \"invented\"\n", "", 16, "'source'"},
                                         Wrong{"source = \"invented\"", "source = \"\"", 19, "is empty"}));

INSTANTIATE_TEST_SUITE_P(
    OfNames, FaultOfSubstanceFile,
    testing::Values(Wrong{"id = \"trial-gas\"", "id = \"trial gas\"", 2, "without spaces"},
                    Wrong{"id = \"trial-mixture\"", "id = \"trial-gas\"", 17, "already used in line 2"},
                    Wrong{"id = \"trial-mixture\"", "id = \"methane\"", 17, "a substance of the built-in table"},
                    Wrong{"74-82-8", "74-82-9", 6, "wrong check digit"},
                    Wrong{"74-82-8", "74828", 6, "is written like"},
                    Wrong{"\"toxic\"]", "\"toxid\"]", 7, "did you mean 'toxic'"},
                    Wrong{"nitrogen = 60", "nitrogne = 60", 18, "did you mean 'nitrogen'"},
                    Wrong{"nitrogen = 60", "lpg = 60", 18, "is itself a mixture"}));

INSTANTIATE_TEST_SUITE_P(
    OfWhatWouldPassForHarmless, FaultOfSubstanceFile,
    testing::Values(Wrong{"limits_pct = [[5, \"-\", \"first\"], [4, 16, \"second\", \"recalled\"]]\n", "", 7,
                          "counts as a gas that does not burn"},
                    Wrong{"limits_pct = [[5, \"-\", \"first\"], [4, 16, \"second\", \"recalled\"]]\n", "", 9,
                          "has a limiting oxygen concentration"}));

TEST(SubstanceFile, TellsAllFaultsInOneRunInTheOrderOfTheFile) {
  auto text = replaced(good, "[20, \"label\"]", "[-1, \"label\"]");
  text = replaced(text, "74-82-8", "74-82-1");
  text = replaced(text, "flash_point_c", "flashpoint_c");
  text = replaced(text, "nitrogen = 60", "nitrogen = 70");
  text = replaced(text, "to_k = 320", "to_k = 100");
  const auto faults = faults_of(text);
  ASSERT_EQ(faults.size(), 5u);
  std::vector<int> lines;
  for (const auto& fault : faults) lines.push_back(fault.place.line);
  EXPECT_EQ(lines, (std::vector<int>{6, 8, 11, 14, 18}));
}

TEST(SubstanceFile, DoesNotBlameAMixtureForAPartThatIsFaultyItself) {
  const auto faults = faults_of(replaced(good, "[20, \"label\"]", "[-1, \"label\"]"));
  ASSERT_EQ(faults.size(), 1u);
  EXPECT_EQ(faults[0].place.line, 8);
}

TEST(SubstanceFile, RefusesAFileWithNothingInIt) {
  for (const char* text : {"", "# only a remark\n"}) {
    const auto faults = faults_of(text);
    ASSERT_EQ(faults.size(), 1u);
    EXPECT_NE(faults[0].message.find("nothing to read"), std::string::npos);
  }
}

TEST(SubstanceFile, RefusesWhatIsNoToml) {
  for (const std::string text : {"{\"substance\": 1}", "[[substance]\nid = 3", "\xff\xfe\x00\x01", "id == 4"}) {
    EXPECT_FALSE(faults_of(text).empty()) << text;
  }
}

TEST(SubstanceFile, SurvivesAnyBytes) {
  // Good text with bytes changed, cut and doubled at random: it must answer, whatever it is given.
  std::mt19937 random{23};
  const auto below = [&](std::size_t n) { return std::uniform_int_distribution<std::size_t>{0, n - 1}(random); };
  int refused = 0;
  for (int round = 0; round < 3000; ++round) {
    std::string text = good;
    for (std::size_t change = 0; change <= below(6); ++change) {
      const auto at = below(text.size());
      switch (below(4)) {
        case 0:
          text[at] = static_cast<char>(below(256));
          break;
        case 1:
          text.erase(at, below(12));
          break;
        case 2:
          text.insert(at, text.substr(below(text.size()), below(12)));
          break;
        default:
          text.insert(at, 1, "[]{}\"'=,.#\n-"[below(12)]);
      }
      if (text.empty()) text = "x";
    }
    refused += std::holds_alternative<Fault>(parse_substances(text, "own.toml"));
  }
  EXPECT_GT(refused, 1000);
}

TEST(SubstanceFile, AnswersSoonWhereEverythingIsWrong) {
  std::string text;
  for (int i = 0; i < 3000; ++i) {
    text += "[[substance]]\nid = \"g" + std::to_string(i) + "\"\nmolar_mas = 3\n[[mixture]]\nid = \"m" +
            std::to_string(i) + "\"\nsource = \"x\"\nparts_pct = { hydrogne = 100 }\n";
  }
  const auto faults = faults_of(text);
  EXPECT_GT(faults.size(), 100u);
  EXPECT_LT(faults.size(), 20000u);
}

}  // namespace
}  // namespace leanside
