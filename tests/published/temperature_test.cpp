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

struct Ratio {
  double celsius, ratio;
};

TEST(LowerLimitAndTemperature, FallsToZeroWhereItWasMeasuredTo) {
  cite("Temperature at which the line of lower limits comes to zero",
       "Combustion, Explosion and Shock Waves, abstract at mathnet.ru (fgv985): 900 +- 20 degC for methane, methanol, "
       "formaldehyde and hydrogen, upward propagation; the general rule has 1300 degC.");
  const double slope = (1.0 - lower_limit_at(0.05, {}, kelvin(225)) / 0.05) / 200.0;
  expect_within(25.0 + 1.0 / slope, 900.0, 2.3, "zero of the lower limit, degC");
}

TEST(LowerLimitAndTemperature, OfHydrogenMatchesTheMeasuredLine) {
  cite("Limits of hot hydrogen",
       "V. Schroeder and K. Holtappels, Explosion characteristics of hydrogen-air and hydrogen-oxygen mixtures at "
       "elevated pressures, ICHS 2005 (from memory): 3.9, 3.4, 2.9, 2.1, 1.5 % and 75.2, 77.6, 81.3, 83.9, 87.6 % at "
       "20, "
       "100, 200, 300 and 400 degC. The law may be on the safe side only. "
       "Tolerance 5 %: of 1.5 % the printed decimal alone is 3 %.");
  struct Row {
    double celsius, lower, upper;
  };
  constexpr double heat = 241.8e3, at_25 = 0.039, upper_25 = 0.752;
  for (const auto& [celsius, lower, upper] :
       std::vector<Row>{{20, 3.9, 75.2}, {100, 3.4, 77.6}, {200, 2.9, 81.3}, {300, 2.1, 83.9}, {400, 1.5, 87.6}}) {
    expect_within(100 * lower_limit_at(at_25, heat, kelvin(celsius)), lower, 5)
        << "lower limit of hydrogen at " << celsius << " degC, %";
    const double above = 100 * upper_limit_at(upper_25, at_25, heat, kelvin(celsius));
    expect_within(above, upper, 5) << "upper limit of hydrogen at " << celsius << " degC, %";
    EXPECT_GT(above, 0.995 * upper);
  }
}

TEST(LowerLimitAndTemperature, LiesOnTheSafeSideOfBulletin627) {
  cite("Lower limit of warm mixtures relative to 25 degC",
       "M. G. Zabetakis, US Bureau of Mines Bulletin 627, 1965, section on temperature (from memory): L_t / L_25 at "
       "100, 200 and 300 degC, three decimals. The law here falls faster, see the first check: it must not be above.");
  for (const auto& [celsius, ratio] : std::vector<Ratio>{{100, 0.946}, {200, 0.874}, {300, 0.802}}) {
    const double computed = lower_limit_at(0.05, {}, kelvin(celsius)) / 0.05;
    expect_at_most(computed, ratio) << "lower limit at " << celsius << " degC, relative to 25 degC";
  }
}

TEST(UpperLimitAndTemperature, LiesOnTheSafeSideOfBulletin627) {
  cite("Upper limit of warm mixtures relative to 25 degC",
       "M. G. Zabetakis, US Bureau of Mines Bulletin 627, 1965, section on temperature (from memory): U_t / U_25 = 1 + "
       "0.000721 (t - 25), to three decimals. The law here rises faster, as the product of both limits stays; it must "
       "not be below.");
  for (const auto& [celsius, ratio] : std::vector<Ratio>{{100, 1.054}, {200, 1.126}, {300, 1.198}}) {
    const double computed = upper_limit_at(0.15, 0.05, {}, kelvin(celsius)) / 0.15;
    expect_at_least(computed, ratio) << "upper limit at " << celsius << " degC, relative to 25 degC";
  }
}

TEST(LowerLimitAndTemperature, LiesOnTheSafeSideOfTheCorrectionForOvens) {
  cite("Correction of the lower limit for ovens",
       "NFPA 86, Standard for Ovens and Furnaces, solvent safety ventilation, correction factors of the lower limit "
       "(from memory), two decimals: 0.95 at 212 degF, 0.91 at 300, 0.87 at 400, 0.83 at 500. leanside must not be "
       "above.");
  for (const auto& [fahrenheit, factor] : std::vector<Ratio>{{212, 0.95}, {300, 0.91}, {400, 0.87}, {500, 0.83}}) {
    const double computed = lower_limit_at(0.05, {}, kelvin((fahrenheit - 32) / 1.8)) / 0.05;
    expect_at_most(computed, factor) << "lower limit at " << fahrenheit << " degF, relative to the cold limit";
  }
}

TEST(LowerLimitAndTemperature, OfMethaneLiesOnTheSafeSideOfTheMeasurementsByWhite) {
  cite("Lower limit of hot methane as measured by White",
       "H. F. Coward and G. W. Jones, US Bureau of Mines Bulletin 503, 1952, limits of methane at higher temperatures "
       "after A. G. White, J. Chem. Soc. 127 (1925), downward propagation (from memory): 6.3 % at 17 degC. Upward "
       "propagation, which the law follows, falls faster: leanside must not be above.");
  for (const auto& [celsius, percent] : std::vector<Ratio>{{100, 5.95}, {200, 5.5}, {300, 5.1}, {400, 4.8}}) {
    const double computed = 100 * lower_limit_at(0.0626, 802.6e3, kelvin(celsius));
    expect_at_most(computed, percent) << "lower limit of methane at " << celsius << " degC, %";
  }
}

}  // namespace
}  // namespace leanside
