// SPDX-License-Identifier: Apache-2.0
/// What the answers about failures rest on.
#include <algorithm>
#include <tuple>

#include "leanside/study/failures.hpp"

namespace leanside {
namespace {

using Kind = AssumptionKind;

/// What was left out of one study, for want of time.
void add_left_out(const FailureStudy& study, bool several, std::vector<Assumption>& out) {
  const std::vector<CaseIndex> cases = several ? std::vector{study.case_index} : std::vector<CaseIndex>{};
  std::size_t kept = 0;
  for (const FailureOutcome& outcome : study.outcomes) kept += outcome.failures.size() > 1;
  if (study.pairs_worse > kept) {
    const std::vector<double> counts{static_cast<double>(kept), static_cast<double>(study.pairs_worse)};
    out.push_back({Kind::failures_pairs_kept, {}, {}, {}, {}, counts, cases});
  }
  if (study.moments_left_out > 0) {
    const std::vector<double> counts{static_cast<double>(study.moments_left_out)};
    out.push_back({Kind::failures_moments_left_out, {}, {}, {}, {}, counts, cases});
  }
}

bool same(const Assumption& a, const Assumption& b) {
  const auto fields = [](const Assumption& one) {
    return std::tie(one.kind, one.spaces, one.airways, one.releases, one.names, one.values, one.cases);
  };
  return fields(a) == fields(b);
}

}  // namespace

std::vector<Assumption> assumptions_of(std::span<const FailureStudy> studies) {
  const FailureStudy& first = studies.front();
  const bool several = studies.size() > 1;
  std::vector<Assumption> out{{several ? Kind::failures_stay_in_each_case : Kind::failures_stay}};
  if (first.in_time) out.push_back({Kind::failures_start_moments});
  out.push_back({Kind::failures_tried});
  if (first.pairs) out.push_back({Kind::failures_pairs_worse});
  const auto any = [&](const auto& holds) { return std::any_of(studies.begin(), studies.end(), holds); };
  if (any([](const FailureStudy& study) { return !study.in_time; })) {
    out.push_back({Kind::failures_steady_only});
  } else if (any([](const FailureStudy& study) { return study.pairs && !study.pairs_in_time; })) {
    out.push_back({Kind::failures_pairs_steady_only});
  }
  for (const FailureStudy& study : studies) add_left_out(study, several, out);
  for (const FailureStudy& study : studies) {
    for (const Assumption& one : study.assumptions) {
      const auto is_known = [&](const Assumption& other) { return same(one, other); };
      if (std::none_of(out.begin(), out.end(), is_known)) out.push_back(one);
    }
  }
  return out;
}

}  // namespace leanside
