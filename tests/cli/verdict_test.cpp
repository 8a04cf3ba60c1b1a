// SPDX-License-Identifier: Apache-2.0
/// Small invented sites, each with what its answer must say. A person who knows the field would warn of every one.
#include <algorithm>
#include <cmath>

#include <gtest/gtest.h>

#include "cli/verdicts.hpp"

namespace leanside::cli_test {
namespace {

using Verdicts = CheckedSites;

constexpr double hour = 3600.0;
constexpr double day = 24.0 * hour;

TEST_F(Verdicts, AnEtherPoolBesideAHotPlateIsIgnitableAtItsSurface) {
  const Answer answer = checked(R"(title = "Ether beside a hot plate"
[[space]]
id = "lab"
kind = "room"
floor_area = "60 m2"
height = "3 m"
air_changes = "4 /h"
ignition = ["hot plate"]
[[release]]
id = "ether"
kind = "spill"
into = "lab"
gas = "diethyl-ether"
amount = "0.25 L"
area = "0.5 m2"
)");
  EXPECT_EQ(answer.code, 1);
  const json& worst = answer.data.at("warnings").at(0);
  EXPECT_EQ(worst.at("severity"), "near-source");
  EXPECT_EQ(worst.at("release"), "ether");
  EXPECT_EQ(worst.at("source_hazard"), "hot-liquid");
  EXPECT_EQ(worst.at("time_s"), 0.0);
  // Flash point -45 degC; at 20 degC saturated air holds some 58 % of ether, over thirty times 1.7 %.
  EXPECT_NEAR(worst.at("flash_point_k").get<double>(), 228.15, 1.0);
  EXPECT_GT(worst.at("surface_lfl_fraction").get<double>(), 25.0);
  EXPECT_TRUE(has(answer.first_lines(), "NEAR-SOURCE")) << answer.text;
  EXPECT_TRUE(has(answer.text, "An ignition source in this space (hot plate) can ignite the vapour")) << answer.text;
  EXPECT_TRUE(has(answer.text, "Ignition sources there: hot plate")) << answer.text;
  EXPECT_FALSE(has(answer.text, "No warning"));
  EXPECT_FALSE(has(answer.text, "No more air"));
}

TEST_F(Verdicts, AmmoniaOverItsIdlhIsToxic) {
  const Answer answer = checked(R"(title = "Ammonia leak"
[[space]]
id = "store"
kind = "room"
floor_area = "20 m2"
height = "3 m"
air_changes = "1 /h"
[[release]]
id = "leak"
kind = "steady"
into = "store"
gas = "ammonia"
rate = "20 L/min"
)");
  EXPECT_EQ(answer.code, 1);
  const json& worst = answer.data.at("warnings").at(0);
  EXPECT_EQ(worst.at("severity"), "toxic");
  EXPECT_EQ(worst.at("gas"), "ammonia");
  EXPECT_NEAR(worst.at("idlh").get<double>(), 300e-6, 1e-12);
  // 1.2 m3/h into 60 m3/h of air that leaves with it: 1.2/61.2 where both leave, reached as 1 - exp(-t q/V).
  EXPECT_NEAR(worst.at("gas_fraction").get<double>(), 1.2 / 61.2, 1e-6);
  const double change = 61.2 / 60.0 / hour;
  EXPECT_NEAR(worst.at("time_s").get<double>(), -std::log1p(-300e-6 * 61.2 / 1.2) / change, 0.1);
  EXPECT_TRUE(has(answer.text, "exceeds its IDLH of 300 ppm")) << answer.text;
  EXPECT_FALSE(has(answer.text, "No more air"));
}

TEST_F(Verdicts, ASeepingBottleFillsAContainerInDays) {
  const Answer answer = checked(R"(title = "Container with a seeping propane bottle"
[[space]]
id = "container"
kind = "room"
volume = "33 m3"
air_changes = "0.01 /h"
[[release]]
id = "bottle"
kind = "dump"
into = "container"
gas = "propane"
amount = "3.0 kg"
over = "10 d"
)");
  EXPECT_EQ(answer.code, 1);
  const json worst = answer.data.at("warnings").at(0);
  EXPECT_EQ(worst.at("severity"), "flammable");
  EXPECT_NEAR(worst.at("lfl_fraction").get<double>(), 1.09, 0.02);
  EXPECT_GT(worst.at("time_s").get<double>(), 5.0 * day);
  EXPECT_LT(worst.at("time_s").get<double>(), 10.0 * day);
  EXPECT_FALSE(answer.data.at("criteria").at("horizon_given").get<bool>());
  EXPECT_GT(answer.data.at("criteria").at("horizon_s").get<double>(), 10.0 * day);
  EXPECT_TRUE(has(answer.text, "days")) << answer.text;
}

TEST_F(Verdicts, WithAHorizonTheSeepingBottleStillRises) {
  const Answer answer = checked(R"(title = "Container with a seeping propane bottle"
[criteria]
horizon = "1 h"
[[space]]
id = "container"
kind = "room"
volume = "33 m3"
air_changes = "0.01 /h"
[[release]]
id = "bottle"
kind = "dump"
into = "container"
gas = "propane"
amount = "3.0 kg"
over = "10 d"
)");
  EXPECT_EQ(answer.code, 1);
  EXPECT_TRUE(answer.leaves_open("still-rising"));
  const json& open = answer.data.at("not_judged");
  const auto lower = std::find_if(open.begin(), open.end(), [](const json& o) { return o.at("threshold") == "lfl"; });
  ASSERT_NE(lower, open.end());
  EXPECT_GT(lower->at("time_s").get<double>(), 5.0 * day);
  EXPECT_TRUE(has(answer.first_lines(), "has not settled by the end")) << answer.text;
  EXPECT_FALSE(has(answer.text, "No warning"));
}

TEST_F(Verdicts, ARoomThatFillsSlowlyIsFlammableOnItsWay) {
  const Answer answer = checked(R"(title = "Slow fill"
[[space]]
id = "boiler"
kind = "room"
floor_area = "60 m2"
height = "3.5 m"
[[space]]
id = "corridor"
kind = "room"
volume = "300 m3"
air_changes = "5 /h"
[[airway]]
id = "door"
kind = "opening"
between = ["boiler", "corridor"]
[[release]]
id = "leak"
kind = "steady"
into = "boiler"
gas = "natural-gas"
rate = "18 L/min"
)");
  EXPECT_EQ(answer.code, 1);
  const json worst = answer.data.at("warnings").at(0);
  EXPECT_EQ(worst.at("severity"), "flammable");
  EXPECT_EQ(worst.at("space"), "boiler");
  EXPECT_NEAR(worst.at("time_s").get<double>() / hour, 8.4, 0.2);
  const json& boiler = answer.data.at("cases").at(0).at("spaces").at(0);
  EXPECT_GT(boiler.at("flammable_s").get<double>(), 1.0 * day);
  EXPECT_EQ(answer.first("rich"), nullptr);
}

TEST_F(Verdicts, AClosedVesselFillsForMonthsAndHasNoSteadyState) {
  const Answer answer = checked(R"(title = "Closed vessel"
[[space]]
id = "tank"
kind = "vessel"
volume = "50 m3"
[[release]]
id = "seep"
kind = "steady"
into = "tank"
gas = "hydrogen"
rate = "0.01 L/min"
)");
  EXPECT_EQ(answer.code, 1);
  const json worst = answer.data.at("warnings").at(0);
  EXPECT_EQ(worst.at("severity"), "flammable");
  // x = V/(50 m3 + V) = 4 % where 50/24 m3 have come in.
  EXPECT_NEAR(worst.at("time_s").get<double>() / day, 50.0 / 24.0 / (1e-5 * 60.0 * 24.0), 0.1);
  EXPECT_FALSE(worst.at("worst_is_steady").get<bool>());
  EXPECT_TRUE(has(answer.flowing(), "there is no steady state")) << answer.text;
  EXPECT_FALSE(has(answer.flowing(), "and the steady state"));
}

TEST_F(Verdicts, DryIceFillsARoomWithToxicCarbonDioxide) {
  const Answer answer = checked(R"(title = "Dry ice"
[criteria]
horizon = "2 h"
[[space]]
id = "prep"
kind = "room"
volume = "78.4 m3"
air_changes = "0.2 /h"
[[release]]
id = "ice"
kind = "dump"
into = "prep"
gas = "carbon-dioxide"
amount = "7 kg"
over = "1 h"
)");
  EXPECT_EQ(answer.code, 1);
  const json worst = answer.data.at("warnings").at(0);
  EXPECT_EQ(worst.at("severity"), "toxic");
  EXPECT_EQ(worst.at("gas"), "carbon-dioxide");
  EXPECT_NEAR(worst.at("idlh").get<double>(), 0.04, 1e-12);
  EXPECT_NEAR(worst.at("gas_fraction").get<double>(), 0.043, 0.001);
  EXPECT_TRUE(has(answer.first_lines(), "TOXIC")) << answer.text;
}

TEST_F(Verdicts, EthanolHeatedOverItsFlashPointIsIgnitableAtTheBeaker) {
  const Answer answer = checked(R"(title = "Heating ethanol in a beaker"
[criteria]
horizon = "1 h"
[[space]]
id = "lab"
kind = "room"
volume = "200 m3"
air_changes = "1 /h"
ignition = ["Bunsen burner"]
[[release]]
id = "beaker"
name = "Beaker of ethanol on a burner"
kind = "spill"
into = "lab"
gas = "ethanol"
amount = "100 mL"
area = "40 cm2"
temperature = "85 degC"
)");
  EXPECT_EQ(answer.code, 1);
  const json worst = answer.data.at("warnings").at(0);
  EXPECT_EQ(worst.at("severity"), "near-source");
  EXPECT_EQ(worst.at("release"), "beaker");
  EXPECT_TRUE(has(answer.first_lines(), "Bunsen burner")) << answer.text;
}

TEST_F(Verdicts, ASealedFlaskThatMakesGasBurstsFirst) {
  const Answer answer = checked(R"(title = "Sealed flask, marble and acid"
[criteria]
horizon = "1 h"
[[space]]
id = "flask"
kind = "vessel"
volume = "250 mL"
[[release]]
id = "marble"
kind = "reaction"
into = "flask"
reaction = "calcium-carbonate-hydrochloric-acid"
amounts = { calcium-carbonate = "5 g", hydrochloric-acid = ["50 mL", "2 mol/L"] }
half_time = "2 min"
)");
  EXPECT_EQ(answer.code, 1);
  const json worst = answer.data.at("warnings").at(0);
  EXPECT_EQ(worst.at("severity"), "pressure");
  // 0.05 mol of gas in 250 mL of air at 20 degC: 1 + 0.05 R T / (p V).
  EXPECT_NEAR(worst.at("pressure_pa").get<double>() / 101325.0, 1.0 + 0.05 * 8.314463 * 293.15 / (101325.0 * 250e-6),
              0.01);
  EXPECT_EQ(answer.first("oxygen"), nullptr);
}

TEST_F(Verdicts, MethaneWithOxygenBurnsViolently) {
  const Answer answer = checked(R"(title = "Methane and oxygen 1:2 in a small tube"
[[space]]
id = "lab"
kind = "room"
volume = "200 m3"
air_changes = "1 /h"
[[space]]
id = "tube"
kind = "vessel"
volume = "100 mL"
initial = { methane = "33.3 %", oxygen = "66.6 %" }
)");
  EXPECT_EQ(answer.code, 1);
  const json worst = answer.data.at("warnings").at(0);
  EXPECT_EQ(worst.at("severity"), "flammable");
  EXPECT_EQ(worst.at("space"), "tube");
  EXPECT_EQ(worst.at("time_s"), 0.0);
  EXPECT_TRUE(worst.at("violent").get<bool>());
  EXPECT_TRUE(has(answer.text, "burns far more violently than in air")) << answer.text;
  EXPECT_TRUE(has(answer.text, "just enough to burn all of it")) << answer.text;
}

}  // namespace
}  // namespace leanside::cli_test
