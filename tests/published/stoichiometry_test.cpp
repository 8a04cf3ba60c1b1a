// SPDX-License-Identifier: Apache-2.0
/// Oxygen demands of the built-in table and the stoichiometric fractions that follow from them. Each test cites its
/// source.
#include <vector>

#include <gtest/gtest.h>

#include "leanside/advanced/flammability.hpp"
#include "leanside/site.hpp"
#include "leanside/substance.hpp"
#include "leanside/substance_file.hpp"
#include "published/record.hpp"

namespace leanside {
namespace {

using namespace published;

double demand_of(const char* id) {
  const Substance* substance = built_in_substances().find(id);
  return substance && substance->oxygen_demand ? substance->oxygen_demand->value : 0.0;
}

struct Row {
  const char* id;
  double percent;
};
class StoichiometricFractionInAir : public testing::TestWithParam<Row> {};

TEST_P(StoichiometricFractionInAir, MatchesBulletin627) {
  cite("Stoichiometric mixtures with air",
       "M. G. Zabetakis, Flammability Characteristics of Combustible Gases and Vapors, US Bureau of Mines Bulletin "
       "627, 1965, appendix A, table A-1, column C_st, vol % in air (from memory). Tolerance 0.5 % for the table's "
       "three figures and its assumed oxygen in air, 20.9 to 21.0 %.");
  const auto [id, percent] = GetParam();
  ASSERT_GT(demand_of(id), 0.0);
  expect_within(100 * stoichiometric_fraction(demand_of(id)), percent, 0.5)
      << "stoichiometric share of " << plain(id) << " in air, %";
}

INSTANTIATE_TEST_SUITE_P(
    , StoichiometricFractionInAir,
    testing::Values(Row{"methane", 9.48}, Row{"ethane", 5.65}, Row{"propane", 4.02}, Row{"n-butane", 3.12},
                    Row{"n-pentane", 2.55}, Row{"n-hexane", 2.16}, Row{"n-heptane", 1.87}, Row{"ethylene", 6.52},
                    Row{"propylene", 4.44}, Row{"acetylene", 7.72}, Row{"benzene", 2.72}, Row{"toluene", 2.27},
                    Row{"methanol", 12.24}, Row{"ethanol", 6.52}, Row{"acetone", 4.97}, Row{"diethyl-ether", 3.37},
                    Row{"hydrogen", 29.5}, Row{"carbon-monoxide", 29.5}, Row{"ammonia", 21.81},
                    Row{"hydrogen-sulfide", 12.24}, Row{"isobutane", 3.12}, Row{"n-octane", 1.65},
                    Row{"cyclohexane", 2.27}, Row{"1-butene", 3.37}, Row{"ethylbenzene", 1.96}, Row{"2-propanol", 4.44},
                    Row{"ethylene-oxide", 7.72}, Row{"ethyl-acetate", 4.02}, Row{"carbon-disulfide", 6.52}),
    [](const auto& info) {
      std::string name = info.param.id;
      for (auto& c : name) c = c == '-' ? '_' : c;
      return name;
    });

TEST(StoichiometricFraction, OfPropaneMatchesTheExamination) {
  cite("Stoichiometric mixture and estimated lower limit of propane",
       "Korean industrial safety engineer examination, 2020, round 3, question 96, with its published solution: "
       "propane in air of 21 % oxygen, C_st = 4.0306 %, and from it a lower limit of 2.2168 %. Exact arithmetic.");
  const double c_st = 100 * stoichiometric_fraction(demand_of("propane"), 0.21);
  expect_near(c_st, 4.0306, 0.0005, "stoichiometric share of propane in air, %");
  expect_near(0.55 * c_st, 2.2168, 0.0005, "0.55 C_st, estimated lower limit of propane, %");
}

TEST(StoichiometricFraction, OfHexaneGivesThePublishedEstimatesOfItsLimits) {
  cite("Stoichiometric mixture of n-hexane, from which its limits are estimated",
       "D. A. Crowl and J. F. Louvar, Chemical Process Safety, 2nd ed., 2002, example 6-3 (from memory): limits of "
       "n-hexane estimated as 0.55 and 3.5 times C_st, 1.19 and 7.57 %, with 4.76 mol of air per mol of oxygen. The "
       "estimate is the book's; the quantity compared is C_st.");
  const double c_st = 100 * stoichiometric_fraction(demand_of("n-hexane"), 1 / 4.76);
  expect_within(0.55 * c_st, 1.19, 0.5, "0.55 C_st, estimated lower limit of n-hexane, %");
  expect_within(3.5 * c_st, 7.57, 0.5, "3.5 C_st, estimated upper limit of n-hexane, %");
}

TEST(StoichiometricFraction, MatchesTheAirOfTheGasTables) {
  cite("Air needed to burn a volume of gas",
       "Combustion constants of the gas industry, as in the GPSA and North American combustion handbooks (from "
       "memory), ft3 of air per ft3 of gas, with 4.764 volumes of air per volume of oxygen. Tolerance 0.3 % for the "
       "assumed oxygen in air.");
  struct Printed {
    const char* id;
    double air;
  };
  for (const auto& [id, air] : std::vector<Printed>{{"hydrogen", 2.382},
                                                    {"carbon-monoxide", 2.382},
                                                    {"methane", 9.528},
                                                    {"ethane", 16.675},
                                                    {"propane", 23.821},
                                                    {"n-butane", 30.967},
                                                    {"ethylene", 14.293},
                                                    {"propylene", 21.439},
                                                    {"acetylene", 11.911},
                                                    {"benzene", 35.732},
                                                    {"hydrogen-sulfide", 7.146},
                                                    {"ammonia", 3.573}}) {
    expect_within(1 / stoichiometric_fraction(demand_of(id)) - 1, air, 0.3)
        << "air for a volume of " << plain(id) << ", volumes";
  }
}

TEST(StoichiometricFraction, MatchesTheAirFuelRatiosOfEngineFuels) {
  cite("Air needed to burn a mass of fuel",
       "J. B. Heywood, Internal Combustion Engine Fundamentals, 1988, appendix D, stoichiometric air/fuel ratio by "
       "mass (from memory). Tolerance 0.4 % for the assumed oxygen in air and molar mass of air.");
  struct Printed {
    const char* id;
    double air;
  };
  for (const auto& [id, air] : std::vector<Printed>{{"methane", 17.23},
                                                    {"propane", 15.67},
                                                    {"isooctane", 15.13},
                                                    {"benzene", 13.27},
                                                    {"toluene", 13.50},
                                                    {"methanol", 6.47},
                                                    {"ethanol", 9.00},
                                                    {"hydrogen", 34.3},
                                                    {"carbon-monoxide", 2.467}}) {
    const double fuel_mass = built_in_substances().find(id)->molar_mass.value;
    expect_within((1 / stoichiometric_fraction(demand_of(id)) - 1) * molar_mass_of_air / fuel_mass, air, 0.4)
        << "air for a kilogram of " << plain(id) << ", kg";
  }
}

TEST(OxygenDemand, OfAcetyleneIsTwoAndAHalfVolumes) {
  cite("Oxygen needed to burn acetylene",
       "R. Chang, Chemistry, example 5.11: 7.64 L of acetylene burn with 19.1 L of oxygen. Exact arithmetic.");
  expect_near(7.64 * demand_of("acetylene"), 19.1, 0.02, "oxygen for 7.64 L of acetylene, L");
}

}  // namespace
}  // namespace leanside
