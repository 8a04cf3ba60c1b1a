// SPDX-License-Identifier: Apache-2.0
// What must hold of layered rooms: no stronger leak and no smaller opening is the milder one.
#include <algorithm>
#include <cmath>

#include <gtest/gtest.h>

#include "property/draw.hpp"
#include "support/build_site.hpp"

namespace {

using leanside::Gap;
using leanside::Site;
using leanside::SpaceIndex;
using leanside::Stratification;
using leanside::testing::SiteBuilder;

double between(double low, double high) { return low + (high - low) * 1e-4 * *rc::gen::inRange(0, 10001); }

/// A room with a leak of a light or a heavy gas, a low and a high opening to outside.
Site draw_layers(Stratification stratification) {
  SiteBuilder build;
  const bool light = *rc::gen::arbitrary<bool>();
  auto fuel = light ? leanside::testing::make_fuel("light", 0.002016, 0.04, 0.75, 0.5)
                    : leanside::testing::make_fuel("heavy", 0.044, 0.021, 0.095, 5.0);
  fuel.substance.diffusivity_in_air = leanside::Sourced{light ? 7.58e-5 : 1.12e-5, "test", false};
  const auto gas = build.gas(fuel);
  const double height = between(2.0, 8.0), area = between(4.0, 100.0);
  const auto room = build.space("room", height * area);
  auto& space = build.site.spaces[room.value];
  space.floor_area = area;
  space.height = height;
  space.stratification = stratification;
  build.airway("low", Gap{room, std::nullopt, between(1e-3, 0.05), 0.5, 0.05 * height, std::nullopt});
  build.airway("high", Gap{room, std::nullopt, between(1e-3, 0.05), 0.5, 0.95 * height, std::nullopt});
  const auto leak = build.steady("leak", room, gas, std::pow(10.0, between(-5.5, -3.0)));
  build.site.releases[leak.value].height = between(0.0, 1.0) * height;
  build.site.criteria.horizon = 4.0 * 3600.0;
  build.site.criteria.open_ended = false;
  return build.site;
}

/// The highest share of the lower limit, in time and in steady state.
double level(const Site& site) {
  const auto answer = property::assessment(site);
  const auto& space = answer.cases[0].spaces[0];
  return std::max(space.peak.lfl_fraction, space.steady.reached ? space.steady.at.lfl_fraction : 0.0);
}

constexpr double slack = 1e-6;
/// Where gas gets out within its layer, a smaller opening can make the layer a little leaner: by up to 4 % in 700
/// rooms.
constexpr double slack_of_openings = 0.05;

RC_GTEST_PROP(Layers, AreRicherForAStrongerLeak, ()) {
  const Site site = draw_layers(*rc::gen::arbitrary<bool>() ? Stratification::layered : Stratification::worse_of_both);
  Site more = site;
  std::get<leanside::SteadyRelease>(more.releases[0].kind).rate *= 1.0 + between(0.01, 4.0);
  RC_ASSERT(level(more) >= level(site) * (1.0 - slack));
}

RC_GTEST_PROP(Layers, AreRicherForASmallerOpening, ()) {
  const Site site = draw_layers(*rc::gen::arbitrary<bool>() ? Stratification::layered : Stratification::worse_of_both);
  Site less = site;
  auto& gap = std::get<Gap>(less.airways[*rc::gen::arbitrary<bool>() ? 0 : 1].kind);
  gap.leakage_area *= between(0.1, 0.99);
  RC_ASSERT(level(less) >= level(site) * (1.0 - slack_of_openings));
}

}  // namespace
