// SPDX-License-Identifier: Apache-2.0
/// Limits of mixtures and estimates of the limiting oxygen concentration, compared with worked examples and
/// measurements.
#include <array>
#include <vector>

#include <gtest/gtest.h>

#include "leanside/advanced/flammability.hpp"
#include "leanside/substance.hpp"
#include "leanside/substance_file.hpp"
#include "published/record.hpp"

namespace leanside {
namespace {

using namespace published;

// The mixture of L. Theodore, as cited below.
constexpr std::array theodore_share{0.3, 0.5, 0.2};
constexpr std::array theodore_lower{4.6, 3.5, 1.4};
constexpr std::array theodore_upper{14.2, 15.1, 7.8};

TEST(LeChatelier, MatchesTheExampleOfThreeFuels) {
  cite("Limits of a mixture of three fuels",
       "L. Theodore, Heat Transfer Applications for the Practicing Engineer, Wiley, 2011, illustrative example 24.4, "
       "p. 514 (read in a public collection of worked textbook examples): 30 % methane (4.6 / 14.2), 50 % ethane (3.5 "
       "/ 15.1) and 20 % of a third fuel (1.4 / 7.8, which are pentane's), 2.85 and 12.52 %.");
  expect_within(le_chatelier(theodore_share, theodore_lower), 2.85, 0.5, "lower limit of the mixture, %");
  expect_within(le_chatelier(theodore_share, theodore_upper), 12.52, 0.5, "upper limit of the mixture, %");
}

TEST(LeChatelier, GivesTheShareOfTheLowerLimitOfThreeFuels) {
  cite("Share of the lower limit that a mixture of three fuels reaches",
       "No source of its own, an identity: the mixture of L. Theodore, example 24.4, at 2.0 % in air is at 2.0 / 2.85 "
       "= 0.70 of its lower limit.");
  std::array<Fuel, 3> fuels;
  std::array<double, 3> fraction{};
  for (std::size_t k = 0; k < 3; ++k) {
    fuels[k].lower = theodore_lower[k] / 100;
    fuels[k].upper = theodore_upper[k] / 100;
    fraction[k] = 0.02 * theodore_share[k];
  }
  expect_within(range_of(fuels, fraction, 0.98 * oxygen_in_dry_air).lfl_fraction, 0.70, 0.5,
                "share of the lower limit at 2.0 % of fuel");
}

TEST(LeChatelier, MatchesTheExampleOfANaturalGas) {
  cite("Lower limit of a natural gas",
       "H. F. Coward and G. W. Jones, Limits of Flammability of Gases and Vapors, US Bureau of Mines Bulletin 503, "
       "1952, section on mixtures, worked example of a natural gas (from memory): 4.55 %.");
  const std::array share{0.80, 0.15, 0.04, 0.01};
  const std::array lower{5.3, 3.22, 2.37, 1.86};
  expect_within(le_chatelier(share, lower), 4.55, 0.3, "lower limit of the natural gas, % of air");
}

TEST(LeChatelier, MatchesHandCalculationForHydrogenMethaneAndCarbonMonoxide) {
  cite("Mixtures of hydrogen, methane and carbon monoxide",
       "Source of the limits of the single gases (12 ft sphere, downward): D. S. Burgess, A. L. Furno, J. M. Kuchta "
       "and K. E. Mura, Flammability of mixed gases, US Bureau of Mines RI 8709, 1982, abstract: hydrogen 8.5, methane "
       "5.25, carbon monoxide 13.0 %. The report prints no limit of a mixture in its abstract; it finds the rule "
       "slightly on the safe side. Expected values: the rule, calculated by hand to four figures.");
  const std::array lower{8.5, 5.25, 13.0};
  const auto mixed = [&](double hydrogen, double methane, double monoxide) {
    const std::array share{hydrogen, methane, monoxide};
    return le_chatelier(share, lower);
  };
  expect_near(mixed(0.5, 0.5, 0.0), 6.491, 0.001, "lower limit of hydrogen and methane in equal parts, %");
  expect_near(mixed(0.5, 0.0, 0.5), 10.28, 0.005, "lower limit of hydrogen and carbon monoxide in equal parts, %");
  expect_near(mixed(0.0, 0.5, 0.5), 7.479, 0.001, "lower limit of methane and carbon monoxide in equal parts, %");
  expect_near(mixed(1 / 3.0, 1 / 3.0, 1 / 3.0), 7.791, 0.001, "lower limit of all three in equal parts, %");
}

TEST(LeChatelier, MatchesTheExampleOfHexaneMethaneAndEthylene) {
  cite("Limits of a mixture of hexane, methane and ethylene",
       "D. A. Crowl and J. F. Louvar, Chemical Process Safety, 2nd ed., 2002, example 6-2 (from memory): 0.8 % hexane "
       "(1.2 / 7.5), 2.0 % methane (5.3 / 15), 0.5 % ethylene (3.1 / 32): 2.75 and 12.9 %. The book rounds the shares "
       "of the fuels to two figures, 0.24, 0.61 and 0.15.");
  const std::array share{0.8 / 3.3, 2.0 / 3.3, 0.5 / 3.3};
  const std::array lower{1.2, 5.3, 3.1}, upper{7.5, 15.0, 32.0};
  expect_within(le_chatelier(share, lower), 2.75, 0.5, "lower limit of the mixture, %");
  expect_within(le_chatelier(share, upper), 12.9, 0.5, "upper limit of the mixture, %");
}

TEST(LimitingOxygenEstimate, MatchesTheExampleOfButane) {
  cite("Estimated limiting oxygen concentration of butane",
       "D. A. Crowl and J. F. Louvar, Chemical Process Safety, 2nd ed., 2002, example 6-4 (from memory): n-butane, "
       "lower limit 1.6 %, 6.5 mol of oxygen, 10.4 % oxygen.");
  expect_near(limiting_oxygen_estimate(0.016, 6.5), 0.104, 0.0005, "limiting oxygen of n-butane, mol/mol");
}

TEST(LimitingOxygenEstimate, StaysBelowTheMeasuredValues) {
  cite("Estimated and measured limiting oxygen concentration",
       "Source of the measured values: ASTM E2079-19, note 2 (means of the 120 L and 20 L vessels). The estimate is a "
       "rule of thumb: within 10 % of the measured value and never above it. Lower limits of Bulletin 627.");
  struct Row {
    const char* name;
    double lower, demand, measured;
  };
  for (const auto& [name, lower, demand, measured] :
       std::vector<Row>{{"methane", 0.050, 2, 0.109}, {"propane", 0.021, 5, 0.106}, {"ethylene", 0.027, 3, 0.0855}}) {
    const double estimate = limiting_oxygen_estimate(lower, demand);
    expect_within(estimate, measured, 10) << "limiting oxygen of " << name << ", mol/mol";
    EXPECT_LT(estimate, measured);
  }
}

TEST(LimitingOxygenEstimate, DoesNotHoldForHydrogen) {
  // Source: ASTM E2079-19, note 2. The estimate does not hold for hydrogen: 2.0 %, but 4.6 to 4.7 % measured.
  EXPECT_LT(limiting_oxygen_estimate(0.04, 0.5), 0.5 * 0.046);
}

struct PrintedLimits {
  const char* id;
  double lower, upper;  // %
};

/// Compares the limits that the built-in table attributes to `source` with the values printed there.
void expect_limits(const char* source, const std::vector<PrintedLimits>& printed) {
  for (const auto& [id, lower, upper] : printed) {
    const auto* substance = built_in_substances().find(id);
    ASSERT_NE(substance, nullptr) << id;
    const auto limits = choose_limits(*substance, source);
    ASSERT_TRUE(limits) << id;
    EXPECT_FALSE(limits->fell_back) << id << ' ' << source;
    expect_near(100 * limits->lower, lower, 1e-9) << "lower limit of " << plain(id) << ", %";
    expect_near(100 * limits->upper, upper, 1e-9) << "upper limit of " << plain(id) << ", %";
    EXPECT_EQ(limits->lower_source, source);
    EXPECT_EQ(limits->upper_source, source);
  }
}

TEST(LimitsOfTheTable, MatchBulletin627) {
  cite("Limits of flammability in Bulletin 627",
       "M. G. Zabetakis, Flammability Characteristics of Combustible Gases and Vapors, US Bureau of Mines Bulletin "
       "627, 1965, appendix A (read in a reproduction). The values that the built-in table attributes to it.");
  expect_limits("bulletin-627", {{"hydrogen", 4, 75},
                                 {"methane", 5, 15},
                                 {"n-butane", 1.8, 8.4},
                                 {"n-hexane", 1.2, 7.4},
                                 {"ethylene", 2.7, 36},
                                 {"acetylene", 2.5, 100},
                                 {"benzene", 1.3, 7.9},
                                 {"toluene", 1.2, 7.1},
                                 {"methanol", 6.7, 36},
                                 {"ethanol", 3.3, 19},
                                 {"acetone", 2.6, 13},
                                 {"diethyl-ether", 1.9, 36},
                                 {"carbon-monoxide", 12.5, 74},
                                 {"hydrogen-sulfide", 4, 44},
                                 {"ammonia", 15, 28}});
}

TEST(LimitsOfTheTable, MatchNfpa497) {
  cite("Limits of flammability in NFPA 497",
       "NFPA 497 (2008), table 4.4.2 (read in data files that carry the table). The values that the built-in table "
       "attributes to it.");
  expect_limits("nfpa-497-2008", {{"ethane", 3, 12.5},
                                  {"propane", 2.1, 9.5},
                                  {"n-butane", 1.9, 8.5},
                                  {"n-hexane", 1.1, 7.5},
                                  {"propylene", 2.4, 10.3},
                                  {"1-3-butadiene", 2, 11.5},
                                  {"methanol", 6, 36},
                                  {"2-propanol", 2, 12.7},
                                  {"ethylene-oxide", 3, 100},
                                  {"vinyl-chloride", 3.6, 33}});
}

TEST(LimitsOfTheTable, MatchIec60079Part20) {
  cite("Limits of flammability in IEC 60079-20-1",
       "IEC 60079-20-1 (2010), annex B (read in data files that carry the table). The values that the built-in table "
       "attributes to it.");
  expect_limits("iec-60079-20-1-2010", {{"hydrogen", 4, 77},
                                        {"methane", 4.4, 17},
                                        {"propane", 1.7, 10.9},
                                        {"n-butane", 1.4, 9.3},
                                        {"ethylene", 2.3, 36},
                                        {"acetylene", 2.3, 100},
                                        {"toluene", 1, 7.8},
                                        {"methanol", 6, 36},
                                        {"acetone", 2.5, 14.3},
                                        {"diethyl-ether", 1.7, 39.2},
                                        {"carbon-disulfide", 0.6, 60},
                                        {"carbon-monoxide", 10.9, 74}});
}

TEST(LimitsOfTheTable, MatchThePocketGuide) {
  cite("Limits of flammability in the NIOSH Pocket Guide",
       "NIOSH Pocket Guide to Chemical Hazards, 2005-149. The values that the built-in table attributes to it.");
  expect_limits("niosh-2005", {{"propane", 2.1, 9.5},
                               {"n-hexane", 1.1, 7.5},
                               {"acetone", 2.5, 12.8},
                               {"methyl-ethyl-ketone", 1.4, 11.4},
                               {"ethanol", 3.3, 19},
                               {"ethyl-acetate", 2, 11.5},
                               {"benzene", 1.2, 7.8},
                               {"styrene", 0.9, 6.8},
                               {"tetrahydrofuran", 2, 11.8},
                               {"hydrogen-cyanide", 5.6, 40}});
}

TEST(LimitsOfTheTable, TimesTheHeatOfCombustionAreNearlyConstantForParaffins) {
  cite("Lower limit times heat of combustion of the paraffins",
       "M. G. Zabetakis, Bulletin 627, 1965, section on temperature (from memory): about 1040 vol % kcal/mol for the "
       "paraffins, with his limits. The rule is an average over the series, and the limits are printed to two figures; "
       "tolerance 12 %.");
  for (const char* id : {"methane", "ethane", "propane", "n-butane", "n-pentane", "n-hexane", "n-heptane"}) {
    const auto* substance = built_in_substances().find(id);
    const auto limits = choose_limits(*substance, "bulletin-627");
    EXPECT_FALSE(limits->fell_back) << id;
    expect_within(100 * limits->lower * substance->net_heat->value / 4184.0, 1040.0, 12)
        << "lower limit times heat of combustion of " << plain(id) << ", % kcal/mol";
  }
}
}  // namespace
}  // namespace leanside
