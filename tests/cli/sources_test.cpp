// SPDX-License-Identifier: Apache-2.0
/// `leanside release`, `reactions`, `stock` and `purge`.
#include <cmath>

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "cli/run_program.hpp"

namespace leanside::cli_test {
namespace {

using nlohmann::json;
using Sources = InFolder;

TEST_F(Sources, AReleaseIsToldInTheWordsOfTheUser) {
  const Outcome outcome = run({"release", example("hydrogen-cupboard"), "valve"});
  EXPECT_EQ(outcome.code, 0) << outcome.err;
  const std::string& text = outcome.out;
  EXPECT_TRUE(has(text, "cylinder of 50 L at 200 bar, through a hole of 1 mm")) << text;
  EXPECT_TRUE(has(text, "9.82 m3 of gas (823 g)"));
  EXPECT_TRUE(has(text, "would bring 236 m3 of air to the lower limit (4 %)"));
  EXPECT_TRUE(has(text, "9 min 14 s"));
}

TEST_F(Sources, AReleaseInJsonHasTheNumbersOfTheCylinder) {
  const Outcome outcome = run({"release", example("hydrogen-cupboard"), "--format", "json"});
  ASSERT_EQ(outcome.code, 0) << outcome.err;
  const json row = json::parse(outcome.out).at("releases").at(0);
  const double moles = (2e7 - 101325.0) * 0.05 / (8.31446261815324 * 293.15);
  EXPECT_NEAR(row.at("total_mol").get<double>() / moles, 1.0, 1e-12);
  EXPECT_NEAR(row.at("given_mol").get<double>() / moles, 1.0, 1e-9);
  EXPECT_NEAR(row.at("spent_s").get<double>() / row.at("lasts_s").get<double>(), 1.0, 1e-12);
  EXPECT_TRUE(row.at("rate_varies").get<bool>());
}

TEST_F(Sources, ASpillDriesLaterThanInCleanAir) {
  const Outcome outcome = run({"release", example("acetone-spill"), "bottle", "--format", "json"});
  ASSERT_EQ(outcome.code, 0) << outcome.err;
  const json row = json::parse(outcome.out).at("releases").at(0);
  EXPECT_GT(row.at("spent_s").get<double>(), row.at("lasts_s").get<double>());
  EXPECT_LT(row.at("spent_s").get<double>(), 1.1 * row.at("lasts_s").get<double>());
}

TEST_F(Sources, CheckTellsWhatEachReleaseGaveAndWhenItWasSpent) {
  const json answer = json::parse(run({"check", example("acetone-spill"), "--format", "json"}).out);
  const json& releases = answer.at("cases").at(0).at("releases");
  ASSERT_EQ(releases.size(), 2u);
  EXPECT_EQ(releases.at(0).at("id"), "bottle");
  EXPECT_NEAR(releases.at(0).at("amount_mol").get<double>(), 450e-6 * 792.0 / 0.05808, 1e-3);
  EXPECT_GT(releases.at(0).at("spent_s").get<double>(), 400.0);
  EXPECT_LT(answer.at("balance").at("relative_error").get<double>(), 1e-12);
}

TEST_F(Sources, ABatteryIsToldBesideItsStandard) {
  const std::string text = run({"release", example("weekend-charging")}).out;
  // 0.05 x 24 cells x 20 mA/Ah x 200 Ah / 1000 = 4.8 m3/h.
  EXPECT_TRUE(has(text, "IEC 62485-2 asks for 4.8 m3/h of air for 4 A making gas in 24 cells")) << text;
  // 28 cm2 for each m3/h.
  EXPECT_TRUE(has(text, "two openings of 134 cm2 each")) << text;
  const json row = json::parse(run({"release", example("weekend-charging"), "--format", "json"}).out)["releases"][0];
  EXPECT_NEAR(row.at("standard_opening_m2").get<double>(), 28e-4 * 4.8, 1e-12);
  EXPECT_NEAR(row.at("standard_airflow_m3_s").get<double>(), 4.8 / 3600.0, 1e-12);
}

TEST_F(Sources, AReactionTellsWhatIsUsedUpFirstAndHowItFills) {
  const std::string text = run({"release", example("magnesium-and-acid")}).out;
  EXPECT_TRUE(has(text, "Mg + 2 HCl -> MgCl2 + H2")) << text;
  EXPECT_TRUE(has(text, "Hydrochloric acid (0.1 mol) is used up first"));
  EXPECT_TRUE(has(text, "half of it in 1 min, 99 % in 6 min 39 s"));
  EXPECT_TRUE(has(text, "after 1.47 volumes, well mixed"));
}

TEST_F(Sources, WhatDoesNotExistIsAskedBack) {
  const Outcome release = run({"release", example("hydrogen-cupboard"), "valv"});
  EXPECT_EQ(release.code, 2);
  EXPECT_EQ(release.out, "");
  EXPECT_TRUE(has(release.err, "did you mean 'valve'?")) << release.err;
  EXPECT_EQ(run({"release", path("no.toml")}).code, 2);
  EXPECT_EQ(run({"release"}).code, 2);
  EXPECT_EQ(run({"stock", path("no.toml")}).code, 2);
}

TEST_F(Sources, ReactionsAreListed) {
  const Outcome text = run({"reactions"});
  EXPECT_EQ(text.code, 0);
  EXPECT_TRUE(has(text.out, "calcium-carbide-water"));
  const json list = json::parse(run({"reactions", "--format", "json"}).out);
  EXPECT_GE(list.size(), 15u);
}

TEST_F(Sources, StockFindsWhatShouldBeKeptApart) {
  const Outcome outcome = run({"stock", example("gas-store"), "--format", "json"});
  ASSERT_EQ(outcome.code, 0) << outcome.err;
  const json answer = json::parse(outcome.out);
  EXPECT_EQ(answer.at("held").size(), 5u);
  ASSERT_EQ(answer.at("findings").size(), 2u);
  EXPECT_EQ(answer.at("findings").at(0).at("concern"), "oxidiser_with_fuel");
  EXPECT_EQ(answer.at("findings").at(1).at("concern"), "displaces_oxygen");
  EXPECT_TRUE(has(run({"stock", example("gas-store")}).out, "29 CFR 1910.253(b)(4)(iii)"));
  const json check = json::parse(run({"check", example("gas-store"), "--format", "json"}).out);
  const auto& last = check.at("warnings").back();
  EXPECT_EQ(last.at("severity"), "note");
}

TEST_F(Sources, PurgeTellsVolumesCyclesAndTime) {
  const Outcome outcome = run({"purge", "hydrogen", "--volume", "200 L", "--flow", "20 L/min", "--pressure", "3 bar",
                               "--vacuum", "50 mbar", "--format", "json"});
  ASSERT_EQ(outcome.code, 0) << outcome.err;
  const json in = json::parse(outcome.out).at("into_service");
  const double to = in.at("to").get<double>();
  EXPECT_NEAR(in.at("sweep_volumes").get<double>(), std::log(0.2095 / to), 1e-12);
  EXPECT_NEAR(in.at("sweep_s").get<double>(), 600.0 * std::log(0.2095 / to), 1e-9);
  EXPECT_EQ(in.at("pressure").at("cycles").get<double>(), std::ceil(std::log(0.2095 / to) / std::log(3.0 / 1.01325)));
  const std::string text = run({"purge", "hydrogen", "--volume", "200 L"}).out;
  EXPECT_TRUE(has(text, "Into service")) << text;
  EXPECT_TRUE(has(text, "without passing the range"));
  // ln(20.95 / 2.88) over ln(3 / 1.01325) and over ln(1.01325 / 0.2): 1.83 and 1.22, rounded up.
  const std::string cycles =
      run({"purge", "hydrogen", "--volume", "200 L", "--pressure", "3 bar", "--vacuum", "0.2 bar"}).out;
  EXPECT_TRUE(has(cycles, "2 cycles between 1.01 bar and 3 bar absolute (1.83 before rounding up)")) << cycles;
  EXPECT_TRUE(has(cycles, "2 cycles between 0.2 bar and 1.01 bar absolute (1.22 before rounding up)")) << cycles;
  EXPECT_TRUE(has(run({"purge", "hydrogen", "--volume", "200 L", "--oxygen-in-gas", "10 %"}).out,
                  "No purging makes this safe"));
}

TEST_F(Sources, PurgeRefusesWhatCannotBe) {
  const std::vector<std::pair<std::vector<std::string>, std::string>> cases = {
      {{"purge", "hydrogn", "--volume", "1 m3"}, "did you mean 'hydrogen'?"},
      {{"purge", "nitrogen", "--volume", "1 m3"}, "does not burn"},
      {{"purge", "hydrogen"}, "--volume"},
      {{"purge", "hydrogen", "--volume", "200"}, "--volume"},
      {{"purge", "hydrogen", "--volume", "0 L"}, "more than 0"},
      {{"purge", "hydrogen", "--volume", "1 m3", "--pressure", "0.5 bar"}, "barg"},
      {{"purge", "hydrogen", "--volume", "1 m3", "--vacuum", "2 bar"}, "--vacuum"},
      {{"purge", "hydrogen", "--volume", "1 m3", "--margin", "2"}, "--margin"}};
  for (const auto& [arguments, part] : cases) {
    const Outcome outcome = run(arguments);
    EXPECT_EQ(outcome.code, 2) << part;
    EXPECT_EQ(outcome.out, "") << part;
    EXPECT_TRUE(has(outcome.err, part)) << outcome.err;
  }
  EXPECT_TRUE(has(run({"purge", "acetylene", "--volume", "1 m3"}).out, "decompose without air"));
}

}  // namespace
}  // namespace leanside::cli_test
