// SPDX-License-Identifier: Apache-2.0
/// Vessels that gas comes into: through a tube from another vessel, and against air that gets in by an open mouth.
#include <cmath>

#include <gtest/gtest.h>

#include "cli/verdicts.hpp"

namespace leanside::cli_test {
namespace {

class FedVessels : public CheckedSites {
 protected:
  /// Checks a site that has at most fifteen lines.
  Answer shown(const std::string& site) {
    EXPECT_LE(lines_of(site).size(), 15u);
    return checked(site);
  }
  static json experiment(const Answer& answer) { return answer.data.at("cases").at(0).at("experiments").at(0); }
};

/// A flask whose gas goes through a tube into a second vessel; `second` has the lines of that vessel, and more.
std::string two_vessels(const std::string& second) {
  return R"(title = "Flask and bottle"
[[space]]
id = "flask"
kind = "vessel"
volume = "250 mL"
liquid = "100 mL"
[[airway]]
id = "joint"
kind = "tube"
between = ["flask", "bottle"]
[[release]]
id = "zinc"
kind = "reaction"
into = "flask"
reaction = "zinc-sulfuric-acid"
amounts = { zinc = "5 g", sulfuric-acid = ["100 mL", "1 mol/L"] }
over = "10 min"
[[space]]
id = "bottle"
kind = "vessel"
)" + second;
}

/// Share of the first gas that is left in the second of two spaces of 150 mL and 500 mL, m3, after `v` m3.
double left_in_second(double v) {
  constexpr double first = 150e-6, second = 500e-6;
  return (first * std::exp(-v / first) - second * std::exp(-v / second)) / (first - second);
}

TEST_F(FedVessels, GasThroughATubeSaysWhenTheSecondVesselPassesTheRange) {
  const Answer answer = checked(two_vessels(R"(volume = "500 mL"
[[airway]]
id = "vent"
kind = "tube"
between = ["bottle", "outside"]
)"));
  EXPECT_EQ(answer.code, 1);
  const auto& all = answer.data.at("cases").at(0).at("experiments");
  ASSERT_EQ(all.size(), 2u);
  const json& bottle = all.at(1);
  ASSERT_EQ(bottle.at("fed_by"), json::array({"flask"}));
  EXPECT_EQ(bottle.at("left_alone_s"), 600.0);
  // The gas made in 10 min, evenly: when 4 % and when 77 % of the air have been displaced (limits of hydrogen).
  const double flow = 5.0 / 65.38 * 8.314463 * 293.15 / 101325.0 / 600.0;
  const json states = bottle.at("states").at("mixed");
  ASSERT_EQ(states.size(), 3u) << states;
  const double enters = states.at(0).at("to_s"), leaves = states.at(1).at("to_s");
  EXPECT_NEAR(1.0 - left_in_second(flow * enters), 0.04, 2e-4);
  EXPECT_NEAR(1.0 - left_in_second(flow * leaves), 0.77, 2e-3);
  // The run, which solves the flows of the whole site, comes to the same.
  const json ran = answer.data.at("cases").at(0).at("spaces").at(1);
  EXPECT_NEAR(ran.at("flammable_from_s").get<double>() / enters, 1.0, 5e-3);
  EXPECT_NEAR(ran.at("flammable_s").get<double>() / (leaves - enters), 1.0, 5e-3);
  EXPECT_TRUE(has(answer.flowing(), "through the tube from flask")) << answer.text;
}

TEST_F(FedVessels, JarsBehindAWashBottleHoldWhatLeavesTheBottle) {
  const Answer answer = checked(two_vessels("volume = \"500 mL\"\ncollect = \"250 mL\"\n"));
  const json& bottle = answer.data.at("cases").at(0).at("experiments").at(1);
  const json jars = bottle.at("collection").at("jars");
  const double wet = (101325.0 - 2338.0) / 101325.0, jar = 250e-6 * wet;  // m3, of dry gas in a jar
  for (std::size_t k = 0; k < 4; ++k) {
    double mean = 0.0;
    constexpr int steps = 10000;
    for (int i = 0; i < steps; ++i) {
      mean += (1.0 - left_in_second(jar * (static_cast<double>(k) + (i + 0.5) / steps))) / steps;
    }
    EXPECT_NEAR(jars.at(k).at("fuel").get<double>(), mean * wet, 2e-3) << k;
  }
  // To 40 % of the oxygen at the upper limit.
  const double flow = 5.0 / 65.38 * 8.314463 * 293.15 / 101325.0 / 600.0;
  const double ready = bottle.at("collection").at("ready_s");
  EXPECT_NEAR(left_in_second(flow * ready), 0.4 * 0.23, 2e-3);
}

TEST_F(FedVessels, TwoVesselsWithoutAWayOutBurstTogether) {
  const Answer answer = checked(two_vessels("volume = \"500 mL\"\n"));
  EXPECT_EQ(answer.data.at("warnings").at(0).at("severity"), "pressure");
  // A tenth more in the 650 mL of both.
  for (const json& one : answer.data.at("cases").at(0).at("experiments")) {
    EXPECT_TRUE(one.at("sealed").get<bool>());
    EXPECT_NEAR(one.at("harmless_gas_mol").get<double>() * 8.314463 * 293.15 / 101325.0, 65e-6, 1e-8);
  }
}

/// Methane at `rate` into a tin full of air with one opening of 2 cm in its lid.
std::string fed_tin(const std::string& rate) {
  return R"(title = "Methane into a tin"
[[space]]
id = "tin"
kind = "vessel"
diameter = "10 cm"
height = "25 cm"
openings = [{ at = "top", diameter = "2 cm" }]
[[release]]
id = "gas"
kind = "steady"
into = "tin"
gas = "methane"
rate = ")" +
         rate + "\"\n";
}

TEST_F(FedVessels, AgainstAWeakFlowAirKeepsTheContentInTheRange) {
  const Answer answer = shown(fed_tin("30 mL/min"));
  const json against = experiment(answer).at("counterflow");
  EXPECT_FALSE(against.at("kept_out").get<bool>());
  EXPECT_NEAR(against.at("outflow_m3_s").get<double>(), 30e-6 / 60.0, 1e-12);
  // F (1 - x) = x q, q 10 % above 0.055 (g' D^5)^(1/2) (the neck as short as was measured) with the density of the
  // mixture, and what diffuses, D d, 15 % above, thinned by Pe/(e^Pe - 1).
  const double x = against.at("fuel_when_gas_ends");
  const double unit = 101325.0 / (8.314463 * 293.15), air = 0.0289655 * unit, rho = air + x * (0.016043 * unit - air);
  const double r = 0.01, a = 1.0 + 400.0 * r * r * r, b = std::pow(std::pow(r, 6.0) + 117.0 * r * r, 0.75);
  const double number = 0.055 * std::pow(a, 1.0 / 6.0) / std::cbrt(1.0 + 0.00527 * std::sqrt(a) * b);
  const double g = 9.80665 * (air - rho) / (0.5 * (air + rho)), flow = 30e-6 / 60.0;
  const double exchange = 1.1 * number * std::sqrt(g * std::pow(0.02, 5.0));
  EXPECT_GT(x, 0.05);
  EXPECT_LT(x, 0.15);
  const double q = flow * (1.0 - x) / x;
  EXPECT_GT(q, exchange);
  EXPECT_LT(q, exchange + 1.15 * 2.5e-5 * 0.02);
  EXPECT_EQ(against.at("flammable_until_s"), nullptr);
  EXPECT_EQ(answer.data.at("warnings").at(0).at("severity"), "flammable");
  EXPECT_TRUE(has(answer.flowing(), "as long as gas comes")) << answer.text;
  EXPECT_TRUE(has(answer.flowing(), "keeps the air out")) << answer.text;
}

TEST_F(FedVessels, TheFlowThatIsAdvisedKeepsTheAirOut) {
  const Answer before = shown(fed_tin("30 mL/min"));
  const std::string text = before.flowing(), start = "A flow of ", unit = " L/min keeps the air out";
  const std::size_t at = text.find(start), end = text.find(unit);
  ASSERT_NE(at, std::string::npos) << text;
  ASSERT_LT(at, end) << text;
  const Answer answer = shown(fed_tin(text.substr(at + start.size(), end - at - start.size()) + " L/min"));
  EXPECT_TRUE(experiment(answer).at("counterflow").at("kept_out").get<bool>());
  EXPECT_EQ(experiment(answer).at("window"), nullptr);
  EXPECT_FALSE(has(answer.flowing(), "as long as gas comes")) << answer.text;
}

TEST_F(FedVessels, OfAnOpenVesselBothBoundsOfTheMixingAreAssumed) {
  const Answer answer = shown(fed_tin("30 mL/min"));
  std::string all;
  for (const json& one : answer.data.at("assumptions")) all += one.at("sentence").get<std::string>() + "\n";
  EXPECT_TRUE(has(all, "air that enters \"tin\" mixes with its gas at once, or stays apart") ||
              has(all, "air that enters 'tin' mixes with its gas at once, or stays apart"))
      << all;
  EXPECT_FALSE(has(all, "every space is well mixed")) << all;
  EXPECT_FALSE(has(all, "through each space.")) << all;
  EXPECT_TRUE(has(all, "but for vessels with openings")) << all;
}

}  // namespace
}  // namespace leanside::cli_test
