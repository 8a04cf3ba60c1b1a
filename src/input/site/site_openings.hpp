// SPDX-License-Identifier: Apache-2.0
/// Airways that follow pressures: gaps, doorways and the curve of a fan.
#pragma once

#include <vector>

#include "input/site/site_draft.hpp"

namespace leanside::input {

Gap read_gap(const TableReader& table, Side first, Side second, const Draft& draft);
Doorway read_doorway(const TableReader& table, Side first, Side second, const Draft& draft);
/// `width` of the frame comes out as that of the free area alone.
Doorway read_louvre(const TableReader& table, Side first, Side second, const Draft& draft);
Doorway read_window(const TableReader& table, Side first, Side second, AirwayIndex index, Draft& draft);
/// From the free edge to the frame, m, by `angle` or `gap`; empty where the table has neither.
std::optional<double> read_ajar(const TableReader& table, const WindowFrame& frame);
Doorway read_undercut(const TableReader& table, Side first, Side second, const Draft& draft);
double read_discharge(const TableReader& table, double usual);
/// Only of what leads outside.
std::optional<double> read_wind_coefficient(const TableReader& table, Side first, Side second);
/// Refuses what reaches above the ceiling; notes what is very large. `what`: "doorway".
void check_height_of(const TableReader& table, std::string_view what, const Doorway& opening, const Draft& draft);
/// Points of `curve`, pressures ascending and flows not; empty where a fault was found.
std::vector<FanPoint> read_curve(const TableReader& table);

}  // namespace leanside::input
