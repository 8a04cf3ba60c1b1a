// SPDX-License-Identifier: Apache-2.0
// Rooms that only doorways join draw level: in the end the gas on the two sides of a doorway differs by less than any
// rounding, and the pressures that move it by less than the last digit of theirs.
#include <cmath>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "published/run.hpp"

namespace leanside {
namespace {

/// Of the normal case.
std::vector<SpaceResult> spaces_of(const std::string& text) {
  auto assessment = published::assessed(published::read(text));
  return assessment.cases.empty() ? std::vector<SpaceResult>(2) : assessment.cases[0].spaces;
}

/// A room that is blown into and released into, and others behind it, door by door.
std::string row_of_rooms(int rooms, const std::string& gas, double litres_per_minute, const std::string& way_out) {
  std::string text = "title = \"Row of rooms\"\n";
  for (int k = 0; k < rooms; ++k) {
    text += fmt::format("[[space]]\nid = \"r{}\"\nkind = \"room\"\nvolume = \"{} m3\"\nheight = \"3 m\"\n", k,
                        30 + 100 * k);
  }
  for (int k = 1; k < rooms; ++k) {
    text += fmt::format(
        "[[airway]]\nid = \"door{0}\"\nkind = \"doorway\"\nbetween = [\"r{1}\", \"r{0}\"]\nwidth = \"0.9 m\"\n"
        "height = \"2.1 m\"\n",
        k, k - 1);
  }
  text += "[[airway]]\nid = \"blower\"\nkind = \"fan\"\nfrom = \"outside\"\nto = \"r0\"\nflow = \"60 m3/h\"\n";
  text += way_out;
  text +=
      fmt::format("[[release]]\nid = \"leak\"\nkind = \"steady\"\ninto = \"r0\"\ngas = \"{}\"\nrate = \"{} L/min\"\n",
                  gas, litres_per_minute);
  return text;
}

TEST(LevelRooms, HoldInSteadyStateWhatTheirAirCarries) {
  const std::string grille =
      "[[airway]]\nid = \"grille\"\nkind = \"gap\"\nbetween = [\"r0\", \"outside\"]\nleakage_area = \"300 cm2\"\n";
  for (const std::string& way_out : {std::string{}, grille}) {
    for (const int rooms : {2, 3}) {
      for (const char* gas : {"methane", "propane", "hydrogen"}) {
        for (const double rate : {1e-4, 1.0, 40.0}) {
          const auto text = row_of_rooms(rooms, gas, rate, way_out);
          SCOPED_TRACE(text);
          // What is released goes out with the air that is blown in: q / (Q + q), in every room of the row.
          const double flow = rate * 0.06, expected = flow / (60.0 + flow);
          for (const SpaceResult& space : spaces_of(text)) {
            ASSERT_TRUE(space.steady.reached);
            EXPECT_NEAR(space.steady.at.fraction[0], expected, 1e-6 * expected);
          }
        }
      }
    }
  }
}

std::string junction(const std::string& id) { return "[[space]]\nid = \"" + id + "\"\nkind = \"junction\"\n"; }

std::string opening(const std::string& id, const std::string& a, const std::string& b, bool door) {
  return "[[airway]]\nid = \"" + id + "\"\nbetween = [\"" + a + "\", \"" + b + "\"]\n" +
         (door ? "kind = \"doorway\"\nwidth = \"0.3 m\"\nheight = \"0.3 m\"\n"
               : "kind = \"gap\"\nleakage_area = \"200 cm2\"\nheight = \"2.5 m\"\n");
}

// Ducts that have one place to get their air from: what goes in comes out again, and the answer is that without them.
TEST(LevelRooms, DeadEndDuctsCarryNothing) {
  const std::string room = R"(title = "Room with a duct"
[[space]]
id = "room"
kind = "room"
volume = "12 m3"
height = "3 m"
initial = { methane = "3 %" }
[[airway]]
id = "window"
kind = "doorway"
between = ["room", "outside"]
width = "0.8 m"
height = "0.5 m"
[[release]]
id = "leak"
kind = "steady"
into = "room"
gas = "hydrogen"
rate = "5 L/min"
)";
  const std::string shut = R"([[airway]]
id = "booster"
kind = "fan"
from = "duct"
to = "outside"
flow = "50 m3/h"
on = false
)";
  const SpaceResult without = spaces_of(room)[0];
  for (const bool door : {false, true}) {
    const auto hatch = [&](const std::string& id) { return opening(id, "room", "duct", door); };
    const std::string one = junction("duct") + shut + hatch("hatch");
    const std::string two = junction("duct") + hatch("hatch") + hatch("other");
    const std::string row = junction("duct") + shut + junction("end") + hatch("hatch") +
                            opening("on", "duct", "end", door) + opening("and-on", "end", "duct", !door);
    for (const std::string& duct : {one, two, row}) {
      const auto spaces = spaces_of(room + duct);
      SCOPED_TRACE(duct);
      const SpaceResult& with = spaces[0];
      EXPECT_EQ(spaces[1].peak.lfl_fraction, 0.0) << "nothing gets into the duct";
      EXPECT_NEAR(with.peak.fraction[0], without.peak.fraction[0], 1e-9);
      EXPECT_NEAR(with.steady.at.fraction[1], without.steady.at.fraction[1], 1e-9);
      EXPECT_NEAR(with.end.fraction[1], without.end.fraction[1], 1e-9);
    }
  }
}

