// SPDX-License-Identifier: Apache-2.0
// Vessels of a site file, and what the answer makes of them.
#include <cmath>
#include <fstream>
#include <sstream>

#include <gtest/gtest.h>

#include "leanside/assess.hpp"
#include "leanside/site_file.hpp"
#include "leanside/substance_file.hpp"
#include "support/paths.hpp"

namespace leanside {
namespace {

Site site_of(const std::string& text) {
  SiteReading reading = parse_site("title = \"x\"\n" + text, "x.toml", built_in_substances());
  for (const Diagnostic& fault : reading.diagnostics) {
    EXPECT_NE(fault.level, DiagnosticLevel::error) << to_text(fault);
  }
  return reading.usable() != nullptr ? *reading.usable() : Site{};
}

Assessment answer_to(const Site& site) {
  auto outcome = assess(site);
  EXPECT_TRUE(std::holds_alternative<Assessment>(outcome));
  return std::get<Assessment>(outcome);
}

const Experiment& experiment_of(const Assessment& answer) {
  EXPECT_FALSE(answer.cases.front().experiments.empty());
  return answer.cases.front().experiments.front();
}

const std::string tin = "[[space]]\nid = \"tin\"\nkind = \"vessel\"\ndiameter = \"10 cm\"\nheight = \"25 cm\"\n";

TEST(VesselFile, ItsVolumeFollowsFromDiameterAndHeight) {
  const Site site = site_of(tin);
  EXPECT_NEAR(site.spaces[0].volume, 0.7853981634 * 0.01 * 0.25, 1e-12);
}

TEST(VesselFile, LiquidTakesItsRoomFromTheGas) {
  const Site site = site_of(tin + "liquid = \"1 L\"\n");
  EXPECT_NEAR(site.spaces[0].volume, 0.7853981634 * 0.01 * 0.25 - 1e-3, 1e-12);
  EXPECT_NEAR(site.spaces[0].apparatus.liquid, 1e-3, 1e-15);
}

TEST(VesselFile, ItsOpeningsLeadToTheOnlyRoom) {
  const Site site =
      site_of("[[space]]\nid = \"lab\"\nkind = \"room\"\nvolume = \"100 m3\"\n" + tin + "mouth = \"up\"\n");
  ASSERT_EQ(site.airways.size(), 1u);
  EXPECT_EQ(site.airways[0].id, "tin:mouth");
  EXPECT_EQ(first_side(site.airways[0]), Side{SpaceIndex{1}});
  EXPECT_EQ(second_side(site.airways[0]), Side{SpaceIndex{0}});
  ASSERT_EQ(site.spaces[1].apparatus.openings.size(), 1u);
  EXPECT_NEAR(site.spaces[1].apparatus.openings[0].height, 0.25, 1e-12);
}

TEST(VesselFile, AStopperedOneIsSealed) { EXPECT_TRUE(site_of(tin + "mouth = \"stoppered\"\n").airways.empty()); }

TEST(VesselFile, ARangeOfAVesselIsDrawnWithItsOpening) {
  RangedReading reading = parse_ranged_site(
      "title = \"x\"\n[[space]]\nid = \"tin\"\nkind = \"vessel\"\nvolume = { low = \"1 L\", best = \"2 L\", high = \"3 "
      "L\" "
      "}\nheight = \"20 cm\"\nmouth = \"up\"\ninitial = { methane = \"100 %\" }\n",
      "x.toml", built_in_substances());
  ASSERT_TRUE(reading.site);
  RangedSite::Draws draws(*reading.site);
  const double value = 1e-3;
  const Site* drawn = draws.at(std::span{&value, 1});
  ASSERT_NE(drawn, nullptr);
  EXPECT_NEAR(drawn->spaces[0].volume, 1e-3, 1e-12);
  EXPECT_EQ(drawn->airways.size(), 1u);
}

TEST(VesselFile, ElectrolysisIsTwoPartsOfHydrogenToOneOfOxygen) {
  const Site site = site_of(tin +
                            "[[release]]\nid = \"cell\"\nkind = \"electrolysis\"\ninto = \"tin\"\ncurrent = \"2 A\"\n"
                            "cells = 3\nduration = \"10 min\"\n");
  const auto& steady = std::get<SteadyRelease>(site.releases[0].kind);
  EXPECT_NEAR(steady.rate, 3.0 * 2.0 / 96485.33212 * 0.75, 1e-12);
  ASSERT_EQ(site.releases[0].gas.shares.size(), 2u);
  EXPECT_NEAR(site.releases[0].gas.shares[0].fraction, 2.0 / 3.0, 1e-12);
  EXPECT_NEAR(site.releases[0].gas.shares[1].fraction, 1.0 / 3.0, 1e-12);
}

TEST(Experiments, BuildUpInAnOpenVesselIsOneMinusTheExponential) {
  const Site site =
      site_of("[criteria]\nhorizon = \"60 s\"\n" + tin +
              "openings = [{ at = \"top\", diameter = \"4 mm\" }]\n"
              "[[release]]\nid = \"tap\"\nkind = \"steady\"\ninto = \"tin\"\ngas = \"hydrogen\"\nrate = \"2 L/min\"\n");
  const Assessment answer = answer_to(site);
  const double volumes = 2e-3 / site.spaces[0].volume;
  EXPECT_NEAR(answer.cases[0].spaces[0].end.fraction[0], 1.0 - std::exp(-volumes), 1e-8);
}

TEST(Experiments, ASealedFlaskWithLiquidReachesThePressureOfItsGas) {
  const Site site = site_of(
      "[[space]]\nid = \"flask\"\nkind = \"vessel\"\nvolume = \"250 mL\"\nliquid = \"50 mL\"\n"
      "[[release]]\nid = \"marble\"\nkind = \"reaction\"\ninto = \"flask\"\nover = \"5 min\"\n"
      "reaction = \"calcium-carbonate-hydrochloric-acid\"\n"
      "amounts = { calcium-carbonate = \"5 g\", hydrochloric-acid = [\"50 mL\", \"2 mol/L\"] }\n");
  const Assessment answer = answer_to(site);
  // 0.05 mol (the marble would give 0.04996) in 200 mL at 20 degC.
  const double gas = 5e-3 / 0.100086;
  const double expected = 101325.0 + gas * gas_constant * 293.15 / 200e-6;
  EXPECT_NEAR(answer.cases[0].spaces[0].pressure / expected, 1.0, 1e-3);
  EXPECT_TRUE(experiment_of(answer).sealed);
  EXPECT_NEAR(*experiment_of(answer).harmless_gas, 0.1 * 101325.0 * 200e-6 / (gas_constant * 293.15), 1e-9);
}

TEST(Experiments, TheHeatIsThatOfTheStoichiometricMixture) {
  const Assessment answer =
      answer_to(site_of(
          tin + "initial = { methane = \"100 %\" }\nopenings = [{ at = \"top\", diameter = \"8 mm\", flame = true }, "
                "{ at = \"bottom\", diameter = \"12 mm\" }]\n"));
  const Experiment& e = experiment_of(answer);
  EXPECT_NEAR(e.worst_fuel, 1.0 / (1.0 + 2.0 / 0.2095), 1e-3);
  EXPECT_NEAR(e.heat / (e.held * e.worst_fuel * 802.6e3), 1.0, 1e-2);
  EXPECT_NEAR(e.heat_of_all / (e.held * 802.6e3), 1.0, 1e-3);
  EXPECT_FALSE(e.with_oxygen);
  ASSERT_TRUE(e.closed_pressure);
  EXPECT_NEAR(*e.closed_pressure, (7.1e5 + 101325.0) * 298.15 / 293.15, 1.0);
  ASSERT_TRUE(e.window);
  EXPECT_FALSE(e.course.empty());
}

TEST(Experiments, EveryWarningThatAFlameMayStrikeBackIsFlammable) {
  for (const char* gas : {"hydrogen", "methane", "propane", "carbon-monoxide", "ethylene"}) {
    const Assessment answer =
        answer_to(site_of(tin + "mouth = \"up\"\nflame = true\ninitial = { " + gas + " = \"100 %\" }\n"));
    ASSERT_FALSE(answer.warnings.empty()) << gas;
    EXPECT_EQ(answer.warnings[0].severity, Severity::flammable) << gas;
    ASSERT_TRUE(answer.warnings[0].experiment) << gas;
    EXPECT_NEAR(*answer.warnings[0].time, answer.warnings[0].experiment->window->from, 1e-12) << gas;
  }
}

TEST(Experiments, AnInertContentHasNoWindow) {
  const Assessment answer =
      answer_to(site_of(tin + "mouth = \"up\"\ninitial = { hydrogen = \"3 %\", nitrogen = \"97 %\" }\n"));
  for (const Experiment& e : answer.cases[0].experiments) EXPECT_FALSE(e.window);
}

TEST(Flames, AreOfSubstancesOfTheTableAndNameSourcesOfThePage) {
  std::ifstream page{testing::source_path("docs/sources.md")};
  std::stringstream text;
  text << page.rdbuf();
  EXPECT_GT(built_in_flames().size(), 50u);
  for (const FlameProperties& flame : built_in_flames()) {
    ASSERT_NE(built_in_substances().find(flame.gas), nullptr) << flame.gas;
    EXPECT_TRUE(built_in_substances().find(flame.gas)->flammable()) << flame.gas;
    for (const auto& value : {flame.safe_gap, flame.quenching_distance, flame.burning_velocity,
                              flame.explosion_pressure, flame.explosion_pressure_oxygen}) {
      if (!value) continue;
      EXPECT_NE(text.str().find('`' + value->source + '`'), std::string::npos) << value->source;
    }
    // A flame passes no gap that it cannot even burn in.
    if (flame.safe_gap && flame.quenching_distance) {
      EXPECT_LT(flame.safe_gap->value, flame.quenching_distance->value) << flame.gas;
    }
  }
}

}  // namespace
}  // namespace leanside
