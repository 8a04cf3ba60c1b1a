// SPDX-License-Identifier: Apache-2.0
/// Sites with what is advised put into them.
#include <algorithm>
#include <cmath>
#include <type_traits>

#include "hazard/judge.hpp"

namespace leanside::hazard {
namespace {

/// Of a plain opening with sharp edges: as that of doorways.
constexpr double discharge_of_vent = 0.6;

/// The same release at a share of its rate.
struct Shared {
  double share;

  void operator()(SteadyRelease& r) const { r.rate *= share; }
  void operator()(DumpRelease& r) const { r.amount *= share; }
  void operator()(FittingsRelease& r) const { r.each *= share; }
  void operator()(OrificeRelease& r) const { r.hole.diameter *= std::sqrt(share); }
  void operator()(CylinderRelease& r) const {
    r.hole.diameter *= std::sqrt(share);
    r.course = r.course.at_share(share);
  }
  void operator()(BoilingRelease& r) const {
    r.area *= share;
    r.course = r.course.at_share(share);
  }
  void operator()(SpillRelease& r) const {
    r.pool.area *= share;
    // As mass_transfer_coefficient goes with the diameter.
    const double faster = std::pow(share, -0.055);
    r.pool.transfer *= faster;
    for (PoolStage& stage : r.stages) stage.transfer *= faster;
  }
  void operator()(ReactionRelease& r) const {
    r.amount *= share;
    for (double& reagent : r.reagents) reagent *= share;
  }
  void operator()(ChargingRelease& r) const {
    r.current *= share;
    if (r.capacity) *r.capacity *= share;
  }
};

}  // namespace

Site with_extra_air(const Site& site, SpaceIndex space, double flow) {
  Site changed = site;
  // Two fans, as somebody would do it: unlike an exchange they are no opening for what is too much in a space.
  const double cooled = site.conditions.outside_temperature / site.spaces[space.value].temperature;
  Airway airway;
  airway.id = "more-fresh-air";
  airway.kind = Fan{std::nullopt, space, flow * cooled, {}};
  changed.airways.push_back(airway);
  airway.id = "more-exhaust";
  airway.kind = Fan{space, std::nullopt, flow, {}};
  changed.airways.push_back(std::move(airway));
  return changed;
}

Site with_vents(const Site& site, SpaceIndex space, double area) {
  Site changed = site;
  if (!(area > 0.0)) return changed;
  for (const double height : {0.0, *site.spaces[space.value].height}) {
    Airway airway;
    airway.id = height > 0.0 ? "high-vent" : "low-vent";
    Gap vent{space, std::nullopt, discharge_of_vent * area, 0.5, height, std::nullopt};
    airway.kind = vent;
    changed.airways.push_back(std::move(airway));
  }
  return changed;
}

Site with_opening(const Site& site, SpaceIndex space, double area) {
  Site changed = site;
  Airway airway;
  airway.id = "opening-for-the-fan";
  airway.kind = Gap{space, std::nullopt, discharge_of_vent * area, 0.5, 0.0, std::nullopt};
  changed.airways.push_back(std::move(airway));
  return changed;
}

Site with_stopped(const Site& site, std::span<const ReleaseIndex> releases) {
  Site changed = site;
  const auto stopped = [&](ReleaseIndex release) {
    return std::find(releases.begin(), releases.end(), release) != releases.end();
  };
  for (const ReleaseIndex release : releases) changed.releases[release.value].on = false;
  for (Case& one : changed.cases) {
    std::erase_if(one.events, [&](const Event& event) {
      const auto* turned = std::get_if<SetReleaseOn>(&event.change);
      return turned != nullptr && stopped(turned->release);
    });
  }
  return changed;
}

Site with_share(const Site& site, std::span<const ReleaseIndex> releases, double share) {
  Site changed = site;
  for (const ReleaseIndex release : releases) std::visit(Shared{share}, changed.releases[release.value].kind);
  return changed;
}

}  // namespace leanside::hazard
