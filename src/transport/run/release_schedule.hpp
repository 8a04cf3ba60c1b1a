// SPDX-License-Identifier: Apache-2.0
/// Releases during a run of one case: what each has given, and those whose rate varies, with what they have left.
#pragma once

#include <functional>
#include <optional>
#include <vector>

#include "leanside/advanced/release.hpp"
#include "leanside/advanced/transport.hpp"
#include "transport/coupled/collocation.hpp"

namespace leanside::transport {

class ReleaseBook {
 public:
  ReleaseBook(const Site& site, CaseIndex which, double horizon);

  /// Calls `add` for every instant, known beforehand, at which the rate of a release starts, ends or has a kink.
  void cuts(const std::function<void(double)>& add) const;

  /// The varying releases that emit from `t` s on.
  std::vector<ReleaseIndex> varying_at(double t) const;

  /// mol/s of a varying release at `t`, which is within one of its spans, where its gas has `partial_pressure` Pa.
  double rate(ReleaseIndex release, double t, double partial_pressure) const;

  /// mol/s, at one stage of a step from `t` on, of a varying release that does not follow its vapour: such that the
  /// rule of the step adds up to what is released, exactly.
  double stage_rate(ReleaseIndex release, double t, double step, std::size_t stage) const;

  /// How long a step from `t` on may be for the rates of these to be followed, s.
  double longest_step(const std::vector<ReleaseIndex>& varying, double t) const;

  double& left(ReleaseIndex release) { return entries_[release.value].left; }  ///< mol, of a spill

  /// Adds what varying releases have given from `from` to `to`; that of a spill is told by `give`.
  void pass(const std::vector<ReleaseIndex>& varying, double from, double to);
  void give(ReleaseIndex release, double amount) { entries_[release.value].trace.amount += amount; }
  void note_dry(ReleaseIndex release, double t) { entries_[release.value].trace.spent = t; }

  std::vector<ReleaseTrace> traces() const;

 private:
  struct Entry {
    std::vector<EmissionSpan> spans;
    bool varies = false;
    double left = 0.0;
    ReleaseTrace trace;
  };
  const Release& release_of(ReleaseIndex release) const { return site_.releases[release.value]; }
  double age(ReleaseIndex release, double t) const;

  const Site& site_;
  double horizon_;
  std::vector<Entry> entries_;
};

}  // namespace leanside::transport
