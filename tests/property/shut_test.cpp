// SPDX-License-Identifier: Apache-2.0
/// Shutting or narrowing an opening never makes the room where gas is let out look safer: where its openings lead
/// straight outdoors. (Beside another room it may: what comes through the door may bring gas back.)
#include <gtest/gtest.h>

#include "property/draw.hpp"
#include "support/build_site.hpp"

namespace property {
namespace {

using namespace leanside;

double uniform(double low, double high) { return low + (high - low) * *rc::gen::inRange(0, 10001) / 1e4; }
double spread(double low, double high) { return low * std::pow(high / low, uniform(0.0, 1.0)); }

/// A room with a release, one or two fans and up to four openings to outside.
Site draw_room() {
  leanside::testing::SiteBuilder b;
  const bool light = *rc::gen::arbitrary<bool>();
  const auto gas = light ? b.hydrogen() : b.methane();
  const SpaceIndex room = b.space("room", spread(1.0, 1000.0));
  if (*rc::gen::arbitrary<bool>()) b.site.spaces[0].air_changes = spread(1e-3, 3.0) / 3600.0;
  if (*rc::gen::arbitrary<bool>()) b.site.conditions.outside_temperature += uniform(-15.0, 15.0);
  const int fans = *rc::gen::inRange(0, 3), openings = *rc::gen::inRange(1, 5);
  for (int k = 0; k < fans; ++k) {
    const bool supply = k == 1 && *rc::gen::arbitrary<bool>();
    const Side from = supply ? Side{} : Side{room}, to = supply ? Side{room} : Side{};
    const double flow = spread(1e-3, 1.0);
    if (*rc::gen::arbitrary<bool>()) {
      b.fan("fan" + std::to_string(k), from, to, flow);
    } else {
      b.airway("fan" + std::to_string(k), Fan{from, to, 0.0, {{0.0, flow}, {spread(10.0, 300.0), 0.0}}});
    }
  }
  for (int k = 0; k < openings; ++k) {
    const int kind = *rc::gen::inRange(0, 3);
    const std::string id = "way" + std::to_string(k);
    const bool on = *rc::gen::inRange(0, 3) > 0;
    if (kind == 0) {
      b.airway(id, Gap{room, std::nullopt, spread(1e-5, 0.1), uniform(0.5, 1.0), uniform(0.0, 2.5), {}}, on);
    } else if (kind == 1) {
      b.airway(id, Doorway{room, std::nullopt, uniform(0.3, 1.5), uniform(0.5, 2.2), 0.0, uniform(0.05, 1.0), 0.6}, on);
    } else {
      b.airway(id, Relief{room, std::nullopt}, on);
    }
  }
  b.steady("leak", room, gas, spread(1e-6, 1e-2));
  return b.site;
}

double steady_fraction(const Site& site) {
  const auto result = steady_state(site, CaseIndex{0}, gas_tracers(site));
  if (!result.reached[0]) RC_DISCARD("no steady state");
  return result.fractions(SpaceIndex{0}, 0) / site.gases[0].limits->lower;
}

RC_GTEST_PROP(Openings, ShuttingOneNeverMakesARoomLookSafer, ()) {
  const Site open = draw_room();
  std::vector<std::size_t> choice;
  for (std::size_t i = 0; i < open.airways.size(); ++i) {
    if (open.airways[i].on && !std::holds_alternative<Fan>(open.airways[i].kind)) choice.push_back(i);
  }
  RC_PRE(!choice.empty());
  const std::size_t which = choice[*rc::gen::inRange<std::size_t>(0, choice.size())];
  const double before = steady_fraction(open);
  for (const double share : {0.5, 0.0}) {
    Site shut = open;
    Airway& airway = shut.airways[which];
    if (share == 0.0) {
      airway.on = false;
    } else if (auto* gap = std::get_if<Gap>(&airway.kind)) {
      gap->leakage_area *= share;
    } else if (auto* door = std::get_if<Doorway>(&airway.kind)) {
      door->open *= share;
    }
    const double after = steady_fraction(shut);
    RC_LOG() << "of the limit before " << before << ", after " << after << ", " << airway.id << " at " << share << "\n";
    RC_ASSERT(after >= before * (1.0 - 1e-6));
  }
}

}  // namespace
}  // namespace property
