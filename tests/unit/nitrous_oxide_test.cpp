// SPDX-License-Identifier: Apache-2.0
// Nitrous oxide beside a fuel: lower limits in the solve, close to a release and in what is stored.
#include <cmath>
#include <string>

#include <gtest/gtest.h>

#include "leanside/leanside.hpp"

namespace leanside {
namespace {

/// A store with propane that leaks, a second gas in a cylinder, and a room that `way` joins to it.
Site store(const std::string& other, const std::string& into = "store", const std::string& more = {}) {
  const auto reading = parse_site(R"(
title = "t"
[criteria]
horizon = "1 h"
[[space]]
id = "store"
kind = "room"
volume = "60 m3"
air_changes = "6 /h"
[[space]]
id = "hall"
kind = "room"
volume = "500 m3"
air_changes = "1 /h"
[[release]]
id = "leak"
kind = "orifice"
into = "store"
gas = "propane"
pressure = "2 bar"
hole = "1 mm"
[[release]]
id = "propane"
kind = "dump"
into = "store"
gas = "propane"
on = false
amount = "1 kg"
over = "1 h"
[[release]]
id = "other"
kind = "dump"
into = ")" + into + R"("
gas = ")" + other + R"("
amount = "100 g"
over = "1 h"
)" + more,
                                  "t.toml", built_in_substances());
  EXPECT_NE(reading.usable(), nullptr);
  return *reading.usable();
}

Assessment answer(const Site& site) { return std::get<Assessment>(assess(site)); }

/// m from the leak to the lower limit.
double reach(const Site& site) {
  const Assessment assessment = answer(site);
  for (const SourceZone& zone : assessment.cases[0].zones) {
    if (zone.release == ReleaseIndex{0}) return zone.zone.reach;
  }
  return 0.0;
}

/// m3 of air that the stored propane could bring to its lower limit.
double air_of_propane(const Site& site) {
  for (const StoredGas& gas : stock_of(site).held) {
    if (gas.release == ReleaseIndex{1}) return gas.air_to_limit;
  }
  return 0.0;
}

TEST(NitrousOxide, LengthensTheZoneCloseToALeak) {
  const double beside = reach(store("nitrous-oxide")), without = reach(store("nitrogen"));
  ASSERT_GT(without, 0.05);
  // The reach of a jet is one over the mass fraction at the limit, nearly that of the mole fraction.
  EXPECT_GT(beside, 1.9 * without);  // a little more than twice: what the room holds counts twice too
  EXPECT_LT(beside, 2.3 * without);
}

TEST(NitrousOxide, LetsALiquidBurnBelowItsFlashPoint) {
  const std::string liquid =
      "[[release]]\nid = \"pool\"\nkind = \"spill\"\ninto = \"store\"\ngas = \"o-xylene\"\namount = \"100 g\"\narea = "
      "\"0.1 m2\"\n";
  const auto near_pool = [&](const std::string& other) {
    for (const Warning& warning : answer(store(other, "store", liquid)).warnings) {
      if (warning.source && warning.source->release == ReleaseIndex{3}) return true;
    }
    return false;
  };
  EXPECT_TRUE(near_pool("nitrous-oxide"));  // saturated air at 20 degC holds 0.7 % of it, 0.9 % is the limit in air
  EXPECT_FALSE(near_pool("nitrogen"));
}

TEST(NitrousOxide, HalvesTheLimitsOfWhatIsStoredThereAndNextDoor) {
  const double alone = air_of_propane(store("nitrogen"));
  // n/L - n of each, at L and at L/2.
  const double moles = 1.0 / 44.097e-3, volume = gas_constant * 293.15 / 101325.0;
  const double doubled = 2.0 * alone + volume * moles;
  EXPECT_NEAR(air_of_propane(store("nitrous-oxide")), doubled, 1e-3 * doubled);
  EXPECT_EQ(air_of_propane(store("nitrous-oxide", "hall")), alone) << "nothing joins the hall to the store";
  const std::string way =
      "[[airway]]\nid = \"door\"\nkind = \"exchange\"\nbetween = [\"store\", \"hall\"]\nflow = \"1 m3/h\"\n";
  EXPECT_NEAR(air_of_propane(store("nitrous-oxide", "hall", way)), doubled, 1e-3 * doubled);
}

TEST(NitrousOxide, IsNamedWhereItCountsInTheStock) {
  const auto text = [](const Site& site) { return stock_report(site, stock_of(site), TextStyle{}); };
  EXPECT_NE(text(store("nitrous-oxide")).find("half of those in air"), std::string::npos);
  EXPECT_EQ(text(store("nitrogen")).find("half of those in air"), std::string::npos);
}

}  // namespace
}  // namespace leanside
