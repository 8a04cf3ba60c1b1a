// SPDX-License-Identifier: Apache-2.0
/// Numbers and sentences for people, of results made by hand.
#include "report/words/words.hpp"

#include <cmath>

#include <gtest/gtest.h>

#include "base/text/plain.hpp"
#include "leanside/report.hpp"
#include "unit/sample_answer.hpp"

namespace leanside {
namespace {

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
  const Site site;
  EXPECT_EQ(report::percent_of_limit(site, 0.34), "34 %");
  EXPECT_EQ(report::percent_of_limit(site, 2.4), "240 %");
  EXPECT_EQ(report::percent_of_limit(site, 0.2496), "24.96 %");
  EXPECT_EQ(report::percent_of_limit(site, 0.25), "25 %");
  EXPECT_EQ(report::percent_of_limit(site, 0.2512), "25.1 %");
  EXPECT_EQ(report::percent_of_limit(site, 0.9996), "99.96 %");
  EXPECT_EQ(report::percent_of_limit(site, std::nextafter(1.0, 0.0)), "just under 100 %");
  EXPECT_EQ(report::percent_of_oxygen(site, 0.19496), "19.496 %");
  EXPECT_EQ(report::percent_of_limit(site, 1e-7), "<0.01 %");
  EXPECT_EQ(report::percent_of_limit(site, 0.0), "0 %");
}

TEST(PlainText, DropsTerminalControls) {
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

TEST(Summary, NamesGasSpaceLevelTimeAndSource) {
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

TEST(Summary, GivesTheWorstFigureOfItsKind) {
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

TEST(Summary, RoundsNoShareUpToAll) {
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

TEST(RemedyWords, SayThatTheAirCouldNotBeComputed) {
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

}  // namespace
}  // namespace leanside
