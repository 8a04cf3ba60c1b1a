// SPDX-License-Identifier: Apache-2.0
/// The lower limit of warm mixtures. The source of each figure is what its test cites.
#include <vector>

#include <gtest/gtest.h>

#include "leanside/flammability.hpp"
#include "leanside/quantity.hpp"
#include "published/record.hpp"

namespace leanside {
namespace {

using namespace published;

double kelvin(double celsius) { return celsius + zero_celsius; }

TEST(LowerLimitAndTemperature, SlopeByHeatOfCombustionIsTheGeneralOneForAParaffin) {
  cite(
      "M. G. Zabetakis, US Bureau of Mines Bulletin 627, 1965, section on temperature (from memory): paraffins have "
      "L25 dHc = 1040 vol % kcal/mol, and with 0.75 that is 0.000721 a kelvin. Held against each other: the two "
      "slopes.");
  constexpr double lower = 0.021;
  const double net_heat = 1040.0 / (100 * lower) * 4184.0;  // J/mol
  const double by_heat = (lower - lower_limit_at(lower, net_heat, kelvin(125))) / (lower * 100.0);
  const double general = (lower - lower_limit_at(lower, {}, kelvin(125))) / (lower * 100.0);
  expect_within(by_heat, 0.000721, 0.2);
  expect_near(general, 0.000721, 1e-12);
}

TEST(LowerLimitAndTemperature, RatioToThe25DegreeValue) {
  cite(
      "M. G. Zabetakis, US Bureau of Mines Bulletin 627, 1965, section on temperature (from memory), L_t / L_25 at "
      "100, 200 and 300 degC (from memory), three places.");
  struct Row {
    double celsius, ratio;
  };
  for (const auto& [celsius, ratio] : std::vector<Row>{{100, 0.946}, {200, 0.874}, {300, 0.802}}) {
    expect_within(lower_limit_at(0.05, {}, kelvin(celsius)) / 0.05, ratio, 0.1);
  }
}

TEST(LowerLimitAndTemperature, OfMethaneAsMeasuredByWhite) {
  cite(
      "H. F. Coward and G. W. Jones, US Bureau of Mines Bulletin 503, 1952, limits of methane at higher temperatures "
      "after A. G. White, J. Chem. Soc. 127 (1925), downward propagation (from memory): 6.3 % at 17 degC. The law "
      "stays within 6 % of what was measured, and on the safe side of it. The value at 25 degC follows from that at "
      "17.");
  const double at_25 = 0.063 / (1 + 0.000721 * 8.0);
  struct Row {
    double celsius, percent;
  };
  for (const auto& [celsius, percent] : std::vector<Row>{{100, 5.95}, {200, 5.5}, {300, 5.1}, {400, 4.8}}) {
    const double computed = 100 * lower_limit_at(at_25, {}, kelvin(celsius));
    expect_within(computed, percent, 6);
    EXPECT_LT(computed, percent);
  }
}

TEST(LowerLimitAndTemperature, OfMethaneByItsHeatOfCombustion) {
  cite(
      "H. F. Coward and G. W. Jones, US Bureau of Mines Bulletin 503, 1952, after White 1925 (from memory), the "
      "measurements of the check above, against the modified Burgess-Wheeler law with methane's own heat, 191.8 "
      "kcal/mol: a slope of 0.75 / 191.8 vol % a kelvin.");
  const double at_25 = 0.063 - 0.75e-2 * 8.0 / 191.8;
  expect_within(100 * lower_limit_at(at_25, 802.6e3, kelvin(300)), 5.1, 6);
  expect_within(100 * lower_limit_at(at_25, 802.6e3, kelvin(400)), 4.8, 6);
}

}  // namespace
}  // namespace leanside
