// SPDX-License-Identifier: Apache-2.0
// Gas from reactions, against worked answers in print.
#include <limits>

#include "leanside/source.hpp"
#include "published/run.hpp"

namespace {

using namespace published;

using namespace leanside;

constexpr double plenty = std::numeric_limits<double>::infinity();

double litres(double moles, double kelvin, double pressure = standard_atmosphere) {
  return 1000.0 * moles * gas_constant * kelvin / pressure;
}

/// mol of gas from grams of the first reagent and mol of the second.
double yield(const char* reaction, double grams, double other = plenty) {
  const Reaction& found = *find_reaction(reaction);
  std::vector<double> amount = {grams / 1000.0 / found.reagents[0].molar_mass};
  if (found.reagents.size() > 1) amount.push_back(other);
  return yield_of(found, amount).gas;
}

TEST(Zinc, WithTooLittleAcid) {
  cite(
      "Socratic, 10 Apr 2018: 15.00 g of zinc and 100.0 mL of 4.00 mol/L hydrochloric acid, the acid limiting, 0.200 "
      "mol. The 4.48 L printed there are of 0 degC though the question says 25 degC, where it is 4.893 L.");
  const Reaction& reaction = *find_reaction("zinc-hydrochloric-acid");
  const double amount[] = {15.0e-3 / reaction.reagents[0].molar_mass, 0.4};
  EXPECT_EQ(yield_of(reaction, amount).limiting, 1u);
  expect_near(yield_of(reaction, amount).gas, 0.2, 1e-12);
  expect_within(litres(0.2, 298.15), 4.893, 0.3);
  expect_within(litres(0.2, 273.15), 4.48, 0.1);
}

TEST(Zinc, WithAcidInExcess) {
  cite("Univerkov.com: 13 g of zinc (M taken as 65) give 0.2 mol; 16.25 g give 5.6 L at 0 degC.");
  expect_within(yield("zinc-hydrochloric-acid", 13.0), 0.2, 0.7);
  expect_within(litres(yield("zinc-sulfuric-acid", 16.25), 273.15), 5.6, 0.7);
}

TEST(Zinc, GivesTheMassOfHydrogen) {
  cite(
      "Jiskha.com, question 1045384: 7.77 g of zinc in 500 mL of 1.2 mol/L hydrochloric acid: 0.24 g of hydrogen, at "
      "2.02 g/mol.");
  expect_within(yield("zinc-hydrochloric-acid", 7.77, 0.6) * 2.02, 0.239976, 0.1);
}

TEST(Lithium, WithWaterFillsARoomToOnePercent) {
  cite(
      "Zap Energy permit document, City of Everett, p. 15: a room of 13 440 ft3 at 1 % holds 134.4 ft3 or 3806 L of "
      "hydrogen, from 2379 g of lithium at 1.6 L/g, which is the volume at 0 degC (1.615 L/g by the equation).");
  const double room = 13440.0 * published::foot3;
  expect_within(1000.0 * 0.01 * room, 3806.0, 0.1);
  expect_within(litres(yield("lithium-water", 1.0), 273.15), 1.6, 1.0);
  expect_within(litres(yield("lithium-water", 2379.0), 273.15), 3806.0, 1.0);
}

TEST(SodiumAzide, FillsAnAirBag) {
  cite("R. Chang, Chemistry, example 5.12, p. 195: 60.0 g of sodium azide, 80 degC, 823 mmHg: 36.9 L of nitrogen.");
  const double moles = yield("sodium-azide-decomposition", 60.0);
  expect_within(litres(moles, zero_celsius + 80.0, 823.0 * 133.322387415), 36.9, 0.5);
}

TEST(SiteFile, ReactionReleasesItsYield) {
  cite(
      "No source of its own: the yield again through a site file, the release of a reaction is that much gas and no "
      "more.");
  const auto site = published::read(R"(title = "Bench"
[[space]]
id = "hood"
kind = "cabinet"
volume = "1 m3"
[[release]]
id = "flask"
kind = "reaction"
into = "hood"
reaction = "zinc-hydrochloric-acid"
amounts = { zinc = "15.00 g", hydrochloric-acid = ["100.0 mL", "4.00 mol/L"] }
over = "10 min"
)");
  ASSERT_EQ(site.releases.size(), 1u);
  expect_near(total_amount(site.releases[0]), 0.2, 1e-9);
  EXPECT_EQ(site.releases[0].gas.name, "hydrogen");
}

}  // namespace
