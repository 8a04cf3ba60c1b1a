// SPDX-License-Identifier: Apache-2.0
// Rooms that only doorways join draw level: in the end the gas on the two sides of a doorway differs by less than any
// rounding, and the pressures that move it by less than the last digit of theirs.
#include <string>

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "leanside/hazard.hpp"
#include "leanside/site_file.hpp"

namespace leanside {
namespace {

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

TEST(LevelRooms, HoldInTheLongRunWhatTheirAirCarries) {
  const std::string grille =
      "[[airway]]\nid = \"grille\"\nkind = \"gap\"\nbetween = [\"r0\", \"outside\"]\nleakage_area = \"300 cm2\"\n";
  for (const std::string& way_out : {std::string{}, grille}) {
    for (const int rooms : {2, 3}) {
      for (const char* gas : {"methane", "propane", "hydrogen"}) {
        for (const double rate : {1e-4, 1.0, 40.0}) {
          const auto text = row_of_rooms(rooms, gas, rate, way_out);
          SCOPED_TRACE(text);
          const auto reading = parse_site(text, "row.toml", built_in_substances());
          ASSERT_TRUE(reading.usable());
          AssessOptions how;
          how.explain = false;
          const auto outcome = assess(*reading.usable(), how);
          const auto* fault = std::get_if<SolveFault>(&outcome);
          ASSERT_EQ(fault, nullptr) << fault->message;
          // What is released goes out with the air that is blown in: q / (Q + q), in every room of the row.
          const double flow = rate * 0.06, expected = flow / (60.0 + flow);
          for (const SpaceResult& space : std::get<Assessment>(outcome).cases[0].spaces) {
            ASSERT_TRUE(space.sustained.reached);
            EXPECT_NEAR(space.sustained.at.fraction[0], expected, 1e-6 * expected);
          }
        }
      }
    }
  }
}

}  // namespace
}  // namespace leanside
