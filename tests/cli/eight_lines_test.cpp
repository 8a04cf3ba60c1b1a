// SPDX-License-Identifier: Apache-2.0
// A bottle, a cylinder and a spill, each in at most eight lines, and what a trained person would say of it in the lines
// that everybody reads.
#include <gtest/gtest.h>

#include "cli/verdicts.hpp"

namespace leanside::cli_test {
namespace {

class EightLines : public CheckedSites {
 protected:
  /// The first screen, with its lines joined.
  Answer first_screen(const std::string& site) {
    EXPECT_LE(lines_of(site).size(), 8u);
    Answer answer = checked(site);
    answer.text = run({"check", path("site.toml"), "--quiet"}).out;
    return answer;
  }
};

TEST_F(EightLines, AnLpgBottleInACellar) {
  const Answer answer = first_screen(R"(title = "LPG bottle in a cellar"
space = [{ id = "cellar", kind = "room", volume = "30 m3", air_changes = "0.5 /h" }]
[[release]]
id = "bottle"
kind = "cylinder"
into = "cellar"
gas = "lpg"
contents = "13 kg"
)");
  EXPECT_EQ(answer.code, 1);
  // 13 kg are 270 mol, 6.5 m3: all of it makes 18 % of the room, ten times the lower limit.
  const std::string text = answer.flowing();
  EXPECT_TRUE(has(text, "FLAMMABLE")) << text;
  EXPECT_TRUE(has(text, "hose or regulator breaks")) << text;
  EXPECT_TRUE(has(text, "entire contents")) << text;
  EXPECT_FALSE(has(text, "No warning")) << text;
  // Nothing leaks in the normal case, and the answer says so.
  EXPECT_EQ(answer.data.at("cases").at(0).at("spaces").at(0).at("peak").at("lfl_fraction").get<double>(), 0.0);
}

TEST_F(EightLines, ACylinderOfCarbonDioxideInABarCellar) {
  const Answer answer = first_screen(R"(title = "Carbon dioxide in a bar cellar"
space = [{ id = "cellar", kind = "room", volume = "40 m3", air_changes = "0.5 /h" }]
[[release]]
id = "cylinder"
kind = "cylinder"
into = "cellar"
gas = "carbon-dioxide"
water_volume = "50 L"
)");
  EXPECT_EQ(answer.code, 1);
  const std::string text = answer.flowing();
  // 37.5 kg are 20 m3 of gas: a third of the room and more. 4 % is the IDLH.
  EXPECT_TRUE(has(text, "TOXIC") || has(text, "toxic")) << text;
  EXPECT_TRUE(has(text, "entire contents")) << text;
  EXPECT_TRUE(has(text, "oxygen")) << text;
  EXPECT_FALSE(has(text, "FLAMMABLE")) << text;
}

TEST_F(EightLines, ALitreOfPetrolOnAGarageFloor) {
  const Answer answer = first_screen(R"(title = "Petrol on a garage floor"
space = [{ id = "garage", kind = "room", volume = "40 m3", air_changes = "0.5 /h" }]
release = [{ id = "can", kind = "spill", into = "garage", gas = "gasoline", amount = "1 L", area = "1.5 m2" }]
)");
  EXPECT_EQ(answer.code, 1);
  const std::string text = answer.flowing();
  EXPECT_TRUE(has(text, "can be ignited") || has(text, "NEAR-SOURCE")) << text;
  EXPECT_TRUE(has(text, "flash point")) << text;
  EXPECT_FALSE(has(text, "No warning")) << text;
}

}  // namespace
}  // namespace leanside::cli_test
