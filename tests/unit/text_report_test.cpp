// SPDX-License-Identifier: Apache-2.0
/// The answer as text, from results made by hand.
#include <sstream>

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "base/text/plain.hpp"
#include "hazard/assumptions.hpp"
#include "hazard/facts.hpp"
#include "hazard/judge.hpp"
#include "leanside/report.hpp"
#include "unit/sample_answer.hpp"

namespace leanside {
namespace {

TEST(TextReport, BeginsWithTheWarningsAndEndsWithTheCaution) {
  const std::string text = text_report(sample_site(), sample_assessment(), {}, {});
  std::size_t at = 0;
  for (const char* part : {"A store", "1 warning", "FLAMMABLE", "What helps:", "fan motor", "Spaces", "Air flows",
                           "Flammable limits used", "Assumptions", "Caution"}) {
    const std::size_t found = text.find(part, at);
    ASSERT_NE(found, std::string::npos) << part << " is missing or too early in\n" << text;
    at = found;
  }
  EXPECT_TRUE(text.ends_with("do not calculate.\n"));
}

TEST(TextReport, NamesTheSourceOfEachLimit) {
  const std::string text = text_report(sample_site(), sample_assessment(), {}, {});
  EXPECT_TRUE(has(text, "source-a"));
  EXPECT_TRUE(has(text, "source-b"));
  Site site = sample_site();
  site.gases[0].limits->recalled = true;
  EXPECT_TRUE(has(text_report(site, sample_assessment(), {}, {}), "recalled, not read again"));
}

TEST(TextReport, ListsLeaksOverflowsAssumptionsAndNotices) {
  Assessment assessment = sample_assessment();
  // 12 m3/h at 300 K
  const double rate = 12.0 / 3600.0 * standard_atmosphere / (gas_constant * 300.0);
  for (CaseResult& result : assessment.cases) result.leaks = {{store, -rate}};
  assessment.cases[1].overflowing = {AirwayIndex{1}};
  Site site = sample_site();
  site.assumptions = {{AssumptionKind::well_mixed}};
  assessment.assumptions = hazard::assumptions_of(site, {}, assessment);
  const Diagnostics notices = {{DiagnosticLevel::notice, {"store.toml", 7, 3}, "a slip of the pen?"}};
  TextStyle wide;
  wide.width = 1000;
  const std::string text = text_report(site, assessment, notices, wide);
  EXPECT_TRUE(has(text, "assumed: 12 m3/h leaks out of Cylinder store to outside, because")) << text;
  EXPECT_TRUE(has(text, "(in every case)")) << text;
  EXPECT_TRUE(has(text, "the exchange door")) << text;
  EXPECT_TRUE(has(text, "(in the case fan-stops)")) << text;
  EXPECT_TRUE(has(text, "every space is well mixed")) << text;
  EXPECT_TRUE(has(text, "store.toml:7:3: notice: a slip of the pen?")) << text;
  const json read = json::parse(json_report(site, assessment, notices));
  ASSERT_EQ(read["assumptions"].size(), 6u);
  EXPECT_EQ(read["assumptions"][0]["kind"], "well_mixed");
  const json& leak = read["assumptions"][4];
  EXPECT_EQ(leak["kind"], "leak");
  EXPECT_EQ(leak["cases"], (json{"normal", "fan-stops"}));
  EXPECT_EQ(leak["spaces"], (json{"store"}));
  EXPECT_EQ(leak["quantity"], "flow_m3_s");
  EXPECT_NEAR(leak["values"][0].get<double>(), -12.0 / 3600.0, 1e-12);
  EXPECT_EQ(read["assumptions"][5]["airways"], (json{"door"}));
  EXPECT_EQ(read["assumptions"][5]["cases"], (json{"fan-stops"}));
  EXPECT_NEAR(read["cases"][0]["assumed_leaks"][0]["flow_m3_s"].get<double>(), -12.0 / 3600.0, 1e-12);
  EXPECT_EQ(read["cases"][1]["overflowing_airways"][0], "door");
  EXPECT_EQ(read["notices"][0]["line"], 7);
}

TEST(TextReport, CountsTheWarningsOfALargeSiteThatItLeavesOut) {
  Site site = sample_site();
  Assessment assessment = sample_assessment();
  assessment.warnings.clear();
  for (int i = 0; i < 500; ++i) {
    Space space = site.spaces[0];
    space.id = "room-" + std::to_string(i);
    space.name.clear();
    site.spaces.push_back(space);
    for (CaseResult& result : assessment.cases) result.spaces.push_back(result.spaces.front());
    Warning warning = sample_warning(i < 250 ? Severity::flammable : Severity::oxygen);
    warning.space = SpaceIndex{site.spaces.size() - 1};
    assessment.warnings.push_back(warning);
  }
  assessment.findings = hazard::find_findings(assessment);
  const std::string text = text_report(site, assessment, {}, {});
  EXPECT_TRUE(has(text, "room-0")) << text;
  EXPECT_FALSE(has(text, "room-300")) << text;
  EXPECT_TRUE(has(text, "500 warnings (leanside export FILE --what warnings)")) << text;
}

TEST(TextReport, PointsBackToTheSameWarningOfAnotherCase) {
  Assessment assessment = sample_assessment();
  Warning same = assessment.warnings[0];
  same.case_index = normal;
  assessment.warnings = {assessment.warnings[0], same, sample_warning(Severity::margin)};
  const std::string text = text_report(sample_site(), assessment, {}, {});
  EXPECT_TRUE(has(text, " 2  FLAMMABLE  Cylinder store\n    The same as number 1: 240 %")) << text;
  EXPECT_TRUE(has(text, " 3  MARGIN  Cylinder store\n    In the case: The fan stops\n    Methane passes")) << text;
}

TEST(TextReport, ListsFlowsThatDifferInAnotherCase) {
  Assessment assessment = sample_assessment();
  assessment.cases[1].differences = {{.airway = AirwayIndex{0}, .forward_first = 177.0 / 3600.0}};
  const std::string text = text_report(sample_site(), assessment, {}, {});
  EXPECT_TRUE(has(text, "In the case \"The fan stops\": extract 0.")) << text;
}

TEST(TextReport, ShowsTheWorstSpacesOfALargeBuilding) {
  Site site = sample_site();
  Assessment assessment = sample_assessment();
  for (int i = 0; i < 300; ++i) {
    site.spaces.push_back(site.spaces[0]);
    site.spaces.back().name = "Office " + std::to_string(i);
    for (CaseResult& result : assessment.cases) {
      SpaceResult clear = result.spaces[1];
      clear.steady.reached = true;
      clear.steady.at = instant(0.0, 0.001, 0.02, MixtureState::clear);
      clear.steady.at.oxygen = 0.2095;
      clear.lowest_oxygen = clear.highest_oxygen = 0.2095;
      clear.worst = hazard::worst_of(clear);
      result.spaces.push_back(clear);
    }
  }
  const std::string text = text_report(site, assessment, {}, {});
  EXPECT_FALSE(has(text, "Office 7"));
  EXPECT_TRUE(has(text, "`--format csv` has every space in every case")) << text;
  EXPECT_TRUE(has(text, "Cylinder store"));
}

TEST(TextReport, WithoutWarningsSaysWhatWasChecked) {
  Assessment assessment = sample_assessment();
  assessment.warnings.clear();
  TextStyle wide;
  wide.width = 1000;
  const std::string text = text_report(sample_site(), assessment, {}, wide);
  EXPECT_TRUE(has(text, "No warning. Checked: 2 spaces in 2 cases over the first 8 h and the steady state")) << text;
  EXPECT_TRUE(has(text, "no proof of safety")) << text;
  for (CaseResult& result : assessment.cases) {
    for (SpaceResult& space : result.spaces) space.end.time = space.peak.time = 0.0;
  }
  EXPECT_TRUE(has(text_report(sample_site(), assessment, {}, wide), "over the steady state only"));
}

TEST(TextReport, ShowsRichAndTheReasonForNoSteadyState) {
  Assessment assessment = sample_assessment();
  for (CaseResult& result : assessment.cases) {
    result.spaces[0].flammable_from.reset();
    result.spaces[0].worst = hazard::worst_of(result.spaces[0]);
  }
  const std::string text = text_report(sample_site(), assessment, {}, {});
  bool row = false;
  for (const std::string& line : lines_of(text)) row = row || (has(line, "Cylinder store") && has(line, "rich"));
  EXPECT_TRUE(row) << text;
  EXPECT_TRUE(has(text, "No steady state for flask: gas has no way out of flask")) << text;
}

TEST(TextReport, KeepsToItsWidthAndItsLetters) {
  Site site = sample_site();
  site.title = "Labor f\u00fcr Physik";
  for (const std::size_t width : {72u, 80u, 120u}) {
    const std::string text = text_report(site, sample_assessment(), {}, {width, false, true});
    for (const std::string& line : lines_of(text)) EXPECT_LE(report::columns(line), width) << line;
    EXPECT_TRUE(has(text, "Labor f\u00fcr Physik"));
  }
  for (const char c : text_report(site, sample_assessment(), {}, {100, false, false})) {
    EXPECT_TRUE(c == '\n' || (c >= 0x20 && c < 0x7f));
  }
  EXPECT_FALSE(has(text_report(site, sample_assessment(), {}, {100, false, true}), "\x1b"));
  EXPECT_TRUE(has(text_report(site, sample_assessment(), {}, {100, true, true}), "\x1b[1;31mFLAMMABLE\x1b[0m"));
}

TEST(TextReport, DropsTerminalControlsOfTheUser) {
  Site site = sample_site();
  const std::string evil = "boo\x1b[2J\r\x07\u202e\u009b31m\nSAFE";
  site.title = site.file = site.spaces[0].name = site.spaces[1].name = site.releases[0].name = evil;
  site.releases[0].as_written = site.releases[0].gas.name = site.cases[1].name = evil;
  site.spaces[0].ignition = {evil};
  site.gases[0].limits->lower_source = evil;
  Assessment assessment = sample_assessment();
  assessment.assumptions = {{AssumptionKind::stated, {}, {}, {}, {evil}},
                            {AssumptionKind::counted_as_oxygen, {}, {}, {}, {evil}}};
  assessment.cases[0].spaces[1].steady.reason = evil;
  const Diagnostics notices = {{DiagnosticLevel::notice, {evil, 1, 1}, evil}};
  const std::string text = text_report(site, assessment, notices, {});
  for (const char c : text) EXPECT_TRUE(c == '\n' || static_cast<unsigned char>(c) >= 0x20);
  EXPECT_FALSE(has(text, "\u202e"));
  EXPECT_FALSE(has(text, "\u009b"));
  EXPECT_FALSE(has(text, "\nSAFE"));
  EXPECT_EQ(json::parse(json_report(site, assessment, notices))["site"]["title"], evil);
}

}  // namespace
}  // namespace leanside
