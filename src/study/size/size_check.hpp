// SPDX-License-Identifier: Apache-2.0
/// What a setting of fans or releases leaves to be warned of.
#pragma once

#include <cstddef>
#include <optional>
#include <set>
#include <string>
#include <tuple>
#include <vector>

#include "leanside/study/size.hpp"

namespace leanside::study {

/// A warning whatever its values: case, space, what it is about, and which gas, release or fan where it is about one.
using WarningKey = std::tuple<std::size_t, std::size_t, int, std::size_t>;
WarningKey key_of(const Constraint& constraint);

using WarningKeys = std::set<WarningKey>;
WarningKeys keys_of(const std::vector<Constraint>& constraints);
/// Those of `a` that are in `b` too.
WarningKeys common(const WarningKeys& a, const WarningKeys& b);

/// What was found with one setting.
struct Checked {
  std::vector<Constraint> over;  ///< the warnings but for notes, by rank
  /// Releases whose gas can be ignited close to them: neither air nor a little less gas changes that, so no search
  /// follows them. They belong to what remains.
  std::vector<Constraint> local;
  std::vector<Constraint> nearest;  ///< fuel and oxygen of every space that is not over, the nearest first
  std::string fault;                ///< not empty: could not be solved

  /// Whether every warning is one of those that are `left_out`.
  bool holds(const WarningKeys& left_out) const;
  /// How far over the nearest threshold, as the logarithm of the closeness; below 0 where it holds. Empty where what
  /// stands out has no measure, as a fan that gets too little air.
  std::optional<double> excess(const WarningKeys& left_out) const;
};

/// The same site, to be computed until its verdict is settled, even beyond a horizon that the file gives: a warning
/// that comes after it is one as well. Large sites keep their horizon.
Site until_settled(const Site& site);

/// What `assess` finds, in brief.
Checked checked(const Site& site, const Assessment& assessment);

/// Solves whole sites, and counts them.
class SizeCheck {
 public:
  /// `time`, s: what the site took until its verdict was settled. Other settings begin with it: to look for it again
  /// would take several runs for each.
  explicit SizeCheck(double time) : time_{time} {}
  Checked operator()(const Site& site, bool in_time);
  std::size_t runs() const { return runs_; }

 private:
  double time_;
  std::size_t runs_ = 0;
};

}  // namespace leanside::study
