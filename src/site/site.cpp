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

Side first_side(const Airway& airway) {
  return std::visit(
      [](const auto& kind) {
        if constexpr (requires { kind.from; }) {
          return kind.from;
        } else {
          return kind.first;
        }
      },
      airway.kind);
}

Side second_side(const Airway& airway) {
  return std::visit(
      [](const auto& kind) {
        if constexpr (requires { kind.to; }) {
          return kind.to;
        } else {
          return kind.second;
        }
      },
      airway.kind);
}

bool follows_pressure(const Airway& airway) {
  if (const auto* fan = std::get_if<Fan>(&airway.kind)) return !fan->curve.empty();
  return std::holds_alternative<Gap>(airway.kind) || std::holds_alternative<Doorway>(airway.kind);
}

double molar_mass(const Composition& composition, const std::vector<Gas>& gases) {
  double mass = 0.0, tracked = 0.0;
  for (const auto& share : composition.shares) {
    mass += share.fraction * gases[share.gas.value].substance.molar_mass.value;
    tracked += share.fraction;
  }
  return mass + (1.0 - tracked) * molar_mass_of_air;
}

}  // namespace leanside
