// SPDX-License-Identifier: Apache-2.0
/// What stays the same during a run.
#pragma once

#include <cstddef>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include "leanside/advanced/transport.hpp"
#include "leanside/site.hpp"
#include "transport/run/release_schedule.hpp"

namespace leanside::transport {

/// The columns that a run carries. Those asked for are `first` .. `first + asked - 1`.
struct Columns {
  std::vector<Tracer> tracers;
  std::size_t first = 0;
  std::size_t asked = 0;
  std::size_t count() const { return tracers.size(); }
  /// Whether column c is the fraction of gas c. Where releases follow their vapour, the gases are always there.
  bool is_gas(std::size_t c) const { return first == 0 || c < first; }
};

/// If flows, releases or layers follow the gas, the run needs the fraction of every gas: these columns then come before
/// those asked for, unless they are the same.
Columns carried_columns(const Site& site, std::span<const Tracer> asked, bool follows_gas);

/// Whether anything in the site may follow the gas: an airway that follows pressures, a spill.
bool may_follow_gas(const Site& site);

/// `site` must outlive it.
struct RunSetup {
  RunSetup(const Site& the_site, CaseIndex the_case, Columns the_columns)
      : site{the_site}, case_index{the_case}, columns{std::move(the_columns)}, schedule{the_site, the_case} {}

  const Site& site;
  CaseIndex case_index;
  Columns columns;
  ReleaseSchedule schedule;
};

/// A fault at `t` s into the case.
Fault fault_at(const RunSetup& setup, double t, const std::string& message, FaultKind kind);

}  // namespace leanside::transport
