// SPDX-License-Identifier: Apache-2.0
/// Small invented sites with little gas, or none yet: what the answer may say and what it may not.
#include <string>

#include <gtest/gtest.h>

#include "cli/verdicts.hpp"

namespace leanside::cli_test {
namespace {

using QuietSites = CheckedSites;

std::string room_with(const std::string& release) {
  return R"(title = "One room"
[[space]]
id = "room"
kind = "room"
volume = "200 m3"
air_changes = "10 /h"
)" + release;
}

TEST_F(QuietSites, ASmallLeakOfFlammableGasIsNeverABareNoWarning) {
  const Answer answer = checked(room_with(R"([[release]]
id = "valve"
kind = "steady"
into = "room"
gas = "hydrogen"
rate = "0.1 L/min"
)"));
  EXPECT_EQ(answer.code, 0);
  EXPECT_TRUE(has(answer.flowing(), "No space reaches the margin, but gas from \"valve\" can be ignited within"))
      << answer.text;
  EXPECT_FALSE(has(answer.text, "No warning"));
  const json zone = answer.data.at("cases").at(0).at("zones").at(0);
  EXPECT_EQ(zone.at("release"), "valve");
  // (11/0.04)^0.6 (1e-4/60)^0.4 (9.81 * 0.93)^-0.2 = 0.091 m, but so weak a leak may be laminar for 0.3 m.
  EXPECT_NEAR(zone.at("reach_m").get<double>(), 0.3, 1e-9);
}

TEST_F(QuietSites, AReleaseThatIsOffInEveryCaseGetsACase) {
  const Answer answer = checked(room_with(R"([[release]]
id = "hose"
kind = "steady"
into = "room"
gas = "hydrogen"
rate = "50 L/min"
on = false
)"));
  EXPECT_EQ(answer.code, 1);
  EXPECT_TRUE(has(answer.first_lines(), "if hose leaks")) << answer.text;
  EXPECT_FALSE(has(answer.text, "No warning"));
  const json& worst = answer.data.at("warnings").at(0);
  EXPECT_EQ(worst.at("case"), "if-hose");
  EXPECT_EQ(worst.at("severity"), "near-source");
  EXPECT_EQ(worst.at("zone").at("shape"), "plume");
}

TEST_F(QuietSites, PyrophoricGasWarnsWhateverItsAmount) {
  const Answer answer = checked(room_with(R"([[release]]
id = "fitting"
kind = "steady"
into = "room"
gas = "silane"
rate = "0.001 mL/min"
)"));
  EXPECT_EQ(answer.code, 1);
  const json worst = answer.data.at("warnings").at(0);
  EXPECT_EQ(worst.at("severity"), "near-source");
  EXPECT_EQ(worst.at("source_hazard"), "pyrophoric");
  EXPECT_TRUE(has(answer.text, "ignites by itself when it meets air")) << answer.text;
  EXPECT_TRUE(answer.leaves_open("unknown-limits"));
}

TEST_F(QuietSites, ARoomWithoutAnyReleaseSaysThatThereIsNoGas) {
  const Answer answer = checked(room_with(""));
  EXPECT_EQ(answer.code, 0);
  EXPECT_FALSE(has(answer.text, "No warning")) << answer.text;
  EXPECT_TRUE(has(answer.flowing(), "no gas in the file")) << answer.text;
}

TEST_F(QuietSites, ALiquidBelowItsFlashPointIsNotIgnitableAtItsSurface) {
  // 1-butanol: flash point 29 degC (CRC), a room of 20 degC.
  const Answer answer = checked(room_with(R"([[release]]
id = "tray"
kind = "spill"
into = "room"
gas = "1-butanol"
amount = "50 mL"
area = "100 cm2"
)"));
  EXPECT_EQ(answer.first("near-source"), nullptr);
}

TEST_F(QuietSites, ToxicAirInACabinetIsANoteForWhoeverOpensIt) {
  const Answer answer = checked(R"(title = "Gas cabinet"
[[space]]
id = "cabinet"
kind = "cabinet"
volume = "1 m3"
[[airway]]
id = "extract"
kind = "fan"
from = "cabinet"
to = "outside"
flow = "60 m3/h"
[[airway]]
id = "louvre"
kind = "opening"
between = ["cabinet", "outside"]
[[release]]
id = "fitting"
kind = "steady"
into = "cabinet"
gas = "ammonia"
rate = "1 L/min"
)");
  EXPECT_EQ(answer.code, 0);
  EXPECT_EQ(answer.first("toxic"), nullptr);
  const json note = answer.first("note");
  ASSERT_NE(note, nullptr);
  EXPECT_EQ(note.at("gas"), "ammonia");
  EXPECT_EQ(note.at("remedy_kind"), "air_before_opening");
}

}  // namespace
}  // namespace leanside::cli_test
