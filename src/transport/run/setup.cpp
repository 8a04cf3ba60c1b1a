// SPDX-License-Identifier: Apache-2.0
#include "transport/run/setup.hpp"

#include <algorithm>

#include <fmt/format.h>

#include "leanside/units.hpp"

namespace leanside::transport {

Columns carried_columns(const Site& site, std::span<const Tracer> asked, bool follows_gas) {
  Columns columns;
  columns.asked = asked.size();
  if (follows_gas) columns.tracers = gas_tracers(site);
  if (std::equal(asked.begin(), asked.end(), columns.tracers.begin(), columns.tracers.end())) return columns;
  columns.first = columns.tracers.size();
  columns.tracers.insert(columns.tracers.end(), asked.begin(), asked.end());
  return columns;
}

bool may_follow_gas(const Site& site) {
  return std::any_of(site.airways.begin(), site.airways.end(), follows_pressure) ||
         std::any_of(site.releases.begin(), site.releases.end(), follows_vapour);
}

Fault fault_at(const RunSetup& setup, double t, const std::string& message, FaultKind kind) {
  const std::string& id = setup.site.cases[setup.case_index.value].id;
  return {fmt::format("case '{}', from {} on: {}", id, format_duration(t), message), kind};
}

}  // namespace leanside::transport
