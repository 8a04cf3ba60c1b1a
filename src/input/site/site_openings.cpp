// SPDX-License-Identifier: Apache-2.0
#include "input/site/site_openings.hpp"

#include <fmt/format.h>

namespace leanside::input {
namespace {

/// The height of the room that heights of an airway are counted in: of the first-named side that is a space.
std::optional<double> room_height(Side first, Side second, const Draft& draft) {
  const Side& side = first ? first : second;
  return side ? draft.site.spaces[side->value].height : std::nullopt;
}

double read_share(const TableReader& table, std::string_view key, double otherwise) {
  return table.fraction(key).value_or(otherwise);
}

}  // namespace

std::optional<double> read_wind_coefficient(const TableReader& table, Side first, Side second) {
  const auto found = table.number("wind_coefficient");
  if (found && (*found < -3.0 || *found > 2.0)) {
    table.value_error("wind_coefficient",
                      fmt::format("found {}; expected a pressure coefficient, about 0.6 where the wind blows "
                                  "against the wall and -0.3 behind it",
                                  format_number(*found)));
  }
  if (found && first && second) {
    table.value_error("wind_coefficient", "the wind works on openings to outside; this one joins two spaces");
  }
  return found;
}

double read_discharge(const TableReader& table, double usual) {
  const double found = table.number("discharge", Sign::positive).value_or(usual);
  if (found > 1.0) {
    table.value_error("discharge", fmt::format("found {}; expected a number over 0 and up to 1; leave it out for {}",
                                               format_number(found), format_number(usual)));
  }
  return found;
}

void check_height_of(const TableReader& table, std::string_view what, const Doorway& opening, const Draft& draft) {
  const Side first = opening.first, second = opening.second;
  const double top = opening.sill + opening.height;
  if (const auto room = room_height(first, second, draft); room && top > *room) {
    table.value_error("height", fmt::format("the {} reaches up to {}, above the ceiling of the first-named space, {}",
                                            what, table.faults().amount(top, "m"), table.faults().amount(*room, "m")));
  }
  check_opening(table, table.has("sill") ? "sill" : "height", first, second, opening.sill, top, draft);
  constexpr double large = 20.0;  // m2
  if (const double area = opening.width * opening.height; area > large) {
    table.value_notice(
        "width", fmt::format("an opening of {} is very large; is the unit right?", table.faults().amount(area, "m2")));
  }
}

Gap read_gap(const TableReader& table, Side first, Side second, const Draft& draft) {
  Gap gap;
  gap.first = first;
  gap.second = second;
  if (table.require("leakage_area", "\"20 cm2\"")) {
    gap.leakage_area = table.quantity("leakage_area", Dimension::area, Sign::positive).value_or(1e-3);
    if (gap.leakage_area > 1.0) {
      table.value_notice("leakage_area", fmt::format("{} is very much for a gap; is the unit right? An opening of that "
                                                     "size is better a doorway",
                                                     table.faults().amount(gap.leakage_area, "m2")));
    }
  }
  gap.exponent = table.number("exponent").value_or(0.65);
  if (gap.exponent < 0.5 || gap.exponent > 1.0) {
    table.value_error("exponent",
                      fmt::format("found {}; expected 0.5 (a sharp opening) to 1 (a fine crack); leave it out for 0.65",
                                  format_number(gap.exponent)));
  }
  gap.height = table.quantity("height", Dimension::length, Sign::not_negative).value_or(0.0);
  if (const auto room = room_height(first, second, draft); room && gap.height > *room) {
    table.value_error("height", fmt::format("{} is above the ceiling of the first-named space, {}",
                                            table.faults().amount(gap.height, "m"), table.faults().amount(*room, "m")));
  }
  check_opening(table, "height", first, second, gap.height, gap.height, draft);
  gap.wind_coefficient = read_wind_coefficient(table, first, second);
  return gap;
}

Doorway read_doorway(const TableReader& table, Side first, Side second, const Draft& draft) {
  Doorway door;
  door.first = first;
  door.second = second;
  if (table.require("width", "\"0.9 m\""))
    door.width = table.quantity("width", Dimension::length, Sign::positive).value_or(0.9);
  if (table.require("height", "\"2 m\""))
    door.height = table.quantity("height", Dimension::length, Sign::positive).value_or(2.0);
  door.sill = table.quantity("sill", Dimension::length, Sign::not_negative).value_or(0.0);
  door.open = read_share(table, "open", 1.0);
  door.discharge = read_discharge(table, doorway_discharge);
  door.wind_coefficient = read_wind_coefficient(table, first, second);
  check_height_of(table, "doorway", door, draft);
  return door;
}

std::vector<FanPoint> read_curve(const TableReader& table) {
  constexpr std::string_view expected =
      "expected a list of points [pressure, flow], such as [[\"0 Pa\", \"400 m3/h\"], [\"100 Pa\", \"0 m3/h\"]]";
  const auto* list = table.find("curve")->as_array();
  if (!list || list->size() < 2) {
    table.value_error("curve", fmt::format("{}, two or more", expected));
    return {};
  }
  std::vector<FanPoint> curve;
  for (const auto& item : *list) {
    const auto* pair = item.as_array();
    if (!pair || pair->size() != 2) {
      table.error(location_of(item), fmt::format("curve: {}", expected));
      return {};
    }
    constexpr Dimension pressure[] = {Dimension::pressure}, flow[] = {Dimension::volume_flow};
    const auto p = table.quantity_of((*pair)[0], pressure, Sign::any, "curve pressure");
    const auto q = table.quantity_of((*pair)[1], flow, Sign::any, "curve flow");
    for (const auto* value : {&p, &q}) {
      const auto* fault = std::get_if<QuantityFault>(value);
      if (fault == nullptr) continue;
      table.error(location_of(item), fmt::format("curve: {}", fault->message));
      return {};
    }
    const FanPoint point{std::get<Quantity>(p).si, std::get<Quantity>(q).si};
    if (point.flow < 0.0) {
      table.error(location_of(item), "curve: a flow below 0; a fan blows one way: swap 'from' and 'to' for the other");
      return {};
    }
    if (!curve.empty() && (point.pressure <= curve.back().pressure || point.flow > curve.back().flow)) {
      table.error(location_of(item), "curve: from point to point the pressure must rise and the flow must not");
      return {};
    }
    curve.push_back(point);
  }
  return curve;
}

}  // namespace leanside::input
