// SPDX-License-Identifier: Apache-2.0
/// Random sites for the property tests, and helpers that solve them.
#pragma once

#include <cmath>
#include <functional>
#include <variant>
#include <vector>

#include <rapidcheck/gtest.h>

#include "leanside/leanside.hpp"
#include "support/reference_sites.hpp"

namespace property {

/// A site of at most `most` spaces. RapidCheck makes it smaller if a property fails.
inline leanside::Site draw_site(std::size_t most = 8, const std::function<void(reference::Recipe&)>& adapt = {}) {
  reference::Recipe recipe;
  recipe.fewest_spaces = 2;
  recipe.most_spaces = *rc::gen::inRange<std::size_t>(2, most + 1);
  recipe.stiff = *rc::gen::arbitrary<bool>();
  recipe.mixing = *rc::gen::arbitrary<bool>();
  if (adapt) adapt(recipe);
  const auto seed = *rc::gen::noShrink(rc::gen::inRange<std::uint64_t>(1, std::uint64_t{1} << 40));
  return reference::random_site(seed, recipe);
}

/// The result of a solved site. A refused site (such as sealed vessels connected at different pressures) is discarded.
template <class Result, class Answer>
Result solved(Answer&& answer) {
  if (const auto* fault = std::get_if<leanside::Fault>(&answer)) {
    if (fault->is_bad_input()) RC_DISCARD(fault->message);
    RC_FAIL(fault->message);
  }
  return std::get<Result>(std::forward<Answer>(answer));
}

inline leanside::TransientResult transient(const leanside::Site& site, leanside::CaseIndex case_index,
                                           const std::vector<leanside::Tracer>& tracers,
                                           const leanside::PieceObserver& observe = {}) {
  return solved<leanside::TransientResult>(
      leanside::solve_transient(site, case_index, tracers, site.criteria.horizon, observe));
}

inline leanside::SteadyFractions steady_state(const leanside::Site& site, leanside::CaseIndex case_index,
                                              const std::vector<leanside::Tracer>& tracers) {
  return solved<leanside::SteadyFractions>(leanside::solve_steady(site, case_index, tracers));
}

inline leanside::Assessment assessment(const leanside::Site& site) {
  return solved<leanside::Assessment>(leanside::assess(site));
}

/// Equal within the tolerance of fractions.
inline bool agree(double a, double b) { return std::abs(a - b) <= 1e-6 * std::max(std::abs(a), std::abs(b)) + 1e-12; }

}  // namespace property
