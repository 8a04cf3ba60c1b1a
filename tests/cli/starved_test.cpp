// SPDX-License-Identifier: Apache-2.0
/// Fans without an inlet and cabinets without an opening, as a user writes them and reads the answer.
#include <cmath>

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "cli/run_program.hpp"

namespace leanside::cli_test {
namespace {

using nlohmann::json;

std::string space(const std::string& id, const std::string& kind, const std::string& rest) {
  return "[[space]]\nid = \"" + id + "\"\nkind = \"" + kind + "\"\n" + rest + "\n";
}
std::string hydrogen(const std::string& into, const std::string& rate) {
  return "[[release]]\nid = \"leak\"\nkind = \"steady\"\ninto = \"" + into + "\"\ngas = \"hydrogen\"\nrate = \"" +
         rate + "\"\n";
}

/// A store of 20 m3 whose extract fan draws through one way.
std::string store_with(const std::string& way) {
  return "title = \"Invented store\"\n" + space("store", "room", "floor_area = \"8 m2\"\nheight = \"2.5 m\"") +
         "[[airway]]\nid = \"extract\"\nkind = \"fan\"\nfrom = \"store\"\nto = \"outside\"\nflow = \"150 m3/h\"\n" +
         way + hydrogen("store", "20 L/min");
}
std::string opening(const std::string& id, const std::string& more = "") {
  return "[[airway]]\nid = \"" + id + "\"\nkind = \"opening\"\nbetween = [\"outside\", \"store\"]\n" + more;
}

class StarvedFans : public InFolder {
 protected:
  json checked(const std::string& site, int code) {
    write_file(path("site.toml"), site);
    const Outcome outcome = run({"check", path("site.toml"), "--format", "json"});
    EXPECT_EQ(outcome.code, code) << outcome.err;
    return answer_in(outcome.out);
  }
  static double worst(const json& read, const std::string& space, const std::string& in_case = "normal") {
    double most = 0.0;
    for (const json& each : read["cases"]) {
      if (each["id"] != in_case) continue;
      for (const json& s : each["spaces"]) {
        if (s["id"] == space) most = s["steady"]["lfl_fraction"].get<double>();
      }
    }
    return most;
  }
};

TEST_F(StarvedFans, ShuttingTheOnlyInletIsTheWorseCase) {
  const std::string site =
      "title = \"Invented store\"\n" + space("store", "room", "floor_area = \"9 m2\"\nheight = \"2.5 m\"") +
      space("hall", "room", "volume = \"180 m3\"\nair_changes = \"1 /h\"") +
      "[[airway]]\nid = \"inlet\"\nkind = \"gap\"\nbetween = [\"store\", \"outside\"]\nleakage_area = \"25 cm2\"\n"
      "[[airway]]\nid = \"hall-gap\"\nkind = \"gap\"\nbetween = [\"hall\", \"outside\"]\nleakage_area = \"400 cm2\"\n"
      "[[airway]]\nid = \"extract\"\nkind = \"fan\"\nfrom = \"store\"\nto = \"hall\"\n"
      "curve = [[\"0 Pa\", \"380 m3/h\"], [\"80 Pa\", \"240 m3/h\"], [\"120 Pa\", \"0 m3/h\"]]\n" +
      hydrogen("store", "20 L/min") +
      "[[case]]\nid = \"shut\"\nevent = [{ at = \"1 h\", airway = \"inlet\", on = false }]\n";
  const json read = checked(site, 1);
  EXPECT_GT(worst(read, "store", "shut"), 1.5 * worst(read, "store"));
  for (const json& each : read["cases"]) EXPECT_EQ(each["starved_fans"].size(), each["id"] == "shut" ? 1u : 0u);
  const Outcome text = run({"check", path("site.toml")});
  EXPECT_TRUE(has(text.out, "Fan extract: too little air gets into store")) << text.out;
  EXPECT_TRUE(has(text.out, "In the case shut: the fan extract moves")) << text.out;
}

TEST_F(StarvedFans, BlockingTheOnlyOpeningCounts) {
  write_file(path("site.toml"), store_with(opening("inlet")));
  EXPECT_EQ(run({"check", path("site.toml")}).code, 0) << "a note at most";
  const Outcome outcome = run({"failures", path("site.toml")});
  EXPECT_EQ(outcome.code, 1) << outcome.err;
  const std::size_t blocked = outcome.out.find("the opening inlet is blocked");
  ASSERT_NE(blocked, std::string::npos) << outcome.out;
  EXPECT_LT(blocked, outcome.out.find("No warning gets worse")) << outcome.out;
  EXPECT_TRUE(has(outcome.out, "Fans that then get too little air: extract")) << outcome.out;
}

TEST_F(StarvedFans, WhatTheAnswerAsksForMendsIt) {
  const json starved = checked(store_with(""), 1);
  const json& fan = starved["cases"][0]["starved_fans"][0];
  EXPECT_EQ(fan["missing"], "inlet");
  // 8 cm2 at 100 to 101 Pa: 8e-4 sqrt(8/1.204) 25^0.65 m3/s of air, and the release of 20 L/min.
  const double carried = 0.01671 + 20.0 / 60000.0;
  EXPECT_NEAR(fan["carried_m3_s"].get<double>(), carried, 0.007 * carried);
  EXPECT_NEAR(worst(starved, "store"), 20.0 / 60000.0 / carried / 0.04, 0.007 * 0.49);
  const double area = fan["free_area_m2"].get<double>();
  EXPECT_NEAR(area, 150.0 / 3600.0 / (0.6 * std::sqrt(40.0 / 1.2)), 1e-9);
  const std::string inlet =
      "[[airway]]\nid = \"inlet\"\nkind = \"gap\"\nbetween = [\"outside\", \"store\"]\n"
      "leakage_area = \"" +
      std::to_string(area) + " m2\"\n";
  const json mended = checked(store_with(inlet), 0);
  EXPECT_TRUE(mended["cases"][0]["starved_fans"].empty());
  EXPECT_LT(worst(mended, "store"), worst(starved, "store"));
}

TEST_F(StarvedFans, NeverNoWarningBesideAStarvedFan) {
  std::string site = store_with("");
  site.resize(site.find("[[release]]"));
  write_file(path("site.toml"), site);
  const Outcome outcome = run({"check", path("site.toml")});
  EXPECT_EQ(outcome.code, 1);
  EXPECT_FALSE(has(outcome.out, "No warning. Checked")) << outcome.out;
  EXPECT_LT(outcome.out.find("Fan extract"), outcome.out.find("Checked:")) << outcome.out;
}

TEST_F(StarvedFans, AFanThatWorksAgainstThousandsOfPascalsIsTold) {
  const json read = checked(
      store_with(
          "[[airway]]\nid = \"slit\"\nkind = \"gap\"\nbetween = [\"outside\", \"store\"]\nleakage_area = \"2 cm2\"\n"),
      1);
  const json& fan = read["cases"][0]["starved_fans"][0];
  EXPECT_EQ(fan["carried_m3_s"], fan["flow_m3_s"]);
  // (q / (L sqrt(8/rho)))^(1/0.65) times 4 Pa
  const double air = 150.0 / 3600.0 - 20.0 / 60000.0;
  EXPECT_NEAR(fan["pressure_pa"].get<double>(), 4.0 * std::pow(air / (2e-4 * std::sqrt(8.0 / 1.2041)), 1.0 / 0.65),
              5.0);
  const Outcome text = run({"check", path("site.toml")});
  EXPECT_TRUE(has(text.out, "A real fan moves far less")) << text.out;
}

TEST_F(StarvedFans, TheGasOfACabinetGoesIntoItsRoom) {
  const json read = checked("title = \"Invented plant room\"\n" +
                                space("room", "room", "volume = \"30 m3\"\nair_changes = \"0.5 /h\"") +
                                space("cabinet", "cabinet", "volume = \"0.5 m3\"") +
                                "[[airway]]\nid = \"louvre\"\nkind = \"opening\"\nbetween = [\"cabinet\", \"room\"]\n" +
                                hydrogen("cabinet", "20 L/min"),
                            1);
  // q / (Q + q) over 4 %
  const double q = 1.2, air = 15.0;
  EXPECT_NEAR(worst(read, "room"), q / (air + q) / 0.04, 2e-3);
  EXPECT_EQ(read["warnings"][0]["severity"], "flammable");
}

TEST_F(StarvedFans, ACabinetWithoutAnOpeningStandsInItsOnlyRoomAndSaysSo) {
  const std::string site =
      "title = \"Invented lab\"\n" + space("room", "room", "volume = \"30 m3\"\nair_changes = \"0.5 /h\"") +
      space("cabinet", "cabinet", "volume = \"2 m3\"") +
      "[[airway]]\nid = \"fan\"\nkind = \"fan\"\nfrom = \"cabinet\"\nto = \"room\"\nflow = \"2 m3/h\"\n" +
      hydrogen("cabinet", "20 L/min");
  const json read = checked(site, 1);
  EXPECT_TRUE(has(read["assumptions"].dump(), "stands in 'room', the only room that an airway joins it to"));
  ASSERT_EQ(read["cases"][0]["assumed_leaks"].size(), 2u);
  EXPECT_EQ(read["cases"][0]["assumed_leaks"][1]["other"], "room");
  EXPECT_NEAR(worst(read, "room"), 1.2 / 16.2 / 0.04, 2e-3);
}

}  // namespace
}  // namespace leanside::cli_test
