// SPDX-License-Identifier: Apache-2.0
/// What the reader of site files assumes, and what it questions.
#include <filesystem>

#include <gtest/gtest.h>

#include "leanside/report.hpp"
#include "leanside/site_file.hpp"
#include "support/paths.hpp"

namespace leanside {
namespace {

constexpr std::string_view small = R"(title = "Gas store"

[[space]]
id = "store"
kind = "room"
volume = "30 m3"
)";

SiteReading read(const std::string& text) { return parse_site(text, "store.toml", built_in_substances()); }

Site good(const std::string& text) {
  auto reading = read(text);
  for (const auto& d : reading.diagnostics) EXPECT_EQ(d.level, DiagnosticLevel::notice) << to_text(d);
  if (!reading.usable()) {
    ADD_FAILURE() << "not usable";
    return {};
  }
  return *reading.usable();
}

std::string with(std::string_view more) { return std::string{small} + std::string{more}; }

std::string all_assumptions(const Site& site) {
  std::string out;
  for (const Assumption& one : site.assumptions) out += assumption_sentence(site, one) + "\n";
  return out;
}

bool has(const std::string& text, std::string_view part) { return text.find(part) != std::string::npos; }

TEST(Assumptions, StateEachDefaultOnceAndOnlyIfUsed) {
  const auto bare = all_assumptions(good(std::string{small}));
  for (const auto part : {"20 degC outside and in every space", "101.325 kPa", "25 % of the lower limit",
                          "computing until the verdict can no longer change", "every space is well mixed",
                          "no way for air is given for the space 'store'"}) {
    EXPECT_TRUE(has(bare, part)) << part << "\n" << bare;
  }
  const auto full = all_assumptions(good(with(R"(mixing_factor = 1
air_changes = "1 /h"
[conditions]
temperature = "20 degC"
outside_temperature = "20 degC"
pressure = "1 atm"
[criteria]
warn_at = 0.25
note_at = 0.1
oxygen_low = 0.195
oxygen_high = 0.235
limits = "cautious"
horizon = "8 h"
)")));
  EXPECT_EQ(full, "");
}

TEST(Assumptions, NameAFewOfManySpaces) {
  std::string text =
      "title = \"Many\"\n[[space]]\nid = \"first\"\nkind = \"room\"\nvolume = \"30 m3\"\nmixing_factor = 2\n";
  for (int i = 0; i < 20; ++i) {
    text += "[[space]]\nid = \"r" + std::to_string(i) + "\"\nkind = \"room\"\nvolume = \"30 m3\"\n";
  }
  const auto site = good(text);
  const auto all = all_assumptions(site);
  EXPECT_TRUE(has(all, "the spaces 'r0', 'r1', 'r2', 'r3' and 16 more are well mixed")) << all;
  EXPECT_TRUE(has(all, "'first', 'r0', 'r1', 'r2' and 17 more")) << all;
  EXPECT_LT(site.assumptions.size(), 8u);
}

TEST(Assumptions, VesselsWithoutAnOpeningAreSealed) {
  const auto all =
      all_assumptions(good("title = \"V\"\n[[space]]\nid = \"bottle\"\nkind = \"vessel\"\nvolume = \"2 L\"\n"));
  EXPECT_TRUE(has(all, "the space 'bottle': sealed")) << all;
}

TEST(Assumptions, ListThePartsOfMixtures) {
  const auto all = all_assumptions(good(with(R"(
[[release]]
id = "a"
kind = "steady"
into = "store"
gas = "natural-gas"
rate = "1 L/min"
)")));
  EXPECT_TRUE(has(all, "natural gas consists of methane ")) << all;
}

TEST(Assumptions, NameLimitsThatFallBack) {
  const std::string text = with(R"([criteria]
limits = "one-source"
[[release]]
id = "a"
kind = "steady"
into = "store"
gas = "listed"
rate = "1 L/min"
[[release]]
id = "b"
kind = "steady"
into = "store"
gas = "unlisted"
rate = "1 L/min"
)");
  SubstanceTable table;
  Substance gas;
  gas.id = gas.name = "listed";
  gas.molar_mass = {0.03, "test"};
  gas.limits = {{"one-source", 0.05, 0.15}, {"other-source", 0.04, 0.16}};
  table.put(gas);
  gas.id = gas.name = "unlisted";
  gas.limits = {{"other-source", 0.04, 0.16}};
  table.put(gas);
  const auto reading = parse_site(text, "f", table);
  ASSERT_TRUE(reading.usable());
  EXPECT_DOUBLE_EQ(reading.usable()->gases[0].limits->lower, 0.05);
  EXPECT_DOUBLE_EQ(reading.usable()->gases[1].limits->lower, 0.04);
  const auto all = all_assumptions(*reading.usable());
  EXPECT_TRUE(has(all, "the source 'one-source' does not give both limits of 'unlisted'")) << all;
}

TEST(Notices, UseUnlikelyValuesButQuestionThem) {
  const auto reading = read(R"(title = "Unlikely"
[conditions]
temperature = "80 degC"
pressure = "1 kPa"
[[space]]
id = "tiny"
kind = "room"
volume = "1 L"
air_changes = "2000 /h"
mixing_factor = 20
[[airway]]
id = "fan"
kind = "fan"
from = "tiny"
to = "outside"
flow = "200 m3/s"
[[release]]
id = "leak"
kind = "steady"
into = "tiny"
gas = "methane"
rate = "2 L/s"
[[release]]
id = "nothing"
kind = "steady"
into = "tiny"
gas = "methane"
rate = "0 L/s"
start = "3 d"
duration = "0 s"
[[case]]
id = "same"
)");
  ASSERT_TRUE(reading.usable());
  std::string all;
  for (const auto& d : reading.diagnostics) {
    EXPECT_EQ(d.level, DiagnosticLevel::notice) << to_text(d);
    all += to_text(d) + "\n";
  }
  for (const auto part :
       {":3:15: notice: [conditions]: temperature: 80 degC", ":4:12: notice: [conditions]: pressure: 1 kPa",
        ":5:1: notice: space 'tiny': 0.001 m3 is very little for a room", ":9:15: notice: space 'tiny': air_changes",
        ":10:17: notice: space 'tiny': mixing_factor", ":16:8: notice: airway 'fan': flow: 200 m3/s is very much",
        ":22:8: notice: release 'leak': rate: this fills the space 'tiny' in less than a second",
        ":28:8: notice: release 'nothing': rate: is 0", ":30:12: notice: release 'nothing': duration: is 0",
        ":31:1: notice: case 'same': has no event"}) {
    EXPECT_TRUE(has(all, part)) << part << "\n" << all;
  }
}

// Gas that is left mixed though it may gather has its own test.
TEST(Notices, AreCutShortInALargeSite) {
  std::string text = "title = \"x\"\n";
  for (int i = 0; i < 13; ++i) {
    const std::string id = "room-" + std::to_string(i);
    text += "[[space]]\nid = \"" + id + "\"\nkind = \"room\"\nvolume = \"30 m3\"\n";
    text += "[[release]]\nid = \"leak-" + std::to_string(i) + "\"\nkind = \"steady\"\ninto = \"" + id +
            "\"\ngas = \"hydrogen\"\nrate = \"1 L/min\"\n";
  }
  const auto reading = parse_site(text, "x.toml", built_in_substances());
  ASSERT_TRUE(reading.usable());
  int each = 0, rest = 0;
  for (const auto& d : reading.diagnostics) {
    each += has(to_text(d), "may gather under the ceiling") ? 1 : 0;
    rest += has(to_text(d), "the same holds for 3 more spaces") ? 1 : 0;
  }
  EXPECT_EQ(each, 10);
  EXPECT_EQ(rest, 1);
}

TEST(Notices, OrdinarySiteHasNone) {
  for (const auto& entry : std::filesystem::directory_iterator{leanside::testing::source_path("examples")}) {
    if (entry.path().extension() != ".toml") continue;
    const auto reading = read_site(entry.path().string(), built_in_substances());
    EXPECT_TRUE(reading.usable()) << entry.path();
    for (const auto& d : reading.diagnostics) {
      if (!has(d.message, "may gather")) ADD_FAILURE() << to_text(d);
    }
  }
}

}  // namespace
}  // namespace leanside
