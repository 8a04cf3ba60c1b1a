// SPDX-License-Identifier: Apache-2.0
/// What would help against a warning: less gas first, then air or openings, each assessed again on the changed site.
#include <algorithm>
#include <cmath>

#include "hazard/air_search.hpp"

namespace leanside {

std::string_view word_of(AirLimit limit) {
  switch (limit) {
    case AirLimit::too_much:
      return "too_much";
    case AirLimit::too_small:
      return "too_small";
    case AirLimit::holds_fuel:
      return "holds_fuel";
    case AirLimit::at_start:
      return "at_start";
    case AirLimit::none:
      break;
  }
  return "none";
}

namespace hazard {
namespace {

/// Just under the threshold, so that "at or over" no longer holds.
constexpr double just_under = 1.0 - 1e-6;
/// So many releases are named one by one; beyond that all with a share are to be stopped.
constexpr std::size_t most_tried_one_by_one = 4;
/// A release with less of the measure than this is no cause to speak of.
constexpr double least_share = 1e-3;

class Remedies {
 public:
  explicit Remedies(const SolvedCase& solved) : solved_{solved}, site_{solved.site}, result_{solved.result} {}

  /// With quick runs of the models shown first, then with quick runs of all models. What they find has to hold in close
  /// runs of all models. Where it does not, the search itself is made with these.
  void find(Warning& warning) {
    std::vector<Depth> quick;
    if (solved_.trials.has_other_models()) quick.push_back(Depth::shown);
    if (solved_.trials.has_rough_runs()) quick.push_back(Depth::roughly);
    for (const Depth depth : quick) {
      Warning tried = warning;
      solved_.trials.go_to(depth);
      search(tried);
      solved_.trials.go_to(Depth::closely);
      if (!holds_in_all_models(tried)) continue;
      warning = std::move(tried);
      return;
    }
    search(warning);
  }

 private:
  void search(Warning& warning) {
    Remedy& remedy = warning.remedy;
    if (remedy.kind == RemedyKind::air_before_opening) return;
    if (warning.severity == Severity::near_source) {
      remedy.kind = RemedyKind::remove_source;
      return;
    }
    if (warning.severity == Severity::toxic) {
      remedy.kind = RemedyKind::leave;
      return;
    }
    if (warning.severity == Severity::note) {
      remedy.kind = RemedyKind::watch;
      return;
    }
    remedy.passes_through_range =
        warning.worst_state == MixtureState::rich || warning.worst_state == MixtureState::inerted;
    stop_sources(warning);
    if (warning.severity == Severity::pressure) {
      remedy.kind = RemedyKind::vent_vessel;
      return;
    }
    choose(warning);
    const bool enough = remedy.extra_air || remedy.vent_area || remedy.kind == RemedyKind::open_inlet;
    if (!enough || (remedy.after_air && remedy.after_air->over)) reduce(warning);
  }

  /// Whether `outcome` of a change is the same with all models; it then becomes theirs.
  bool holds(const Site& changed, const Warning& warning, Outcome& outcome) {
    const auto all = solved_.trials.of(changed, warning);
    if (!all || all->over != outcome.over || all->steady_over != outcome.steady_over) return false;
    outcome = *all;
    return true;
  }

  bool holds_in_all_models(Warning& warning) {
    Remedy& remedy = warning.remedy;
    const Site& base = solved_.trials.base();
    const auto stopped = [&](const std::vector<ReleaseIndex>& releases, std::optional<Outcome>& outcome) {
      return !outcome || holds(with_stopped(base, releases), warning, *outcome);
    };
    StopAdvice& stop = remedy.stop;
    if (stop.after_first && !stopped({stop.releases.front()}, stop.after_first)) return false;
    if (stop.releases.size() <= 1) {
      stop.after_all = stop.after_first;
    } else if (!stopped(stop.releases, stop.after_all)) {
      return false;
    }
    if (remedy.opening) {
      const Site changed = with_opening(base, warning.space, remedy.opening->area);
      if (!holds(changed, warning, remedy.opening->after)) return false;
    }
    if (remedy.reduction) {
      const Site changed = with_share(base, remedy.reduction->releases, remedy.reduction->share);
      if (!holds(changed, warning, remedy.reduction->after)) return false;
    }
    return air_holds_in_all_models(warning);
  }

