// SPDX-License-Identifier: Apache-2.0
/// The gas that is let into a vessel, made in it and collected from it.
#pragma once

#include <optional>
#include <utility>
#include <vector>

#include "hazard/filling.hpp"
#include "hazard/mixture.hpp"
#include "leanside/assess.hpp"

namespace leanside::hazard {

/// The largest and the smallest share of a content at which it is inside the flammable range, the rest being air; both
/// 0 where none is. To 1e-9.
std::pair<double, double> range_of_shares(const MixtureModel& model, const std::vector<double>& content);

/// Net heat of combustion, J/mol; by its oxygen demand where it is not known, 0 where neither is.
double heat_of(const Substance& substance);

/// The releases into one space of a case, and into the vessels whose gas all goes through it, as one stream: all of
/// them, or those alone that bring fuel.
class GasLetIn {
 public:
  enum class Which { all, with_fuel };
  /// `before`: vessels_before().
  GasLetIn(const Site& site, CaseIndex case_index, SpaceIndex space, const std::vector<SpaceIndex>& before,
           Which those = Which::all);

  double total() const { return total_; }  ///< mol, infinite where it never ends; spills count with all they have
  double end() const { return end_; }      ///< s, when all but 1 % of it is in; 0 where there is none
  double rate() const { return rate_; }    ///< mol/s in the long run
  /// mol let in by `time` s, but for spills.
  double amount_by(double time) const;
  /// When that much is in; empty where it never is.
  std::optional<double> time_of(double amount) const;

  std::optional<Collection> collection(const Experiment& experiment, const Space& space,
                                       const MixtureModel& model) const;
  std::optional<Sweeping> sweeping(const Experiment& experiment, const MixtureModel& model) const;
  /// The same of a vessel behind others: what leaves it is not the mean of one gas space. From its course.
  void collect_behind(Collection& collection, const Experiment& experiment, const MixtureModel& model,
                      const Filled& course) const;
  void sweep_behind(Sweeping& sweeping, const Experiment& experiment, const MixtureModel& model,
                    const Filled& course) const;

 private:
  /// Volumes of the gas space after which what leaves is too rich to burn; empty where it never is.
  std::optional<double> volumes_until_rich(const MixtureModel& model) const;
  /// The first point of a course from which on what leaves is too rich to burn, with the margin; empty: never.
  std::optional<FillingPoint> rich_from(const MixtureModel& model, const Filled& course) const;

  const Site& site_;
  CaseIndex case_;
  std::vector<ReleaseIndex> releases_;
  std::vector<double> gas_;  ///< mol/mol by GasIndex, of all that is let in
  double total_ = 0.0, end_ = 0.0, rate_ = 0.0, peak_ = 0.0;
};

}  // namespace leanside::hazard
