// SPDX-License-Identifier: Apache-2.0
#include <algorithm>

#include "leanside/substance.hpp"

namespace leanside {
namespace {

/// One limit and the entry that it is from.
struct Found {
  double value = 0.0;
  const LimitPair* pair = nullptr;
};

/// Takes `value` where it is further out than what was found, or as far out and better known.
void widen(Found& found, const std::optional<double>& value, const LimitPair& pair, bool downward) {
  if (!value) return;
  const bool further = downward ? *value < found.value : *value > found.value;
  const bool better_known = *value == found.value && found.pair && found.pair->recalled && !pair.recalled;
  if (!found.pair || further || better_known) found = {*value, &pair};
}

/// The widest pair of all sources, or of one of them.
std::optional<ChosenLimits> widest(const Substance& substance, std::optional<std::string_view> source) {
  Found lower, upper;
  for (const auto& pair : substance.limits) {
    if (source && pair.source != *source) continue;
    widen(lower, pair.lower, pair, true);
    widen(upper, pair.upper, pair, false);
  }
  if (!lower.pair || !upper.pair) return {};
  return ChosenLimits{
      lower.value, upper.value, lower.pair->source, upper.pair->source, lower.pair->recalled || upper.pair->recalled,
      false};
}

}  // namespace

bool Substance::is_classed(std::string_view word) const {
  return std::ranges::find(classification, word) != classification.end();
}

bool Substance::oxidiser() const { return id == "oxygen" || is_classed("oxidiser"); }

std::optional<ChosenLimits> choose_limits(const Substance& substance, std::string_view choice) {
  if (choice == "cautious") return widest(substance, {});
  if (auto limits = widest(substance, choice)) return limits;
  auto limits = widest(substance, {});
  if (limits) limits->fell_back = true;
  return limits;
}

}  // namespace leanside
