// SPDX-License-Identifier: Apache-2.0
/// Flammable limits of warm mixtures. Each test cites its source.
#include <vector>

#include <gtest/gtest.h>

#include "leanside/advanced/flammability.hpp"
#include "leanside/units.hpp"
#include "published/record.hpp"

namespace leanside {
namespace {

using namespace published;

double kelvin(double celsius) { return celsius + zero_celsius; }

TEST(LowerLimitAndTemperature, SlopeFromHeatOfCombustionMatchesTheGeneralSlopeForAParaffin) {
  cite("How fast the lower limit falls with temperature",
       "M. G. Zabetakis, US Bureau of Mines Bulletin 627, 1965, section on temperature (from memory): paraffins have "
       "L25 dHc = 1040 vol % kcal/mol, which with 0.75 gives 0.000721 per kelvin. The two slopes are compared.");
  constexpr double lower = 0.021;
  const double net_heat = 1040.0 / (100 * lower) * 4184.0;  // J/mol
  const double by_heat = (lower - lower_limit_at(lower, net_heat, kelvin(125))) / (lower * 100.0);
  const double general = (lower - lower_limit_at(lower, {}, kelvin(125))) / (lower * 100.0);
  expect_within(by_heat, 0.000721, 0.2,
                "slope from the heat of combustion of a paraffin, share of the limit at 25 degC per kelvin");
  expect_near(general, 0.000721, 1e-12, "slope without a heat of combustion, share of the limit at 25 degC per kelvin");
}

TEST(LowerLimitAndTemperature, RatioToThe25DegreeValueMatchesBulletin627) {
  cite("Lower limit of warm mixtures relative to 25 degC",
       "M. G. Zabetakis, US Bureau of Mines Bulletin 627, 1965, section on temperature (from memory): L_t / L_25 at "
       "100, 200 and 300 degC, three decimals.");
  struct Row {
    double celsius, ratio;
  };
  for (const auto& [celsius, ratio] : std::vector<Row>{{100, 0.946}, {200, 0.874}, {300, 0.802}}) {
    expect_within(lower_limit_at(0.05, {}, kelvin(celsius)) / 0.05, ratio, 0.1)
        << "lower limit at " << celsius << " degC, relative to 25 degC";
  }
}

TEST(UpperLimitAndTemperature, RatioToThe25DegreeValueMatchesBulletin627) {
  cite("Upper limit of warm mixtures relative to 25 degC",
       "M. G. Zabetakis, US Bureau of Mines Bulletin 627, 1965, section on temperature (from memory): U_t / U_25 = 1 + "
       "0.000721 (t - 25), to three decimals.");
  struct Row {
    double celsius, ratio;
  };
  for (const auto& [celsius, ratio] : std::vector<Row>{{100, 1.054}, {200, 1.126}, {300, 1.198}}) {
    expect_near(upper_limit_at(0.15, {}, kelvin(celsius)) / 0.15, ratio, 0.0005)
        << "upper limit at " << celsius << " degC, relative to 25 degC";
  }
}

TEST(LowerLimitAndTemperature, MatchesTheCorrectionForOvens) {
  cite("Correction of the lower limit for ovens",
       "NFPA 86, Standard for Ovens and Furnaces, solvent safety ventilation, correction factors of the lower limit "
       "(from memory), two decimals: 0.95 at 212 degF, 0.91 at 300, 0.87 at 400, 0.83 at 500.");
  struct Row {
    double fahrenheit, factor;
  };
  for (const auto& [fahrenheit, factor] : std::vector<Row>{{212, 0.95}, {300, 0.91}, {400, 0.87}, {500, 0.83}}) {
    expect_near(lower_limit_at(0.05, {}, kelvin((fahrenheit - 32) / 1.8)) / 0.05, factor, 0.005)
        << "lower limit at " << fahrenheit << " degF, relative to the cold limit";
  }
}

TEST(LowerLimitAndTemperature, OfMethaneMatchesTheMeasurementsByWhite) {
  cite("Lower limit of hot methane as measured by White",
       "H. F. Coward and G. W. Jones, US Bureau of Mines Bulletin 503, 1952, limits of methane at higher temperatures "
       "after A. G. White, J. Chem. Soc. 127 (1925), downward propagation (from memory): 6.3 % at 17 degC. The law "
       "stays within 6 % of the measurements, on the safe side. The value at 25 degC follows from that at 17 degC.");
  const double at_25 = 0.063 / (1 + 0.000721 * 8.0);
  struct Row {
    double celsius, percent;
  };
  for (const auto& [celsius, percent] : std::vector<Row>{{100, 5.95}, {200, 5.5}, {300, 5.1}, {400, 4.8}}) {
    const double computed = 100 * lower_limit_at(at_25, {}, kelvin(celsius));
    expect_within(computed, percent, 6) << "lower limit of methane at " << celsius << " degC, %";
    EXPECT_LT(computed, percent);
  }
}

TEST(LowerLimitAndTemperature, OfMethaneFromItsHeatOfCombustionMatchesWhite) {
  cite("The same measurements, compared with the law that uses the heat of combustion of methane",
       "H. F. Coward and G. W. Jones, US Bureau of Mines Bulletin 503, 1952, after White 1925 (from memory), the "
       "measurements of the check above, compared with the modified Burgess-Wheeler law with the heat of combustion of "
       "methane, 191.8 kcal/mol: a slope of 0.75 / 191.8 vol % per kelvin.");
  const double at_25 = 0.063 - 0.75e-2 * 8.0 / 191.8;
  expect_within(100 * lower_limit_at(at_25, 802.6e3, kelvin(300)), 5.1, 6, "lower limit of methane at 300 degC, %");
  expect_within(100 * lower_limit_at(at_25, 802.6e3, kelvin(400)), 4.8, 6, "lower limit of methane at 400 degC, %");
}

}  // namespace
}  // namespace leanside
