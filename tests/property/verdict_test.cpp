// SPDX-License-Identifier: Apache-2.0
// What must hold of verdicts: more gas is never the milder one, and a longer look never forgets.
#include <algorithm>

#include <gtest/gtest.h>

#include "property/draw.hpp"
#include "support/build_site.hpp"

namespace {

using leanside::Assessment;
using leanside::CaseIndex;
using leanside::Severity;
using leanside::Site;
using leanside::SpaceIndex;

/// One to three rooms in a row, aired or not, with a leak of fuel or of a toxic fuel into the first.
Site draw_row() {
  leanside::testing::SiteBuilder build;
  const int kind = *rc::gen::inRange(0, 3);
  auto toxic = leanside::testing::make_fuel("toxic-fuel", 0.017, 0.15, 0.33, 0.75);
  toxic.substance.idlh = leanside::Sourced{300e-6, "test", false};
  const auto gas = kind == 0 ? build.methane() : kind == 1 ? build.hydrogen() : build.gas(toxic);
  const int rooms = *rc::gen::inRange(1, 4);
  for (int i = 0; i < rooms; ++i) {
    const auto room = build.space("room-" + std::to_string(i), 0.1 * *rc::gen::inRange(1, 2000));
    build.site.spaces[room.value].air_changes = 1e-5 * *rc::gen::inRange(0, 300);
    if (i > 0) {
      build.exchange("door-" + std::to_string(i), room, SpaceIndex{room.value - 1}, 1e-4 * *rc::gen::inRange(1, 1000));
    }
  }
  const double rate = 1e-7 * *rc::gen::inRange(1, 100000);
  if (*rc::gen::arbitrary<bool>()) {
    build.steady("leak", SpaceIndex{0}, gas, rate);
  } else {
    const double over = 60.0 * *rc::gen::inRange(1, 600);
    build.release("leak", SpaceIndex{0}, gas, leanside::DumpRelease{build.molar(rate) * over, over});
  }
  build.site.criteria.horizon = 3600.0 * *rc::gen::inRange(1, 48);
  build.site.criteria.open_ended = *rc::gen::arbitrary<bool>();
  return build.site;
}

int worst(const Assessment& answer) {
  int severity = static_cast<int>(Severity::note) + 1;
  for (const auto& warning : answer.warnings) severity = std::min(severity, static_cast<int>(warning.severity));
  return severity;
}

RC_GTEST_PROP(Verdicts, AreNeverMilderForMoreGas, ()) {
  const Site site = draw_row();
  Site more = site;
  const double factor = 1.0 + 0.01 * *rc::gen::inRange(1, 2000);
  auto& kind = more.releases[0].kind;
  if (auto* steady = std::get_if<leanside::SteadyRelease>(&kind)) steady->rate *= factor;
  if (auto* dump = std::get_if<leanside::DumpRelease>(&kind)) dump->amount *= factor;
  const auto less_gas = property::assessment(site), more_gas = property::assessment(more);
  RC_ASSERT(worst(more_gas) <= worst(less_gas));
  RC_ASSERT(calls_for_action(more_gas) || !calls_for_action(less_gas));
  RC_CLASSIFY(worst(more_gas) < worst(less_gas), "worse");
  RC_CLASSIFY(worst(less_gas) == static_cast<int>(Severity::flammable), "flammable from the start");
}

RC_GTEST_PROP(Verdicts, OfRoomsThatBeginWithAirAreNeverRich, ()) {
  const auto answer = property::assessment(draw_row());
  for (const auto& warning : answer.warnings) RC_ASSERT(warning.severity != Severity::rich);
}

RC_GTEST_PROP(Verdicts, OfALongerTimeAreNeverMilder, ()) {
  Site site = draw_row();
  site.criteria.open_ended = false;
  Site longer = site;
  longer.criteria.horizon *= *rc::gen::inRange(2, 20);
  const auto one = property::assessment(site), two = property::assessment(longer);
  RC_ASSERT(worst(two) <= worst(one));
  // What was still rising towards a threshold gets there when the first run said that it would.
  for (const auto& open : one.not_judged) {
    if (open.kind != leanside::OpenQuestion::still_rising || open.threshold != leanside::RisingTo::lfl) continue;
    if (!open.time || *open.time > 0.999 * longer.criteria.horizon) continue;
    const auto& crossings = two.cases[0].spaces[open.space->value].crossings;
    RC_ASSERT(std::any_of(crossings.begin(), crossings.end(), [&](const leanside::Crossing& crossing) {
      return crossing.threshold == leanside::Threshold::lfl && std::abs(crossing.up - *open.time) < 1e-3 * *open.time;
    }));
  }
}

RC_GTEST_PROP(Verdicts, OfAnOpenEndHoldForALongerTime, ()) {
  Site site = draw_row();
  site.criteria.open_ended = true;
  const auto answer = property::assessment(site);
  Site longer = site;
  longer.criteria.open_ended = false;
  longer.criteria.horizon = 2.0 * answer.horizon;
  RC_ASSERT(worst(property::assessment(longer)) == worst(answer));
}

}  // namespace
