// SPDX-License-Identifier: Apache-2.0
/// One case of a site that has a model for every room: its course, its steady state and its warnings.
#pragma once

#include <optional>

#include "hazard/judge.hpp"
#include "hazard/worse_model.hpp"

namespace leanside::hazard {

/// Without a horizon in the file the computed time is doubled until the verdict is settled; it ends here at the latest,
/// s: a year.
inline constexpr double longest_horizon = 365.0 * 24.0 * 3600.0;
/// From here, s.
inline constexpr double first_horizon = 8.0 * 3600.0;

/// What is asked of one case.
struct CaseOptions : AssessOptions {
  CaseOptions() = default;
  explicit CaseOptions(const AssessOptions& options) : AssessOptions{options} {}
  bool roughly = false;  ///< layers are followed less closely: only to try what may help
};

/// assess() for what is only tried on the way to advice.
Result<Assessment> assess_roughly(const Site& site, const AssessOptions& options);

/// What the causes and remedies of a case are found from: `site` has a model for every room and outlives this.
struct Basis {
  const Site& site;
  MixtureModels models;
  std::optional<SteadySystem> system{};
};

/// The course and the steady state of `basis.site`, and its warnings, without causes and remedies. Sets needs_longer of
/// `out` where the verdict may still change, and the system of `basis`.
std::optional<Fault> solve_case(CaseIndex case_index, const CaseOptions& options, Basis& basis, Solved& out);

}  // namespace leanside::hazard
