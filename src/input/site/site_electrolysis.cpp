// SPDX-License-Identifier: Apache-2.0
/// Water that is split by electricity.
#include <cmath>

#include <fmt/format.h>

#include "input/site/site_sources.hpp"
#include "leanside/advanced/bench.hpp"

namespace leanside::input {

void read_electrolysis(const TableReader& table, Release& release, Draft& draft) {
  if (table.has("gas")) {
    table.value_error("gas",
                      "electrolysis of water gives hydrogen and oxygen; leave the key out and write "
                      "gases = \"both\", \"hydrogen\" or \"oxygen\"");
  }
  SteadyRelease steady;
  steady.duration = read_duration(table);
  double cells = 1.0;
  if (table.has("cells")) {
    cells = table.number_alone("cells", Sign::positive, "how many cells there are can be counted: give one number")
                .value_or(1.0);
    if (cells != std::floor(cells)) {
      table.value_error("cells", fmt::format("found {}; expected a whole number", format_exact(cells)));
    }
  }
  std::string gases = table.text("gases").value_or("both");
  if (gases != "both" && gases != "hydrogen" && gases != "oxygen") {
    table.value_error(
        "gases", fmt::format("found {}; expected \"both\", in one tube, \"hydrogen\" or \"oxygen\"", shown(gases)));
    gases = "both";
  }
  double current = 0.0;
  if (table.require("current", "\"2 A\"")) {
    current = table.quantity("current", Dimension::current, Sign::not_negative).value_or(0.0);
    if (current == 0.0) table.value_notice("current", "is 0: nothing is released");
  }
  steady.current = current * cells;
  const double hydrogen = gases == "oxygen" ? 0.0 : electrolysis_hydrogen(*steady.current);
  const double oxygen = gases == "hydrogen" ? 0.0 : electrolysis_oxygen(*steady.current);
  steady.rate = hydrogen + oxygen;
  // Two parts of hydrogen to one of oxygen, whatever the current.
  const double share = gases == "both" ? 2.0 / 3.0 : gases == "hydrogen" ? 1.0 : 0.0;
  const auto first = composition_of(table, table.location(), "hydrogen", draft);
  const auto second = composition_of(table, table.location(), "oxygen", draft);
  if (first) add_shares(release.gas.shares, *first, share);
  if (second) add_shares(release.gas.shares, *second, 1.0 - share);
  release.gas.name = gases == "both" ? "hydrogen and oxygen 2:1" : gases;
  release.as_written = fmt::format("electrolysis with {}", written(table, "current"));
  if (cells > 1.0) release.as_written += fmt::format(", {} cells", format_exact(cells));
  if (steady.duration) release.as_written += " for " + written(table, "duration");
  release.kind = steady;
}

}  // namespace leanside::input