  bool air_holds_in_all_models(Warning& warning) {
    Remedy& remedy = warning.remedy;
    if (!remedy.after_air) return true;
    const double air = remedy.extra_air.value_or(most_extra_air(solved_, warning.space));
    const Site changed = remedy.vent_area ? with_vents(solved_.trials.base(), warning.space, *remedy.vent_area)
                                          : with_extra_air(solved_.trials.base(), warning.space, air);
    if (!holds(changed, warning, *remedy.after_air)) return false;
    if (remedy.kind == RemedyKind::more_air_for_peak) remedy.value_after = remedy.after_air->worst;
    return true;
  }

  const SpaceResult& result_of(const Warning& warning) const { return result_.spaces[warning.space.value]; }

  void choose(Warning& warning) {
    Remedy& remedy = warning.remedy;
    const Space& space = site_.spaces[warning.space.value];
    const bool oxygen = warning.severity == Severity::oxygen;
    const bool layered = std::any_of(result_.layered.begin(), result_.layered.end(),
                                     [&](const LayeredRoom& room) { return room.space == warning.space; });
    remedy.kind = oxygen ? RemedyKind::restore_oxygen : RemedyKind::stop_source;
    if (space.kind == SpaceKind::vessel && holds_fuel(warning)) {
      remedy.air_limit = AirLimit::holds_fuel;
      if (!oxygen) remedy.kind = RemedyKind::keep_air_out;
    } else if (space.volume < least_aired_volume) {
      remedy.air_limit = AirLimit::too_small;
    } else if (find_opening(solved_, warning)) {
      remedy.kind = RemedyKind::open_inlet;
    } else if (layered) {
      vent_layer(warning);
    } else if (oxygen) {
      restore_oxygen(warning);
    } else {
      dilute(warning);
    }
  }

  /// Whether there is fuel gas to speak of at any time.
  bool holds_fuel(const Warning& warning) const {
    const SpaceResult& result = result_of(warning);
    const double steady = result.steady.reached ? result.steady.at.lfl_fraction : 0.0;
    return std::max(result.peak.lfl_fraction, steady) >= site_.criteria.note_at;
  }

  Aim aim_of(const Warning& warning) const {
    const Criteria& criteria = site_.criteria;
    const SpaceResult& result = result_of(warning);
    Aim aim;
    if (warning.severity == Severity::oxygen) {
      const double air = site_.conditions.oxygen_in_air;
      const bool low = warning.oxygen < air;
      const auto out = [&](double oxygen) {
        return low ? oxygen < criteria.oxygen_low : oxygen > criteria.oxygen_high;
      };
      aim.target = (low ? air - criteria.oxygen_low : criteria.oxygen_high - air) * just_under;
      aim.steady_over = result.steady.reached && out(result.steady.at.oxygen);
      aim.start_over = result.oxygen_left_criteria && *result.oxygen_left_criteria <= 0.0;
    } else {
      aim.target = criteria.warn_at * just_under;
      aim.steady_over = result.steady.reached && result.steady.at.lfl_fraction > aim.target;
      aim.start_over = std::any_of(result.crossings.begin(), result.crossings.end(), [](const Crossing& crossing) {
        return crossing.threshold == Threshold::warn && crossing.up <= 0.0;
      });
    }
    return aim;
  }

  void dilute(Warning& warning) {
    Remedy& remedy = warning.remedy;
    switch (find_air(solved_, aim_of(warning), warning)) {
      case AirFor::steady_state:
        remedy.kind = RemedyKind::more_fresh_air;
        break;
      case AirFor::course:
        remedy.kind = RemedyKind::more_air_for_peak;
        break;
      case AirFor::nothing:
        if (remedy.air_limit == AirLimit::too_much) remedy.kind = RemedyKind::reduce_source;
    }
  }

  /// Two equal openings to outside, at the ceiling and at the floor, that bring the layer of gas under the margin.
  void vent_layer(Warning& warning) {
    Remedy& remedy = warning.remedy;
    remedy.kind = RemedyKind::stop_source;
    if (!result_of(warning).steady.reached || !find_vents(solved_, aim_of(warning), warning)) return;
    remedy.kind = RemedyKind::vents;
    as_oxygen(warning);
  }

  /// What was found as oxygen gone, or too much, becomes the oxygen that there is.
  void as_oxygen(Warning& warning) const {
    if (warning.severity != Severity::oxygen) return;
    const double air = site_.conditions.oxygen_in_air;
    double& value = warning.remedy.value_after;
    value = warning.oxygen < air ? air - value : air + value;
  }

