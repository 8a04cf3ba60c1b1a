// SPDX-License-Identifier: Apache-2.0
/// What is stored, and what should be kept apart.
#include <string>
#include <vector>

#include "base/text/plain.hpp"
#include "leanside/report.hpp"
#include "report/json/json.hpp"
#include "report/text/table.hpp"
#include "report/words/storage.hpp"

namespace leanside {
namespace report {
namespace {

std::string volume_words(double cubic_metres) {
  constexpr double small = 0.1;
  return format_quantity(cubic_metres, cubic_metres < small ? "L" : "m3", 3);
}

std::string gas_name(const Site& site, const StoredGas& gas) {
  if (gas.release) return plain_text(site.releases[gas.release->value].gas.name);
  std::string out;
  for (const GasShare& share : site.spaces[gas.space.value].initial) {
    out += (out.empty() ? "" : ", ") + plain_text(site.gases[share.gas.value].substance.id);
  }
  return out;
}

double volume_of(const Site& site, const StoredGas& gas) {
  return (gas.fuel + gas.oxidiser + gas.inert) * gas_constant * site.conditions.temperature / site.conditions.pressure;
}

std::string times(double air, double volume) { return volume > 0.0 ? format_number(air / volume, 2) + " x" : "-"; }

}  // namespace

std::string store_words(const Site& site, const StoredGas& gas) {
  const std::string holder =
      gas.release ? "\"" + label(site, *gas.release) + "\"" : "what " + label(site, gas.space) + " holds";
  return holder + " (" + gas_name(site, gas) + ", " + volume_words(volume_of(site, gas)) + ")";
}

std::string storage_words(const Site& site, const StorageFinding& finding) {
  const auto more = [](std::size_t count) { return count > 0 ? " with " + std::to_string(count) + " more" : ""; };
  const std::string first = store_words(site, finding.first) + more(finding.more_first);
  const std::string second = store_words(site, finding.second) + more(finding.more_second);
  switch (finding.concern) {
    case StorageConcern::oxidiser_with_fuel:
      return "an oxidiser and a fuel are held in one place: " + first + " and " + second +
             "; where both leak, things burn far more fiercely, and their mixture burns over a wider range than this "
             "program knows";
    case StorageConcern::oxidiser_beside_fuel:
      return "an oxidiser is held next to a fuel: " + first + " here and " + second + " in " +
             label(site, finding.second.space);
    case StorageConcern::displaces_oxygen:
      break;
  }
  return "all of " + first + ", let out here, would leave " + percent_of_oxygen(finding.oxygen, site.criteria) +
         " of oxygen, under the limit of " + percent(site.criteria.oxygen_low) + ", if no air came in";
}

std::string storage_remedy(const StorageFinding& finding) {
  if (finding.concern == StorageConcern::displaces_oxygen) {
    return "Keep no more of it there than is needed, or bring air in and measure the oxygen before going in after a "
           "leak.";
  }
  return "Store them apart. For cylinders practice in the US is 6.1 m (20 ft), or a wall at least 1.5 m (5 ft) high "
         "that "
         "resists fire for half an hour (29 CFR 1910.253(b)(4)(iii)); the code of your own place decides.";
}

}  // namespace report

namespace {

using namespace report;

std::string_view word_of(StorageConcern concern) {
  switch (concern) {
    case StorageConcern::oxidiser_with_fuel:
      return "oxidiser_with_fuel";
    case StorageConcern::oxidiser_beside_fuel:
      return "oxidiser_beside_fuel";
    case StorageConcern::displaces_oxygen:
      break;
  }
  return "displaces_oxygen";
}

Json store_json(const Site& site, const StoredGas& gas) {
  return {{"release", gas.release ? Json(site.releases[gas.release->value].id) : Json(nullptr)},
          {"space", site.spaces[gas.space.value].id},
          {"fuel_mol", gas.fuel},
          {"oxidiser_mol", gas.oxidiser},
          {"inert_mol", gas.inert},
          {"air_to_lower_limit_m3", gas.air_to_limit},
          {"space_m3", gas.space_volume},
          {"reach_m3", gas.reach_volume}};
}

}  // namespace

std::string stock_report(const Site& site, const Stock& stock, const TextStyle& style) {
  std::string out = plain_text(site.title) + "\n\n";
  if (stock.held.empty()) {
    out += wrapped("The file holds no gas in store: no cylinder, no spill, no dump, and no space that starts with gas.",
                   "", style.width, 0);
  } else {
    Table table;
    table.columns = {{"store", false, true}, {"gas", false, true},   {"in", false, true},     {"volume", true},
                     {"makes", true},        {"of its space", true}, {"of all reached", true}};
    for (const StoredGas& gas : stock.held) {
      const bool burns = gas.fuel > 0.0;
      table.rows.push_back({gas.release ? label(site, *gas.release) : "(from the start)", gas_name(site, gas),
                            label(site, gas.space), volume_words(volume_of(site, gas)),
                            burns ? volume_words(gas.air_to_limit) : "-",
                            burns ? times(gas.air_to_limit, gas.space_volume) : "-",
                            burns ? times(gas.air_to_limit, gas.reach_volume) : "-"});
    }
    out += table.text(style.width, style.unicode);
    out += "\n" + wrapped(
                      "\"makes\": air that all of it could bring to its lower limit; then how many times the volume of "
                      "its space, and of that and everything its air gets to by the airways that are on. Volumes are "
                      "at site conditions; limits as chosen for this file.",
                      "", style.width, 0);
  }
  out += "\n" + (stock.findings.empty() ? std::string{"Nothing found that should be kept apart.\n"}
                                        : std::string{"Keep apart, and watch\n"});
  for (const StorageFinding& finding : stock.findings) {
    std::string text = label(site, finding.first.space) + ": " + storage_words(site, finding) + ".";
    out += wrapped(text, " - ", style.width, 3);
    out += wrapped(storage_remedy(finding), "   ", style.width, 3);
  }
  out += "\n" + wrapped(caution(), "", style.width, 0);
  return style.unicode ? out : ascii_only(out);
}

std::string stock_json(const Site& site, const Stock& stock) {
  Json held = Json::array(), findings = Json::array();
  for (const StoredGas& gas : stock.held) held.push_back(store_json(site, gas));
  for (const StorageFinding& finding : stock.findings) {
    const bool two = finding.concern != StorageConcern::displaces_oxygen;
    findings.push_back({{"concern", word_of(finding.concern)},
                        {"space", site.spaces[finding.first.space.value].id},
                        {"first", store_json(site, finding.first)},
                        {"second", two ? store_json(site, finding.second) : Json(nullptr)},
                        {"oxygen", two ? Json(nullptr) : Json(finding.oxygen)},
                        {"summary", storage_words(site, finding)},
                        {"advice", storage_remedy(finding)}});
  }
  return dumped({{"held", std::move(held)}, {"findings", std::move(findings)}}) + "\n";
}

}  // namespace leanside
