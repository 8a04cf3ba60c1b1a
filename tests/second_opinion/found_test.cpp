// SPDX-License-Identifier: Apache-2.0
/// Small sites on which two solvers once disagreed.
#include <cmath>

#include <gtest/gtest.h>

#include "leanside/leanside.hpp"

namespace {

leanside::CaseResult answer(const std::string& text, const leanside::AssessOptions& options = {}) {
  const auto reading = leanside::parse_site("title = \"t\"\n" + text, "t.toml", leanside::built_in_substances());
  EXPECT_NE(reading.usable(), nullptr);
  const auto result = leanside::assess(*reading.usable(), options);
  return std::get<leanside::Assessment>(result).cases.back();
}

const std::string filled_room = R"(
[criteria]
horizon = "0.054755 h"
[[space]]
id = "a"
kind = "room"
volume = "10 m3"
initial = { nitrogen = "50 %" }
)";

TEST(Series, IncludesTheLastInstant) {
  for (const std::size_t points : {7u, 48u, 49u, 240u}) {
    leanside::AssessOptions options;
    options.series_points = points;
    double last = 0.0, time = 0.0;
    options.series = [&](leanside::CaseIndex, double t, const leanside::FractionField& x) {
      time = t;
      last = x({0}, 0);
    };
    answer(filled_room, options);
    EXPECT_EQ(time, 0.054755 * 3600);
    EXPECT_NEAR(last, 0.5, 1e-12) << points;
  }
}

TEST(HighestOxygen, IsThatOfTheSpaceNotOfAir) {
  for (const bool steady_only : {false, true}) {
    leanside::AssessOptions options;
    options.steady_only = steady_only;
    const leanside::SpaceResult room = answer(filled_room, options).spaces[0];
    EXPECT_NEAR(room.lowest_oxygen, 0.2095 / 2, 1e-12);
    EXPECT_NEAR(room.highest_oxygen, 0.2095 / 2, 1e-12);
  }
}

TEST(SpentRelease, IsNotSpentAgainAtALaterEvent) {
  const auto result = answer(R"(
event = [{ at = "139.004 s", release = "r", on = true }]
[[space]]
id = "a"
kind = "room"
volume = "1.7 m3"
[[release]]
id = "r"
kind = "charging"
into = "a"
start = "0.656817 min"
cells = 30
current = "49087 mA"
duration = "0.00100776 h"
)");
  ASSERT_TRUE(result.releases[0].spent.has_value());
  EXPECT_NEAR(*result.releases[0].spent, 0.656817 * 60 + 0.00100776 * 3600, 1e-9);
}

TEST(CoolingVessel, DrawsInAirThroughTheAdjacentRoom) {
  const auto result = answer(R"(
event = [{ at = "1 h", space = "v", temperature = "10 degC" }]
[[space]]
id = "room"
kind = "room"
volume = "27 m3"
[[space]]
id = "v"
kind = "vessel"
volume = "1 m3"
temperature = "54 degC"
initial = { hydrogen = 0.4 }
[[airway]]
id = "way"
kind = "opening"
between = ["room", "v"]
)");
  EXPECT_NEAR(result.spaces[1].end.fraction[0], 0.4 * 283.15 / 327.15, 1e-9);
  EXPECT_EQ(result.spaces[0].end.fraction[0], 0.0);
}

TEST(BalancedExchange, IsNotReportedAsOverflowing) {
  const auto result = answer(R"(
[[space]]
id = "full"
kind = "vessel"
volume = "1 m3"
[[space]]
id = "dead-end"
kind = "vessel"
volume = "1 m3"
[[airway]]
id = "between"
kind = "exchange"
between = ["full", "dead-end"]
flow = "1 m3/h"
[[airway]]
id = "out"
kind = "exchange"
between = ["full", "outside"]
flow = "2 m3/h"
[[release]]
id = "r"
kind = "steady"
into = "full"
gas = "hydrogen"
rate = "1 m3/h"
)");
  ASSERT_EQ(result.overflowing.size(), 1u);
  EXPECT_EQ(result.overflowing[0].value, 1u);
}

/// Once the extract draws only from the gas layer and the plume no longer reaches it, any layer thickness is stable.
TEST(NeutralInterface, StaysWhereTheTransientRunLeavesIt) {
  const auto result = answer(R"(
[criteria]
horizon = "600 h"
[[space]]
id = "store"
kind = "room"
floor_area = "1.5 m2"
height = "7.5 m"
stratification = "layered"
air_changes = "0.0044 /h"
[[airway]]
id = "extract"
kind = "fan"
from = "store"
to = "outside"
flow = "9 L/s"
height = "3.3 m"
[[airway]]
id = "slit"
kind = "gap"
between = ["store", "outside"]
leakage_area = "1.6 cm2"
height = "7.4 m"
[[release]]
id = "r"
kind = "steady"
into = "store"
gas = "methane"
rate = "0.88 m3/h"
height = "5.5 m"
)");
  ASSERT_EQ(result.layered.size(), 1u);
  const leanside::LayeredRoom& room = result.layered[0];
  ASSERT_TRUE(room.steady_interface.has_value());
  EXPECT_NEAR(*room.steady_interface, room.end_interface, 1e-5);
  // Diffusion brings the last of it only slowly.
  EXPECT_NEAR(room.upper.steady.at.fraction[0], room.upper.end.fraction[0], 1e-5);
}

/// While the layer of a room grows, air moves from one layer to the other. None of it goes round through a cupboard
/// that exchanges air with both: what gets out there stays as long as its exchange alone would let it.
TEST(LayeredRoom, DoesNotBreatheThroughItsCupboard) {
  const auto result = answer(R"(
[criteria]
horizon = "0.3 h"
[[space]]
id = "lab"
kind = "room"
floor_area = "10 m2"
height = "3 m"
stratification = "layered"
[[space]]
id = "cupboard"
kind = "cabinet"
volume = "0.1 m3"
[[airway]]
id = "extract"
kind = "fan"
from = "lab"
to = "outside"
flow = "90 m3/h"
height = "2.9 m"
[[airway]]
id = "door"
kind = "opening"
between = ["outside", "lab"]
[[airway]]
id = "slots"
kind = "exchange"
between = ["lab", "cupboard"]
flow = "200 L/h"
[[release]]
id = "in-the-lab"
kind = "steady"
into = "lab"
gas = "methane"
rate = "1 m3/h"
height = "0.5 m"
[[release]]
id = "in-the-cupboard"
kind = "steady"
into = "cupboard"
gas = "hydrogen"
rate = "20 L/h"
)");
  ASSERT_EQ(result.layered.size(), 1u);
  const double alone = 20.0 / 220.0 * (1.0 - std::exp(-220.0 * 0.3 / 100.0));
  const double hydrogen = result.spaces[1].end.fraction[result.spaces[1].end.fraction.size() - 1];
  EXPECT_GE(hydrogen, alone * (1.0 - 1e-6));
  EXPECT_LE(hydrogen, alone * 1.01);  // a little comes back from the room
}

}  // namespace
