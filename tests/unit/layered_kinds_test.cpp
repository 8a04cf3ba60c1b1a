// SPDX-License-Identifier: Apache-2.0
/// Layered rooms with spills, with light and heavy gas together, with openings.
#include <algorithm>
#include <string>

#include <gtest/gtest.h>

#include "leanside/leanside.hpp"
#include "published/run.hpp"
#include "unit/plant_room.hpp"

namespace leanside {
namespace {

using testing::plant_room;

Assessment assessed(const std::string& text) { return published::assessed(published::read(text)); }

const LayeredRoom& only_room(const Assessment& assessment) { return assessment.cases.at(0).layered.at(0); }

// Over the liquid air is saturated at most: so is the layer.
TEST(LayeredKinds, VapourOfASpillLiesOnTheFloorUpToSaturation) {
  const auto spill = [](const std::string& word) {
    return assessed(R"(title = "Spill"
[criteria]
horizon = "2 h"
[[space]]
id = "plant"
kind = "room"
floor_area = "10 m2"
height = "2.5 m"
air_changes = "0.5 /h"
stratification = ")" +
                    word + R"("
[[release]]
id = "spill"
kind = "spill"
into = "plant"
gas = "acetone"
amount = "1 L"
area = "1 m2"
)");
  };
  const auto layered = spill("layered");
  const LayeredRoom& room = only_room(layered);
  EXPECT_FALSE(room.gas_above);
  EXPECT_LT(layered.balance_error, 1e-9);
  const double saturated = 0.245;  // 24.5 kPa at 20 degC, docs/sources.md
  const double depth = room.deepest_interface / 2.5;
  EXPECT_LT(room.lower.peak.fraction.at(0), saturated * (1.0 + 0.5 * depth));
  EXPECT_GT(room.lower.peak.fraction.at(0), 0.5 * saturated);
  EXPECT_GT(room.lower.peak.lfl_fraction, spill("mixed").cases[0].spaces[0].peak.lfl_fraction);
}

const std::string propane = R"(
[[release]]
id = "propane-seep"
kind = "steady"
into = "plant"
gas = "propane"
rate = "3 L/min"
height = "0.5 m"
)";

// The worse of a layer under the ceiling and one on the floor: never milder than with either gas alone.
TEST(LayeredKinds, LightAndHeavyGasTogetherAreNoMilderThanEitherAlone) {
  const auto both = assessed(plant_room("stratification = \"layered\"", "", propane));
  std::string heavy = plant_room("stratification = \"layered\"", "", propane);
  const auto at = heavy.find("[[release]]");
  heavy.erase(at, heavy.find("[[release]]", at + 1) - at);
  const auto light_alone = assessed(plant_room()), heavy_alone = assessed(heavy);
  EXPECT_TRUE(only_room(light_alone).gas_above);
  EXPECT_FALSE(only_room(heavy_alone).gas_above);
  const double level = both.cases[0].spaces[0].peak.lfl_fraction;
  EXPECT_GE(level, light_alone.cases[0].spaces[0].peak.lfl_fraction);
  EXPECT_GE(level, heavy_alone.cases[0].spaces[0].peak.lfl_fraction);
  EXPECT_LT(both.balance_error, 1e-9);
}

TEST(LayeredKinds, OpeningOpensIntoTheAmbientLayer) {
  const auto with = assessed(plant_room("stratification = \"layered\"", "", R"(
[[airway]]
id = "flap"
kind = "opening"
between = ["plant", "outside"]
)"));
  EXPECT_LT(with.balance_error, 1e-9);
  const auto without = assessed(plant_room());
  EXPECT_GE(with.cases[0].spaces[0].peak.lfl_fraction, 0.5 * without.cases[0].spaces[0].peak.lfl_fraction);
}

}  // namespace
}  // namespace leanside
