// SPDX-License-Identifier: Apache-2.0
// Gas from reactions, compared with published worked answers.
#include <limits>

#include "leanside/advanced/sources.hpp"
#include "published/run.hpp"

namespace {

using namespace published;

using namespace leanside;

constexpr double plenty = std::numeric_limits<double>::infinity();

double litres(double moles, double kelvin, double pressure = standard_atmosphere) {
  return 1000.0 * moles * gas_constant * kelvin / pressure;
}

/// Gas, mol, from `grams` of the first reagent and `other` mol of each of the others.
double yield(const char* reaction, double grams, double other = plenty) {
  const Reaction& found = *find_reaction(reaction);
  std::vector<double> amount = {grams / 1000.0 / found.reagents[0].molar_mass};
  while (amount.size() < found.reagents.size()) amount.push_back(other);
  return yield_of(found, amount).gas;
}

TEST(Zinc, GivesThePublishedHydrogenWithTooLittleAcid) {
  cite("Zinc with too little acid",
       "Socratic, 10 Apr 2018: 15.00 g of zinc and 100.0 mL of 4.00 mol/L hydrochloric acid, the acid is limiting: "
       "0.200 mol. The 4.48 L printed there are at 0 degC, although the question says 25 degC, where the volume is "
       "4.893 L.");
  const Reaction& reaction = *find_reaction("zinc-hydrochloric-acid");
  const double amount[] = {15.0e-3 / reaction.reagents[0].molar_mass, 0.4};
  EXPECT_EQ(yield_of(reaction, amount).limiting, 1u);
  expect_near(yield_of(reaction, amount).gas, 0.2, 1e-12, "hydrogen from 0.4 mol of acid, mol");
  expect_within(litres(0.2, 298.15), 4.893, 0.3, "hydrogen from 0.4 mol of acid at 25 degC, L");
  expect_within(litres(0.2, 273.15), 4.48, 0.1, "hydrogen from 0.4 mol of acid at 0 degC, L");
}

TEST(Zinc, GivesThePublishedHydrogenWithExcessAcid) {
  cite("Zinc with acid in excess",
       "Univerkov.com: 13 g of zinc (M taken as 65) give 0.2 mol; 16.25 g give 5.6 L at 0 degC.");
  expect_within(yield("zinc-hydrochloric-acid", 13.0), 0.2, 0.7, "hydrogen from 13 g of zinc, mol");
  expect_within(litres(yield("zinc-sulfuric-acid", 16.25), 273.15), 5.6, 0.7,
                "hydrogen from 16.25 g of zinc at 0 degC, L");
}

TEST(Zinc, GivesThePublishedMassOfHydrogen) {
  cite("Mass of hydrogen from zinc",
       "Jiskha.com, question 1045384: 7.77 g of zinc in 500 mL of 1.2 mol/L hydrochloric acid: 0.24 g of hydrogen, at "
       "2.02 g/mol.");
  expect_within(yield("zinc-hydrochloric-acid", 7.77, 0.6) * 2.02, 0.239976, 0.1, "hydrogen from 7.77 g of zinc, g");
}

TEST(Lithium, BringsARoomToOnePercentHydrogen) {
  cite("Lithium and water that bring a room to one per cent hydrogen",
       "Zap Energy permit document, City of Everett, p. 15: a room of 13 440 ft3 at 1 % holds 134.4 ft3 or 3806 L of "
       "hydrogen, from 2379 g of lithium at 1.6 L/g, which is the volume at 0 degC (1.615 L/g by the equation). "
       "Tolerance 1 %: 1.6 for 1.615.");
  expect_within(litres(yield("lithium-water", 1.0), 273.15), 1.6, 1.0, "hydrogen from a gram of lithium at 0 degC, L");
  expect_within(litres(yield("lithium-water", 2379.0), 273.15), 3806.0, 1.0,
                "hydrogen from 2379 g of lithium at 0 degC, L");
  const auto site = published::read(R"(title = "Room"
[conditions]
temperature = "0 degC"
[[space]]
id = "room"
kind = "room"
volume = "13440 ft3"
[[release]]
id = "lithium"
kind = "reaction"
into = "room"
reaction = "lithium-water"
amounts = { lithium = "2379 g", water = "excess" }
over = "10 min"
)");
  // Some of the hydrogen leaves with the displaced air.
  expect_within(published::fraction_at(site, SpaceIndex{0}, GasIndex{0}, 1200.0), 0.01, 1.0,
                "hydrogen in the room, mol/mol");
}

TEST(CalciumCarbide, GivesThePublishedAcetylene) {
  cite("Acetylene from calcium carbide",
       "Handbooks of the acetylene industry (from memory): a kilogram of pure carbide gives 349 L at 0 degC, and "
       "commercial carbide about 300 L. Tolerance 0.3 % for the molar volume assumed there.");
  expect_within(litres(yield("calcium-carbide-water", 1000.0), 273.15), 349.0, 0.3,
                "acetylene from a kilogram of carbide at 0 degC, L");
}

TEST(Hydrogen, PerGramOfMetalOrHydrideMatchesTheTextbooks) {
  cite("Hydrogen per gram of metal or hydride",
       "Textbooks of inorganic chemistry (from memory), L at 0 degC per gram: aluminium 1.245, magnesium 0.922, "
       "calcium 0.559, sodium 0.487, calcium hydride 1.065; sodium borohydride 2.37 (H. I. Schlesinger and others, J. "
       "Am. Chem. Soc. 75 (1953) 215).");
  expect_near(litres(yield("aluminium-sodium-hydroxide", 1.0), 273.15), 1.245, 0.002,
              "hydrogen from a gram of aluminium, L");
  expect_near(litres(yield("magnesium-hydrochloric-acid", 1.0), 273.15), 0.922, 0.001,
              "hydrogen from a gram of magnesium, L");
  expect_near(litres(yield("calcium-water", 1.0), 273.15), 0.559, 0.001, "hydrogen from a gram of calcium, L");
  expect_near(litres(yield("sodium-water", 1.0), 273.15), 0.487, 0.001, "hydrogen from a gram of sodium, L");
  expect_near(litres(yield("calcium-hydride-water", 1.0), 273.15), 1.065, 0.001,
              "hydrogen from a gram of calcium hydride, L");
  expect_near(litres(yield("sodium-borohydride-water", 1.0), 273.15), 2.37, 0.005,
              "hydrogen from a gram of sodium borohydride, L");
}

TEST(HydrogenPeroxide, GivesOxygenByItsVolumeStrength) {
  cite("Oxygen from hydrogen peroxide, by its volume strength",
       "British Pharmacopoeia (from memory): solutions of 30 %, 6 % and 3 % (g in 100 mL) have strengths of 100, 20 "
       "and 10 volumes: litres of oxygen at 0 degC per litre of solution. The names are rounded; tolerance 1.5 %.");
  for (const auto& [grams, volumes] : {std::pair{300.0, 100.0}, {60.0, 20.0}, {30.0, 10.0}}) {  // g/L
    expect_within(litres(yield("hydrogen-peroxide-decomposition", grams), 273.15), volumes, 1.5)
        << "oxygen from a litre of " << grams / 10.0 << " % peroxide, L";
  }
}

TEST(SodiumAzide, GivesTheNitrogenOfTheAirBagExample) {
  cite("Nitrogen from sodium azide in an air bag",
       "R. Chang, Chemistry, example 5.12, p. 195: 60.0 g of sodium azide, 80 degC, 823 mmHg: 36.9 L of nitrogen.");
  const double moles = yield("sodium-azide-decomposition", 60.0);
  expect_within(litres(moles, zero_celsius + 80.0, 823.0 * 133.322387415), 36.9, 0.5,
                "nitrogen from 60.0 g at 80 degC and 823 mmHg, L");
}

TEST(SiteFile, ReactionReleasesExactlyItsYield) {
  cite("Reaction in a site file",
       "No source of its own: the same yield through a site file; the reaction releases exactly that amount of gas.");
  const auto site = published::read(R"(title = "Bench"
[[space]]
id = "hood"
kind = "cabinet"
volume = "1 m3"
stands_in = "outside"
[[release]]
id = "flask"
kind = "reaction"
into = "hood"
reaction = "zinc-hydrochloric-acid"
amounts = { zinc = "15.00 g", hydrochloric-acid = ["100.0 mL", "4.00 mol/L"] }
over = "10 min"
)");
  ASSERT_EQ(site.releases.size(), 1u);
  expect_near(total_amount(site.releases[0]), 0.2, 1e-9, "hydrogen released, mol");
  EXPECT_EQ(site.releases[0].gas.name, "hydrogen");
}

}  // namespace
