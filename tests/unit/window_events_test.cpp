// SPDX-License-Identifier: Apache-2.0
/// Events that open a window wider, or shut it a little.
#include <cmath>
#include <limits>
#include <numbers>
#include <string>

#include <gtest/gtest.h>

#include "leanside/advanced/airflow.hpp"
#include "leanside/site_file.hpp"

namespace leanside {
namespace {

/// A window of 0.8 m by 1.2 m, hinged at its side, 0.1 m ajar, and one event at one hour.
std::string with_event(const std::string& change, const std::string& hinge = "side") {
  return "title = \"Window\"\nevent = [{ at = \"1 h\", airway = \"window\", " + change +
         " }]\n"
         "[[space]]\nid = \"room\"\nkind = \"room\"\nvolume = \"60 m3\"\n"
         "[[airway]]\nid = \"window\"\nkind = \"window\"\nbetween = [\"outside\", \"room\"]\nwidth = \"0.8 m\"\n"
         "height = \"1.2 m\"\nsill = \"0.9 m\"\ngap = \"0.1 m\"\nhinge = \"" +
         hinge + "\"\n";
}

/// Free area, m2, after the event; an error: its text instead.
std::pair<double, std::string> after(const std::string& text) {
  const SiteReading reading = parse_site(text, "site.toml", built_in_substances());
  std::string errors;
  for (const Diagnostic& d : reading.diagnostics) {
    if (d.level == DiagnosticLevel::error) errors += to_text(d) + "\n";
  }
  if (reading.usable() == nullptr) return {0.0, errors};
  const Site& site = *reading.usable();
  const auto* set = std::get_if<SetAirwayKind>(&site.cases[0].events.at(0).change);
  if (set == nullptr) return {0.0, "the event changes no number"};
  const auto& door = std::get<Doorway>(*set->kind);
  return {door.width * door.height, errors};
}

/// The slit and the two triangles, from plane geometry alone.
double area_of(double hinged, double across, double gap) {
  return gap * hinged + gap * std::sqrt(across * across - 0.25 * gap * gap);
}

TEST(WindowEvents, AnotherGapGivesTheAreaOfThatGap) {
  const auto [area, error] = after(with_event("gap = \"0.05 m\""));
  EXPECT_EQ(error, "");
  EXPECT_NEAR(area, area_of(1.2, 0.8, 0.05), 1e-12);
}

TEST(WindowEvents, AnotherAngleGivesTheAreaOfThatAngle) {
  // Across is the height where the hinges are at the top.
  const double gap = 2.0 * 1.2 * std::sin(0.5 * 15.0 * std::numbers::pi / 180.0);
  const auto [area, error] = after(with_event("angle = 15", "top"));
  EXPECT_EQ(error, "");
  EXPECT_NEAR(area, std::min(0.8 * 1.2, area_of(0.8, 1.2, gap)), 1e-12);
  EXPECT_NEAR(after(with_event("angle = 180")).first, 0.8 * 1.2, 1e-12) << "never more than the frame";
}

TEST(WindowEvents, RefuseWhatNoWindowCan) {
  EXPECT_NE(after(with_event("gap = \"1.7 m\"")).second.find("more than the window can open"), std::string::npos);
  EXPECT_NE(after(with_event("angle = 200")).second.find("expected degrees"), std::string::npos);
  EXPECT_NE(after(with_event("leakage_area = \"20 cm2\"")).second.find("'angle', 'gap'"), std::string::npos);
}

TEST(WindowEvents, MoreAirComesThroughTheWiderWindow) {
  std::string text = with_event("angle = 60");
  text += "[conditions]\ntemperature = \"24 degC\"\noutside_temperature = \"4 degC\"\n";
  const SiteReading reading = parse_site(text, "site.toml", built_in_substances());
  ASSERT_NE(reading.usable(), nullptr) << to_text(reading.diagnostics.front());
  const Site& site = *reading.usable();
  const auto flow_at = [&](double time) {
    const auto flows = balance_flows(site, state_at(site, CaseIndex{0}, time));
    return std::get<FlowField>(flows).airways[0].forward;
  };
  const auto& ajar = std::get<Doorway>(site.airways[0].kind);
  const double now = ajar.width * ajar.height;
  const double then = std::min(0.96, area_of(1.2, 0.8, 2.0 * 0.8 * std::sin(std::numbers::pi / 6.0)));
  // Both ways through an opening of one height the flow goes with the area.
  EXPECT_NEAR(flow_at(7200.0) / flow_at(0.0), then / now, 1e-6 * then / now);
}

}  // namespace
}  // namespace leanside
