// SPDX-License-Identifier: Apache-2.0
#include "leanside/site.hpp"

#include <algorithm>

namespace leanside {

std::string value_words(const Range& range, double si) {
  // The unit is what follows the number, as far as it is one.
  const std::string& text = range.best_text;
  constexpr int digits = 4;
  for (std::size_t begin = 1; begin < text.size(); ++begin) {
    const std::string_view symbol = std::string_view{text}.substr(begin);
    for (const Unit& unit : units()) {
      if (unit.symbol == symbol && unit.dimension == range.dimension) return format_quantity(si, symbol, digits);
    }
  }
  if (range.dimension == Dimension::fraction) return format_number(si, digits);
  for (const Unit& unit : units()) {
    if (unit.dimension == range.dimension) return format_quantity(si, unit.symbol, digits);
  }
  return format_number(si, digits);
}

Assumption assumption_of_best_values(const std::vector<Range>& ranges) {
  Assumption out{AssumptionKind::best_values};
  for (const Range& range : ranges) {
    out.names.push_back(range.name);
    out.values.push_back(range.best);
  }
  return out;
}

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

std::string_view word_of(Stratification stratification) {
  switch (stratification) {
    case Stratification::mixed:
      return "mixed";
    case Stratification::layered:
      return "layered";
    case Stratification::worse_of_both:
      return "worse of both";
  }
  return {};
}

std::string_view word_of(OpeningForm form) {
  switch (form) {
    case OpeningForm::doorway:
      return "doorway";
    case OpeningForm::louvre:
      return "louvre";
    case OpeningForm::window:
      return "window";
    case OpeningForm::undercut:
      return "undercut";
  }
  return {};
}

std::vector<AirwayIndex> airways_of(const Site& site, SystemIndex system) {
  std::vector<AirwayIndex> out;
  for (std::size_t i = 0; i < site.airways.size(); ++i) {
    if (site.airways[i].system == system) out.push_back(AirwayIndex{i});
  }
  return out;
}

Site without_added_cases(const Site& site) {
  Site out = site;
  std::erase_if(out.cases, [](const Case& each) { return each.added_for.has_value(); });
  return out;
}

bool has_layers(const Site& site) {
  return std::any_of(site.spaces.begin(), site.spaces.end(),
                     [](const Space& space) { return space.stratification != Stratification::mixed; });
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
