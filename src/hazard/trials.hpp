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

/// How closely a changed site is assessed: quickly with the models shown, quickly with all models, or as every answer.
enum class Depth { shown, roughly, closely };

/// Assesses one case of changed sites: as often as its budget allows, which is less for larger sites.
class Trials {
 public:
  /// `asked` is the site as the user gave it, with the time that was computed for it as its horizon: a changed site is
  /// assessed over the same time and in the steady state. `shown` is the same site with the model of every room that
  /// the warnings come from.
  Trials(const Site& asked, const Site& shown, CaseIndex case_index, bool steady_only);

  /// Whether rooms have other models than the one shown, which advice has to keep within the criteria as well.
  bool has_other_models() const { return has_other_models_; }
  /// Whether a quick assessment is less exact than a close one.
  bool has_rough_runs() const { return has_rough_runs_; }
  /// From now on `base` is the site with the models shown, or that with all its models.
  void go_to(Depth depth) { depth_ = depth; }

  /// The site that changes are made to.
  const Site& base() const { return depth_ == Depth::shown ? shown_ : asked_; }

  /// What is left of a warning on the changed site, made from base(); empty where the budget is spent or it cannot be
  /// solved.
  std::optional<Outcome> of(const Site& changed, const Warning& warning);

  /// The same of the site without these releases; solved once for all warnings.
  std::optional<Outcome> without(const std::vector<ReleaseIndex>& releases, const Warning& warning);

 private:
  std::optional<CaseResult> run(Site changed);

  Site asked_, shown_;
  bool has_other_models_, has_rough_runs_;
  Depth depth_ = Depth::closely;
  CaseIndex which_;
  bool steady_only_;
  std::size_t left_;
  std::map<std::pair<Depth, std::vector<ReleaseIndex>>, std::optional<CaseResult>> stopped_;
};

/// What a result says about what a warning is about.
Outcome outcome_of(const Site& site, CaseIndex case_index, const SpaceResult& result, const Warning& warning);

}  // namespace leanside::hazard
