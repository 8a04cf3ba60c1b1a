// SPDX-License-Identifier: Apache-2.0
#include "leanside/site.hpp"

namespace leanside {

std::string_view word_of(SpaceKind kind) {
  switch (kind) {
    case SpaceKind::room:
      return "room";
    case SpaceKind::cabinet:
      return "cabinet";
    case SpaceKind::vessel:
      return "vessel";
    case SpaceKind::junction:
      return "junction";
  }
  return {};
}

namespace {
struct FirstSide {
  Side operator()(const Fan& fan) const { return fan.from; }
  Side operator()(const Exchange& exchange) const { return exchange.first; }
  Side operator()(const Relief& relief) const { return relief.first; }
};
struct SecondSide {
  Side operator()(const Fan& fan) const { return fan.to; }
  Side operator()(const Exchange& exchange) const { return exchange.second; }
  Side operator()(const Relief& relief) const { return relief.second; }
};
}  // namespace

Side first_side(const Airway& airway) { return std::visit(FirstSide{}, airway.kind); }
Side second_side(const Airway& airway) { return std::visit(SecondSide{}, airway.kind); }

double molar_mass(const Composition& composition, const std::vector<Gas>& gases) {
  double mass = 0.0, tracked = 0.0;
  for (const auto& share : composition.shares) {
    mass += share.fraction * gases[share.gas.value].substance.molar_mass.value;
    tracked += share.fraction;
  }
  return mass + (1.0 - tracked) * molar_mass_of_air;
}

}  // namespace leanside
