// SPDX-License-Identifier: Apache-2.0
/// Measures of a mixture (docs/methods.md, section 7), and the times at which they cross thresholds.
#pragma once

#include <functional>
#include <optional>
#include <vector>

#include "second_opinion/course.hpp"

namespace second_opinion {

/// Measures of a mixture in a space at one temperature.
class Measures {
 public:
  /// Of a space between these temperatures, K.
  Measures(const Site& site, std::size_t space, double hottest, double coldest);
  using Row = Eigen::Matrix<Real, 1, Eigen::Dynamic>;

  Real of_lower(const Row& x) const;  ///< sum x/LFL
  Real of_upper(const Row& x) const;  ///< sum x/UFL
  Real fuel(const Row& x) const;      ///< sum x of the fuels
  Real oxygen(const Row& x) const;
  Real lacking(const Row& x) const;  ///< oxygen needed to burn all of the fuel, less the oxygen present
  Real inside(const Row& x) const;   ///< >= 0 inside the range; otherwise minus the distance to it
  bool demand_known() const { return demand_known_; }

 private:
  struct Fuel {
    Eigen::Index gas = 0;
    Real lower = 0, upper = 0, demand = 0;
    std::optional<Real> least_oxygen;
  };
  Real enough(const Row& x, Real o, Real times) const;  ///< margin of oxygen `o` for `times` the fuel
  Real inside_as_gas(const Row& x) const;
  /// What is in the air when no vapour is more than saturated, and mist enough for the lower limit.
  Row without_most_mist(const Row& x) const;

  std::vector<Fuel> fuels_;
  std::vector<Real> idle_;     ///< by gas: share that does not count as nitrogen
  std::vector<Real> ceiling_;  ///< by gas: what saturated air holds, at most 1
  Eigen::Index pure_oxygen_ = -1;
  Real air_;
  bool demand_known_ = true;
};

using Measure = std::function<Real(const Measures::Row&)>;

/// A measure of one space over time.
class Trace {
 public:
  Trace(const Run& run, Eigen::Index space, Measure measure);
  struct Extreme {
    Real value = 0, time = 0;
  };
  Extreme highest() const { return highest_; }
  Extreme lowest() const { return lowest_; }
  struct Interval {
    Real up = 0;
    std::optional<Real> down;
  };
  /// Intervals in which the measure is at least `threshold`.
  std::vector<Interval> above(Real threshold) const;
  Real value(Real time) const;

 private:
  struct Sample {
    Real time = 0, value = 0;
  };
  Extreme refine(std::size_t stretch, std::size_t i, Real sign, Real wanted) const;
  std::vector<Sample> samples_around(std::size_t stretch, Real threshold) const;

  const Run& run_;
  Eigen::Index space_;
  Measure measure_;
  std::vector<std::vector<Sample>> samples_;  ///< by stretch
  Extreme highest_, lowest_;
  Real value_in(std::size_t stretch, Real time) const;
};

/// For a fuel without a limiting oxygen concentration among other fuels the documentation only says "in proportion",
/// so there is nothing to compare with.
bool range_is_documented(const Site& site);

}  // namespace second_opinion