  void restore_oxygen(Warning& warning) {
    const Aim aim = aim_of(warning);
    if (aim.target > 0.0 && find_air(solved_, aim, warning) == AirFor::steady_state) as_oxygen(warning);
  }

  /// The releases that bring the gas, and what stopping them leaves.
  void stop_sources(Warning& warning) {
    StopAdvice& stop = warning.remedy.stop;
    std::vector<ReleaseIndex> causes;
    for (const Cause& cause : warning.causes) {
      if (cause.release && cause.share >= least_share) causes.push_back(*cause.release);
    }
    if (causes.empty()) return;
    const auto without = [&](const std::vector<ReleaseIndex>& releases) {
      return solved_.trials.without(releases, warning);
    };
    stop.releases.assign(1, causes.front());
    const bool anything_else =
        site_.releases.size() > 1 ||
        std::any_of(site_.spaces.begin(), site_.spaces.end(), [](const Space& s) { return !s.initial.empty(); });
    if (!anything_else) return;
    stop.after_first = without(stop.releases);
    stop.after_all = stop.after_first;
    for (std::size_t k = 1; k < causes.size() && stop.after_all && stop.after_all->over; ++k) {
      if (k < most_tried_one_by_one) {
        stop.releases.push_back(causes[k]);
      } else {
        stop.releases = causes;
        k = causes.size();
      }
      stop.after_all = without(stop.releases);
    }
  }

  /// Distance from fresh air of what a warning is about: what less gas brings down.
  double measure(const Warning& warning, double worst) const {
    return warning.severity == Severity::oxygen ? std::abs(site_.conditions.oxygen_in_air - worst) : worst;
  }

  /// The largest share of the releases to stop that the air of today carries, to 2 %, each step assessed again.
  void reduce(Warning& warning) {
    const StopAdvice& stop = warning.remedy.stop;
    if (stop.releases.empty() || (stop.after_all && stop.after_all->over)) return;
    const bool oxygen = warning.severity == Severity::oxygen;
    const double now = measure(warning, oxygen ? warning.oxygen : warning.lfl_fraction);
    const double none = stop.after_all ? measure(warning, stop.after_all->worst) : 0.0;
    const double target = aim_of(warning).target;
    if (!(now > target) || !(target > none)) return;
    // The measure goes nearly in a line with the gas: between what is known to be enough and what is too much, the
    // share where that line comes just under the target.
    double low = 0.0, high = 1.0, at_low = none, at_high = now;
    const bool layered = has_layers(site_);
    const double near_enough = layered ? 0.95 : 0.98, finely = layered ? 0.05 : 0.02;
    constexpr int most_steps = 16;
    std::optional<Outcome> found;
    for (int k = 0; k < most_steps && high - low > finely * high && at_low < near_enough * target; ++k) {
      double share = low + (high - low) * (0.995 * target - at_low) / (at_high - at_low);
      // What a plume brings into a layer goes with the power 2/3 of the gas.
      if (layered && k == 0) share = std::pow(0.99 * target / now, 1.5);
      if (k % 4 == 3 || !(share > low && share < high)) share = found ? 0.5 * (low + high) : 0.5 * high;
      const Site changed = with_share(solved_.trials.base(), stop.releases, share);
      const auto outcome = solved_.trials.of(changed, warning);
      if (!outcome) break;
      (outcome->over ? high : low) = share;
      (outcome->over ? at_high : at_low) = measure(warning, outcome->worst);
      if (!outcome->over) found = outcome;
    }
    constexpr double least_useful = 1e-4;
    if (found && low >= least_useful) warning.remedy.reduction = Reduction{stop.releases, low, *found};
  }

  const SolvedCase& solved_;
  const Site& site_;
  const CaseResult& result_;
};

}  // namespace

void find_remedies(const Site& site, const Site& asked, bool steady_only, const CaseResult& result,
                   const MixtureModels& models, SteadySystem& system, std::vector<Warning>& warnings) {
  Trials trials(asked, site, result.case_index, steady_only);
  const SolvedCase solved{site, result, models, system, trials};
  Remedies remedies(solved);
  // The worst first: where there are too many to try, theirs are tried.
  std::vector<Warning*> order;
  for (Warning& warning : warnings) order.push_back(&warning);
  std::stable_sort(order.begin(), order.end(), [](const Warning* a, const Warning* b) {
    return std::pair(a->severity, -a->lfl_fraction) < std::pair(b->severity, -b->lfl_fraction);
  });
  for (Warning* warning : order) remedies.find(*warning);
}

}  // namespace hazard
}  // namespace leanside
