// SPDX-License-Identifier: Apache-2.0
/// Layered rooms of files that leave out heights, and what the answer says of them.
#include <algorithm>
#include <string>

#include <gtest/gtest.h>

#include "leanside/leanside.hpp"
#include "published/run.hpp"

namespace leanside {
namespace {

Assessment assessed(const std::string& text) { return published::assessed(published::read(text)); }

// Air that the plume cannot hold runs over the surface between the layers; no airway of the file does.
TEST(LayeredFile, OnlyAirwaysOfTheFileOverflow) {
  const auto assessment = assessed(R"(title = "Shelf"

[[space]]
id = "shelf"
kind = "cabinet"
volume = "0.6 m3"
stratification = "worse of both"

[[space]]
id = "store"
kind = "room"
volume = "30 m3"

[[airway]]
id = "under"
kind = "exchange"
between = ["shelf", "store"]
flow = "2 m3/h"

[[release]]
id = "battery"
kind = "steady"
into = "shelf"
gas = "hydrogen"
rate = "80 L/min"
)");
  for (const CaseResult& result : assessment.cases) {
    for (const AirwayIndex airway : result.overflowing) EXPECT_EQ(airway.value, 0u);
  }
  EXPECT_LT(assessment.balance_error, 1e-9);
}

// Heights that the file leaves out are assumed, and the answer says so.
TEST(LayeredFile, HeightsLeftOutAreAssumed) {
  const Site site = published::read(R"(title = "Cupboard"

[[space]]
id = "cupboard"
kind = "cabinet"
volume = "1 m3"
stratification = "worse of both"

[[space]]
id = "hall"
kind = "room"
volume = "80 m3"
stratification = "layered"

[[airway]]
id = "extract"
kind = "fan"
from = "cupboard"
to = "outside"
flow = "20 m3/h"

[[airway]]
id = "grille"
kind = "opening"
between = ["hall", "cupboard"]

[[airway]]
id = "inlet"
kind = "opening"
between = ["outside", "hall"]

[[release]]
id = "seep"
kind = "steady"
into = "cupboard"
gas = "hydrogen"
rate = "1 L/min"
)");
  EXPECT_NEAR(site.spaces[0].height.value_or(0.0), 1.0, 1e-12);
  EXPECT_NEAR(site.spaces[1].height.value_or(0.0), 2.5, 1e-12);
  EXPECT_NEAR(site.releases[0].height.value_or(0.0), 0.5, 1e-12);
  const auto stated = [&](const std::string& words) {
    return std::any_of(site.assumptions.begin(), site.assumptions.end(), [&](const Assumption& a) {
      return !a.names.empty() && a.names[0].find(words) != std::string::npos;
    });
  };
  EXPECT_TRUE(stated("height of a room that gives none"));
  EXPECT_TRUE(stated("half the height of the room"));
  EXPECT_TRUE(stated("serves both layers"));
  EXPECT_LT(published::assessed(site).balance_error, 1e-9);
}

}  // namespace
}  // namespace leanside
