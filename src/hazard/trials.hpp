// SPDX-License-Identifier: Apache-2.0
/// What a changed site still does, from assessing it again.
#pragma once

#include <optional>
#include <string>

#include "leanside/assess.hpp"

namespace leanside::hazard {

/// Assesses one case of changed sites: as often as its budget allows, which is less for larger sites.
class Trials {
 public:
  /// `asked` is the site as the user gave it; it must outlive this.
  Trials(const Site& asked, CaseIndex which, bool sustained_only);

  const Site& asked() const { return asked_; }

  /// What is left of a warning on the changed site; empty where the budget is spent or it cannot be solved.
  std::optional<Outcome> of(const Site& changed, const Warning& warning);

 private:
  const Site& asked_;
  CaseIndex which_;
  bool sustained_only_;
  std::size_t left_;
};

/// What a result says about what a warning is about.
Outcome outcome_of(const Site& site, CaseIndex which, const SpaceResult& result, const Warning& warning);

}  // namespace leanside::hazard
