// SPDX-License-Identifier: Apache-2.0
/// Bench experiments of at most fifteen lines, each with what a careful demonstrator would want to be told.
#include <cmath>

#include <gtest/gtest.h>

#include "cli/verdicts.hpp"

namespace leanside::cli_test {
namespace {

class Experiments : public CheckedSites {
 protected:
  /// Checks a site that has at most fifteen lines.
  Answer shown(const std::string& site) {
    EXPECT_LE(lines_of(site).size(), 15u);
    return checked(site);
  }
  static json experiment(const Answer& answer) { return answer.data.at("cases").at(0).at("experiments").at(0); }
};

TEST_F(Experiments, ZincAndAcidOverWaterSaysHowMuchToLetGo) {
  const Answer answer = shown(R"(title = "Zinc and acid over water"
[[space]]
id = "flask"
kind = "vessel"
volume = "250 mL"
liquid = "100 mL"
collect = "250 mL"
[[release]]
id = "zinc"
kind = "reaction"
into = "flask"
reaction = "zinc-sulfuric-acid"
amounts = { zinc = "5 g", sulfuric-acid = ["100 mL", "1 mol/L"] }
over = "10 min"
)");
  EXPECT_EQ(answer.code, 1);
  const json jars = experiment(answer).at("collection");
  // 5 g of zinc are 0.0765 mol: 1.88 L over water at 20 degC. The gas space is 150 mL, swept 12 times.
  EXPECT_NEAR(jars.at("gas_mol").get<double>(), 5.0 / 65.38, 1e-4);
  EXPECT_NEAR(jars.at("wet_volume_m3").get<double>(), 5.0 / 65.38 * 8.314463 * 293.15 / (101325.0 - 2338.0), 1e-6);
  // The first jar takes in n = 250/150 volumes less the water: its share is 1 - (1 - e^-n)/n.
  const double n = 250.0 / 150.0 * (101325.0 - 2338.0) / 101325.0;
  const json first = jars.at("jars").at(0);
  EXPECT_NEAR(first.at("fuel").get<double>(), (1.0 - (1.0 - std::exp(-n)) / n) * (1.0 - 2338.0 / 101325.0), 1e-3);
  EXPECT_EQ(first.at("state"), "flammable");
  EXPECT_EQ(jars.at("jars").at(2).at("state"), "rich");
  EXPECT_TRUE(has(answer.first_lines(), "can explode if its hydrogen is lit")) << answer.text;
  EXPECT_TRUE(has(answer.flowing(), "Let the first")) << answer.text;
  EXPECT_TRUE(has(answer.flowing(), "test tube of it away from the apparatus")) << answer.text;
}

TEST_F(Experiments, ATinLitAtTheTopMayStrikeBackWithinAWindow) {
  const Answer answer = shown(R"(title = "Tin of methane, lit at the top"
[[space]]
id = "lab"
kind = "room"
volume = "200 m3"
air_changes = "1 /h"
[[space]]
id = "tin"
kind = "vessel"
diameter = "10 cm"
height = "25 cm"
material = "metal"
initial = { methane = "100 %" }
openings = [{ at = "top", diameter = "8 mm", flame = true }, { at = "bottom", diameter = "12 mm" }]
)");
  EXPECT_EQ(answer.code, 1);
  const json worst = answer.data.at("warnings").at(0);
  EXPECT_EQ(worst.at("severity"), "flammable");
  EXPECT_EQ(worst.at("space"), "tin");
  const json window = experiment(answer).at("window");
  const double from = window.at("may_strike_back_from_s"), latest = window.at("may_strike_back_at_latest_s");
  EXPECT_NEAR(worst.at("time_s").get<double>(), from, 1e-9);
  // q = [2 (rho_a - rho) g H / (rho/(C a_t)^2 + rho_a/(C a_b)^2)]^(1/2) with C 0.6, t_E = 2 V/q: 76 s.
  const double top = 0.6 * 0.7853982 * 64e-6, bottom = 0.6 * 0.7853982 * 144e-6;
  const double rho = 0.016043 * 101325.0 / (8.314463 * 293.15), air = 0.0289655 * 101325.0 / (8.314463 * 293.15);
  const double q = std::sqrt(2.0 * (air - rho) * 9.80665 * 0.25 / (rho / (top * top) + air / (bottom * bottom)));
  EXPECT_NEAR(window.at("unmixed_s").get<double>() / (2.0 * 0.7853982 * 0.01 * 0.25 / q), 1.0, 0.01);
  EXPECT_LE(from, window.at("unmixed_s").get<double>());
  EXPECT_LE(from, window.at("mixed_from_s").get<double>());
  EXPECT_GE(latest, window.at("mixed_from_s").get<double>());
  EXPECT_GT(window.at("too_lean_from_s").get<double>(), latest);
  EXPECT_TRUE(has(answer.flowing(), "The flame on tin may strike back")) << answer.text;
  EXPECT_TRUE(has(answer.flowing(), "burns steadily outside")) << answer.text;
  EXPECT_TRUE(has(answer.flowing(), "never with air")) << answer.text;
  const json course = experiment(answer).at("course");
  EXPECT_EQ(course.front().at("flame"), "steady");
  EXPECT_EQ(course.back().at("flame"), "out");
}

TEST_F(Experiments, AStirredTinHasOneInstant) {
  const Answer answer = shown(R"(title = "Stirred tin of methane"
[[space]]
id = "tin"
kind = "vessel"
diameter = "10 cm"
height = "25 cm"
stirred = true
initial = { methane = "100 %" }
openings = [{ at = "top", diameter = "8 mm", flame = true }, { at = "bottom", diameter = "12 mm" }]
)");
  const json window = experiment(answer).at("window");
  EXPECT_EQ(window.at("may_strike_back_from_s"), window.at("may_strike_back_at_latest_s"));
  EXPECT_EQ(window.at("may_strike_back_from_s"), window.at("mixed_from_s"));
}

TEST_F(Experiments, ABurnerLeftUnlitIsIgnitableCloseToItAndFillsALittleOfTheRoom) {
  const Answer answer = shown(R"(title = "A burner left unlit for 20 minutes"
[[space]]
id = "lab"
kind = "room"
volume = "180 m3"
air_changes = "1 /h"
ignition = ["another burner"]
[[release]]
id = "burner"
kind = "steady"
into = "lab"
gas = "natural-gas"
rate = "5 L/min"
duration = "20 min"
)");
  EXPECT_EQ(answer.code, 1);
  EXPECT_EQ(answer.data.at("warnings").at(0).at("severity"), "near-source");
  EXPECT_TRUE(has(answer.flowing(), "for 20 min")) << answer.text;
  EXPECT_TRUE(has(answer.flowing(), "another burner")) << answer.text;
  // 100 L in 180 m3 with one air change an hour: 180 m3 take less than 0.056 %, some 1.1 % of the lower limit.
  const json peak = answer.data.at("cases").at(0).at("spaces").at(0).at("peak");
  EXPECT_NEAR(peak.at("lfl_fraction").get<double>(), 0.3 * (1.0 - std::exp(-1.0 / 3.0)) / 180.0 / 0.0425, 2e-3);
}

TEST_F(Experiments, AStopperedFlaskBurstsAndSaysHowLittleIsHarmless) {
  const Answer answer = shown(R"(title = "Stoppered flask"
[[space]]
id = "flask"
kind = "vessel"
volume = "250 mL"
liquid = "50 mL"
mouth = "stoppered"
[[release]]
id = "zinc"
kind = "reaction"
into = "flask"
reaction = "zinc-hydrochloric-acid"
amounts = { zinc = "2 g", hydrochloric-acid = "excess" }
over = "5 min"
)");
  EXPECT_EQ(answer.code, 1);
  const json worst = answer.data.at("warnings").at(0);
  EXPECT_EQ(worst.at("severity"), "pressure") << answer.text;
  // 0.03059 mol in the 200 mL that the liquid leaves: 1 + n R T / (p V), to 0.1 %.
  const double factor = 1.0 + 2.0 / 65.38 * 8.314463 * 293.15 / (101325.0 * 200e-6);
  EXPECT_NEAR(worst.at("pressure_pa").get<double>() / 101325.0 / factor, 1.0, 1e-3);
  // A tenth of 200 mL: 20 mL of gas, 0.054 g of zinc.
  EXPECT_NEAR(experiment(answer).at("harmless_gas_mol").get<double>() * 8.314463 * 293.15 / 101325.0, 20e-6, 1e-8);
  EXPECT_TRUE(has(answer.first_lines(), "flask can burst") || has(answer.first_lines(), "Flask can burst"))
      << answer.text;
  EXPECT_TRUE(has(answer.flowing(), "of zinc")) << answer.text;
  EXPECT_TRUE(has(answer.flowing(), "Never stopper it")) << answer.text;
}

TEST_F(Experiments, TheHarmlessAmountPutIntoTheFileIsHarmless) {
  const Answer answer = shown(R"(title = "Stoppered flask, little zinc"
[[space]]
id = "flask"
kind = "vessel"
volume = "250 mL"
liquid = "50 mL"
mouth = "stoppered"
[[release]]
id = "zinc"
kind = "reaction"
into = "flask"
reaction = "zinc-hydrochloric-acid"
amounts = { zinc = "0.051 g", hydrochloric-acid = "excess" }
over = "5 min"
)");
  EXPECT_EQ(answer.first("pressure"), nullptr) << answer.text;
}

TEST_F(Experiments, MethaneWithOxygenIsViolentInAnyAmount) {
  const Answer answer = shown(R"(title = "Methane and oxygen 1:2"
[[space]]
id = "tube"
kind = "vessel"
volume = "20 mL"
material = "glass"
initial = { methane = "33.333 %", oxygen = "66.667 %" }
)");
  EXPECT_EQ(answer.code, 1);
  const json tube = experiment(answer);
  EXPECT_TRUE(tube.at("violent_in_any_amount").get<bool>());
  EXPECT_NEAR(tube.at("oxygen_per_fuel").get<double>(), 2.0, 1e-3);
  EXPECT_NEAR(tube.at("oxygen_that_burns_all").get<double>(), 2.0, 1e-9);
  // A third of 0.832 mmol at 802.6 kJ/mol.
  EXPECT_NEAR(tube.at("heat_j").get<double>(), 0.33333 * 101325.0 * 20e-6 / (8.314463 * 293.15) * 802.6e3, 1.0);
  EXPECT_TRUE(has(answer.first_lines(), "in any amount")) << answer.text;
  EXPECT_FALSE(has(answer.flowing(), "no more than a test tube")) << answer.text;
}

TEST_F(Experiments, BothGasesOfElectrolysisInOneTubeAreTwoToOne) {
  const Answer answer = shown(R"(title = "Electrolysis, both gases in one tube"
[[space]]
id = "tube"
kind = "vessel"
volume = "100 mL"
liquid = "60 mL"
diameter = "2.5 cm"
mouth = "up"
[[release]]
id = "cell"
kind = "electrolysis"
into = "tube"
current = "2 A"
duration = "20 min"
)");
  EXPECT_EQ(answer.code, 1);
  const json tube = experiment(answer);
  EXPECT_TRUE(tube.at("violent_in_any_amount").get<bool>());
  // I t/(2 F) of hydrogen and half as much oxygen.
  EXPECT_NEAR(tube.at("gas_let_in_mol").get<double>(), 1.5 * 2.0 * 1200.0 / (2.0 * 96485.332), 1e-6);
  EXPECT_TRUE(has(answer.flowing(), "a tube for each electrode")) << answer.text;
}

TEST_F(Experiments, CarbideAndWaterIsNeverTooRich) {
  const Answer answer = shown(R"(title = "Carbide and water"
[[space]]
id = "flask"
kind = "vessel"
volume = "250 mL"
liquid = "50 mL"
collect = "100 mL"
[[release]]
id = "carbide"
kind = "reaction"
into = "flask"
reaction = "calcium-carbide-water"
amounts = { calcium-carbide = "2 g", water = "excess" }
over = "5 min"
)");
  EXPECT_EQ(answer.code, 1);
  EXPECT_NEAR(experiment(answer).at("collection").at("gas_mol").get<double>(), 2.0 / 64.1, 1e-4);
  for (const json& jar : experiment(answer).at("collection").at("jars")) EXPECT_EQ(jar.at("state"), "flammable");
  EXPECT_TRUE(has(answer.flowing(), "acetylene")) << answer.text;
  EXPECT_TRUE(has(answer.flowing(), "even without air")) << answer.text;
}

TEST_F(Experiments, ATubeFlushedWithNitrogenFirstNeverPassesTheRange) {
  const Answer answer = shown(R"(title = "Nitrogen, then hydrogen"
release = [
  { id = "nitrogen", kind = "steady", into = "tube", gas = "nitrogen", rate = "300 mL/min", duration = "2 min" },
  { id = "hydrogen", kind = "steady", into = "tube", gas = "hydrogen", rate = "300 mL/min", start = "2 min" },
]
[[space]]
id = "tube"
kind = "vessel"
volume = "150 mL"
diameter = "2 cm"
openings = [{ at = "top", diameter = "4 mm" }]
)");
  EXPECT_EQ(answer.code, 1);
  EXPECT_EQ(answer.first("flammable"), nullptr) << answer.text;
  EXPECT_EQ(answer.data.at("warnings").at(0).at("severity"), "rich");
  // To 40 % of the oxygen at the upper limit of 77 %: ln(1/(0.4 x 0.23)) = 2.39 volumes of 150 mL at 300 mL/min.
  const json sweep = experiment(answer).at("sweeping");
  EXPECT_NEAR(sweep.at("volumes_until_rich").get<double>(), -std::log(0.4 * 0.23), 1e-3);
  EXPECT_NEAR(sweep.at("ready_s").get<double>(), 120.0 + 30.0 * -std::log(0.4 * 0.23), 0.1);
  EXPECT_TRUE(has(answer.flowing(), "Let no air in")) << answer.text;
  EXPECT_TRUE(has(answer.flowing(), "test tube of it away from the apparatus")) << answer.text;
  EXPECT_FALSE(has(answer.flowing(), "go in")) << answer.text;
}

TEST_F(Experiments, HydrogenIntoATubeFullOfAirPassesTheRange) {
  const Answer answer = shown(R"(title = "Hydrogen without nitrogen"
[[space]]
id = "tube"
kind = "vessel"
volume = "150 mL"
diameter = "2 cm"
openings = [{ at = "top", diameter = "4 mm" }]
[[release]]
id = "hydrogen"
kind = "steady"
into = "tube"
gas = "hydrogen"
rate = "300 mL/min"
)");
  EXPECT_EQ(answer.code, 1);
  const json worst = answer.data.at("warnings").at(0);
  EXPECT_EQ(worst.at("severity"), "flammable");
  // Build-up 1 - exp(-n t): 4 % after -30 s ln(0.96).
  EXPECT_NEAR(worst.at("time_s").get<double>(), -30.0 * std::log(0.96), 0.01);
  EXPECT_TRUE(has(answer.flowing(), "Light what leaves only when")) << answer.text;
}

TEST_F(Experiments, AWarmBeakerOfEthanolBurnsAtItsSurface) {
  const Answer answer = shown(R"(title = "Warm beaker of ethanol"
[[space]]
id = "lab"
kind = "room"
volume = "200 m3"
air_changes = "1 /h"
ignition = ["burner"]
[[release]]
id = "beaker"
kind = "spill"
into = "lab"
gas = "ethanol"
amount = "100 mL"
area = "40 cm2"
temperature = "60 degC"
)");
  EXPECT_EQ(answer.code, 1);
  EXPECT_EQ(answer.data.at("warnings").at(0).at("severity"), "near-source");
  EXPECT_EQ(answer.data.at("warnings").at(0).at("source_hazard"), "hot-liquid");
  EXPECT_TRUE(has(answer.first_lines(), "burner")) << answer.text;
}

}  // namespace

// The vapour of a liquid is not pushed out with nitrogen: the liquid is covered, and warmed without a flame.
TEST_F(Experiments, AnOpenBeakerOfEthanolIsCoveredAndKeptFromFlames) {
  const Answer answer = shown(R"(title = "Open beaker of ethanol"
[[space]]
id = "beaker"
kind = "vessel"
diameter = "8 cm"
height = "11 cm"
liquid = "200 mL"
openings = [{ diameter = "8 cm", at = "top" }]
[[release]]
id = "ethanol"
kind = "spill"
into = "beaker"
gas = "ethanol"
amount = "200 mL"
area = "50 cm2"
)");
  EXPECT_EQ(answer.code, 1);
  EXPECT_TRUE(has(answer.first_lines(), "hot water alone")) << answer.text;
  EXPECT_FALSE(has(answer.text, "nitrogen")) << answer.text;
}

}  // namespace leanside::cli_test
