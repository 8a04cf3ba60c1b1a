// SPDX-License-Identifier: Apache-2.0
/// The embedded table of flames.
#include <algorithm>

#include "base/text/stop.hpp"
#include "embedded.hpp"
#include "input/toml/toml_reader.hpp"
#include "leanside/substance_file.hpp"
#include "leanside/units.hpp"

namespace leanside {
namespace input {
namespace {

/// The table is part of the library, and its tests read it: a fault in it is a fault of the library.
[[noreturn]] void refuse(Faults& faults) {
  const Diagnostics found = faults.take();
  stop_with("the built-in table of flames: " + (found.empty() ? "it is empty" : to_text(found.front())));
}

/// `[number, "source"]` or `[number, "source", "recalled"]`, times `factor`, plus `offset`.
std::optional<Sourced> value_of(const TableReader& table, std::string_view key, double factor, double offset = 0.0) {
  const auto* node = table.find(key);
  if (!node) return {};
  const auto* list = node->as_array();
  const bool sized = list && (list->size() == 2 || list->size() == 3);
  const auto number = sized ? list->get(0)->value<double>() : std::nullopt;
  const auto source = sized ? list->get(1)->value<std::string>() : std::nullopt;
  if (!number || !source || !(*number > 0.0)) {
    table.value_error(key, "expected [number, \"source\"]");
    return {};
  }
  return Sourced{*number * factor + offset, *source, list->size() == 3};
}

std::vector<FlameProperties> read_embedded_flames() {
  Faults faults{"configs/flames.toml"};
  constexpr std::string_view lists[] = {"flame"};
  std::vector<FlameProperties> out;
  const auto root = parse_toml(embedded::flames, faults, lists);
  if (!root) refuse(faults);
  const auto* rows = root->get_as<toml::array>("flame");
  if (!rows) refuse(faults);
  constexpr std::string_view keys[] = {"gas",
                                       "safe_gap_mm",
                                       "quenching_distance_mm",
                                       "burning_velocity_m_s",
                                       "explosion_pressure_bar",
                                       "explosion_pressure_oxygen_bar"};
  constexpr double millimetre = 1e-3, bar = 1e5;
  for (const auto& item : *rows) {
    const TableReader table{*item.as_table(), "flame", "", faults};
    table.refuse_unknown(keys);
    table.require("gas", "\"methane\"");
    FlameProperties flame;
    flame.gas = table.text("gas").value_or("");
    flame.safe_gap = value_of(table, "safe_gap_mm", millimetre);
    flame.quenching_distance = value_of(table, "quenching_distance_mm", millimetre);
    flame.burning_velocity = value_of(table, "burning_velocity_m_s", 1.0);
    flame.explosion_pressure = value_of(table, "explosion_pressure_bar", bar, standard_atmosphere);
    flame.explosion_pressure_oxygen = value_of(table, "explosion_pressure_oxygen_bar", bar);
    out.push_back(std::move(flame));
  }
  if (faults.any_error()) refuse(faults);
  return out;
}

}  // namespace
}  // namespace input

const std::vector<FlameProperties>& built_in_flames() {
  static const std::vector<FlameProperties> table = input::read_embedded_flames();
  return table;
}

const FlameProperties* find_flame(std::string_view gas) {
  const auto& all = built_in_flames();
  const auto found = std::ranges::find(all, gas, &FlameProperties::gas);
  return found == all.end() ? nullptr : &*found;
}

}  // namespace leanside
