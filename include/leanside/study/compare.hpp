// SPDX-License-Identifier: Apache-2.0
/// What a change does: two sites, before and after.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "leanside/assess.hpp"
#include "leanside/result.hpp"
#include "leanside/site.hpp"

namespace leanside {

/// What became of something. `mixed`: better in one respect, worse in another. `differs`: neither better nor worse.
enum class Verdict { same, better, worse, mixed, differs };
std::string_view word_of(Verdict verdict);

/// A respect in which a space may become better or worse.
enum class Aspect {
  severity,        ///< of what may burn: the place in Severity, one more for none
  lfl_fraction,    ///< the worse of peak and steady; no judgement where it is too rich to burn before or after
  steady_state,    ///< whether a steady state is reached: 1, or 0 where the gas gathers without end
  first_passage,   ///< s, when it first passes warn_at
  flammable_time,  ///< s inside the range within the horizon
  oxygen,          ///< mol/mol, the worst where it leaves the criteria
  pressure,        ///< Pa, highest, of a vessel that gains 10 % or more
};
std::string_view word_of(Aspect aspect);

struct AspectChange {
  Aspect aspect = Aspect::severity;
  std::optional<double> before, after;  ///< in the unit of the aspect; empty: there is none
  Verdict verdict = Verdict::differs;
};

/// A space of one case, before and after; only such as differ.
struct SpaceChange {
  CaseIndex case_before, case_after;
  SpaceIndex space_before, space_after;
  Verdict verdict = Verdict::differs;
  double lfl_before = 0.0, lfl_after = 0.0;
  std::vector<AspectChange> aspects;
};

/// A warning that appeared (no `before`), vanished (no `after`), or changed its severity or its rank.
struct WarningChange {
  std::optional<std::size_t> before, after;  ///< places in Assessment::warnings of each side: rank less 1
  Verdict verdict = Verdict::differs;
  bool of_unmatched = false;  ///< its space or its case is on one side only
};

struct AirwayChange {
  CaseIndex case_before, case_after;
  AirwayIndex airway_before, airway_after;
  double forward_before = 0.0, backward_before = 0.0;  ///< m3/s at time 0, at the temperature of where it comes from
  double forward_after = 0.0, backward_after = 0.0;
};

/// Ids that are on one side only.
struct Unmatched {
  std::vector<std::string> added, removed;
  bool empty() const { return added.empty() && removed.empty(); }
};

struct Comparison {
  Unmatched spaces, airways, releases, cases;
  std::vector<std::string> terms;       ///< criteria, conditions and limits that differ, in words
  std::vector<SpaceChange> changes;     ///< worse ones first, by the change of lfl_fraction
  std::vector<WarningChange> warnings;  ///< appeared, vanished, changed; each by rank
  std::vector<AirwayChange> flows;
  std::size_t compared = 0;     ///< spaces of cases that are on both sides
  bool anything_worse = false;  ///< a space, or a warning that appeared in a space or case that both sides have, or in
                                ///< an added space
};

struct CompareOptions {
  /// Changes of lfl_fraction (and of oxygen) up to this count as none: the accuracy of the solution with room to spare.
  double least_change = 1e-5;
  /// Changes of lfl_fraction below this are listed but do not make a space better or worse; neither do changes of its
  /// times by a smaller share of them.
  double decisive = 0.01;
};

struct AlikeAssessments {
  Assessment before, after;
};
/// What could not be solved, and on which side.
struct AlikeFault {
  Fault fault;
  bool of_before = false;
};

/// Both sites, assessed over one time: where their files leave it open, the longer of the times that the two need.
std::variant<AlikeAssessments, AlikeFault> assess_alike(const Site& before, const Site& after,
                                                        const AssessOptions& options = {});

/// Compares two assessed sites, spaces, airways, releases and cases matched by id.
Comparison compare(const Site& site_before, const Assessment& before, const Site& site_after, const Assessment& after,
                   const CompareOptions& options = {});

}  // namespace leanside
