// SPDX-License-Identifier: Apache-2.0
// Fuel with inert gas that quenches less than nitrogen, with oxidisers other than oxygen, and under pressure.
#include <algorithm>
#include <string>

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "leanside/report.hpp"
#include "published/run.hpp"

namespace leanside {
namespace {

using published::assessed;
using published::read;

/// A box that holds this at the start and gets two changes of air an hour.
Site box(const std::string& held, const std::string& gases = {}) {
  return read(
      fmt::format("title = \"box\"\n{}[[space]]\nid = \"box\"\nkind = \"cabinet\"\nvolume = \"0.5 m3\"\n"
                  "initial = {{ {} }}\nair_changes = \"2 /h\"\n",
                  gases, held));
}

SpaceResult first_space(const Site& site) { return assessed(site).cases.at(0).spaces.at(0); }

bool is_assumed(const Site& site, std::string_view part) {
  return std::ranges::any_of(site.assumptions, [&](const Assumption& a) {
    return assumption_sentence(site, a).find(part) != std::string::npos;
  });
}

TEST(InertGas, ArgonKeepsLessFromBurningThanNitrogen) {
  const Site argon = box("hydrogen = 0.05, argon = 0.95"), nitrogen = box("hydrogen = 0.05, nitrogen = 0.95");
  EXPECT_GT(first_space(argon).flammable_time, 0.0);
  EXPECT_EQ(first_space(nitrogen).flammable_time, 0.0);
  EXPECT_TRUE(is_assumed(argon, "argon inerts less well than nitrogen"));
  EXPECT_FALSE(is_assumed(nitrogen, "than nitrogen"));
}

TEST(Limits, AreThoseAtThePressureOfTheAirInVesselsOpenAndShut) {
  const auto vessel = [](const char* gas, const char* more) {
    return read(
        fmt::format("title = \"vessel\"\n[[space]]\nid = \"v\"\nkind = \"vessel\"\nvolume = \"10 L\"\n"
                    "initial = {{ {} = 0.1 }}\n{}",
                    gas, more));
  };
  const char* valve = "[[airway]]\nid = \"valve\"\nkind = \"opening\"\nbetween = [\"v\", \"outside\"]\non = false\n";
  const char* told = "limits are those at ambient pressure";
  EXPECT_TRUE(is_assumed(vessel("methane", ""), told));
  EXPECT_TRUE(is_assumed(vessel("methane", valve), told));
  EXPECT_FALSE(is_assumed(vessel("nitrogen", ""), told));
  EXPECT_FALSE(is_assumed(box("methane = 0.1"), told));
}

TEST(InertGas, WithoutFuelNothingIsSaidOfIt) { EXPECT_FALSE(is_assumed(box("argon = 0.5"), "than nitrogen")); }

TEST(InertGas, OfTheFileMayQuenchLessToo) {
  const auto own = [](const std::string& key) {
    return "[[gas]]\nid = \"own\"\nmolar_mass = \"83.8 g/mol\"\nsource = \"invented\"\n" + key;
  };
  const std::string held = "hydrogen = 0.05, own = 0.95";
  const Site weak = box(held, own("nitrogen_equivalent = \"50 %\"\n"));
  const Site argon = box("hydrogen = 0.05, argon = 0.95");
  EXPECT_NEAR(first_space(weak).flammable_time, first_space(argon).flammable_time, 1e-9);
  EXPECT_EQ(first_space(box(held, own("nitrogen_equivalent = 1\n"))).flammable_time, 0.0);
  EXPECT_EQ(first_space(box(held, own(""))).flammable_time, 0.0);
  // One that counts for nothing: as if the hydrogen were alone with what air there is.
  EXPECT_GT(first_space(box(held, own("nitrogen_equivalent = 1e-15\n"))).flammable_time,
            first_space(weak).flammable_time);
  EXPECT_EQ(first_space(box("own = 0.999999, hydrogen = 1e-6", own("nitrogen_equivalent = 1e-15\n"))).flammable_time,
            0.0);
}

TEST(Oxidiser, FeedsAFireAsOxygenDoes) {
  const Site fed = box("hydrogen = 0.9, nitrous-oxide = 0.1"), inert = box("hydrogen = 0.9, nitrogen = 0.1");
  EXPECT_EQ(first_space(fed).peak.state, MixtureState::flammable);
  EXPECT_EQ(first_space(inert).peak.state, MixtureState::rich);
  EXPECT_EQ(first_space(fed).peak.oxygen, 0.0) << "what can be breathed is oxygen alone";
  EXPECT_TRUE(is_assumed(fed, "nitrous-oxide feeds a fire"));
  EXPECT_FALSE(is_assumed(inert, "feeds a fire"));
  EXPECT_FALSE(is_assumed(box("hydrogen = 0.5, oxygen = 0.5"), "feeds a fire"));
}

}  // namespace
}  // namespace leanside
