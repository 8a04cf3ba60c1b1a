// SPDX-License-Identifier: Apache-2.0
/// What a changed site still does, from assessing it again.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "leanside/assess.hpp"

namespace leanside::hazard {

/// Assesses one case of changed sites: as often as its budget allows, which is less for larger sites.
class Trials {
 public:
  /// `asked` is the site as the user gave it, with the time that was computed for it as its horizon: a changed site is
  /// assessed over the same time and in the steady state. `shown` is the same site with the model of every room that
  /// the warnings come from.
  Trials(const Site& asked, const Site& shown, CaseIndex case_index, bool steady_only);

  /// Whether rooms have other models than the one shown, which advice has to keep within the criteria as well.
  bool has_other_models() const { return has_other_models_; }
  /// From now on `base` is the site with the models shown, which is quicker to solve, or that with all its models.
  void take_all_models(bool all) { all_models_ = all; }

  /// The site that changes are made to.
  const Site& base() const { return all_models_ ? asked_ : shown_; }

  /// What is left of a warning on the changed site, made from base(); empty where the budget is spent or it cannot be
  /// solved.
  std::optional<Outcome> of(const Site& changed, const Warning& warning);

  /// The same of the site without these releases; solved once for all warnings.
  std::optional<Outcome> without(const std::vector<ReleaseIndex>& releases, const Warning& warning);

 private:
  std::optional<CaseResult> run(Site changed);

  Site asked_, shown_;
  bool has_other_models_, all_models_ = true;
  CaseIndex which_;
  bool steady_only_;
  std::size_t left_;
  std::map<std::pair<bool, std::vector<ReleaseIndex>>, std::optional<CaseResult>> stopped_;  ///< by all_models_ too
};

/// What a result says about what a warning is about.
Outcome outcome_of(const Site& site, CaseIndex case_index, const SpaceResult& result, const Warning& warning);

}  // namespace leanside::hazard
