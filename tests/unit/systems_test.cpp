// SPDX-License-Identifier: Apache-2.0
/// Air handling units: what they do to their airways, return air, events, failures.
#include <algorithm>
#include <map>
#include <string>

#include <gtest/gtest.h>

#include "leanside/advanced/airflow.hpp"
#include "leanside/advanced/fans.hpp"
#include "leanside/assess.hpp"
#include "leanside/report.hpp"
#include "leanside/site_file.hpp"
#include "leanside/study/failures.hpp"

namespace leanside {
namespace {

SiteReading reading_of(const std::string& text) { return parse_site(text, "site.toml", built_in_substances()); }

Site read(const std::string& text) {
  SiteReading reading = reading_of(text);
  for (const Diagnostic& d : reading.diagnostics) {
    if (d.level == DiagnosticLevel::error) ADD_FAILURE() << to_text(d);
  }
  return reading.usable() != nullptr ? *reading.usable() : Site{};
}

std::string errors(const std::string& text) {
  std::string out;
  for (const Diagnostic& d : reading_of(text).diagnostics) {
    if (d.level == DiagnosticLevel::error) out += to_text(d) + "\n";
  }
  return out;
}

std::string fan(const std::string& id, const std::string& from, const std::string& to, const std::string& flow,
                const std::string& more = {}) {
  return "[[airway]]\nid = \"" + id + "\"\nkind = \"fan\"\nfrom = \"" + from + "\"\nto = \"" + to + "\"\nflow = \"" +
         flow + " m3/h\"\nsystem = \"ahu\"\n" + more;
}

/// Two rooms on one unit; gas gets into the first.
std::string two_rooms(const std::string& top, const std::string& system) {
  return "title = \"Two rooms\"\n" + top +
         "[[space]]\nid = \"a\"\nkind = \"room\"\nvolume = \"60 m3\"\n"
         "[[space]]\nid = \"b\"\nkind = \"room\"\nvolume = \"90 m3\"\n"
         "[[system]]\nid = \"ahu\"\nname = \"Roof unit\"\n" +
         system + fan("a-in", "outside", "a", "400") + fan("a-out", "a", "outside", "400") +
         fan("b-in", "outside", "b", "600") + fan("b-out", "b", "outside", "600") +
         "[[release]]\nid = \"leak\"\nkind = \"steady\"\ninto = \"a\"\ngas = \"methane\"\nrate = \"20 L/min\"\n";
}

std::size_t airway(const Site& site, const std::string& id) {
  const auto found =
      std::find_if(site.airways.begin(), site.airways.end(), [&](const Airway& a) { return a.id == id; });
  return static_cast<std::size_t>(found - site.airways.begin());
}

/// mol/mol of methane in the steady state of the last case.
std::pair<double, double> steady(const Site& site) {
  const auto outcome = assess(site);
  const auto& result = std::get<Assessment>(outcome).cases.back();
  return {result.spaces[0].steady.at.fraction[0], result.spaces[1].steady.at.fraction[0]};
}

TEST(Systems, WithoutReturnAirChangeNothing) {
  const auto [a, b] = steady(read(two_rooms("", "")));
  EXPECT_NEAR(a, 1.2 / 401.2, 1e-4) << "1.2 m3/h in 400 m3/h";
  EXPECT_NEAR(b, 0.0, 1e-12);
}

TEST(Systems, ReturnAirCarriesGasToTheOtherRooms) {
  const Site site = read(two_rooms("", "recirculation = \"60 %\"\n"));
  const auto [a, b] = steady(site);
  // Gas that leaves: 40 % of 1000 m3/h of return air, whose mean is y. Room a: 400 y r + 1.2 = 400 a; b = r y.
  const double g = 1.2, y = g / 400.0;
  EXPECT_NEAR(b, 0.6 * y, 3e-5);
  EXPECT_NEAR(a, 0.6 * y + g / 400.0, 3e-5);
  EXPECT_NEAR((400.0 * a + 600.0 * b) / 1000.0, y, 3e-5) << "the mean of the extracts";
}

TEST(Systems, AreSwitchedByOneEvent) {
  const Site site =
      read(two_rooms("event = [{ at = \"1 h\", system = \"ahu\", on = false }]\n", "recirculation = 0.5\n"));
  const SiteState before = state_at(site, CaseIndex{0}, 0.0), after = state_at(site, CaseIndex{0}, 7200.0);
  for (const auto id : {"a-in", "a-out", "b-in", "b-out", "ahu.recirculation"}) {
    EXPECT_TRUE(before.airway_on[airway(site, id)]) << id;
    EXPECT_FALSE(after.airway_on[airway(site, id)]) << id;
  }
  const auto told = std::count_if(site.cases[0].events.begin(), site.cases[0].events.end(),
                                  [](const Event& event) { return !event.follows; });
  EXPECT_EQ(told, 1) << "people are told of one event";
}

TEST(Systems, FlowFactorScalesEveryFlowAndTheReturnAir) {
  const Site site = read(
      two_rooms("event = [{ at = \"1 h\", system = \"ahu\", flow_factor = \"30 %\" }]\n", "recirculation = 0.5\n"));
  const SiteState after = state_at(site, CaseIndex{0}, 7200.0);
  EXPECT_NEAR(3600.0 * after.airway_flow[airway(site, "a-in")], 120.0, 1e-9);
  EXPECT_NEAR(3600.0 * after.airway_flow[airway(site, "b-out")], 180.0, 1e-9);
  EXPECT_NEAR(3600.0 * after.airway_flow[airway(site, "ahu.recirculation")], 0.5 * 300.0, 1e-9);
  const Site low = read(two_rooms("", "flow_factor = 0.5\n"));
  EXPECT_NEAR(3600.0 * std::get<Fan>(low.airways[0].kind).flow, 200.0, 1e-9);
}

TEST(Systems, ReturnAirFollowsTheSupplyFansAndItsOwnEvents) {
  const Site site =
      read(two_rooms("event = [{ at = \"1 h\", airway = \"b-in\", on = false },\n"
                     " { at = \"2 h\", system = \"ahu\", recirculation = \"0 %\" },\n"
                     " { at = \"3 h\", system = \"ahu\", recirculation = \"80 %\" }]\n",
                     "recirculation = 0.5\n"));
  const auto returned = [&](double hours) {
    return 3600.0 * state_at(site, CaseIndex{0}, 3600.0 * hours).airway_flow[airway(site, "ahu.recirculation")];
  };
  EXPECT_NEAR(returned(0.5), 500.0, 1e-9);
  EXPECT_NEAR(returned(1.5), 200.0, 1e-9) << "half of the 400 m3/h that are left";
  EXPECT_NEAR(returned(2.5), 0.0, 1e-12);
  EXPECT_NEAR(returned(3.5), 320.0, 1e-9);
}

TEST(Systems, FailAsOne) {
  const Site site = read(two_rooms("", "recirculation = 0.5\n"));
  const auto failures = list_failures(site);
  std::map<FailureKind, int> kinds;
  for (const Failure& failure : failures) ++kinds[failure.kind];
  EXPECT_EQ(kinds[FailureKind::system_off], 1);
  EXPECT_EQ(kinds[FailureKind::fan_off], 0) << "no fan of a unit fails by itself";
  const Site off = with_failures(site, {failures.front()});
  ASSERT_EQ(failures.front().kind, FailureKind::system_off);
  for (const auto id : {"a-in", "a-out", "b-in", "b-out", "ahu.recirculation"})
    EXPECT_FALSE(off.airways[airway(off, id)].on);
  const auto outcome = study_failures(site);
  ASSERT_TRUE(std::holds_alternative<FailureStudy>(outcome));
  EXPECT_NE(
      failures_text(site, std::vector{std::get<FailureStudy>(outcome)}, TextStyle{}).find("the system Roof unit stops"),
      std::string::npos);
}

TEST(Systems, AnEventForAFailedUnitIsDropped) {
  const Site site = read(two_rooms("event = [{ at = \"1 h\", system = \"ahu\", on = true }]\n", ""));
  const Site off = with_failures(site, {{FailureKind::system_off, {}, {}, {}, SystemIndex{0}}});
  EXPECT_TRUE(off.cases[0].events.empty());
}

TEST(Systems, WithOtherFlowsTakeOtherReturnAir) {
  Site site = read(two_rooms("event = [{ at = \"1 h\", airway = \"b-in\", on = false }]\n", "recirculation = 0.5\n"));
  const std::size_t events = site.cases[0].events.size();
  std::get<Fan>(site.airways[airway(site, "a-in")].kind).flow *= 2.0;
  set_return_air(site);
  const std::size_t back = airway(site, "ahu.recirculation");
  EXPECT_NEAR(3600.0 * std::get<Fan>(site.airways[back].kind).flow, 700.0, 1e-9);
  EXPECT_EQ(site.cases[0].events.size(), events);
  EXPECT_NEAR(3600.0 * state_at(site, CaseIndex{0}, 7200.0).airway_flow[back], 400.0, 1e-9);
}

TEST(Ducts, ThatCannotBalanceAreNamedBySizeInOneRun) {
  std::string text = "title = \"Ducts\"\n[[space]]\nid = \"a\"\nkind = \"room\"\nvolume = \"60 m3\"\n";
  const auto add = [&](const std::string& id, const std::string& from, const std::string& to, int flow) {
    text += "[[airway]]\nid = \"" + id + "\"\nkind = \"fan\"\nfrom = \"" + from + "\"\nto = \"" + to + "\"\nflow = \"" +
            std::to_string(flow) + " m3/h\"\n";
  };
  for (const std::string id : {"small", "large", "even"}) {
    text += "[[space]]\nid = \"" + id + "\"\nkind = \"junction\"\n";
    add(id + "-in", "outside", id, id == "large" ? 300 : id == "small" ? 120 : 100);
    add(id + "-out", id, "a", 100);
  }
  const Site site = read(text);
  const auto outcome = balance_flows(site, state_at(site, CaseIndex{0}, 0.0));
  ASSERT_TRUE(std::holds_alternative<FlowFault>(outcome));
  const std::string& message = std::get<FlowFault>(outcome).message;
  EXPECT_LT(message.find("'large' gets 200 m3/h"), message.find("'small' (20 m3/h)")) << message;
  EXPECT_EQ(message.find("even"), std::string::npos) << message;
}

TEST(Systems, MistakesAreNamed) {
  EXPECT_NE(errors(two_rooms("", "recirculatoin = 0.5\n")).find("recirculation"), std::string::npos);
  std::string other = two_rooms("", "");
  other.replace(other.find("system = \"ahu\""), 14, "system = \"ahuu\"");
  EXPECT_NE(errors(other).find("did you mean 'ahu'"), std::string::npos);
  EXPECT_NE(errors(two_rooms("event = [{ at = \"1 h\", system = \"ahu\", recirculation = 0.5 }]\n", ""))
                .find("no 'recirculation' to change"),
            std::string::npos);
  EXPECT_NE(
      errors(two_rooms("event = [{ at = \"1 h\", system = \"ahu\", flow = \"5 m3/h\" }]\n", "")).find("'flow_factor'"),
      std::string::npos);
  const std::string only_supply =
      "title = \"x\"\n[[space]]\nid = \"a\"\nkind = \"room\"\nvolume = \"9 m3\"\n[[system]]\nid = \"ahu\"\n"
      "recirculation = 0.5\n" +
      fan("in", "outside", "a", "40");
  EXPECT_NE(errors(only_supply).find("recirculation needs fans"), std::string::npos);
}

}  // namespace
}  // namespace leanside
