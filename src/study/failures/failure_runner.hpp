// SPDX-License-Identifier: Apache-2.0
/// What one failure, or several at once, does to a case.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "base/graph/graph.hpp"
#include "hazard/mixture.hpp"
#include "leanside/study/failures.hpp"

namespace leanside::study {

/// An outcome, and how it was come by.
struct FailureRun {
  FailureOutcome outcome;
  bool by_update = false;            ///< by a low-rank update of the case with nothing failed
  std::size_t moments_left_out = 0;  ///< of starts of releases
};

class FailureRunner {
 public:
  /// `site` has one case and must outlive the runner. In time, or in steady state alone; `reuse`: by low-rank updates
  /// of the steady state where they tell.
  static Result<FailureRunner> build(const Site& site, bool in_time, bool reuse);

  /// What `failures` do together; `places` are theirs in the list that the outcome refers to. Without updates it may be
  /// called from several threads at once.
  FailureRun run(std::vector<std::size_t> places, const std::vector<Failure>& failures);

  const std::vector<Consequence>& normal() const { return normal_harms_; }
  const Assessment& assessment() const { return normal_; }
  bool updates() const { return solver_.has_value(); }

 private:
  /// The warnings of one site, the spaces that have a steady state and the leaks that were assumed; or why there are
  /// none.
  struct Found {
    std::vector<Consequence> consequences;
    std::vector<bool> reached;
    std::vector<double> inflow;   ///< mol/s through assumed leaks, by space
    std::vector<bool> holds_gas;  ///< by space, at any time
    std::vector<StarvedFan> starved;
    std::string fault;
  };

  FailureRunner(const Site& site, bool in_time);
  Found found(const Result<Assessment>& solved) const;
  Found judged(const std::vector<Failure>& failures, const FailureSolver::Solution& solution) const;
  void add_sources(const std::vector<Failure>& failures, Found& found) const;
  bool ignitable_at_source(ReleaseIndex release, const Found& found) const;
  std::vector<double> leaks_with(const std::vector<Failure>& failures) const;
  bool may_leak(const std::vector<Failure>& failures) const;
  FailureOutcome compared(const Found& found, const Found& normal) const;
  std::vector<LeakReliance> reliances(const Found& found, const Found& normal) const;
  FailureRun started(const std::vector<Failure>& failures, const std::vector<ReleaseIndex>& starting) const;

  const Site* site_;
  bool in_time_;
  AssessOptions how_;
  Assessment normal_;
  Found normal_found_;
  std::vector<Consequence> normal_harms_;
  hazard::MixtureModels models_;
  std::optional<FailureSolver> solver_;
  network::Parts joined_;                              ///< spaces that airways join, whatever they carry
  std::vector<std::vector<AirwayIndex>> openings_of_;  ///< by space
  SiteState state_;                                    ///< after everything has happened
};

}  // namespace leanside::study
