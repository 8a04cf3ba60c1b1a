// SPDX-License-Identifier: Apache-2.0
// Oxygen displaced by other gases. Each check names its source; "from memory" means that the value was not looked up
// again.
#include "published/run.hpp"

namespace {

using leanside::GasIndex;
using leanside::SpaceIndex;
using leanside::testing::SiteBuilder;
using namespace published;

constexpr double hour = 3600.0;

TEST(Dewars, LowerTheOxygenAsTheUniversityCalculates) {
  cite("Nitrogen that boils off five stored dewars",
       "University of Oxford, Policy S4/03 appendix 1, case a: five dewars that each lose 0.15 L per day, doubled, "
       "expanding 700 times, in 36 m3 with 0.4 air changes per hour. Printed to one or two figures.");
  SiteBuilder build;
  build.site.conditions.oxygen_in_air = 0.21;
  const auto gas = build.nitrogen();
  const auto room = build.space("store", 36.0);
  build.site.spaces[0].air_changes = 0.4 / hour;
  const double boil_off = 2.0 * 700.0 * 5 * 0.15e-3 / 24.0;  // m3/h, printed as 0.044
  build.steady("boil-off", room, gas, boil_off / hour);
  expect_within(steady_fraction(build.site, room, gas), 0.003, 7.0, "rise of nitrogen at steady state, mol/mol");
  const auto result = assessed(build.site);
  expect_within(0.21 - result.cases.at(0).spaces.at(0).steady.at.oxygen, 0.0006, 7.0,
                "loss of oxygen at steady state, mol/mol");
}

/// Volume of gas, m3, from `amount` of a substance at a temperature, found by releasing it into a closed room of 1000
/// m3.
double gas_volume(const std::string& gas, const std::string& amount, const std::string& temperature) {
  const auto site = read("title = \"closed room\"\n[conditions]\ntemperature = \"" + temperature +
                         "\"\n[[space]]\nid = \"room\"\nkind = \"room\"\nvolume = \"1000 m3\"\n"
                         "[[release]]\nid = \"loose\"\nkind = \"dump\"\ninto = \"room\"\ngas = \"" +
                         gas + "\"\namount = \"" + amount + "\"\nover = \"1 min\"\n");
  return -1000.0 * std::log1p(-fraction_at(site, SpaceIndex{0}, GasIndex{0}, 120.0));
}

TEST(LiquidNitrogen, ExpandsAsTheGuidelinesSay) {
  cite("Gas from a litre of liquid nitrogen",
       "University guideline 2.70.20c (682 at 15 degC, read); data sheets of industrial gases (696 at 70 degF, from "
       "memory). Liquid nitrogen of 0.8061 kg/L. "
       "Tolerance 1 %: published densities of the liquid differ by as much.");
  expect_within(gas_volume("nitrogen", "806.1 g", "15 degC") * 1e3, 682.0, 1.0,
                "gas from a litre of liquid nitrogen at 15 degC, L");
  expect_within(gas_volume("nitrogen", "806.1 g", "70 degF") * 1e3, 696.0, 1.0,
                "gas from a litre of liquid nitrogen at 70 degF, L");
}

TEST(LiquefiedGases, ExpandAsTheSafetySheetsSay) {
  cite("Gas from a litre of liquefied gas",
       "Safety sheets of industrial gases, volume of gas at 70 degF and 1 atm per volume of liquid at its boiling "
       "point (from memory): oxygen 861, argon 842, hydrogen 848, helium 754; liquid densities 1.141, 1.395, 0.0708 "
       "and 0.125 kg/L.");
  struct Row {
    const char* gas;
    const char* litre;
    double volumes;
  };
  for (const auto& row : {Row{"oxygen", "1141 g", 861}, Row{"argon", "1395 g", 842}, Row{"hydrogen", "70.8 g", 848},
                          Row{"helium", "125 g", 754}}) {
    expect_within(gas_volume(row.gas, row.litre, "70 degF") * 1e3, row.volumes, 0.3)
        << "gas from a litre of liquid " << row.gas << ", L";
  }
}

TEST(CompressedGases, MatchTheVolumesOfTheHandbook) {
  cite("Volume of a pound of gas",
       "Compressed Gas Association, Handbook of Compressed Gases, specific volume at 70 degF and 1 atm, ft3/lb, three "
       "figures (from memory). Tolerance 0.5 %, since real gases are a little denser than ideal ones.");
  struct Row {
    const char* gas;
    double volume;
  };
  for (const auto& row : {Row{"hydrogen", 192.0}, Row{"helium", 96.7}, Row{"nitrogen", 13.8},
                          Row{"carbon-monoxide", 13.8}, Row{"air", 13.3}, Row{"oxygen", 12.1}, Row{"argon", 9.67}}) {
    // Released air cannot be distinguished from the air of the room, so this row uses its amount in mol.
    const double volume =
        std::string{row.gas} == "air"
            ? gas_volume("nitrogen", leanside::format_exact(pound / leanside::molar_mass_of_air) + " mol", "70 degF")
            : gas_volume(row.gas, "1 lb", "70 degF");
    expect_within(volume / foot3, row.volume, 0.5) << "volume of a pound of " << plain(row.gas) << ", ft3";
  }
}

TEST(Flooding, NeedsTheVolumesOfTheStandard) {
  cite("Flooding a room with inert gas while air leaves",
       "NFPA 2001 and ISO 14520, flooding with inert gas at free efflux (from memory): X = 2.303 log10(100/(100 - C)) "
       "volumes of gas per volume of the room give C %: 0.511 for 40 %, 0.693 for 50 %.");
  for (const auto& [volumes, percent] : {std::pair{0.511, 40.0}, {0.693, 50.0}}) {
    SiteBuilder build;
    const auto gas = build.gas(leanside::testing::make_inert("argon", 0.03995));
    const auto room = build.space("room", 80.0);
    build.release("flood", room, gas, leanside::DumpRelease{build.molar(volumes * 80.0), 60.0});
    expect_near(100.0 * fraction_at(build.site, room, gas, 120.0), percent, 0.05)
        << "inert gas in the room after " << volumes << " volumes, %";
  }
}

TEST(DryIce, GivesTheGasThatTheSafetyPagesState) {
  cite("Gas from dry ice",
       "University of York, dry ice safety (10 kg: 5.4 m3); University of Maine at Fort Kent (1 lb: 8.8 ft3). "
       "Tolerance 2 %: two figures, and the temperature is not stated.");
  expect_within(gas_volume("carbon-dioxide", "10 kg", "20 degC"), 5.4, 2.0, "gas from 10 kg of dry ice, m3");
  expect_within(gas_volume("carbon-dioxide", "1 lb", "20 degC") / foot3, 8.8, 2.0, "gas from a pound of dry ice, ft3");
}

TEST(ArgonCylinder, LowersTheOxygenOfAMixedRoom) {
  cite("A whole cylinder of argon released into a room",
       "University of Nottingham, cryogen safety page (formula, after BCGA), contents of the cylinder from SOM036a. "
       "The formula, 20.95 (1 - Vg/V) = 16.34 %, assumes that no gas leaves before the cylinder is empty, so it is the "
       "lower bound; gas that mixes while the mixture leaves gives 20.95 exp(-Vg/V) = 16.81 %, which is the expected "
       "value. No published number.");
  SiteBuilder build;
  const auto gas = build.gas(leanside::testing::make_inert("argon", 0.03995));
  const auto room = build.space("room", 50.0);
  build.release("whole-cylinder", room, gas, leanside::DumpRelease{build.molar(11.01), 60.0});
  const auto result = assessed(build.site);
  const double oxygen = result.cases.at(0).spaces.at(0).end.oxygen;
  expect_within(oxygen, 0.1681, 0.05, "oxygen left in the room, mol/mol");
  EXPECT_GT(oxygen, 0.2095 * (1.0 - 11.01 / 50.0));
  ASSERT_FALSE(result.warnings.empty());
  EXPECT_EQ(result.warnings.front().severity, leanside::Severity::oxygen);
}

TEST(InertLeak, FollowsTheLaboratoryFormulaWithAnExtractFan) {
  cite("An inert leak in a room with an extract fan",
       "Fermilab ES&H Manual, oxygen deficiency hazards, case of an exhaust fan (from memory); our inputs.");
  SiteBuilder build;
  build.site.conditions.oxygen_in_air = 0.21;
  const auto gas = build.nitrogen();
  const auto room = ventilated_room(build, 100.0, 1.0);
  build.steady("leak", room, gas, 0.2);
  const auto oxygen = [&](double x) { return leanside::oxygen_of(build.site, std::vector<double>{x}); };
  expect_within(oxygen(fraction_at(build.site, room, gas, 100.0)), 0.1835, 0.1, "oxygen after 100 s, mol/mol");
  expect_within(oxygen(fraction_at(build.site, room, gas, 400.0)), 0.168769, 0.001, "oxygen after 400 s, mol/mol");
  expect_within(oxygen(steady_fraction(build.site, room, gas)), 0.1680, 0.1, "oxygen at steady state, mol/mol");
}

TEST(Criteria, WarnOfTooLittleAndTooMuchOxygen) {
  cite("Oxygen at which warnings begin", "29 CFR 1910.146(b): deficient below 19.5 %, enriched above 23.5 %.");
  const auto severities = [](bool oxygen, double wanted) {
    SiteBuilder build;
    const auto gas = oxygen ? build.oxygen() : build.nitrogen();
    const auto room = ventilated_room(build, 50.0, 0.05);
    // The released share x that brings the oxygen from 20.95 % to `wanted`.
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
  // Find each threshold by bisection.
  const auto begins = [&](bool oxygen, double clear, double warned) {
    while (std::abs(warned - clear) > 1e-7) {
      (severities(oxygen, 0.5 * (clear + warned)).empty() ? clear : warned) = 0.5 * (clear + warned);
    }
    return 0.5 * (clear + warned);
  };
  expect_near(begins(false, 0.2, 0.19), 0.195, 1e-6, "oxygen-deficient below, mol/mol");
  expect_near(begins(true, 0.23, 0.24), 0.235, 1e-6, "oxygen-enriched above, mol/mol");
}

}  // namespace