// What a fan blows out of a rich room is heavy: the duct that it comes through by a crack has to press the harder, from
// the first moment on. (6), solved for the pressure.
TEST(LevelRooms, FirstFlowsUseTheContentsOfDucts) {
  const auto answer = published::assessed(published::read(R"(title = "Extract duct"
[[space]]
id = "store"
kind = "room"
volume = "40 m3"
initial = { propane = 0.5 }
[[space]]
id = "duct"
kind = "junction"
[[airway]]
id = "inlet"
kind = "opening"
between = ["store", "outside"]
[[airway]]
id = "extract"
kind = "fan"
from = "store"
to = "duct"
flow = "36 m3/h"
[[airway]]
id = "louvre"
kind = "gap"
between = ["duct", "outside"]
leakage_area = "100 cm2"
)"));
  ASSERT_EQ(answer.cases.size(), 1U);
  const double molar_mass = 0.5 * (molar_mass_of_air + 0.0440956), temperature = 20.0 + zero_celsius;
  const double density = standard_atmosphere * molar_mass / (gas_constant * temperature);
  const double at_4_pa = 0.01 * std::sqrt(2.0 * 4.0 / density);
  EXPECT_NEAR(answer.cases[0].flows.pressure[1], 4.0 * std::pow(0.01 / at_4_pa, 1.0 / 0.65), 1e-4);
}

// A room filled from its ceiling down to a crack near the floor: what stays below the crack neither gains nor loses,
// and the last digits of the flows say which way. In the end the layer is nothing but gas.
TEST(LevelRooms, UnfedLayerKeepsItsGas) {
  const std::string text = R"(title = "Store beside a hall"
[[space]]
id = "store"
kind = "room"
floor_area = "200 m2"
height = "2.4 m"
stratification = "layered"
[[space]]
id = "hall"
kind = "room"
floor_area = "12 m2"
height = "3 m"
air_changes = "6 /h"
[[airway]]
id = "grille"
kind = "gap"
between = ["outside", "hall"]
leakage_area = "800 cm2"
height = "0.5 m"
[[airway]]
id = "crack"
kind = "gap"
between = ["store", "hall"]
leakage_area = "20 cm2"
height = "0.1 m"
[[release]]
id = "hall-leak"
kind = "orifice"
into = "hall"
height = "0.3 m"
gas = "methane"
pressure = "1.05 bar"
hole = "1 mm"
[[release]]
id = "store-leak"
kind = "orifice"
into = "store"
height = "0.1 m"
gas = "methane"
pressure = "1.05 bar"
hole = "1 mm"
)";
  const auto both = spaces_of(text), alone = spaces_of(text + "on = false\n");
  ASSERT_TRUE(both[0].steady.reached);
  EXPECT_NEAR(both[0].steady.at.fraction[0], 1.0, 1e-9);
  // The hall gets both leaks, which are alike, in the air that the first alone is thinned by: x = q / (Q + q), then
  // 2q / (Q + 2q).
  const double one = alone[1].steady.at.fraction[0];
  EXPECT_GT(one, 0.0);
  EXPECT_NEAR(both[1].steady.at.fraction[0], 2.0 * one / (1.0 + one), 1e-4 * one);
}

}  // namespace
}  // namespace leanside
