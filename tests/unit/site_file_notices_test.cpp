// SPDX-License-Identifier: Apache-2.0
// Values that are used as they are, and asked about.
#include <string>

#include <gtest/gtest.h>

#include "leanside/site_file.hpp"

namespace leanside {
namespace {

const std::string unlikely_values = R"(title = "Unlikely"
[conditions]
wind_speed = "60 m/s"
[[space]]
id = "store"
kind = "room"
volume = "30 m3"
height = "3 m"
[[space]]
id = "hall"
kind = "room"
volume = "900 m3"
height = "8 m"
[[airway]]
id = "gate"
kind = "doorway"
between = ["store", "hall"]
width = "9 m"
height = "2.5 m"
[[airway]]
id = "blower"
kind = "fan"
from = "outside"
to = "store"
flow = "60 m3/h"
momentum = "1 N"
[[gas]]
id = "feather"
name = "feather gas"
molar_mass = "0.5 g/mol"
lfl = "4 %"
ufl = "8 %"
source = "invented"
[[release]]
id = "leak"
kind = "steady"
into = "store"
gas = "feather"
rate = "1 L/min"
[[release]]
id = "pipe"
kind = "orifice"
into = "store"
gas = "methane"
pressure = "2 bar"
hole = "60 cm"
temperature = "140 degC"
[[release]]
id = "tank"
kind = "cylinder"
into = "store"
gas = "hydrogen"
water_volume = "6 m3"
pressure = "20 bar"
hole = "1 mm"
[[release]]
id = "flask"
kind = "reaction"
into = "store"
reaction = "magnesium-hydrochloric-acid"
amounts = { magnesium = "0 g", hydrochloric-acid = "excess" }
over = "1 min"
)";

TEST(Notices, QuestionValuesThatSuggestAnotherUnit) {
  const auto reading = parse_site(unlikely_values, "hall.toml", built_in_substances());
  ASSERT_TRUE(reading.usable());
  std::string all;
  for (const auto& d : reading.diagnostics) {
    EXPECT_EQ(d.level, DiagnosticLevel::notice) << to_text(d);
    all += to_text(d) + "\n";
  }
  for (const char* part : {":3:14: notice: [conditions]: wind_speed: 60 m/s is a hurricane",
                           ":18:9: notice: airway 'gate': width: an opening of 22.5 m2 is very large",
                           ":26:12: notice: airway 'blower': momentum: has no effect",
                           ":30:14: notice: gas 'feather': molar_mass: 0.5 g/mol is unlikely for a gas",
                           ":46:8: notice: release 'pipe': hole: a hole 600 mm across is a burst pipe",
                           ":47:15: notice: release 'pipe': temperature: 140 degC is unlikely",
                           ":53:16: notice: release 'tank': water_volume: 6 m3 is the water volume of a tank",
                           ":61:11: notice: release 'flask': amounts: there is no magnesium: nothing is released"}) {
    EXPECT_NE(all.find(part), std::string::npos) << part << "\n" << all;
  }
}

TEST(Notices, RefuseSpillsWithoutDensityOrDiffusivity) {
  const auto solvent = parse_substances(R"([[substance]]
id = "solvent"
name = "Solvent"
source = "invented"
molar_mass_g_mol = 72
limits_pct = [[1.4, 7.8]]
oxygen_demand = 8
antoine = { a = 5.97786, b = 1064.84, c = -41.136, from_k = 228.71, to_k = 330.75 }
)",
                                        "solvent.toml");
  const auto* table = std::get_if<SubstanceTable>(&solvent);
  ASSERT_NE(table, nullptr) << to_text(std::get<Fault>(solvent).diagnostics.front());
  const auto reading = parse_site(R"(title = "Spill"
[[space]]
id = "store"
kind = "room"
volume = "30 m3"
air_changes = "2 /h"
[[release]]
id = "bottle"
kind = "spill"
into = "store"
gas = "solvent"
amount = "200 mL"
area = "0.5 m2"
air_speed = "0.2 m/s"
)",
                                  "spill.toml", *table);
  EXPECT_FALSE(reading.usable());
  std::string all;
  for (const auto& d : reading.diagnostics) all += to_text(d) + "\n";
  for (const char* part :
       {"spill.toml:12:10: error: release 'bottle': amount: the density of liquid 'solvent' is not known",
        "spill.toml:11:7: error: release 'bottle': gas: how fast 'solvent' spreads through air"}) {
    EXPECT_NE(all.find(part), std::string::npos) << part << "\n" << all;
  }
}

}  // namespace
}  // namespace leanside
