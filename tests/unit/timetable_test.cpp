// SPDX-License-Identifier: Apache-2.0
/// Events by the clock, and events that change any number of an airway.
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "leanside/advanced/airflow.hpp"
#include "leanside/advanced/fans.hpp"
#include "leanside/advanced/openings.hpp"
#include "leanside/site_file.hpp"

namespace leanside {
namespace {

constexpr double hour = 3600.0, day = 24.0 * hour;

SiteReading reading_of(const std::string& events, const std::string& conditions, const std::string& airway,
                       const std::string& horizon) {
  const std::string limit = horizon.empty() ? "" : "horizon = \"" + horizon + "\"\n";
  return parse_site("title = \"Clock\"\nevent = [" + events + "]\n[conditions]\n" + conditions + "[criteria]\n" +
                        limit +
                        "[[space]]\nid = \"room\"\nkind = \"room\"\nvolume = \"30 m3\"\nheight = \"3 m\"\n"
                        "[[airway]]\nid = \"inlet\"\nkind = \"opening\"\nbetween = [\"outside\", \"room\"]\n" +
                        airway,
                    "site.toml", built_in_substances());
}

const std::string extract =
    "[[airway]]\nid = \"fan\"\nkind = \"fan\"\nfrom = \"room\"\nto = \"outside\"\nflow = \"100 m3/h\"\n";
const std::string curved =
    "[[airway]]\nid = \"fan\"\nkind = \"fan\"\nfrom = \"room\"\nto = \"outside\"\n"
    "curve = [[\"0 Pa\", \"400 m3/h\"], [\"100 Pa\", \"0 m3/h\"]]\n";

Site read(const std::string& events, const std::string& conditions = {}, const std::string& airway = extract,
          const std::string& horizon = "10 d") {
  SiteReading reading = reading_of(events, conditions, airway, horizon);
  for (const Diagnostic& d : reading.diagnostics) {
    if (d.level == DiagnosticLevel::error) ADD_FAILURE() << to_text(d);
  }
  return reading.usable() != nullptr ? *reading.usable() : Site{};
}

std::string errors(const std::string& events, const std::string& conditions = {}, const std::string& airway = extract) {
  std::string out;
  for (const Diagnostic& d : reading_of(events, conditions, airway, "10 d").diagnostics) {
    if (d.level == DiagnosticLevel::error) out += d.message + "\n";
  }
  return out;
}

bool runs(const Site& site, double at) { return state_at(site, CaseIndex{0}, at).airway_on[1]; }

const std::string by_day =
    "{ daily = \"20:00\", airway = \"fan\", on = false }, { daily = \"06:00\", airway = \"fan\", on = true }";

TEST(Timetable, RepeatsEveryDayAndKnowsWhatHeldBefore) {
  const Site site = read(by_day);
  EXPECT_FALSE(runs(site, 0.0)) << "at midnight it has been off since 20:00 the evening before";
  for (int d = 0; d < 9; ++d) {
    EXPECT_FALSE(runs(site, d * day + 5.9 * hour)) << d;
    EXPECT_TRUE(runs(site, d * day + 6.1 * hour)) << d;
    EXPECT_TRUE(runs(site, d * day + 19.9 * hour)) << d;
    EXPECT_FALSE(runs(site, d * day + 20.1 * hour)) << d;
  }
  const Site from_noon = read(by_day, "begins = \"Wed 12:00\"\n");
  EXPECT_TRUE(runs(from_noon, 0.0));
  EXPECT_TRUE(runs(from_noon, 7.9 * hour));
  EXPECT_FALSE(runs(from_noon, 8.1 * hour));
}

TEST(Timetable, KnowsWeekdaysAndWeeks) {
  const Site site = read(
      "{ weekdays = \"07:00\", airway = \"fan\", on = true }, { weekdays = \"18:00\", airway = \"fan\", on = false }",
      "begins = \"Thursday 12:00\"\n");
  const auto at = [&](int days, double clock) { return runs(site, days * day + (clock - 12.0) * hour); };
  EXPECT_TRUE(at(0, 13.0));
  EXPECT_FALSE(at(0, 19.0));
  EXPECT_TRUE(at(1, 12.0)) << "Friday";
  EXPECT_FALSE(at(2, 12.0)) << "Saturday";
  EXPECT_FALSE(at(3, 12.0)) << "Sunday";
  EXPECT_TRUE(at(4, 12.0)) << "Monday";
  const Site weekly = read("{ weekly = \"Sun 03:00\", airway = \"fan\", flow = \"20 m3/h\" }");
  EXPECT_NEAR(3600.0 * state_at(weekly, CaseIndex{0}, 0.0).airway_flow[1], 20.0, 1e-9) << "since the last Sunday";
  EXPECT_EQ(weekly.cases[0].events.size(), 2u) << "the Sunday before, and the one on day 7";
}

TEST(Timetable, WithoutAHorizonGoesOnForTwoWeeks) {
  const Site site = read(by_day, {}, extract, {});
  EXPECT_NEAR(site.cases[0].events.back().at, 13.0 * day + 20.0 * hour, 1.0);
  const bool stated = std::any_of(site.assumptions.begin(), site.assumptions.end(),
                                  [](const Assumption& a) { return a.kind == AssumptionKind::events_repeat; });
  EXPECT_TRUE(stated);
}

TEST(Timetable, RefusesWhatIsNoTime) {
  for (const std::string wrong : {"25:00", "8", "08:60", "8 pm", "", "08:00:00", ":30", "-1:00"}) {
    EXPECT_NE(errors("{ daily = \"" + wrong + "\", airway = \"fan\", on = false }").find("time of day"),
              std::string::npos)
        << wrong;
  }
  for (const std::string wrong : {"08:00", "Xyz 08:00", "Mo 08:00", "Monday", "Mon  "}) {
    EXPECT_NE(errors("{ weekly = \"" + wrong + "\", airway = \"fan\", on = false }").find("day and a time"),
              std::string::npos)
        << wrong;
  }
  EXPECT_NE(errors("{ at = \"1 h\", daily = \"08:00\", airway = \"fan\", on = false }").find("more than one"),
            std::string::npos);
}

const Fan& fan_at(const Site& site, double t) {
  static SiteState state;
  state = state_at(site, CaseIndex{0}, t);
  return std::get<Fan>(kind_now(site, state, 1));
}

TEST(EventsOfAirways, ChangeTheSpeedAndTheFilterOfAFan) {
  const Site site = read("{ at = \"1 h\", airway = \"fan\", speed = \"50 %\" }", {}, curved);
  const Fan& slow = fan_at(site, 2.0 * hour);
  EXPECT_NEAR(3600.0 * slow.curve[0].flow, 200.0, 1e-9);
  EXPECT_NEAR(slow.curve[1].pressure, 25.0, 1e-9) << "pressure goes with the square";
  const Site loaded = read("{ at = \"1 h\", airway = \"fan\", filter = \"60 Pa\" }", {}, curved);
  const Fan& behind = fan_at(loaded, 2.0 * hour);
  EXPECT_NEAR(behind.curve[0].pressure, -60.0, 1e-9);
  EXPECT_NEAR(behind.curve[1].pressure, 100.0, 1e-9);
  const Site given = read("{ at = \"1 h\", airway = \"fan\", speed = 0.25 }");
  EXPECT_NEAR(3600.0 * state_at(given, CaseIndex{0}, 2.0 * hour).airway_flow[1], 25.0, 1e-9);
}

TEST(EventsOfAirways, ALoadedFilterTakesFlow) {
  const Site site = read("{ at = \"1 h\", airway = \"fan\", filter = \"60 Pa\" }", {}, curved);
  const auto carried = [&](double t) {
    return std::get<FlowField>(balance_flows(site, state_at(site, CaseIndex{0}, t))).airways[1].forward;
  };
  // Against no pressure: on the straight line between the two points of the shifted curve, at 100/160 of the way.
  EXPECT_NEAR(carried(2.0 * hour) / carried(0.0), 1.0 - 60.0 / 160.0, 1e-6);
}

TEST(EventsOfAirways, ChangeTheNumbersOfGapsAndLouvres) {
  const std::string gap =
      "[[airway]]\nid = \"fan\"\nkind = \"gap\"\nbetween = [\"room\", \"outside\"]\nleakage_area = \"20 cm2\"\n";
  const Site wide = read("{ at = \"1 h\", airway = \"fan\", leakage_area = \"50 cm2\" }", {}, gap);
  SiteState state = state_at(wide, CaseIndex{0}, 2.0 * hour);
  EXPECT_NEAR(std::get<Gap>(kind_now(wide, state, 1)).leakage_area, 50e-4, 1e-12);
  const Site half = read("{ at = \"1 h\", airway = \"fan\", open = 0.5 }", {}, gap);
  EXPECT_EQ(state_at(half, CaseIndex{0}, 2.0 * hour).airway_open[1], 0.5);
  EXPECT_NE(errors("{ at = \"1 h\", airway = \"fan\", speed = 0.5 }", {}, gap).find("cannot change 'speed'"),
            std::string::npos);
  const std::string louvre =
      "[[airway]]\nid = \"fan\"\nkind = \"louvre\"\nbetween = [\"room\", \"outside\"]\nwidth = \"0.5 m\"\nheight = "
      "\"0.4 m\"\n"
      "free_share = 0.5\n";
  const Site blocked = read("{ at = \"1 h\", airway = \"fan\", free_area = \"0.02 m2\" }", {}, louvre);
  state = state_at(blocked, CaseIndex{0}, 2.0 * hour);
  EXPECT_NEAR(std::get<Doorway>(kind_now(blocked, state, 1)).width, 0.05, 1e-12);
}

TEST(Windows, AjarHaveTheFreeAreaOfTheirGeometry) {
  // A sash of 1 m by 1 m: the slit, and two triangles with sides of 1 m and the angle between them.
  const double angle = 10.0, gap = window_gap(1.0, angle);
  EXPECT_NEAR(gap, 0.174311, 1e-6);
  EXPECT_NEAR(window_free_area(1.0, 1.0, gap), 0.174311 + 2.0 * 0.5 * 0.173648, 1e-5);
  EXPECT_EQ(window_free_area(1.2, 0.8, window_gap(0.8, 90.0)), 1.2 * 0.8) << "never more than the frame";
  EXPECT_EQ(window_free_area(1.2, 0.8, 1.6), 1.2 * 0.8);
  EXPECT_EQ(window_free_area(1.2, 0.8, 0.0), 0.0);
  double before = 0.0;
  for (double g = 0.0; g <= 1.6; g += 0.01) {
    const double area = window_free_area(1.2, 0.8, g);
    EXPECT_GE(area, before) << g;
    before = area;
  }
}

TEST(Windows, AreReadByAngleOrGap) {
  const auto window = [](const std::string& more) {
    return read("", {},
                "[[airway]]\nid = \"fan\"\nkind = \"window\"\nbetween = [\"room\", \"outside\"]\nwidth = \"0.8 m\"\n"
                "height = \"1.2 m\"\nsill = \"0.9 m\"\n" +
                    more);
  };
  const auto area = [](const Site& site) {
    const auto& door = std::get<Doorway>(site.airways[1].kind);
    return door.width * door.height;
  };
  EXPECT_NEAR(area(window("")), 0.96, 1e-12);
  EXPECT_NEAR(area(window("gap = \"8 cm\"\n")), window_free_area(1.2, 0.8, 0.08), 1e-12);
  EXPECT_NEAR(area(window("hinge = \"bottom\"\nangle = 8\n")), window_free_area(0.8, 1.2, window_gap(1.2, 8.0)), 1e-12);
  EXPECT_EQ(std::get<Doorway>(window("").airways[1].kind).discharge, 0.6);
}

}  // namespace
}  // namespace leanside
