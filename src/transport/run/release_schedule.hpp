// SPDX-License-Identifier: Apache-2.0
/// When the releases of a case emit, and how fast.
#pragma once

#include <functional>
#include <span>
#include <vector>

#include "leanside/advanced/release.hpp"
#include "leanside/site.hpp"

namespace leanside::transport {

/// Known before the run and the same throughout it. Only a spill decides during the run when it ends.
class ReleaseSchedule {
 public:
  /// `site` must outlive the schedule.
  ReleaseSchedule(const Site& site, CaseIndex case_index);

  /// Calls `add` for every instant, s, at which a release starts, stops or has a rate that is not smooth.
  void breakpoints(const std::function<void(double)>& add) const;

  /// When a release emits, in order of time.
  std::span<const EmissionSpan> spans(ReleaseIndex release) const { return spans_[release.value]; }

  /// The varying releases that emit from `t` s on. A spill whose `stock` (mol, by release) is used up emits no more.
  std::vector<ReleaseIndex> varying_at(double t, std::span<const double> stock) const;

  /// For how long a release has emitted at `t`, s.
  double age(ReleaseIndex release, double t) const;

  /// mol/s of a release at `t`, within one of its spans; a spill counts as fresh and in clean air.
  double rate(ReleaseIndex release, double t) const;

  /// mol that a release gives from `from` to `to` s; not for a spill, whose rate depends on the vapour around it.
  double given(ReleaseIndex release, double from, double to) const;

  /// How long a step from `t` on may be so that it can follow the rates of these releases, s.
  double longest_step(std::span<const ReleaseIndex> varying, double t) const;

 private:
  const Release& release_of(ReleaseIndex release) const { return site_.releases[release.value]; }

  const Site& site_;
  std::vector<std::vector<EmissionSpan>> spans_;  ///< by release
};

}  // namespace leanside::transport
