// SPDX-License-Identifier: Apache-2.0
/// What is stored, and what should be kept apart.
#include <string>
#include <vector>

#include "base/text/plain.hpp"
#include "leanside/report.hpp"
#include "report/text/table.hpp"
#include "report/words/storage.hpp"

namespace leanside {
namespace {

using namespace report;

std::string times(double air, double volume) { return volume > 0.0 ? format_number(air / volume, 2) + " x" : "-"; }

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
      table.rows.push_back({gas.release ? label(site, *gas.release) : "(from the start)", stored_gas_words(site, gas),
                            label(site, gas.space), stored_volume_words(site, stored_volume(site, gas)),
                            burns ? stored_volume_words(site, gas.air_to_limit) : "-",
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

}  // namespace leanside
