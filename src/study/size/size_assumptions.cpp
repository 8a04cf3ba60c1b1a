// SPDX-License-Identifier: Apache-2.0
#include "study/size/size_assumptions.hpp"

#include "hazard/assumptions.hpp"

namespace leanside::study {

std::vector<Assumption> assumptions_of(const Sizing& sizing, const Assessment& assessment) {
  using Kind = AssumptionKind;
  std::vector<Assumption> out;
  if (sizing.of_release) {
    out.push_back({Kind::size_release_on});
  } else {
    out.push_back({sizing.lowered_one_by_one ? Kind::size_fans_one_by_one : Kind::size_fans_only});
    out.push_back({Kind::size_other_needs});
  }
  if (!sizing.in_time) out.push_back({Kind::size_steady_search});
  const auto standing = hazard::standing_of(assessment.assumptions);
  out.insert(out.end(), standing.begin(), standing.end());
  return out;
}

}  // namespace leanside::study
