// SPDX-License-Identifier: Apache-2.0
/// The answers for people and programs, from results made by hand.
#include "leanside/report.hpp"

#include <cmath>
#include <limits>
#include <sstream>

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "base/text/plain.hpp"
#include "hazard/facts.hpp"
#include "report/words/words.hpp"

namespace leanside {
namespace {

using nlohmann::json;
using testing::Test;

constexpr SpaceIndex store{0}, flask{1};
constexpr CaseIndex normal{0}, fan_stops{1};
constexpr ReleaseIndex leak{0}, other_leak{1};

Site sample_site() {
  Site site;
  site.title = "A store";
  site.file = "store.toml";
  Gas methane;
  methane.substance.id = "methane";
  methane.substance.molar_mass = {0.016043, "computed", false};
  methane.limits = ChosenLimits{0.044, 0.17, "source-a", "source-b", false, false};
  Gas nitrogen;
  nitrogen.substance.id = "nitrogen";
  nitrogen.substance.molar_mass = {0.0280134, "computed", false};
  site.gases = {methane, nitrogen};
  Space room;
  room.id = "store";
  room.name = "Cylinder store";
  room.volume = 20.0;
  room.temperature = 300.0;
  room.ignition = {"fan motor"};
  Space vessel;
  vessel.id = "flask";
  vessel.kind = SpaceKind::vessel;
  vessel.volume = 0.001;
  vessel.initial = {{GasIndex{0}, 1.0}};
  site.spaces = {room, vessel};
  site.conditions.outside_temperature = 280.0;
  site.airways = {{"extract", true, Fan{Side{store}, Side{}, 0.05, {}}, {}},
                  {"door", true, Exchange{Side{}, Side{store}, 0.01}, {}}};
  const auto release = [](std::string id, std::string name, std::string gas, GasIndex index, std::string size) {
    Release out;
    out.id = std::move(id);
    out.name = std::move(name);
    out.into = store;
    out.gas = {{{index, 1.0}}, std::move(gas)};
    out.kind = SteadyRelease{0.003, {}};
    out.as_written = std::move(size);
    return out;
  };
  site.releases = {release("valve", "Valve that leaks", "methane", GasIndex{0}, "4 L/min"),
                   release("joint", "", "methane", GasIndex{0}, "1 L/min"),
                   release("purge", "", "nitrogen", GasIndex{1}, "2 L/min")};
  site.cases = {{"normal", "", {}}, {"fan-stops", "The fan stops", {}}};
  return site;
}

Instant instant(double time, double methane, double lfl_fraction, MixtureState state) {
  return {time, {methane, 0.0}, 0.2, lfl_fraction, state};
}

CaseResult case_result(CaseIndex which) {
  CaseResult result;
  result.which = which;
  result.flows.airways = {{2.0, 0.0, {}}, {0.4, 0.3, {}}};
  SpaceResult room;
  room.peak = instant(28800.0, 0.1 + 0.2, 6.8181818181818183, MixtureState::rich);
  room.end = room.peak;
  room.steady.at = instant(0.0, 1.0 / 3.0, 7.5757575757575752, MixtureState::rich);
  room.crossings = {{Threshold::warn, 512.3, std::nullopt}, {Threshold::ufl, 900.0, 1234.5678901234567}};
  room.flammable_time = 400.1;
  room.flammable_from = 600.25;
  room.lowest_oxygen = 0.14;
  room.highest_oxygen = 0.2095;
  room.pressure = standard_atmosphere;
  SpaceResult vessel;
  vessel.peak = instant(0.0, 1e-300, 0.0, MixtureState::clear);
  vessel.end = instant(28800.0, 0.0, 0.0, MixtureState::clear);
  vessel.steady.reached = false;
  vessel.steady.reason = "gas has no way out of flask";
  vessel.lowest_oxygen = vessel.highest_oxygen = 0.2095;
  vessel.pressure = standard_atmosphere;
  result.spaces = {room, vessel};
  return result;
}

Warning sample_warning(Severity severity) {
  Warning warning;
  warning.severity = severity;
  warning.which = fan_stops;
  warning.space = store;
  warning.lfl_fraction = 2.4;
  warning.time = 512.3;
  warning.worst_state = MixtureState::flammable;
  warning.oxygen = 0.172;
  warning.pressure = 1.3 * standard_atmosphere;
  warning.causes = {{leak, std::nullopt, 0.83}, {other_leak, std::nullopt, 0.17}};
  warning.remedy.kind = RemedyKind::more_fresh_air;
  warning.remedy.extra_air = 312.1 / 3600.0;
  warning.remedy.value_after = 0.25;
  return warning;
}

Assessment sample_assessment() {
  Assessment out;
  out.cases = {case_result(normal), case_result(fan_stops)};
  out.warnings = {sample_warning(Severity::flammable)};
  out.assumptions = {"every space is well mixed"};
  out.balance_error = 1.25e-13;
  return out;
}

bool has(const std::string& text, const std::string& part) { return text.find(part) != std::string::npos; }

std::vector<std::string> lines_of(const std::string& text) {
  std::vector<std::string> out;
  std::istringstream in{text};
  for (std::string line; std::getline(in, line);) out.push_back(line);
  return out;
}

// ---- numbers and plain text

TEST(RoundingUp, NeverGivesLessAndKeepsTwoFigures) {
  for (double v = 1.0037e-4; v < 1e6; v *= 1.0173) {
    const double up = report::rounded_up(v);
    EXPECT_GE(up, v);
    EXPECT_LE(up, v * 1.1000001) << "not the next number of two figures";
    const double step = std::pow(10.0, std::floor(std::log10(up)) - 1.0);
    EXPECT_NEAR(up / step, std::round(up / step), 1e-6) << v;
  }
  EXPECT_EQ(report::rounded_up(312.1), 320.0);
  EXPECT_EQ(report::rounded_up(320.0), 320.0);
  EXPECT_EQ(report::rounded_up(9.91), 10.0);
  EXPECT_EQ(report::rounded_up(0.0), 0.0);
}

TEST(Percentages, AreNotRoundedOverALimit) {
  const Criteria criteria;
  EXPECT_EQ(report::percent_of_limit(0.34, criteria), "34 %");
  EXPECT_EQ(report::percent_of_limit(2.4, criteria), "240 %");
  EXPECT_EQ(report::percent_of_limit(0.2496, criteria), "24.96 %");
  EXPECT_EQ(report::percent_of_limit(0.25, criteria), "25 %");
  EXPECT_EQ(report::percent_of_limit(0.2512, criteria), "25.1 %");
  EXPECT_EQ(report::percent_of_limit(0.9996, criteria), "99.96 %");
  EXPECT_EQ(report::percent_of_limit(std::nextafter(1.0, 0.0), criteria), "just under 100 %");
  EXPECT_EQ(report::percent_of_oxygen(0.19496, criteria), "19.496 %");
  EXPECT_EQ(report::percent_of_limit(1e-7, criteria), "<0.01 %");
  EXPECT_EQ(report::percent_of_limit(0.0, criteria), "0 %");
}

TEST(PlainText, DropsWhatATerminalWouldObey) {
  EXPECT_EQ(plain_text("a\x1b[2Jb\r\nc\td"), "a [2Jb  c d");
  EXPECT_EQ(plain_text("x\u202ey\u200bz\u009bq"), "x y z q");
  EXPECT_EQ(plain_text("caf\u00e9 \u5b9f\u9a13\u5ba4"), "caf\u00e9 \u5b9f\u9a13\u5ba4");
  EXPECT_EQ(plain_text("\xff\xc3 \xe2\x82"), "?? ??");
  EXPECT_EQ(plain_text("\xed\xa0\x80"), "???") << "a surrogate is no letter";
  EXPECT_EQ(plain_text("\xc0\xaf"), "??") << "nor is an overlong form";
}

TEST(PlainText, CountsColumns) {
  EXPECT_EQ(report::columns("caf\u00e9"), 4u);
  EXPECT_EQ(report::columns("e\u0301"), 1u);
  EXPECT_EQ(report::columns("\u5b9f\u9a13"), 4u);
  EXPECT_EQ(report::cut("abcdef", 4, false), "abc~");
  EXPECT_EQ(report::cut("\u5b9f\u9a13\u5ba4", 4, true), "\u5b9f\u2026");
  EXPECT_EQ(report::wrapped("one two three", "- ", 9, 2), "- one two\n  three\n");
  EXPECT_EQ(report::wrapped("at 19.5 % of", "", 8, 0), "at\n19.5 %\nof\n") << "a number keeps its unit";
}

// ---- sentences

TEST(Summary, SaysWhatWhereHowBadHowSoonAndFromWhat) {
  const Site site = sample_site();
  const std::string text = summary_sentence(site, sample_warning(Severity::flammable));
  for (const char* part : {"Cylinder store", "The fan stops", "methane", "can be ignited", "8 min 32 s", "240 %",
                           "lower flammable limit", "83 %", "Valve that leaks", "4 L/min", "17 %", "joint"}) {
    EXPECT_TRUE(has(text, part)) << part << " is missing in: " << text;
  }
}

TEST(Summary, IsOneSentenceForEverySeverityAndTime) {
  const Site site = sample_site();
  for (const Severity severity :
       {Severity::flammable, Severity::rich, Severity::margin, Severity::oxygen, Severity::pressure, Severity::note}) {
    for (const std::optional<double> time : {std::optional<double>{}, std::optional{0.0}, std::optional{90.0}}) {
      Warning warning = sample_warning(severity);
      warning.time = time;
      warning.worst_is_steady = !time;
      if (severity == Severity::rich) warning.worst_state = MixtureState::rich;
      const std::string text = summary_sentence(site, warning);
      EXPECT_TRUE(has(text, "Cylinder store, in the case \"The fan stops\": ")) << text;
      EXPECT_TRUE(text.ends_with(".")) << text;
      for (std::size_t at = text.find(". "); at != std::string::npos; at = text.find(". ", at + 1)) {
        EXPECT_TRUE(std::isupper(static_cast<unsigned char>(text[at + 2]))) << "a sentence begins small: " << text;
      }
      const std::string when = time == 90.0                     ? "after 1 min 30 s"
                               : time == 0.0                    ? "from the start"
                               : severity == Severity::pressure ? "its pressure reaches"
                                                                : "in steady state";
      EXPECT_TRUE(has(text, when)) << text;
    }
  }
}

TEST(Summary, TellsTheWorstFigureOfItsKind) {
  const Site site = sample_site();
  EXPECT_TRUE(has(summary_sentence(site, sample_warning(Severity::oxygen)), "to 17.2 % at its lowest"));
  EXPECT_TRUE(has(summary_sentence(site, sample_warning(Severity::pressure)), "1.3 times the pressure outside"));
  Warning rising = sample_warning(Severity::oxygen);
  rising.oxygen = 0.26;
  EXPECT_TRUE(has(summary_sentence(site, rising), "rises above the limit of 23.5 %"));
  EXPECT_TRUE(has(summary_sentence(site, rising), "burn more fiercely"));
}

TEST(Summary, NeverLetsRichLookSafe) {
  const Site site = sample_site();
  for (const Severity severity : {Severity::flammable, Severity::rich}) {
    Warning warning = sample_warning(severity);
    warning.worst_state = MixtureState::rich;
    const std::string text = summary_sentence(site, warning);
    EXPECT_TRUE(has(text, "too rich to burn")) << text;
    EXPECT_TRUE(has(text, "not safe")) << text;
    EXPECT_TRUE(has(text, "air gets in")) << text;
  }
}

TEST(Summary, NamesAFillingAsTheCause) {
  const Site site = sample_site();
  Warning warning = sample_warning(Severity::rich);
  warning.causes = {{std::nullopt, flask, 1.0}};
  EXPECT_TRUE(has(summary_sentence(site, warning), "all of it comes from what \"flask\" held at the start"));
}

TEST(Summary, DoesNotCallAShareWholeThatIsNot) {
  const Site site = sample_site();
  Warning warning = sample_warning(Severity::margin);
  warning.causes = {{leak, std::nullopt, 0.998}, {other_leak, std::nullopt, 0.002}};
  EXPECT_TRUE(has(summary_sentence(site, warning), "nearly all of it"));
  warning.causes = {{leak, std::nullopt, 0.4}, {other_leak, std::nullopt, 0.3}, {std::nullopt, flask, 0.3}};
  EXPECT_TRUE(has(summary_sentence(site, warning), "40 % of it"));
  EXPECT_TRUE(has(summary_sentence(site, warning), "the rest from 2 other sources"));
}

TEST(RemedyWords, RoundTheAirUpAndGiveAirChanges) {
  const Site site = sample_site();
  const std::string text = remedy_sentence(site, sample_warning(Severity::margin));
  EXPECT_TRUE(has(text, "at least 320 m3/h more fresh air to Cylinder store")) << text;
  EXPECT_TRUE(has(text, "16 air changes an hour")) << text;  // 312.1 / 20 = 15.6
  EXPECT_TRUE(has(text, "Stop the gas from \"Valve that leaks\"")) << text;
  EXPECT_TRUE(has(text, "25 %")) << text;
}

TEST(RemedyWords, SayWhatToDoForEveryKind) {
  const Site site = sample_site();
  const std::vector<std::pair<RemedyKind, std::string>> expected = {
      {RemedyKind::more_fresh_air, "in steady state"},
      {RemedyKind::more_air_for_peak, "at least 320 m3/h more fresh air"},
      {RemedyKind::keep_air_out, "inert gas"},
      {RemedyKind::vent_vessel, "vent line"},
      {RemedyKind::stop_source, "Stop the gas from \"Valve that leaks\""},
      {RemedyKind::reduce_source, "Stop the gas from \"Valve that leaks\""},
      {RemedyKind::restore_oxygen, "oxygen has been measured"},
      {RemedyKind::watch, "Stop what releases the gas"}};
  for (const auto& [kind, part] : expected) {
    Warning warning = sample_warning(Severity::flammable);
    warning.remedy.kind = kind;
    if (kind == RemedyKind::keep_air_out) warning.remedy.air_limit = AirLimit::holds_fuel;
    if (kind == RemedyKind::restore_oxygen) warning.severity = Severity::oxygen;
    if (kind != RemedyKind::more_fresh_air && kind != RemedyKind::more_air_for_peak) warning.remedy.extra_air.reset();
    const std::string text = remedy_sentence(site, warning);
    EXPECT_TRUE(has(text, part)) << text;
    EXPECT_TRUE(text.ends_with(".")) << text;
  }
}

TEST(RemedyWords, WarnThatAirBringsARichSpaceThroughTheRange) {
  const Site site = sample_site();
  for (const RemedyKind kind : {RemedyKind::more_fresh_air, RemedyKind::more_air_for_peak}) {
    Warning warning = sample_warning(Severity::flammable);
    warning.remedy.kind = kind;
    EXPECT_FALSE(has(remedy_sentence(site, warning), "through the flammable range"));
    warning.remedy.passes_through_range = true;
    EXPECT_TRUE(has(remedy_sentence(site, warning), "through the flammable range"));
  }
}

TEST(RemedyWords, OwnUpWhereTheAirCouldNotBeComputed) {
  const Site site = sample_site();
  Warning warning = sample_warning(Severity::margin);
  warning.remedy.extra_air.reset();
  EXPECT_TRUE(has(remedy_sentence(site, warning), "could not be computed"));
}

TEST(RemedyWords, GiveLitresAMinuteForSmallVessels) {
  const Site site = sample_site();
  Warning warning = sample_warning(Severity::margin);
  warning.space = flask;
  warning.remedy.extra_air = 0.31 / 6e4;
  EXPECT_TRUE(has(remedy_sentence(site, warning), "0.019 m3/h (0.31 L/min)")) << remedy_sentence(site, warning);
}

// ---- text

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
  const Diagnostics notices = {{Gravity::notice, {"store.toml", 7, 3}, "a slip of the pen?"}};
  TextStyle wide;
  wide.width = 1000;
  const std::string text = text_report(sample_site(), assessment, notices, wide);
  EXPECT_TRUE(has(text, "assumed: 12 m3/h leaks out of Cylinder store to outside, because")) << text;
  EXPECT_TRUE(has(text, "(in every case)")) << text;
  EXPECT_TRUE(has(text, "the exchange door")) << text;
  EXPECT_TRUE(has(text, "(in the case fan-stops)")) << text;
  EXPECT_TRUE(has(text, "every space is well mixed")) << text;
  EXPECT_TRUE(has(text, "store.toml:7:3: notice: a slip of the pen?")) << text;
  const json read = json::parse(json_report(sample_site(), assessment, notices));
  EXPECT_EQ(read["assumptions"].size(), 3u);
  EXPECT_NEAR(read["cases"][0]["assumed_leaks"][0]["flow_m3_s"].get<double>(), -12.0 / 3600.0, 1e-12);
  EXPECT_EQ(read["cases"][1]["overflowing_airways"][0], "door");
  EXPECT_EQ(read["notices"][0]["line"], 7);
}

TEST(TextReport, DropsNoWarningOfMany) {
  Site site = sample_site();
  Assessment assessment = sample_assessment();
  assessment.warnings.clear();
  for (int i = 0; i < 500; ++i) {
    Space space = site.spaces[0];
    space.id = "room-" + std::to_string(i);
    space.name.clear();
    site.spaces.push_back(space);
    Warning warning = sample_warning(i < 250 ? Severity::flammable : Severity::oxygen);
    warning.space = SpaceIndex{site.spaces.size() - 1};
    assessment.warnings.push_back(warning);
  }
  const std::string text = text_report(site, assessment, {}, {});
  const std::vector<std::string> lines = lines_of(text);
  for (int i = 0; i < 500; ++i) {
    const std::string rank = std::to_string(i + 1);
    const std::string name = "room-" + std::to_string(i);
    const bool found = std::any_of(lines.begin(), lines.end(), [&](const std::string& line) {
      std::istringstream in{line};
      std::string first, severity, space;
      in >> first >> severity >> space;
      return first == rank && (space == name || space == name + ",");
    });
    EXPECT_TRUE(found) << "warning " << rank << " is not in the text";
  }
}

TEST(TextReport, PointsBackWhereAnotherCaseSaysTheSame) {
  Assessment assessment = sample_assessment();
  Warning same = assessment.warnings[0];
  same.which = normal;
  assessment.warnings = {assessment.warnings[0], same, sample_warning(Severity::margin)};
  const std::string text = text_report(sample_site(), assessment, {}, {});
  EXPECT_TRUE(has(text, " 2  FLAMMABLE  Cylinder store\n    The same as number 1: 240 %")) << text;
  EXPECT_TRUE(has(text, " 3  MARGIN  Cylinder store\n    In the case: The fan stops\n    Methane passes")) << text;
}

TEST(TextReport, TellsWhatFlowsOtherwiseInAnotherCase) {
  Assessment assessment = sample_assessment();
  assessment.cases[1].flows.airways[0] = {};
  const std::string text = text_report(sample_site(), assessment, {}, {});
  EXPECT_TRUE(has(text, "In the case \"The fan stops\": extract 0.")) << text;
}

TEST(TextReport, CountsTheClearSpacesOfALargeBuilding) {
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
  EXPECT_TRUE(has(text, "stay under 10 % (the highest: 2 %)")) << text;
  EXPECT_TRUE(has(text, "Cylinder store"));
}

TEST(TextReport, WithoutWarningsSaysWhatWasCheckedAndThatItIsNoProof) {
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

TEST(TextReport, ShowsRichAsRichAndGivesTheReasonForNoSteadyState) {
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

TEST(TextReport, ObeysNoTextOfTheUser) {
  Site site = sample_site();
  const std::string evil = "boo\x1b[2J\r\x07\u202e\u009b31m\nSAFE";
  site.title = site.file = site.spaces[0].name = site.spaces[1].name = site.releases[0].name = evil;
  site.releases[0].as_written = site.releases[0].gas.name = site.cases[1].name = evil;
  site.spaces[0].ignition = {evil};
  site.gases[0].limits->lower_source = evil;
  Assessment assessment = sample_assessment();
  assessment.assumptions = {evil};
  assessment.cases[0].spaces[1].steady.reason = evil;
  const Diagnostics notices = {{Gravity::notice, {evil, 1, 1}, evil}};
  const std::string text = text_report(site, assessment, notices, {});
  for (const char c : text) EXPECT_TRUE(c == '\n' || static_cast<unsigned char>(c) >= 0x20);
  EXPECT_FALSE(has(text, "\u202e"));
  EXPECT_FALSE(has(text, "\u009b"));
  EXPECT_FALSE(has(text, "\nSAFE"));
  EXPECT_EQ(json::parse(json_report(site, assessment, notices))["site"]["title"], evil);
}

// ---- JSON

TEST(JsonDocument, WrapsTheAnswerWithTheCaution) {
  const std::vector<std::string> files = {"a \"b\".toml", "\xff.toml"};
  const json read = json::parse(json_document("check", files, "{\"warnings\": []}\n"));
  EXPECT_EQ(read["program"], "leanside");
  EXPECT_EQ(read["version"], std::string{version()});
  EXPECT_EQ(read["command"], "check");
  EXPECT_EQ(read["files"], (json{"a \"b\".toml", "\uFFFD.toml"}));
  EXPECT_EQ(read["caution"], std::string{caution()});
  EXPECT_EQ(read["answer"], (json{{"warnings", json::array()}}));
  EXPECT_EQ(read.size(), 6u);
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

// ---- CSV

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
  // The site has no heat of combustion of methane: the general slope of Bulletin 627 holds at 300 K.
  EXPECT_NEAR(std::stod(lines[4].substr(34)), 0.022 / (0.044 * (1.0 - 0.000721 * (300.0 - 298.15))), 1e-12);
}

// ---- substances

TEST(SubstanceCard, TellsLimitsSourcesAndWhereTheGasGoes) {
  const Substance* hydrogen = built_in_substances().find("hydrogen");
  ASSERT_NE(hydrogen, nullptr);
  const std::string card = substance_card(*hydrogen, {120, false, false});
  for (const LimitPair& pair : hydrogen->limits) EXPECT_TRUE(has(card, pair.source)) << pair.source;
  EXPECT_TRUE(has(card, "4 %")) << card;
  EXPECT_TRUE(has(card, "77 %")) << card;
  EXPECT_TRUE(has(card, "29.5 %")) << card;  // stoichiometric
  EXPECT_TRUE(has(card, "rises")) << card;
  const Substance* propane = built_in_substances().find("propane");
  ASSERT_NE(propane, nullptr);
  EXPECT_TRUE(has(substance_card(*propane, {120, false, false}), "sinks"));
}

TEST(SubstanceCard, MarksEveryRecalledValue) {
  std::size_t checked = 0;
  for (const Substance& substance : built_in_substances().substances()) {
    if (!substance.limiting_oxygen || !substance.limiting_oxygen->recalled) continue;
    ++checked;
    bool marked = false;
    for (const std::string& line : lines_of(substance_card(substance, {140, false, false}))) {
      marked = marked || (has(line, "least oxygen") && has(line, "(recalled)"));
    }
    EXPECT_TRUE(marked) << substance.id;
  }
  EXPECT_GT(checked, 0u);
}

TEST(SubstanceCard, WorksForEverySubstanceAndMixture) {
  const SubstanceTable& table = built_in_substances();
  ASSERT_GE(table.substances().size(), 80u);
  for (const Substance& substance : table.substances()) {
    EXPECT_TRUE(has(substance_card(substance, {}), substance.id));
    EXPECT_EQ(json::parse(substance_json(substance))["id"], substance.id);
  }
  for (const Mixture& mixture : table.mixtures()) {
    const std::string card = mixture_card(mixture, table, {});
    for (const MixturePart& part : mixture.parts) EXPECT_TRUE(has(card, part.substance));
    EXPECT_EQ(json::parse(mixture_json(mixture))["parts"].size(), mixture.parts.size());
  }
  const json list = json::parse(substance_list_json(table));
  EXPECT_EQ(list["substances"].size(), table.substances().size());
  EXPECT_TRUE(has(substance_list(table, {}), "hydrogen"));
}

}  // namespace
}  // namespace leanside
