// SPDX-License-Identifier: Apache-2.0
// Oxygen displaced by other gases. Each check names its source; "from memory" means that the figure is known but was
// not read again in the source.
#include "published/run.hpp"

namespace {

using leanside::GasIndex;
using leanside::SpaceIndex;
using leanside::testing::SiteBuilder;
using namespace published;

constexpr double hour = 3600.0;

TEST(Dewars, LowerTheOxygenAsTheUniversityReckons) {
  cite(
      "University of Oxford, Policy S4/03 appendix 1, case a: five dewars that lose 0.15 L a day each, doubled, at 700 "
      "times the volume, in 36 m3 with 0.4 air changes an hour. Printed to one or two figures.");
  SiteBuilder build;
  build.site.conditions.oxygen_in_air = 0.21;
  const auto gas = build.nitrogen();
  const auto room = build.space("store", 36.0);
  build.site.spaces[0].air_changes = 0.4 / hour;
  const double boil_off = 2.0 * 700.0 * 5 * 0.15e-3 / 24.0;  // m3/h
  expect_within(boil_off, 0.044, 1.0);
  build.steady("boil-off", room, gas, boil_off / hour);
  expect_within(sustained(build.site, room, gas), 0.003, 7.0);
  const auto result = assessed(build.site);
  expect_within(0.21 - result.cases.at(0).spaces.at(0).sustained.at.oxygen, 0.0006, 7.0);
}

/// m3 of gas that `amount` of a substance makes at a temperature: let loose in a closed room of 1000 m3.
double gas_volume(const std::string& gas, const std::string& amount, const std::string& temperature) {
  const auto site = read("title = \"closed room\"\n[conditions]\ntemperature = \"" + temperature +
                         "\"\n[[space]]\nid = \"room\"\nkind = \"room\"\nvolume = \"1000 m3\"\n"
                         "[[release]]\nid = \"loose\"\nkind = \"dump\"\ninto = \"room\"\ngas = \"" +
                         gas + "\"\namount = \"" + amount + "\"\nover = \"1 min\"\n");
  return -1000.0 * std::log1p(-fraction_at(site, SpaceIndex{0}, GasIndex{0}, 120.0));
}

TEST(LiquidNitrogen, ExpandsAsTheGuidelinesSay) {
  cite(
      "University guideline 2.70.20c (682 at 15 degC, read); data sheets of industrial gases (696 at 70 degF, from "
      "memory). Liquid nitrogen of 0.8061 kg/L.");
  expect_within(gas_volume("nitrogen", "806.1 g", "15 degC") * 1e3, 682.0, 1.0);
  expect_within(gas_volume("nitrogen", "806.1 g", "70 degF") * 1e3, 696.0, 1.0);
}

TEST(DryIce, MakesTheGasThatTheSafetyPagesSay) {
  cite("University of York, dry ice safety (10 kg: 5.4 m3); University of Maine at Fort Kent (1 lb: 8.8 ft3).");
  expect_within(gas_volume("carbon-dioxide", "10 kg", "20 degC"), 5.4, 2.0);
  expect_within(gas_volume("carbon-dioxide", "1 lb", "20 degC") / foot3, 8.8, 2.0);
}

TEST(Cylinder, OfArgonLeavesTheOxygenOfAMixedRoom) {
  cite(
      "University of Nottingham, cryogen safety page (formula, after BCGA), contents of the cylinder from SOM036a. The "
      "formula, 20.95 (1 - Vg/V) = 16.34 %, takes the whole cylinder in before any of it leaves and so is the lower "
      "bound; gas that mixes while the mixture leaves gives 20.95 exp(-Vg/V) = 16.81 %, which the run is held to. No "
      "published number.");
  SiteBuilder build;
  const auto gas = build.gas(leanside::testing::make_inert("argon", 0.03995));
  const auto room = build.space("room", 50.0);
  build.release("whole-cylinder", room, gas, leanside::DumpRelease{build.molar(11.01), 60.0});
  const auto result = assessed(build.site);
  const double oxygen = result.cases.at(0).spaces.at(0).end.oxygen;
  expect_within(oxygen, 0.1681, 0.05);
  EXPECT_GT(oxygen, 0.2095 * (1.0 - 11.01 / 50.0));
  ASSERT_FALSE(result.warnings.empty());
  EXPECT_EQ(result.warnings.front().severity, leanside::Severity::oxygen);
}

TEST(InertLeak, WithAnExtractFanFollowsTheLaboratoryFormula) {
  cite(
      "Fermilab ES&H Manual, oxygen deficiency hazards, case of a fan that exhausts (from memory); the inputs are our "
      "own.");
  SiteBuilder build;
  build.site.conditions.oxygen_in_air = 0.21;
  const auto gas = build.nitrogen();
  const auto room = drawn_room(build, 100.0, 1.0);
  build.steady("leak", room, gas, 0.2);
  const auto oxygen = [&](double x) { return leanside::oxygen_of(build.site, std::vector<double>{x}); };
  expect_within(oxygen(fraction_at(build.site, room, gas, 100.0)), 0.1835, 0.1);
  expect_within(oxygen(fraction_at(build.site, room, gas, 400.0)), 0.168769, 0.001);
  expect_within(oxygen(sustained(build.site, room, gas)), 0.1680, 0.1);
}

TEST(Criteria, WarnOfTooLittleAndTooMuchOxygen) {
  cite("29 CFR 1910.146(b): deficient under 19.5 %, enriched over 23.5 %.");
  const auto severities = [](bool oxygen, double wanted) {
    SiteBuilder build;
    const auto gas = oxygen ? build.oxygen() : build.nitrogen();
    const auto room = drawn_room(build, 50.0, 0.05);
    // The released share x that brings the oxygen from 20.95 % to what is wanted.
    const double x = oxygen ? (wanted - 0.2095) / (1.0 - 0.2095) : 1.0 - wanted / 0.2095;
    build.steady("leak", room, gas, 0.05 * x);
    std::vector<leanside::Severity> result;
    for (const auto& warning : assessed(build.site).warnings) result.push_back(warning.severity);
    return result;
  };
  EXPECT_TRUE(severities(false, 0.1955).empty());
  EXPECT_EQ(severities(false, 0.1945), std::vector{leanside::Severity::oxygen});
  EXPECT_TRUE(severities(true, 0.2345).empty());
  EXPECT_EQ(severities(true, 0.2355), std::vector{leanside::Severity::oxygen});
}

}  // namespace
