// SPDX-License-Identifier: Apache-2.0
/// Openings as people measure them: louvres, windows that stand ajar, the slit under a door.
#include <algorithm>

#include <fmt/format.h>

#include "input/site/site_openings.hpp"
#include "leanside/advanced/openings.hpp"

namespace leanside::input {
namespace {

/// Width, height, sill, discharge and wind of an opening of some height.
Doorway read_frame(const TableReader& table, Side first, Side second, OpeningForm form, std::string_view width,
                   std::string_view height) {
  Doorway out;
  out.first = first;
  out.second = second;
  out.form = form;
  if (table.require("width", width)) {
    out.width = table.quantity("width", Dimension::length, Sign::positive).value_or(0.9);
  }
  if (table.require("height", height)) {
    out.height = table.quantity("height", Dimension::length, Sign::positive).value_or(0.3);
  }
  out.sill = table.quantity("sill", Dimension::length, Sign::not_negative).value_or(0.0);
  out.open = table.fraction("open").value_or(1.0);
  out.discharge = read_discharge(table, sharp_discharge);
  out.wind_coefficient = read_wind_coefficient(table, first, second);
  return out;
}

}  // namespace

Doorway read_louvre(const TableReader& table, Side first, Side second, const Draft& draft) {
  Doorway out = read_frame(table, first, second, OpeningForm::louvre, "\"0.6 m\"", "\"0.4 m\"");
  const double frame = out.width * out.height;
  const auto area = table.quantity("free_area", Dimension::area, Sign::positive);
  const auto share = table.fraction("free_share");
  if (table.has("free_area") == table.has("free_share")) {
    table.error(table.location(),
                "a louvre needs its free area: write free_area = \"0.1 m2\" or free_share = \"50 %\" of width times "
                "height (the data sheet of the maker has it; 50 % is usual, common practice, no source), not both");
  } else if (area && *area > frame * (1.0 + 1e-9) && table.has("width") && table.has("height")) {
    table.value_error("free_area", fmt::format("{} is more than width times height, {}",
                                               table.faults().amount(*area, "m2"), table.faults().amount(frame, "m2")));
  } else if (share && !(*share > 0.0)) {
    table.value_error("free_share", "must be more than 0; on = false shuts a louvre");
  }
  if (area && frame > 0.0) out.width = *area / out.height;
  if (share) out.width *= *share;
  check_height_of(table, "louvre", out, draft);
  return out;
}

std::optional<double> read_ajar(const TableReader& table, const WindowFrame& frame) {
  auto gap = table.quantity("gap", Dimension::length, Sign::positive);
  if (table.has("gap") && table.has("angle")) {
    table.error(table.key_location("angle"), "a window has an 'angle' or a 'gap', not both");
  } else if (const auto angle = table.number("angle", Sign::positive)) {
    if (*angle > 180.0) {
      table.value_error("angle", fmt::format("found {}; expected degrees, such as angle = 10", format_number(*angle)));
    }
    gap = window_gap(frame.across, std::min(*angle, 180.0));
  } else if (gap && *gap > 2.0 * frame.across) {
    table.value_error("gap", fmt::format("{} from the free edge to the frame is more than the window can open",
                                         table.faults().amount(*gap, "m")));
  }
  return gap;
}

Doorway read_window(const TableReader& table, Side first, Side second, AirwayIndex index, Draft& draft) {
  Doorway out = read_frame(table, first, second, OpeningForm::window, "\"0.8 m\"", "\"1.2 m\"");
  check_height_of(table, "window", out, draft);
  const auto hinge = table.text("hinge").value_or("side");
  if (hinge != "side" && hinge != "top" && hinge != "bottom") {
    table.value_error("hinge", fmt::format("found {}; expected \"side\", \"top\" or \"bottom\"", shown(hinge)));
  }
  const bool at_side = hinge == "side";
  const WindowFrame frame{at_side ? out.width : out.height, at_side ? out.height : out.width};
  draft.windows[index.value] = frame;
  const auto gap = read_ajar(table, frame);
  if (!gap) return out;
  const double area = window_free_area(frame.hinged, frame.across, *gap);
  out.width = area / out.height;
  draft.ajar.push_back({AssumptionKind::window_ajar, {}, {index}, {}, {}, {area}});
  return out;
}

Doorway read_undercut(const TableReader& table, Side first, Side second, const Draft& draft) {
  Doorway out = read_frame(table, first, second, OpeningForm::undercut, "\"0.9 m\"", "\"10 mm\"");
  constexpr double tall = 0.1;  // m
  if (out.height > tall) {
    table.value_notice("height", fmt::format("{} is tall for the slit under a door; is the unit right?",
                                             table.faults().amount(out.height, "mm")));
  }
  check_height_of(table, "undercut", out, draft);
  return out;
}

}  // namespace leanside::input
