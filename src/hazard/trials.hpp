// SPDX-License-Identifier: Apache-2.0
/// What a changed site still does, from assessing it again.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "leanside/assess.hpp"

namespace leanside::hazard {

/// Assesses one case of changed sites: as often as its budget allows, which is less for larger sites.
class Trials {
 public:
  /// `asked` is the site as the user gave it, with the time that was computed for it as its horizon: a changed site is
  /// assessed over the same time and in the steady state.
  Trials(const Site& asked, CaseIndex case_index, bool steady_only);

  const Site& asked() const { return asked_; }

  /// What is left of a warning on the changed site; empty where the budget is spent or it cannot be solved.
  std::optional<Outcome> of(const Site& changed, const Warning& warning);

  /// The same of the site without these releases; solved once for all warnings.
  std::optional<Outcome> without(const std::vector<ReleaseIndex>& releases, const Warning& warning);

 private:
  std::optional<CaseResult> run(const Site& changed);

  Site asked_;
  CaseIndex which_;
  bool steady_only_;
  std::size_t left_;
  std::map<std::vector<ReleaseIndex>, std::optional<CaseResult>> stopped_;
};

/// What a result says about what a warning is about.
Outcome outcome_of(const Site& site, CaseIndex case_index, const SpaceResult& result, const Warning& warning);

}  // namespace leanside::hazard
