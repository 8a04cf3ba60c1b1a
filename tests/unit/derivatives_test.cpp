// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <string>
#include <variant>

#include <gtest/gtest.h>

#include "leanside/study/size.hpp"
#include "support/build_site.hpp"
#include "support/reference_sites.hpp"

namespace leanside {
namespace {

using testing::SiteBuilder;

/// The steady lfl_fraction of a space, or NaN.
double value_of(const Site& site, SpaceIndex space) {
  AssessOptions options;
  options.steady_only = true;
  options.explain = false;
  const auto outcome = assess(site, options);
  const auto* assessment = std::get_if<Assessment>(&outcome);
  if (assessment == nullptr) return std::nan("");
  const SteadyInstant& at = assessment->cases.front().spaces[space.value].steady;
  return at.reached ? at.at.lfl_fraction : std::nan("");
}

Derivatives derived(const Site& site, SpaceIndex space) {
  auto outcome = derivatives(site, CaseIndex{0}, space);
  const auto* found = std::get_if<std::optional<Derivatives>>(&outcome);
  EXPECT_TRUE(found != nullptr && found->has_value());
  return found != nullptr && *found ? **found : Derivatives{};
}

/// Central difference of `value` at 0; NaN where the two sides differ by more than curvature explains: a kink, where a
/// opening or a leak turns round.
template <class Value>
double difference(const Value& value, double step) {
  const double there = value(step), back = value(-step), here = value(0.0);
  const double near = value(0.5 * step), nearer = value(-0.5 * step);
  const double up = (there - here) / step, down = (here - back) / step;
  const double slope = (4.0 * (near - nearer) / step - (there - back) / (2.0 * step)) / 3.0;  // Richardson
  const double half_up = (near - here) / (0.5 * step), half_down = (here - nearer) / (0.5 * step);
  const bool smooth = std::abs(half_up - half_down) <= 0.6 * std::abs(up - down) + 1e-7 * std::abs(slope) + 1e-9;
  return smooth ? slope : std::nan("");
}

/// All derivatives of one space against differences; the number of those compared that are not zero.
std::size_t compare(const Site& site, SpaceIndex space, const std::string& what) {
  const Derivatives d = derived(site, space);
  std::size_t compared = 0;
  for (std::size_t i = 0; i < site.airways.size(); ++i) {
    const auto moved = [&](double by) {
      Site changed = site;
      if (auto* fan = std::get_if<Fan>(&changed.airways[i].kind)) fan->flow += by;
      if (auto* exchange = std::get_if<Exchange>(&changed.airways[i].kind)) exchange->flow += by;
      return value_of(changed, space);
    };
    double flow = 0.0;
    if (const auto* fan = std::get_if<Fan>(&site.airways[i].kind)) flow = fan->flow;
    if (const auto* exchange = std::get_if<Exchange>(&site.airways[i].kind)) flow = exchange->flow;
    if (flow <= 0.0 || !site.airways[i].on) continue;
    const double slope = difference(moved, 1e-3 * flow);
    if (std::isnan(slope)) continue;
    const double scale = value_of(site, space) / flow;
    EXPECT_NEAR(d.by_flow[i], slope, 1e-5 * std::abs(slope) + 1e-6 * scale) << what << ", " << site.airways[i].id;
    compared += slope != 0.0;
  }
  for (std::size_t r = 0; r < site.releases.size(); ++r) {
    const auto* steady = std::get_if<SteadyRelease>(&site.releases[r].kind);
    if (steady == nullptr || steady->duration || !site.releases[r].on || steady->rate <= 0.0) continue;
    const auto moved = [&](double by) {
      Site changed = site;
      std::get<SteadyRelease>(changed.releases[r].kind).rate += by;
      return value_of(changed, space);
    };
    const double slope = difference(moved, 1e-3 * steady->rate);
    if (std::isnan(slope)) continue;
    const double scale = value_of(site, space) / steady->rate;
    EXPECT_NEAR(d.by_release[r], slope, 1e-5 * std::abs(slope) + 1e-6 * scale) << what << ", " << site.releases[r].id;
    compared += slope != 0.0;
  }
  return compared;
}

TEST(Derivatives, OneRoomMatchesTheClosedForm) {
  // x = G/Q: the fan takes out Q, of which the grille lets in Q - G.
  SiteBuilder b;
  const GasIndex methane = b.methane();
  const SpaceIndex room = b.space("store", 12.0);
  const AirwayIndex fan = b.fan("extract", room, std::nullopt, 0.01);
  b.opening("grille", std::nullopt, room);
  const ReleaseIndex leak = b.steady("regulator", room, methane, 4.0 / 60000.0);
  const Derivatives d = derived(b.site, room);
  const double G = 4.0 / 60000.0, Q = 0.01;
  EXPECT_NEAR(d.by_flow[fan.value], -G / (Q * Q) / 0.044, 1e-9);
  EXPECT_NEAR(d.by_release[leak.value], 1.0 / b.molar(Q) / 0.044, 1e-9);
}

TEST(Derivatives, MatchDifferencesWithLoopsAndLeaks) {
  SiteBuilder b;
  const GasIndex methane = b.methane(), hydrogen = b.hydrogen();
  const SpaceIndex lab = b.space("lab", 60.0), prep = b.space("prep", 25.0), corridor = b.space("corridor", 80.0);
  const SpaceIndex hood = b.space("hood", 1.2, SpaceKind::cabinet),
                   cupboard = b.space("cupboard", 0.5, SpaceKind::cabinet);
  const SpaceIndex plant = b.space("plant", 30.0), annex = b.space("annex", 15.0);
  b.site.spaces[prep.value].mixing_factor = 3.0;
  b.site.spaces[lab.value].mixing_factor = 1.5;
  b.site.spaces[lab.value].temperature = 300.0;
  b.site.spaces[corridor.value].air_changes = 1e-4;
  b.fan("hood-fan", hood, std::nullopt, 0.15);
  b.fan("supply", std::nullopt, lab, 0.05);
  b.fan("transfer", lab, prep, 0.01);
  b.opening("sash", prep, hood);
  b.opening("door-a", corridor, prep);
  b.opening("door-b", corridor, lab);
  b.opening("door-c", lab, prep);
  b.opening("front", corridor, std::nullopt);
  b.exchange("gaps", cupboard, prep, 0.0004);
  b.opening("vent", cupboard, prep);
  // Two rooms without a way outside: what the fans leave over leaks, shared between them.
  b.fan("plant-in", std::nullopt, plant, 0.03);
  b.fan("annex-in", lab, annex, 0.008);
  b.fan("plant-out", plant, std::nullopt, 0.0365);
  b.opening("hatch", plant, annex);
  b.steady("bottle", cupboard, hydrogen, 2e-6);
  b.steady("taps", prep, methane, 1e-5);
  b.steady("boiler", plant, methane, 3e-5);
  b.steady("line", lab, methane, 2e-5);
  std::size_t compared = 0;
  for (const SpaceIndex space : {lab, prep, corridor, hood, cupboard, plant, annex}) {
    compared += compare(b.site, space, b.site.spaces[space.value].id);
  }
  EXPECT_GT(compared, 30u);
}

TEST(Derivatives, MatchDifferencesOnRandomSites) {
  std::size_t compared = 0;
  for (std::uint64_t seed = 1; seed <= 30; ++seed) {
    reference::Recipe recipe;
    recipe.events = false;
    recipe.stiff = false;
    recipe.tight_vessels = false;
    const Site site = reference::random_site(seed, recipe);
    for (std::size_t i = 0; i < site.spaces.size(); ++i) {
      const auto outcome = derivatives(site, CaseIndex{0}, SpaceIndex{i});
      const auto* found = std::get_if<std::optional<Derivatives>>(&outcome);
      if (found == nullptr || !*found || !(value_of(site, SpaceIndex{i}) > 1e-6)) continue;
      compared += compare(site, SpaceIndex{i}, std::to_string(seed) + " " + site.spaces[i].id);
    }
  }
  EXPECT_GT(compared, 100u);
}

TEST(Derivatives, AreMissingIfFlowsFollowPressures) {
  SiteBuilder b;
  const SpaceIndex room = b.space("room", 50.0);
  b.steady("leak", room, b.methane(), 1e-5);
  b.airway("low", Gap{room, std::nullopt, 0.01, 0.65, 0.5, std::nullopt});
  b.airway("high", Gap{room, std::nullopt, 0.01, 0.65, 2.0, std::nullopt});
  const auto outcome = derivatives(b.site, CaseIndex{0}, room);
  EXPECT_FALSE(std::get<std::optional<Derivatives>>(outcome).has_value());
}

}  // namespace
}  // namespace leanside
