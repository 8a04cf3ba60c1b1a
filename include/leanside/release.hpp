// SPDX-License-Identifier: Apache-2.0
/// How much gas enters, as a function of time: releases with their starts, ends and the events that turn them on and
/// off.
#pragma once

#include <limits>
#include <span>
#include <vector>

#include "leanside/site.hpp"

namespace leanside {

/// A stretch of time in which a release has one rate.
struct EmissionSpan {
  double begin = 0.0;  ///< s
  double end = std::numeric_limits<double>::infinity();
  double rate = 0.0;  ///< mol/s of the whole gas, > 0
};

/// When and how fast `release` emits, ordered and not overlapping. A release emits while it is on and its start has
/// come; time switched off does not count against its duration or stock, so that a dump always delivers its whole
/// amount.
std::vector<EmissionSpan> emission(const Release& release, ReleaseIndex index, std::span<const Event> events);

/// Whether it goes on for ever once everything has happened: only such a release counts in the sustained state.
bool is_sustained(const Release& release);

/// All of what it can give, mol; infinite for one that goes on for ever.
double total_amount(const Release& release);

}  // namespace leanside
