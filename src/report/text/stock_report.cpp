// SPDX-License-Identifier: Apache-2.0
/// What is stored, and what should be kept apart.
#include <algorithm>
#include <string>
#include <vector>

#include "base/text/plain.hpp"
#include "hazard/stock_classes.hpp"
#include "leanside/report.hpp"
#include "report/text/table.hpp"
#include "report/words/storage.hpp"

namespace leanside {
namespace {

using namespace report;

std::string times(double air, double volume) { return volume > 0.0 ? format_number(air / volume, 2) + " x" : "-"; }

/// One row for all stores that differ in their names alone: "Hydrogen 1 and 3 more".
struct StoreRow {
  std::string first;
  std::size_t stores = 1;
  std::vector<std::string> cells;

  std::vector<std::string> row() const {
    std::vector<std::string> out{stores == 1 ? first : first + " and " + std::to_string(stores - 1) + " more"};
    out.insert(out.end(), cells.begin(), cells.end());
    return out;
  }
};

std::vector<StoreRow> rows_of(const Site& site, const Stock& stock) {
  std::vector<StoreRow> rows;
  for (const StoredGas& gas : stock.held) {
    const bool burns = gas.fuel > 0.0;
    const double count = gas.release ? site.releases[gas.release->value].count : 1.0;
    StoreRow row{
        gas.release ? label(site, *gas.release) : "(from the start)",
        1,
        {stored_gas_words(site, gas), class_words(gas.classes), label(site, gas.space),
         stored_volume_words(site, stored_volume(site, gas)), format_quantity(gas.mass, "kg", 3, site.conditions.units),
         burns ? times(gas.air_to_limit, gas.space_volume) : "-",
         burns ? times(gas.air_to_limit, gas.reach_volume) : "-"}};
    if (count > 1.0) row.first += " (" + format_number(count, 3) + " of them)";
    const auto same = std::find_if(rows.begin(), rows.end(), [&](const StoreRow& r) { return r.cells == row.cells; });
    if (same == rows.end()) {
      rows.push_back(std::move(row));
    } else {
      ++same->stores;
    }
  }
  return rows;
}

/// Columns that say nothing of any row are left out: the others then have room for what they say.
void drop_empty_columns(Table& table) {
  for (std::size_t c = table.columns.size(); c-- > 0;) {
    const bool empty =
        std::all_of(table.rows.begin(), table.rows.end(), [&](const auto& row) { return row[c] == "-"; });
    if (!empty) continue;
    table.columns.erase(table.columns.begin() + static_cast<std::ptrdiff_t>(c));
    for (auto& row : table.rows) row.erase(row.begin() + static_cast<std::ptrdiff_t>(c));
  }
}

std::string stores_text(const Site& site, const Stock& stock, const TextStyle& style) {
  Table table;
  table.columns = {{"store", false, true}, {"gas", false, true}, {"what it is", false, true}, {"in", false, true},
                   {"volume", true},       {"mass", true},       {"of its space", true},      {"of all reached", true}};
  const bool one_space = stock.spaces.size() == 1;
  for (const StoreRow& row : rows_of(site, stock)) {
    table.rows.push_back(row.row());
    if (one_space) table.rows.back()[3] = "-";
  }
  drop_empty_columns(table);
  return table.text(style.width, style.unicode);
}

std::string spaces_text(const Site& site, const Stock& stock, const TextStyle& style) {
  Table table;
  table.columns = {{"space", false, true}, {"what is there", false, true},
                   {"containers", true},   {"fuel", true},
                   {"oxidiser", true},     {"other", true},
                   {"liquid", true},       {"makes", true},
                   {"of its space", true}};
  const double volume = gas_constant * site.conditions.temperature / site.conditions.pressure;
  const auto gas = [&](double moles) {
    return moles > 0.0 ? stored_volume_words(site, moles * volume) : std::string{"-"};
  };
  for (const SpaceStock& sum : stock.spaces) {
    const bool burns = sum.fuel > 0.0;
    table.rows.push_back(
        {label(site, sum.space), class_words(sum.classes),
         sum.containers > 0.0 ? format_number(sum.containers, 6) : "-", gas(sum.fuel), gas(sum.oxidiser),
         gas(sum.inert),
         sum.liquid_volume > 0.0 ? format_quantity(sum.liquid_volume, "L", 3, site.conditions.units) : "-",
         burns ? stored_volume_words(site, sum.air_to_limit) : "-",
         burns ? times(sum.air_to_limit, site.spaces[sum.space.value].volume) : "-"});
  }
  drop_empty_columns(table);
  return table.text(style.width, style.unicode);
}

/// Where fuels count with the lower limits in nitrous oxide; empty: nowhere.
std::string beside_nitrous_words(const Site& site, const Stock& stock) {
  std::vector<std::string> places;
  for (const SpaceStock& sum : stock.spaces) {
    if (sum.fuel > 0.0 && hazard::beside_nitrous_oxide(site, sum.space)) places.push_back(label(site, sum.space));
  }
  if (places.empty()) return {};
  return " In " + joined(places) +
         " the lower limits are half of those in air (of ammonia 2.2/15): nitrous oxide is held there or next door, "
         "and "
         "where both leak less fuel is enough.";
}

}  // namespace

std::string stock_report(const Site& site, const Stock& stock, const TextStyle& style) {
  std::string out = plain_text(site.title) + "\n\n";
  if (stock.held.empty()) {
    out += wrapped("The file holds no gas in store: no cylinder, no spill, no dump, and no space that starts with gas.",
                   "", style.width, 0);
  } else {
    out += "Each store\n" + stores_text(site, stock, style) + "\nEach space in all\n" + spaces_text(site, stock, style);
    const std::string key =
        "\"makes\": air that all of it could bring to its lower limit; then how many times the volume of its space, "
        "and "
        "of that and everything its air gets to by the airways that are on. Volumes are of gas at site conditions; "
        "limits as chosen for this file.";
    out += "\n" + wrapped(key + beside_nitrous_words(site, stock), "", style.width, 0);
  }
  out += "\n" + (stock.findings.empty() ? std::string{"Nothing found that should be kept apart.\n"}
                                        : std::string{"Keep apart, and watch\n"});
  for (const StorageFinding& finding : stock.findings) {
    std::string text = label(site, finding.first.space) + ": " + storage_words(site, finding) + ".";
    out += wrapped(text, " - ", style.width, 3);
    out += wrapped(storage_remedy(site, finding), "   ", style.width, 3);
  }
  out += "\n" + wrapped(caution(), "", style.width, 0);
  return style.unicode ? out : ascii_only(out);
}

}  // namespace leanside
