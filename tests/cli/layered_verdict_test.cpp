// SPDX-License-Identifier: Apache-2.0
/// The worse of both room models: small invented sites, each with what its answer must say.
#include <gtest/gtest.h>

#include "cli/verdicts.hpp"

namespace leanside::cli_test {
namespace {

using LayeredVerdicts = CheckedSites;

/// A battery room with an extract fan that draws from all heights.
std::string charger_room(const std::string& room = "") {
  return "title = \"Charger\"\n[[space]]\nid = \"room\"\nkind = \"room\"\nvolume = \"160 m3\"\n" + room +
         R"([[airway]]
id = "fan"
kind = "fan"
from = "room"
to = "outside"
flow = "300 m3/h"
[[airway]]
id = "louvre"
kind = "opening"
between = ["outside", "room"]
[[release]]
id = "charger"
kind = "steady"
into = "room"
gas = "hydrogen"
rate = "40 L/min"
)";
}

const std::string both = "stratification = \"worse of both\"\n";

TEST_F(LayeredVerdicts, TheLayerCountsAndTheMixedLevelStandsBesideIt) {
  const Answer answer = checked(charger_room(both));
  const json& worst = answer.data.at("warnings").at(0);
  EXPECT_EQ(worst.at("severity"), "flammable");
  // Mixed, 2.4 m3/h of hydrogen go out with 300 m3/h.
  const double mixed = 2.4 / 300.0 / 0.04;
  EXPECT_NEAR(worst.at("mixed_lfl_fraction").get<double>(), mixed, 0.01 * mixed);
  EXPECT_GT(worst.at("lfl_fraction").get<double>(), 1.0);
  EXPECT_TRUE(has(answer.flowing(), "mixed evenly the room would be at 20 % of the lower limit")) << answer.text;
  EXPECT_TRUE(has(answer.flowing(), "up to the ceiling")) << answer.text;
}

/// The site with one line for all rooms.
std::string with_model(std::string text, const std::string& model) {
  text.insert(text.find("[[space]]"), "[conditions]\nstratification = \"" + model + "\"\n");
  return text;
}

TEST_F(LayeredVerdicts, OneLineChoosesTheModelOfAllRooms) {
  const Answer all = checked(with_model(charger_room(), "worse of both")), room = checked(charger_room(both));
  EXPECT_EQ(all.data.at("warnings"), room.data.at("warnings"));
  EXPECT_EQ(all.data.at("cases"), room.data.at("cases"));
  // A room says more than the site.
  const Answer mixed = checked(with_model(charger_room("stratification = \"mixed\"\n"), "worse of both"));
  EXPECT_EQ(mixed.data.at("cases"), checked(charger_room()).data.at("cases"));
  EXPECT_EQ(checked(with_model(charger_room("mixing_factor = 2\n"), "worse of both")).data.at("cases"),
            checked(charger_room("mixing_factor = 2\n")).data.at("cases"));
}

// A pool wets the floor: the film over it is the zone of its source and no layer of the room. Neither is it breathed.
TEST_F(LayeredVerdicts, AFilmOnTheFloorIsNoLayer) {
  const Answer answer = checked(R"(title = "Beaker"
[[space]]
id = "lab"
kind = "room"
volume = "200 m3"
air_changes = "1 /h"
stratification = "worse of both"
ignition = ["burner"]
[[release]]
id = "beaker"
kind = "spill"
into = "lab"
gas = "ethanol"
amount = "100 mL"
area = "40 cm2"
temperature = "60 degC"
)");
  EXPECT_EQ(answer.data.at("warnings").at(0).at("severity"), "near-source");
}

// Carbon dioxide lies on the floor long before people breathe it: not from the first second, yet sooner than mixed.
TEST_F(LayeredVerdicts, HeavyGasIsToxicOnceItReachesWherePeopleBreathe) {
  const std::string room = "id = \"prep\"\nkind = \"room\"\nfloor_area = \"30 m2\"\nheight = \"2.5 m\"\n";
  const auto text = [&](const std::string& model) {
    return "title = \"Dry ice\"\n[[space]]\n" + room + "air_changes = \"0.2 /h\"\n" + model +
           "[[release]]\nid = \"ice\"\nkind = \"dump\"\ninto = \"prep\"\ngas = \"carbon-dioxide\"\n"
           "amount = \"7 kg\"\nover = \"1 h\"\n";
  };
  const auto time = [&](const std::string& model) {
    const Answer answer = checked(text(model));
    const json& worst = answer.data.at("warnings").at(0);
    EXPECT_EQ(worst.at("severity"), "toxic");
    return worst.at("time_s").get<double>();
  };
  const double layered = time(both), mixed = time("");
  EXPECT_LT(layered, mixed);
  // The floor holds 3 m3 up to where somebody who lies there breathes; 1.1 L/s of gas bring a plume of some litres.
  EXPECT_GT(layered, 30.0);
}

// A dump into a lean layer makes it too rich at once: it has gone through the range at that moment.
TEST_F(LayeredVerdicts, AJumpOverTheRangeIsInIt) {
  const Answer answer = checked(R"(title = "Dump"
[[space]]
id = "room"
kind = "room"
volume = "50 m3"
air_changes = "2 /h"
stratification = "layered"
[[release]]
id = "seep"
kind = "steady"
into = "room"
gas = "methane"
rate = "20 L/min"
[[release]]
id = "hose"
kind = "dump"
into = "room"
gas = "methane"
amount = "5 m3"
over = "2 min"
start = "1 h"
)");
  const json& worst = answer.data.at("warnings").at(0);
  EXPECT_EQ(worst.at("severity"), "flammable");
  EXPECT_NEAR(worst.at("time_s").get<double>(), 3600.0, 1.0);
}

}  // namespace
}  // namespace leanside::cli_test
