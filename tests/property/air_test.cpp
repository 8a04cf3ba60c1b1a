// SPDX-License-Identifier: Apache-2.0
// Properties of airflow through gaps, doorways and fans with a curve, driven by warmth and wind.
#include <algorithm>
#include <cmath>

#include <gtest/gtest.h>

#include "property/draw.hpp"
#include "support/build_site.hpp"

namespace {

using leanside::FlowField;
using leanside::Side;
using leanside::Site;
using leanside::SpaceIndex;
using leanside::testing::SiteBuilder;

double between(double low, double high) { return low + (high - low) * 1e-4 * *rc::gen::inRange(0, 10001); }

/// Two to six rooms in a row, warm and cold, high and low, with gaps, doorways and fans between them and to outside.
Site draw_openings() {
  SiteBuilder build;
  build.site.conditions.outside_temperature = between(253.0, 308.0);
  build.site.conditions.wind_speed = *rc::gen::arbitrary<bool>() ? between(0.0, 15.0) : 0.0;
  const auto rooms = *rc::gen::inRange<std::size_t>(2, 7);
  for (std::size_t i = 0; i < rooms; ++i) {
    const auto room = build.space("room-" + std::to_string(i), between(1.0, 300.0));
    auto& space = build.site.spaces[room.value];
    space.temperature = between(258.0, 313.0);
    space.elevation = between(0.0, 12.0);
    space.height = 3.0;
  }
  const auto any_side = [&](std::size_t i) -> Side {
    if (*rc::gen::inRange(0, 3) == 0) return std::nullopt;
    return SpaceIndex{(i + 1) % rooms};
  };
  for (std::size_t i = 0; i < rooms; ++i) {
    build.airway("leak-" + std::to_string(i),
                 leanside::Gap{SpaceIndex{i}, std::nullopt, between(1e-4, 0.05), between(0.5, 1.0), between(0.0, 3.0),
                               *rc::gen::arbitrary<bool>() ? std::optional{between(-0.6, 0.8)} : std::nullopt});
    if (*rc::gen::arbitrary<bool>()) {
      build.airway("gap-" + std::to_string(i), leanside::Gap{SpaceIndex{i}, any_side(i), between(1e-4, 0.1),
                                                             between(0.5, 1.0), between(0.0, 3.0), std::nullopt});
    }
    if (*rc::gen::arbitrary<bool>()) {
      build.airway("door-" + std::to_string(i), leanside::Doorway{SpaceIndex{i}, any_side(i), between(0.5, 1.5),
                                                                  between(1.0, 2.2), 0.0, between(0.05, 1.0), 0.6});
    }
    if (*rc::gen::inRange(0, 3) == 0)
      build.fan("fan-" + std::to_string(i), SpaceIndex{i}, std::nullopt, between(0.0, 0.3));
  }
  return build.site;
}

FlowField flows_of(const Site& site) {
  std::vector<double> density;
  for (const auto& space : site.spaces) {
    density.push_back(site.conditions.pressure * leanside::molar_mass_of_air /
                      (leanside::gas_constant * space.temperature));
  }
  const auto result = leanside::balance_flows(site, leanside::state_at(site, leanside::CaseIndex{0}, 0.0), density);
  if (const auto* fault = std::get_if<leanside::FlowFault>(&result)) RC_FAIL(fault->message);
  return std::get<FlowField>(result);
}

double most_flow(const FlowField& field) {
  double most = 0.0;
  for (const auto& flow : field.flows) most = std::max(most, flow.rate);
  return most;
}

constexpr double still = 1e-20;  // mol/s: round-off in still air

bool alike(double a, double b, double scale) { return std::abs(a - b) <= 1e-7 * scale + still; }

RC_GTEST_PROP(MovingAir, BalancesInEverySpace, ()) {
  const Site site = draw_openings();
  const FlowField field = flows_of(site);
  std::vector<double> net(site.spaces.size(), 0.0), through(site.spaces.size(), 0.0);
  for (const auto& flow : field.flows) {
    RC_ASSERT(flow.rate >= 0.0);
    if (flow.from) net[flow.from->value] -= flow.rate, through[flow.from->value] += flow.rate;
    if (flow.to) net[flow.to->value] += flow.rate;
  }
  for (std::size_t i = 0; i < net.size(); ++i) RC_ASSERT(std::abs(net[i]) <= 1e-10 * through[i] + still);
}

RC_GTEST_PROP(MovingAir, DoesNotDependOnWhichSideIsNamedFirst, ()) {
  const Site site = draw_openings();
  Site turned = site;
  for (auto& airway : turned.airways) {
    // Heights are measured from the floor of the side named first, so they change with it.
    if (auto* gap = std::get_if<leanside::Gap>(&airway.kind)) {
      if (!gap->second) continue;
      gap->height += site.spaces[gap->first->value].elevation - site.spaces[gap->second->value].elevation;
      std::swap(gap->first, gap->second);
    } else if (auto* door = std::get_if<leanside::Doorway>(&airway.kind)) {
      if (!door->second) continue;
      door->sill += site.spaces[door->first->value].elevation - site.spaces[door->second->value].elevation;
      std::swap(door->first, door->second);
    }
  }
  const FlowField one = flows_of(site), two = flows_of(turned);
  const double scale = most_flow(one);
  for (std::size_t a = 0; a < site.airways.size(); ++a) {
    const bool swapped = leanside::first_side(site.airways[a]) != leanside::first_side(turned.airways[a]);
    RC_ASSERT(alike(one.airways[a].forward, swapped ? two.airways[a].backward : two.airways[a].forward, scale));
    RC_ASSERT(alike(one.airways[a].backward, swapped ? two.airways[a].forward : two.airways[a].backward, scale));
  }
}

RC_GTEST_PROP(MovingAir, DoesNotDependOnTheZeroOfHeights, ()) {
  const Site site = draw_openings();
  Site raised = site;
  const double by = between(-50.0, 500.0);
  for (auto& space : raised.spaces) space.elevation += by;
  const FlowField one = flows_of(site), two = flows_of(raised);
  for (std::size_t a = 0; a < site.airways.size(); ++a) {
    RC_ASSERT(alike(one.airways[a].forward, two.airways[a].forward, most_flow(one)));
    RC_ASSERT(alike(one.airways[a].backward, two.airways[a].backward, most_flow(one)));
  }
}

RC_GTEST_PROP(MovingAir, IsTheSameForAGapSplitIntoTwoHalves, ()) {
  const Site site = draw_openings();
  Site split = site;
  const std::size_t leak = 0;  // the leak of the first room
  auto half = std::get<leanside::Gap>(site.airways[leak].kind);
  half.leakage_area *= 0.5;
  split.airways[leak].kind = half;
  split.airways.push_back(split.airways[leak]);
  split.airways.back().id = "other-half";
  const FlowField one = flows_of(site), two = flows_of(split);
  const double scale = most_flow(one);
  RC_ASSERT(alike(one.airways[leak].forward, 2.0 * two.airways[leak].forward, scale));
  RC_ASSERT(alike(one.airways[leak].backward, 2.0 * two.airways.back().backward, scale));
  for (std::size_t a = 1; a < site.airways.size(); ++a) {
    RC_ASSERT(alike(one.airways[a].forward, two.airways[a].forward, scale));
  }
}

RC_GTEST_PROP(MovingAir, IsStillWithoutADrivingForce, ()) {
  Site site = draw_openings();
  site.conditions.wind_speed = 0.0;
  for (auto& space : site.spaces) space.temperature = site.conditions.outside_temperature;
  for (auto& airway : site.airways) {
    if (std::holds_alternative<leanside::Fan>(airway.kind)) airway.on = false;
  }
  // A billionth of a litre per second counts as still: the smoothing near zero pressure leaves that much.
  RC_ASSERT(most_flow(flows_of(site)) <= site.conditions.pressure * 1e-12 / (leanside::gas_constant * 273.15));
}

RC_GTEST_PROP(MovingAir, LowersTheRoomPressureWithAStrongerExtract, ()) {
  Site site = draw_openings();
  site.airways.push_back({});
  site.airways.back().id = "extract";
  const double flow = between(0.0, 0.3), more = flow + between(0.001, 0.3);
  const auto pressure_at = [&](double rate) {
    site.airways.back().kind = leanside::Fan{SpaceIndex{0}, std::nullopt, rate, {}};
    return flows_of(site).pressure[0];
  };
  RC_ASSERT(pressure_at(more) < pressure_at(flow));
}

}  // namespace
