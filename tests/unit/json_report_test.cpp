// SPDX-License-Identifier: Apache-2.0
/// The answers as JSON and CSV, from results made by hand.
#include <limits>

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "leanside/report.hpp"
#include "unit/sample_answer.hpp"

namespace leanside {
namespace {

TEST(JsonDocument, WrapsTheAnswerWithTheCaution) {
  const std::vector<std::string> files = {"a \"b\".toml", "\xff.toml"};
  const json read = json::parse(json_document("check", files, "{\"warnings\": []}\n"));
  EXPECT_EQ(read["program"], "leanside");
  EXPECT_EQ(read["version"], std::string{version()});
  EXPECT_EQ(read["command"], "check");
  EXPECT_EQ(read["files"], (json{"a \"b\".toml", "\uFFFD.toml"}));
  EXPECT_EQ(read["caution"], std::string{caution()});
  EXPECT_EQ(read["answer"], (json{{"warnings", json::array()}}));
  EXPECT_EQ(read["units"], "SI");
  EXPECT_EQ(read.size(), 7u);
}

TEST(JsonReport, HasEveryKeyOfTheContract) {
  const json read = json::parse(json_report(sample_site(), sample_assessment(), {}));
  for (const char* key : {"site", "gases", "assumptions", "cases", "warnings", "balance"}) {
    EXPECT_TRUE(read.contains(key)) << key;
  }
  EXPECT_EQ(read["site"], (json{{"title", "A store"}, {"file", "store.toml"}}));
  EXPECT_EQ(read["gases"], (json{"methane", "nitrogen"}));
  EXPECT_EQ(read["balance"], (json{{"relative_error", 1.25e-13}}));
  ASSERT_EQ(read["cases"].size(), 2u);
  const json& first = read["cases"][0];
  EXPECT_EQ(first["id"], "normal");
  EXPECT_EQ(read["cases"][1]["name"], "The fan stops");
  const json& space = first["spaces"][0];
  EXPECT_EQ(space["id"], "store");
  for (const char* when : {"steady", "peak", "end"}) {
    const json& mixture = space[when];
    ASSERT_TRUE(mixture.is_object()) << when;
    EXPECT_TRUE(mixture["fraction"]["methane"].is_number());
    EXPECT_TRUE(mixture["oxygen"].is_number());
    EXPECT_TRUE(mixture["lfl_fraction"].is_number());
    EXPECT_EQ(mixture["state"], "rich");
  }
  EXPECT_EQ(space["steady"]["reached"], true);
  EXPECT_EQ(space["peak"]["time_s"], 28800.0);
  EXPECT_EQ(space["crossings"][0]["threshold"], "warn");
  EXPECT_EQ(space["crossings"][0]["up_s"], 512.3);
  EXPECT_TRUE(space["crossings"][0]["down_s"].is_null());
  EXPECT_EQ(space["flammable_s"], 400.1);
  EXPECT_EQ(space["flammable_gas_m3"], 0.0);
  EXPECT_EQ(space["pressure_pa"], standard_atmosphere);
  const json& closed = first["spaces"][1]["steady"];
  EXPECT_EQ(closed["reached"], false);
  EXPECT_EQ(closed["reason"], "gas has no way out of flask");
  const json& warning = read["warnings"][0];
  EXPECT_EQ(warning["rank"], 1);
  EXPECT_EQ(warning["severity"], "flammable");
  EXPECT_EQ(warning["case"], "fan-stops");
  EXPECT_EQ(warning["space"], "store");
  EXPECT_EQ(warning["lfl_fraction"], 2.4);
  EXPECT_EQ(warning["time_s"], 512.3);
  EXPECT_EQ(warning["causes"][0], (json{{"release", "valve"}, {"share", 0.83}}));
  EXPECT_EQ(warning["summary"], summary_sentence(sample_site(), sample_warning(Severity::flammable)));
  EXPECT_EQ(warning["remedy"], remedy_sentence(sample_site(), sample_warning(Severity::flammable)));
  EXPECT_EQ(read["limits"][0]["lower_source"], "source-a");
}

TEST(JsonReport, NumbersReadBackExactly) {
  const Assessment assessment = sample_assessment();
  const json read = json::parse(json_report(sample_site(), assessment, {}));
  const json& spaces = read["cases"][0]["spaces"];
  EXPECT_EQ(spaces[0]["peak"]["fraction"]["methane"].get<double>(), 0.1 + 0.2);
  EXPECT_EQ(spaces[0]["steady"]["fraction"]["methane"].get<double>(), 1.0 / 3.0);
  EXPECT_EQ(spaces[0]["crossings"][1]["down_s"].get<double>(), 1234.5678901234567);
  EXPECT_EQ(spaces[1]["peak"]["fraction"]["methane"].get<double>(), 1e-300);
  EXPECT_EQ(read["warnings"][0]["extra_air_m3_s"].get<double>(), 312.1 / 3600.0);
}

TEST(JsonReport, WritesWhatIsNotReachedAsNull) {
  Assessment assessment = sample_assessment();
  assessment.warnings[0].time.reset();
  assessment.warnings[0].remedy.extra_air.reset();
  const json read = json::parse(json_report(sample_site(), assessment, {}));
  EXPECT_TRUE(read["warnings"][0]["time_s"].is_null());
  EXPECT_TRUE(read["warnings"][0]["extra_air_m3_s"].is_null());
  EXPECT_TRUE(read["cases"][0]["spaces"][1]["flammable_from_s"].is_null());
}

TEST(JsonReport, NeverWritesNotANumber) {
  Assessment assessment = sample_assessment();
  assessment.balance_error = std::numeric_limits<double>::quiet_NaN();
  assessment.cases[0].spaces[0].peak.lfl_fraction = std::numeric_limits<double>::infinity();
  const json read = json::parse(json_report(sample_site(), assessment, {}));  // throws on NaN or Infinity
  EXPECT_TRUE(read["balance"]["relative_error"].is_null());
  EXPECT_TRUE(read["cases"][0]["spaces"][0]["peak"]["lfl_fraction"].is_null());
}

TEST(JsonReport, FlowsAreAtTheTemperatureOfTheirOrigin) {
  const json read = json::parse(json_report(sample_site(), sample_assessment(), {}));
  const json& airways = read["cases"][0]["airways"];
  const double per_kelvin = gas_constant / standard_atmosphere;
  EXPECT_DOUBLE_EQ(airways[0]["flow_m3_s"].get<double>(), 2.0 * per_kelvin * 300.0);
  EXPECT_EQ(airways[0]["return_flow_m3_s"].get<double>(), 0.0);
  EXPECT_DOUBLE_EQ(airways[1]["flow_m3_s"].get<double>(), 0.4 * per_kelvin * 280.0);
  EXPECT_DOUBLE_EQ(airways[1]["return_flow_m3_s"].get<double>(), 0.3 * per_kelvin * 300.0);
  EXPECT_EQ(airways[0]["to"], "outside");
}

TEST(JsonReport, FlowsFollowATemperatureThatAnEventSetsAtTheStart) {
  Site site = sample_site();
  site.cases[1].events = {{0.0, SetSpaceTemperature{store, 330.0}, {}}, {60.0, SetSpaceTemperature{store, 350.0}, {}}};
  const json read = json::parse(json_report(site, sample_assessment(), {}));
  const double per_kelvin = gas_constant / standard_atmosphere;
  EXPECT_DOUBLE_EQ(read["cases"][0]["airways"][0]["flow_m3_s"].get<double>(), 2.0 * per_kelvin * 300.0);
  EXPECT_DOUBLE_EQ(read["cases"][1]["airways"][0]["flow_m3_s"].get<double>(), 2.0 * per_kelvin * 330.0);
}

TEST(JsonReport, NamesFillingsAsCauses) {
  Assessment assessment = sample_assessment();
  assessment.warnings[0].causes = {{std::nullopt, flask, 1.0}};
  const json read = json::parse(json_report(sample_site(), assessment, {}));
  EXPECT_EQ(read["warnings"][0]["causes"][0],
            (json{{"release", "initial:flask"}, {"initial", "flask"}, {"share", 1.0}}));
}

TEST(JsonReport, ReadsWhateverTheFileIsCalled) {
  Site site = sample_site();
  site.file = "caf\xe9.toml";
  EXPECT_TRUE(json::accept(json_report(site, sample_assessment(), {})));
}

TEST(CsvReport, HasARowForEachCaseAndSpaceWithAsManyFields) {
  const std::vector<std::string> lines = lines_of(csv_report(sample_site(), sample_assessment()));
  ASSERT_EQ(lines.size(), 1u + 2u * 2u);
  for (const std::string& line : lines) {
    EXPECT_EQ(std::count(line.begin(), line.end(), ','), std::count(lines[0].begin(), lines[0].end(), ',')) << line;
  }
  EXPECT_TRUE(lines[3].starts_with("fan-stops,store,1,flammable,rich,"));
  EXPECT_TRUE(lines[1].starts_with("normal,store,,,rich,"));
  EXPECT_TRUE(has(lines[2], ",none,,"));
}

TEST(Series, HasRowsForGasesOxygenAndLimit) {
  const Site site = sample_site();
  FractionField fractions{2, 2};
  fractions(store, 0) = 0.022;
  fractions(store, 1) = 0.1;
  std::string out{SeriesTable::header()};
  SeriesTable{site}.append(out, fan_stops, 60.5, fractions);
  const std::vector<std::string> lines = lines_of(out);
  ASSERT_EQ(lines.size(), 1u + 2u * 4u);
  EXPECT_EQ(lines[0], "case,time_s,space,gas,fraction");
  EXPECT_EQ(lines[1], "fan-stops,60.5,store,methane,0.022");
  EXPECT_EQ(lines[2], "fan-stops,60.5,store,nitrogen,0.1");
  ASSERT_TRUE(lines[3].starts_with("fan-stops,60.5,store,oxygen,"));
  EXPECT_NEAR(std::stod(lines[3].substr(28)), 0.2095 * (1.0 - 0.122), 1e-12);
  ASSERT_TRUE(lines[4].starts_with("fan-stops,60.5,store,lfl_fraction,"));
  // The site has no heat of combustion of methane: the line to zero at 900 degC holds at 300 K.
  EXPECT_NEAR(std::stod(lines[4].substr(34)), 0.022 / (0.044 * (1.0 - (300.0 - 298.15) / 875.0)), 1e-12);
}

}  // namespace
}  // namespace leanside
