// SPDX-License-Identifier: Apache-2.0
/// Warnings that have one cause, told as one thing.
#include <algorithm>
#include <cmath>
#include <optional>
#include <tuple>

#include "hazard/judge.hpp"

namespace leanside::hazard {
namespace {

/// What brings a warning: a release, what a space held at the start, or what is stored in it.
struct Origin {
  std::optional<ReleaseIndex> release;
  std::optional<SpaceIndex> held;
  bool stored = false;
  bool operator==(const Origin&) const = default;
};

Origin origin_of(const Warning& warning) {
  if (warning.storage) return {std::nullopt, warning.space, true};
  if (warning.source) return {warning.source->release, std::nullopt, false};
  if (warning.causes.empty()) return {std::nullopt, warning.space, false};
  const Cause& first = warning.causes.front();
  return {first.release, first.release ? std::nullopt : first.initial_of, false};
}

/// The worst figure of a warning, to be compared with that of the same warning in another case.
double figure_of(const Warning& warning) {
  switch (subject_of(warning)) {
    case Subject::oxygen:
      return warning.oxygen;
    case Subject::pressure:
      return warning.pressure;
    case Subject::toxic:
      return warning.toxic->worst;
    case Subject::source:
      return warning.source->zone ? warning.source->zone->zone.reach : 0.0;
    default:
      return warning.lfl_fraction;
  }
}

bool about_the_same(const Warning& a, const Warning& b) {
  if (a.space != b.space || a.severity != b.severity || subject_of(a) != subject_of(b)) return false;
  constexpr double near = 0.1;
  const double one = figure_of(a), two = figure_of(b);
  return std::abs(one - two) <= near * std::max(one, two);
}

class Findings {
 public:
  explicit Findings(const std::vector<Warning>& warnings) : warnings_{warnings} {}

  std::vector<Finding> find() {
    for (std::size_t i = 0; i < warnings_.size(); ++i) add(i);
    for (std::size_t i = 0; i < bundles_.size(); ++i) {
      if (!absorbed(i)) out_.push_back(std::move(bundles_[i].finding));
    }
    return std::move(out_);
  }

 private:
  struct Bundle {
    Origin origin;
    Finding finding;
  };

  void add(std::size_t index) {
    const Warning& warning = warnings_[index];
    const Origin origin = origin_of(warning);
    for (Bundle& bundle : bundles_) {
      if (!(bundle.origin == origin) || bundle.finding.cases.front() != warning.case_index) continue;
      bundle.finding.warnings.push_back(index);
      return;
    }
    bundles_.push_back({origin, {{index}, {warning.case_index}}});
  }

  /// Whether an earlier finding does the same in another case; then it names this case too.
  bool absorbed(std::size_t at) {
    const Bundle& bundle = bundles_[at];
    for (std::size_t i = 0; i < out_.size(); ++i) {
      Finding& earlier = out_[i];
      if (!(origin_of(warnings_[earlier.warnings.front()]) == bundle.origin)) continue;
      const auto& a = earlier.warnings;
      const auto& b = bundle.finding.warnings;
      const bool same = a.size() == b.size() && std::all_of(b.begin(), b.end(), [&](std::size_t k) {
                          return std::any_of(a.begin(), a.end(),
                                             [&](std::size_t j) { return about_the_same(warnings_[j], warnings_[k]); });
                        });
      if (!same) continue;
      earlier.cases.push_back(bundle.finding.cases.front());
      return true;
    }
    return false;
  }

  const std::vector<Warning>& warnings_;
  std::vector<Bundle> bundles_;
  std::vector<Finding> out_;
};

}  // namespace

std::vector<Finding> find_findings(const Assessment& assessment) { return Findings(assessment.warnings).find(); }

}  // namespace leanside::hazard
