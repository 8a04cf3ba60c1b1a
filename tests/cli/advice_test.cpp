// SPDX-License-Identifier: Apache-2.0
/// Small invented sites whose advice is followed: it is put into the file, and the file is checked again.
#include <gtest/gtest.h>

#include "cli/verdicts.hpp"

namespace leanside::cli_test {
namespace {

using Advice = CheckedSites;

std::string room(const std::string& rest) {
  return "title = \"One room\"\n[[space]]\nid = \"room\"\nkind = \"room\"\n" + rest;
}

std::string steady(const std::string& gas, const std::string& rate, const std::string& into = "room") {
  return "[[release]]\nid = \"leak\"\nkind = \"steady\"\ninto = \"" + into + "\"\ngas = \"" + gas + "\"\nrate = \"" +
         rate + "\"\n";
}

/// A supply fan and an extract fan of the same flow, m3/s.
std::string more_air(double flow) {
  const std::string rate = std::to_string(3600.0 * flow) + " m3/h\"\n";
  return "[[airway]]\nid = \"supply\"\nkind = \"fan\"\nfrom = \"outside\"\nto = \"room\"\nflow = \"" + rate +
         "[[airway]]\nid = \"exhaust\"\nkind = \"fan\"\nfrom = \"room\"\nto = \"outside\"\nflow = \"" + rate;
}

/// "volume of 50 m3 and two air changes an hour, a seep, and a hose that comes off after an hour".
std::string dump_and_seep(const std::string& seep, const std::string& dump) {
  return room("volume = \"50 m3\"\nair_changes = \"2 /h\"\n") + steady("methane", seep) +
         "[[release]]\nid = \"hose\"\nkind = \"dump\"\ninto = \"room\"\ngas = \"methane\"\namount = \"" + dump +
         "\"\nover = \"2 min\"\nstart = \"1 h\"\n";
}

TEST_F(Advice, SaysWhatEachRemedyLeavesOfAPeak) {
  const Answer answer = checked(dump_and_seep("20 L/min", "5 m3"));
  EXPECT_EQ(answer.code, 1);
  const json worst = answer.data.at("warnings").at(0);
  EXPECT_EQ(worst.at("severity"), "flammable");
  EXPECT_NEAR(worst.at("lfl_fraction").get<double>(), 2.31, 0.02);
  // The seep alone: 1.2 m3/h in 101.2 m3/h of a gas with the limit 4.4 %.
  const json& left = worst.at("stop").at("after_first");
  EXPECT_NEAR(left.at("worst").get<double>(), 1.2 / 101.2 / 0.044, 1e-4);
  EXPECT_TRUE(left.at("over").get<bool>());
  EXPECT_EQ(worst.at("air_limit"), "too_much");
  EXPECT_TRUE(has(answer.flowing(),
                  "With only \"hose\" stopped, it still reaches 27 % of the lower flammable limit in "
                  "steady state"))
      << answer.text;
  EXPECT_TRUE(has(answer.flowing(), "More air alone is not enough: even with 60 air changes an hour, it still reaches"))
      << answer.text;
}

TEST_F(Advice, UsingLessKeepsARoomBelowTheMargin) {
  const Answer before = checked(dump_and_seep("20 L/min", "5 m3"));
  ASSERT_TRUE(has(before.flowing(),
                  "\"hose\" with no more than 510 L (now 5 m3 over 2 min) and \"leak\" at no more than "
                  "2 L/min"))
      << before.text;
  const Answer after = checked(dump_and_seep("2 L/min", "510 L"));
  // Close to the hose gas can still be ignited; the room as a whole keeps below the margin.
  EXPECT_EQ(after.first("near-source").at("release"), "hose");
  EXPECT_EQ(after.first("margin"), nullptr) << after.text;
  // What was advised is nearly the most: 5 % more of both is over the margin again.
  EXPECT_NE(checked(dump_and_seep("2.1 L/min", "536 L")).first("margin"), nullptr);
}

// Somebody who weighs a bottle gets advice in kilograms or grams.
TEST_F(Advice, UsingLessOfAMassIsAMass) {
  const auto bottle = [&](const std::string& amount) {
    return room("volume = \"30 m3\"\nair_changes = \"1 /h\"\n") +
           "[[release]]\nid = \"bottle\"\nkind = \"dump\"\ninto = \"room\"\ngas = \"propane\"\namount = \"" + amount +
           "\"\nover = \"20 min\"\n";
  };
  const std::string told = checked(bottle("11 kg")).flowing();
  const std::string before = "\"bottle\" with no more than ", after = " (now 11 kg over 20 min)";
  const std::size_t from = told.find(before), to = told.find(after);
  ASSERT_TRUE(from < to && to != std::string::npos) << told;
  const std::string amount = told.substr(from + before.size(), to - from - before.size());
  EXPECT_TRUE(amount.ends_with(" g")) << amount;
  const Answer less = checked(bottle(amount));
  EXPECT_EQ(less.first("flammable"), nullptr) << less.text;
  EXPECT_EQ(less.first("margin"), nullptr) << less.text;
}

TEST_F(Advice, MoreAirIsJustEnough) {
  const std::string site = room("volume = \"50 m3\"\nair_changes = \"2 /h\"\n") + steady("methane", "40 L/min");
  const double air = checked(site).first("margin").at("extra_air_m3_s").get<double>();
  EXPECT_EQ(checked(site + more_air(air)).first("margin"), nullptr);
  EXPECT_NE(checked(site + more_air(0.99 * air)).first("margin"), nullptr);
}

// A tenth of the lower limit is the IDLH of propane: air for the margin alone leaves more than that.
TEST_F(Advice, NamesAGasThatStaysAboveItsIdlh) {
  const std::string site = room("volume = \"50 m3\"\nair_changes = \"1 /h\"\n") + steady("propane", "6 L/min");
  const Answer answer = checked(site);
  const json fire = answer.first("margin"), poison = answer.first("toxic");
  EXPECT_TRUE(poison.at("idlh_is_tenth_of_limit").get<bool>());
  EXPECT_EQ(fire.at("after_air").at("over"), false);
  EXPECT_EQ(fire.at("after_air").at("toxic").at("gas"), "propane");
  EXPECT_TRUE(has(answer.flowing(), "(propane then still reaches 4250 ppm, above its IDLH)")) << answer.text;
  EXPECT_FALSE(has(answer.flowing(), "breathing apparatus")) << answer.text;
  const Answer aired = checked(site + more_air(fire.at("extra_air_m3_s").get<double>()));
  EXPECT_EQ(aired.first("margin"), nullptr);
  EXPECT_NEAR(aired.first("toxic").at("gas_fraction").get<double>(), 0.00425, 1e-5);
}

TEST_F(Advice, TheFansOwnInletComesBeforeMoreAir) {
  const std::string site =
      room("floor_area = \"8 m2\"\nheight = \"2.5 m\"\n") + steady("hydrogen", "20 L/min") +
      "[[airway]]\nid = \"extract\"\nkind = \"fan\"\nfrom = \"room\"\nto = \"outside\"\nflow = \"150 m3/h\"\n";
  const Answer answer = checked(site);
  EXPECT_EQ(answer.code, 1);
  const json worst = answer.first("margin");
  EXPECT_EQ(worst.at("remedy_kind"), "open_inlet");
  EXPECT_EQ(worst.at("opening").at("missing"), "inlet");
  EXPECT_TRUE(has(answer.flowing(), "Or give the fan extract an inlet into room of at least")) << answer.text;
  const std::string area = std::to_string(worst.at("opening").at("free_area_m2").get<double>());
  const Answer after = checked(site +
                               "[[airway]]\nid = \"inlet\"\nkind = \"gap\"\nbetween = [\"outside\", \"room\"]\n"
                               "exponent = 0.5\nleakage_area = \"" +
                               std::to_string(0.6 * std::stod(area)) + " m2\"\n");
  EXPECT_EQ(after.first("margin"), nullptr) << after.text;
  EXPECT_NEAR(after.data.at("cases").at(0).at("spaces").at(0).at("steady").at("lfl_fraction").get<double>(),
              worst.at("opening").at("after").at("worst").get<double>(), 1e-4);
}

TEST_F(Advice, AFanAgainstThousandsOfPascalsIsOnTheFirstLines) {
  const Answer answer = checked(
      room("volume = \"50 m3\"\nheight = \"2.5 m\"\n") + steady("methane", "10 L/min") +
      "[[airway]]\nid = \"fan\"\nkind = \"fan\"\nfrom = \"room\"\nto = \"outside\"\nflow = \"1000 m3/h\"\n"
      "[[airway]]\nid = \"gap\"\nkind = \"gap\"\nbetween = [\"outside\", \"room\"]\nleakage_area = \"10 cm2\"\n");
  EXPECT_EQ(answer.code, 1);
  EXPECT_TRUE(has(answer.first_lines(), "would have to work against 53")) << answer.text;
  EXPECT_TRUE(has(answer.first_lines(), "Open an inlet into room")) << answer.text;
}

TEST_F(Advice, BringsNoAirIntoATubeAndNoPeople) {
  const Answer answer = checked(R"(title = "Flushing a combustion tube"
[criteria]
horizon = "20 min"
[[space]]
id = "lab"
kind = "room"
volume = "200 m3"
air_changes = "1 /h"
[[space]]
id = "tube"
kind = "vessel"
volume = "150 mL"
[[airway]]
id = "outlet"
kind = "opening"
between = ["tube", "lab"]
[[release]]
id = "n2"
kind = "steady"
into = "tube"
gas = "nitrogen"
rate = "300 mL/min"
duration = "1 min"
[[release]]
id = "h2"
kind = "steady"
into = "tube"
gas = "hydrogen"
rate = "300 mL/min"
start = "1 min"
)");
  EXPECT_EQ(answer.code, 1);
  const json worst = answer.data.at("warnings").at(0);
  EXPECT_EQ(worst.at("severity"), "rich");
  EXPECT_EQ(worst.at("space"), "tube");
  EXPECT_EQ(worst.at("extra_air_m3_s"), nullptr);
  EXPECT_EQ(worst.at("air_limit"), "holds_fuel");
  const std::string remedy = worst.at("remedy");
  EXPECT_TRUE(has(remedy, "Let no air into tube: purge it with an inert gas")) << remedy;
  for (const char* part : {"people", "Nobody", "fresh air", "go in"}) EXPECT_FALSE(has(remedy, part)) << remedy;
}

// Saturated air of 20 degC holds 2.3 % of water vapour: steam does not dilute the methane. 6 m3/h of it in 31 m3/h.
TEST_F(Advice, SteamCondensesAndDoesNotDiluteAFuel) {
  const Answer answer = checked(
      room("volume = \"50 m3\"\nair_changes = \"0.5 /h\"\n") + steady("methane", "100 L/min") +
      "start = \"1 h\"\n[[release]]\nid = \"steam\"\nkind = \"steady\"\ninto = \"room\"\ngas = \"water-vapour\"\n"
      "rate = \"100 kg/h\"\n");
  EXPECT_EQ(answer.code, 1);
  const json worst = answer.data.at("warnings").at(0);
  EXPECT_EQ(worst.at("severity"), "flammable");
  EXPECT_NEAR(worst.at("lfl_fraction").get<double>(), 6.0 / 31.6 / 0.044, 0.03);
  const json& normal = answer.data.at("cases").at(0);
  EXPECT_LT(normal.at("spaces").at(0).at("steady").at("fraction").at("water-vapour").get<double>(), 0.0235);
  EXPECT_EQ(normal.at("condensing").at(0).at("release"), "steam");
  EXPECT_TRUE(has(answer.flowing(), "of the water vapour from \"steam\" stays in the air")) << answer.text;
}

TEST_F(Advice, ALiquidThatBoilsIsComputedAtItsBoilingPoint) {
  const std::string beaker =
      "[[release]]\nid = \"beaker\"\nkind = \"spill\"\ninto = \"room\"\ngas = \"ethanol\"\namount = \"100 mL\"\n"
      "area = \"40 cm2\"\ntemperature = \"85 degC\"\n";
  const Answer answer = checked(room("volume = \"200 m3\"\nair_changes = \"1 /h\"\n") + beaker);
  const json worst = answer.data.at("warnings").at(0);
  EXPECT_EQ(worst.at("severity"), "near-source");
  // Ethanol boils at 78.3 degC (CRC).
  EXPECT_NEAR(worst.at("liquid_temperature_k").get<double>(), 273.15 + 78.3, 0.5);
  EXPECT_TRUE(has(answer.flowing(), "'beaker' boils")) << answer.text;
  // 200 kW/m2 over 40 cm2 boil 79 g of some 840 kJ/kg away in about 80 s; Trouton's rule makes it less.
  const double spent = answer.data.at("cases").at(0).at("releases").at(0).at("spent_s").get<double>();
  EXPECT_GT(spent, 40.0);
  EXPECT_LT(spent, 85.0);
}

}  // namespace
}  // namespace leanside::cli_test
