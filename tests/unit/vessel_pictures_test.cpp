// SPDX-License-Identifier: Apache-2.0
// Pictures of vessels: their pressure over time, their parts, what they hold from when to when.
#include <cmath>

#include <gtest/gtest.h>

#include "leanside/assess.hpp"
#include "leanside/site_file.hpp"
#include "leanside/substance_file.hpp"
#include "report/svg/apparatus.hpp"
#include "report/svg/apparatus_parts.hpp"
#include "report/svg/pressure_course.hpp"
#include "report/svg/states.hpp"
#include "report/words/page_words.hpp"

namespace leanside::report {
namespace {

struct Answered {
  Site site;
  Assessment answer;
  const CaseResult& result() const { return answer.cases.front(); }
  const Experiment& experiment() const { return result().experiments.front(); }
};

Answered answered(const std::string& text) {
  SiteReading reading = parse_site("title = \"x\"\n" + text, "x.toml", built_in_substances());
  for (const Diagnostic& fault : reading.diagnostics) {
    EXPECT_NE(fault.level, DiagnosticLevel::error) << to_text(fault);
  }
  Answered out{reading.usable() != nullptr ? *reading.usable() : Site{}, {}};
  auto outcome = assess(out.site);
  EXPECT_TRUE(std::holds_alternative<Assessment>(outcome));
  out.answer = std::get<Assessment>(outcome);
  return out;
}

bool has(const std::string& text, const std::string& words) { return text.find(words) != std::string::npos; }

std::size_t times(const std::string& text, const std::string& words) {
  std::size_t out = 0;
  for (std::size_t at = text.find(words); at != std::string::npos; at = text.find(words, at + 1)) ++out;
  return out;
}

const std::string flask =
    "[criteria]\nhorizon = \"1 h\"\n[[space]]\nid = \"flask\"\nkind = \"vessel\"\nvolume = \"2 L\"\n";
const std::string zinc =
    "[[release]]\nid = \"zinc\"\nkind = \"reaction\"\ninto = \"flask\"\nreaction = \"zinc-hydrochloric-acid\"\n"
    "amounts = { zinc = \"2 g\", hydrochloric-acid = \"excess\" }\n";

TEST(PressureCurve, OfAReactionWithAHalfTimeIsThatOfFirstOrder) {
  const Answered of = answered(flask + zinc + "half_time = \"5 min\"\n");
  const PressureCourse course = pressure_course(of.site, of.result(), SpaceIndex{0});
  EXPECT_FALSE(course.joined);
  ASSERT_GT(course.points.size(), 100u);
  const double all = 2.0 / 65.38 * 8.314463 * 293.15 / 2e-3 / 1000.0;  // kPa that 2 g of zinc add
  for (const PlotPoint& point : course.points) {
    const double given = 1.0 - std::exp2(-point.time / 300.0);
    EXPECT_NEAR(point.value, 101.325 + all * given, 0.05) << point.time;
  }
  EXPECT_EQ(course.points.front().time, 0.0);
  EXPECT_EQ(course.points.back().time, 3600.0);
}

TEST(PressureCurve, OfAnEvenReactionRisesInALineAndStays) {
  const Answered of = answered(flask + zinc + "over = \"20 min\"\n");
  const PressureCourse course = pressure_course(of.site, of.result(), SpaceIndex{0});
  const double all = 2.0 / 65.38 * 8.314463 * 293.15 / 2e-3 / 1000.0;
  for (const PlotPoint& point : course.points) {
    EXPECT_NEAR(point.value, 101.325 + all * std::min(1.0, point.time / 1200.0), 0.05) << point.time;
  }
}

TEST(PressureCurve, OfJoinedVesselsPassesTheInstantsOfTheRun) {
  const Answered of = answered(flask +
                               "[[space]]\nid = \"bottle\"\nkind = \"vessel\"\nvolume = \"1 L\"\n"
                               "[[airway]]\nid = \"tube\"\nkind = \"tube\"\nbetween = [\"flask\", \"bottle\"]\n" +
                               zinc + "over = \"20 min\"\n");
  const PressureCourse course = pressure_course(of.site, of.result(), SpaceIndex{0});
  EXPECT_TRUE(course.joined);
  // Both share the gas: 3 L. It gains a tenth when 0.3 L have come.
  const double all = 2.0 / 65.38 * 8.314463 * 293.15 / 3e-3 / 1000.0;
  ASSERT_GE(course.points.size(), 3u);
  for (const PlotPoint& point : course.points) {
    if (point.time > 1200.0 && point.time < 3600.0) continue;
    EXPECT_NEAR(point.value, 101.325 + all * std::min(1.0, point.time / 1200.0), 0.3) << point.time;
  }
  for (std::size_t i = 1; i < course.points.size(); ++i) {
    EXPECT_GE(course.points[i].time, course.points[i - 1].time);
    EXPECT_GE(course.points[i].value, course.points[i - 1].value);
  }
}

const std::string tin =
    "[[space]]\nid = \"tin\"\nkind = \"vessel\"\ndiameter = \"10 cm\"\nheight = \"25 cm\"\nliquid = \"500 mL\"\n"
    "initial = { methane = \"100 %\" }\n"
    "openings = [{ at = \"top\", diameter = \"8 mm\", flame = true }, { at = \"side\", height = \"9 cm\", diameter = "
    "\"12 "
    "mm\" }]\n";

TEST(Apparatus, ShowsEveryPartWithItsWords) {
  const Answered of = answered(tin);
  const PageWords& words = page_words({});
  const ApparatusShape shape = apparatus_shape(of.site, of.experiment());
  EXPECT_NEAR(shape.surface, 500e-6 / (0.7853981634 * 0.01), 1e-9);
  EXPECT_FALSE(shape.open_up || shape.open_down || shape.stoppered);
  const auto parts = apparatus_parts(of.site, of.result(), of.experiment(), words);
  ASSERT_EQ(parts.size(), 2u);
  EXPECT_TRUE(parts[0].gas_out && !parts[0].air_in);  // the upper one
  EXPECT_TRUE(parts[1].air_in && !parts[1].gas_out);
  const std::string picture = svg_apparatus(of.site, of.result(), of.experiment(), words);
  EXPECT_EQ(times(picture, "class=\"gap\""), 2u);
  EXPECT_EQ(times(picture, "symbol flame"), 1u);
  EXPECT_EQ(times(picture, "url(#liquid)"), 1u);
  EXPECT_EQ(times(picture, "url(#state-rich)"), 1u);
  const std::string said = apparatus_words(of.site, of.result(), of.experiment(), words);
  for (const char* part : {"500 mL of liquid", "opening 8 mm, gas leaves, lit", "opening 12 mm, air enters",
                           "methane: too rich to burn"}) {
    EXPECT_TRUE(has(said, part)) << said;
  }
  EXPECT_TRUE(has(picture, "aria-label=\"tin from the side"));
}

TEST(Apparatus, ATubeLeadsFromTheFirstVesselToTheSecond) {
  const Answered of = answered(flask +
                               "[[space]]\nid = \"bottle\"\nkind = \"vessel\"\nvolume = \"1 L\"\ncollect = \"250 mL\"\n"
                               "[[airway]]\nid = \"tube\"\nkind = \"tube\"\nbetween = [\"flask\", \"bottle\"]\n" +
                               zinc + "over = \"20 min\"\n");
  const PageWords& words = page_words({});
  ASSERT_EQ(of.result().experiments.size(), 2u);
  const std::string first = apparatus_words(of.site, of.result(), of.result().experiments[0], words);
  const std::string second = apparatus_words(of.site, of.result(), of.result().experiments[1], words);
  EXPECT_TRUE(has(first, "tube to bottle")) << first;
  EXPECT_TRUE(has(second, "tube from flask")) << second;
  EXPECT_TRUE(has(second, "tube to jars of 250 mL over water")) << second;
}

TEST(Apparatus, OfGasThatDoesNotBurnTheGasIsNamedAlone) {
  const Answered of =
      answered(flask + "initial = { carbon-dioxide = \"60 %\" }\n" +
               "[[release]]\nid = \"marble\"\nkind = \"reaction\"\ninto = \"flask\"\n"
               "reaction = \"calcium-carbonate-hydrochloric-acid\"\n"
               "amounts = { calcium-carbonate = \"2 g\", hydrochloric-acid = \"excess\" }\nover = \"5 min\"\n");
  const std::string said = apparatus_words(of.site, of.result(), of.experiment(), page_words({}));
  EXPECT_TRUE(has(said, "carbon dioxide")) << said;
  EXPECT_FALSE(has(said, "burn")) << said;
}

TEST(States, AreDrawnInTheirShareOfTheTime) {
  StateChart chart;
  chart.title = "x";
  chart.end = 100.0;
  chart.rows = {
      {"one", {{0.0, 25.0, FlameState::steady}, {25.0, 75.0, FlameState::may_strike}, {75.0, 100.0, FlameState::out}}},
      {"two", {{0.0, 60.0, FlameState::steady}, {60.0, 100.0, FlameState::out}}}};
  chart.window = StateSpan{25.0, 75.0, FlameState::may_strike};
  chart.window_words = "may strike back";
  const std::string picture = svg_states(chart, page_words({}));
  // The field is 412 wide and begins at 12: a quarter is 103.
  EXPECT_TRUE(has(picture, "x=\"12\" y=\"26\" width=\"103\"")) << picture;
  EXPECT_TRUE(has(picture, "x=\"115\" y=\"26\" width=\"206\"")) << picture;
  EXPECT_TRUE(has(picture, "class=\"window\""));
  EXPECT_TRUE(has(picture, "may strike back"));
  for (const char* words : {"too rich to burn", "can burn", "too lean to burn"})
    EXPECT_TRUE(has(picture, words)) << words;
}

TEST(States, OfATinFollowOneAnotherWithoutAGapAndKeepTheBounds) {
  const Answered of = answered(tin);
  const Experiment& e = of.experiment();
  ASSERT_TRUE(e.window);
  for (const auto* row : {&e.mixed, &e.unmixed}) {
    ASSERT_GE(row->size(), 2u);
    EXPECT_EQ(row->front().begin, 0.0);
    for (std::size_t i = 1; i < row->size(); ++i) EXPECT_EQ((*row)[i].begin, (*row)[i - 1].end);
  }
  EXPECT_EQ(e.mixed.back().end, e.unmixed.back().end);
  EXPECT_NEAR(e.mixed[0].end, e.window->mixed_from, 1e-9);
  EXPECT_NEAR(e.mixed[1].end, e.window->mixed_until, 1e-9);
  EXPECT_NEAR(e.unmixed[0].end, e.window->unmixed, 1e-9);
}

}  // namespace
}  // namespace leanside::report
