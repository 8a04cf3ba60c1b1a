// SPDX-License-Identifier: Apache-2.0
// Carbon dioxide in a ventilated room with a methane burner, compared with what was measured. Source: see cite().
#include "published/run.hpp"

namespace {

using namespace leanside;
using namespace published;
using leanside::testing::SiteBuilder;

TEST(MeasuredRoom, HoldsTheGasOfABurnerAtRest) {
  cite("Carbon dioxide of a burner in a ventilated room",
       "K. L. Foote, 1986 LLNL enclosure fire tests data report, UCID-21236, 1987 (room of 108 m3 and report from "
       "memory; the readings, means over a short time, read in the fire research database of NIST, a US government "
       "work). The last reading of each test: methane, air through the room, carbon dioxide in dried air. A mole of "
       "methane makes one of carbon dioxide and takes two of oxygen that leave as water, so the dried share of n mol/s "
       "in N mol/s of air is n/(N - n). Here n of gas goes into the air: that is x/(1 - 2 x). Tolerance 18 %: the "
       "burner was still warming the room, and gas went by the fan before it had mixed. leanside is 6 % too high on "
       "average, at most 2 % too low.");
  struct Row {
    int test;
    double methane, air, carbon_dioxide;  // g/s, g/s, vol %
  };
  constexpr double outside = 0.0004;  // of carbon dioxide
  double sum = 0.0;
  int tests = 0;
  for (const Row& row :
       std::vector<Row>{{9, 4.0, 461, 1.57},  {11, 4.0, 204, 3.35}, {13, 4.0, 391, 1.80}, {15, 2.0, 312, 1.18},
                        {17, 4.0, 500, 1.53}, {18, 4.0, 392, 1.83}, {20, 4.0, 203, 3.53}, {23, 4.0, 223, 3.26},
                        {26, 4.0, 490, 1.54}, {30, 4.9, 292, 3.19}, {32, 2.0, 103, 3.17}, {33, 2.0, 208, 1.64},
                        {35, 2.0, 408, 0.87}, {36, 2.0, 527, 0.69}, {40, 4.0, 394, 1.80}, {42, 4.0, 179, 4.01},
                        {50, 4.0, 188, 3.68}, {54, 4.0, 216, 2.99}, {58, 4.0, 189, 3.70}, {59, 4.0, 194, 3.67}}) {
    SiteBuilder build;
    const auto gas = build.nitrogen();  // its density makes no difference to a mixed room
    const auto volume_rate = [&](double grams, double molar_mass) {
      return grams / molar_mass * gas_constant * build.site.conditions.temperature / build.site.conditions.pressure;
    };
    const auto room = build.space("room", 108.0);
    build.fan("supply", std::nullopt, room, volume_rate(row.air, 28.965));
    build.opening("outlet", room, std::nullopt);
    build.steady("burner", room, gas, volume_rate(row.methane, 16.043));
    const double x = steady_fraction(build.site, room, gas);
    const double dried = 100.0 * (x / (1.0 - 2.0 * x) + outside);
    expect_within(dried, row.carbon_dioxide, 18.0) << "test " << row.test << ", vol %";
    sum += dried / row.carbon_dioxide;
    ++tests;
  }
  expect_within(sum / tests, 1.0, 7.0, "mean of computed over measured");
}

}  // namespace
