// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include "hazard/judge.hpp"
#include "hazard/polynomial.hpp"

namespace leanside::hazard {
namespace {

/// Just under the threshold, so that "at or over" no longer holds.
constexpr double just_under = 1.0 - 1e-6;
/// A remedy is solved again on the changed site where that is quick; above, its equations are the exact ones all the
/// same.
constexpr std::size_t spaces_to_solve_again = 2000;
/// Finding the air for a passing peak takes some twenty runs in time each.
constexpr std::size_t spaces_for_peaks = 200;
constexpr std::size_t peaks_at_most = 25;
/// No advice is finer than this share of an air change an hour, or than such a hole, m2: where any opening at all gives
/// air another way, however little would do.
constexpr double least_air_changes = 0.01;
constexpr double least_vent = 1e-6;
/// Of a plain opening with sharp edges: as that of doorways.
constexpr double discharge_of_vent = 0.6;

class Remedies {
 public:
  Remedies(const Site& site, const CaseResult& result, const MixtureModels& models, SustainedSystem& system)
      : site_{site}, result_{result}, models_{models}, system_{system} {}

  void find(Warning& warning) {
    Remedy& remedy = warning.remedy;
    const Space& space = site_.spaces[warning.space.value];
    const bool too_rich = warning.worst_state == MixtureState::rich || warning.worst_state == MixtureState::inerted;
    remedy.passes_through_range = too_rich;
    const bool layered = std::any_of(result_.layered.begin(), result_.layered.end(),
                                     [&](const LayeredRoom& room) { return room.space == warning.space; });
    if (warning.severity == Severity::note) {
      remedy.kind = RemedyKind::watch;
    } else if (layered) {
      vent_layer(warning);
    } else if (warning.severity == Severity::pressure) {
      remedy.kind = RemedyKind::vent_vessel;
    } else if (warning.severity == Severity::oxygen) {
      restore_oxygen(warning);
    } else if (space.kind == SpaceKind::vessel && too_rich) {
      remedy.kind = RemedyKind::keep_air_out;
    } else {
      dilute(warning);
    }
  }

 private:
  double volume_flow(double moles, SpaceIndex space) const {
    return moles * gas_constant * site_.spaces[space.value].temperature / site_.conditions.pressure;
  }

  /// The measure of a warning in its space, sustained, with this much more fresh air: a solution of its own.
  std::optional<double> solved_again(const Warning& warning, const std::vector<double>& weights, double flow) const {
    const Site changed = with_extra_air(site_, warning.space, flow);
    const auto solved = solve_sustained(changed, warning.which, gas_tracers(changed));
    const auto* fractions = std::get_if<SustainedFractions>(&solved);
    if (fractions == nullptr) return std::nullopt;
    double value = 0.0;
    for (std::size_t k = 0; k < weights.size(); ++k) value += weights[k] * fractions->fractions(warning.space, k);
    return value;
  }

  /// Least fresh air that brings the sustained measure to `target`; false where there is none or it does not hold when
  /// solved again.
  bool sustained_air(Warning& warning, double target) {
    const std::vector<double> weights = measure_of(warning, models_.of(warning.space));
    if (system_.in_layers()) {             // the layers move with the air: an air change an hour to begin with
      constexpr double least_guess = 1.0;  // m3
      const double volume = std::max(site_.spaces[warning.space.value].volume, least_guess);
      return air_with_moving_flows(warning, weights, target, volume / 3600.0);
    }
    const auto air = system_.extra_air(warning.space, weights, target);
    if (!air) return false;
    const double flow = volume_flow(air->rate, warning.space);
    double value = air->value;
    if (std::any_of(site_.airways.begin(), site_.airways.end(), follows_pressure)) {
      return air_with_moving_flows(warning, weights, target, flow);
    }
    if (site_.spaces.size() <= spaces_to_solve_again) {
      const auto again = solved_again(warning, weights, flow);
      if (!again || *again > target * (1.0 + 0.5e-6)) return false;
      value = *again;
    }
    warning.remedy.extra_air = flow;
    warning.remedy.value_after = value;
    return true;
  }

  /// The same where the other flows answer to it: by halving, each time with the whole site solved again.
  bool air_with_moving_flows(Warning& warning, const std::vector<double>& weights, double target, double guess) const {
    if (site_.spaces.size() > spaces_for_peaks) return false;
    double low = 0.0, high = guess;
    auto value = solved_again(warning, weights, high);
    for (int k = 0; k < 40 && value && *value > target; ++k) {
      low = high;
      high *= 2.0;
      value = solved_again(warning, weights, high);
    }
    if (!value || *value > target) return false;
    const double enough = 1e-4 * guess;
    while (high > enough && high - low > 1e-4 * high) {
      const double middle = 0.5 * (low + high);
      const auto there = solved_again(warning, weights, middle);
      if (!there) return false;
      if (*there > target) {
        low = middle;
      } else {
        high = middle;
        value = there;
      }
    }
    warning.remedy.extra_air = high;
    warning.remedy.value_after = *value;
    return true;
  }

  void dilute(Warning& warning) {
    Remedy& remedy = warning.remedy;
    const SustainedInstant& sustained = result_.spaces[warning.space.value].sustained;
    const double target = site_.criteria.warn_at * just_under;
    remedy.kind = RemedyKind::stop_source;
    if (!sustained.reached) return;
    if (sustained.at.lfl_fraction > target) {
      if (sustained_air(warning, target)) remedy.kind = RemedyKind::more_fresh_air;
    } else {
      peak_air(warning, target);
    }
  }

  /// Two equal openings to outside, at the ceiling and at the floor, that bring the layer of gas under the margin.
  void vent_layer(Warning& warning) const {
    Remedy& remedy = warning.remedy;
    remedy.kind = RemedyKind::stop_source;
    const std::vector<double> weights = measure_of(warning, models_.of(warning.space));
    double target = site_.criteria.warn_at * just_under;
    const double air = site_.conditions.oxygen_in_air;
    const bool oxygen = warning.severity == Severity::oxygen, low_oxygen = warning.oxygen < air;
    if (oxygen) {
      target = (low_oxygen ? air - site_.criteria.oxygen_low : site_.criteria.oxygen_high - air) * just_under;
    }
    const SustainedInstant& sustained = result_.spaces[warning.space.value].sustained;
    if (!sustained.reached || site_.spaces.size() > spaces_for_peaks) return;
    const auto value_with = [&](double area) -> std::optional<double> {
      const Site changed = with_vents(site_, warning.space, area);
      const auto solved = solve_sustained(changed, warning.which, gas_tracers(changed));
      const auto* fractions = std::get_if<SustainedFractions>(&solved);
      if (fractions == nullptr) return std::nullopt;
      double value = 0.0;
      for (std::size_t k = 0; k < weights.size(); ++k) value += weights[k] * fractions->fractions(warning.space, k);
      return value;
    };
    const auto before = value_with(0.0);
    if (!before || *before <= target) return;  // it is the passing peak that is over: no long run tells of it
    auto area = least_area(value_with, target);
    // Right over a leak even the thinnest layer may be over the margin: then at least under the limit.
    if (!area && !oxygen && *before > 1.0) area = least_area(value_with, just_under);
    if (!area) return;
    const auto value = value_with(*area);
    if (!value) return;
    remedy.kind = RemedyKind::vents;
    remedy.vent_area = *area;
    remedy.value_after = oxygen ? (low_oxygen ? air - *value : air + *value) : *value;
  }

  /// The least area, m2, with which a value that falls with it is at most `target`; empty where none up to 4 m2 is
  /// enough.
  template <class ValueWith>
  static std::optional<double> least_area(const ValueWith& value_with, double target) {
    constexpr double first_area = 1e-4, most_area = 4.0, finely = 5e-3;
    const auto enough = [&](double area) -> std::optional<bool> {
      const auto value = value_with(area);
      return value ? std::optional{*value <= target} : std::nullopt;
    };
    double low = 0.0, high = first_area;
    auto reached = enough(high);
    while (reached && !*reached && high < most_area) {
      low = high;
      high *= 2.0;
      reached = enough(high);
    }
    if (!reached || !*reached) return std::nullopt;
    while (high > least_vent && high - low > finely * high) {
      const double middle = 0.5 * (low + high);
      reached = enough(middle);
      if (!reached) return std::nullopt;
      (*reached ? high : low) = middle;
    }
    return high;
  }

  void restore_oxygen(Warning& warning) {
    Remedy& remedy = warning.remedy;
    remedy.kind = RemedyKind::restore_oxygen;
    const bool low = warning.oxygen < site_.conditions.oxygen_in_air;
    const double air = site_.conditions.oxygen_in_air;
    const double target = (low ? air - site_.criteria.oxygen_low : site_.criteria.oxygen_high - air) * just_under;
    if (target <= 0.0 || !result_.spaces[warning.space.value].sustained.reached) return;
    if (sustained_air(warning, target)) {
      remedy.value_after = low ? air - remedy.value_after : air + remedy.value_after;
    }
  }

  /// Largest lfl_fraction of a space within the horizon with this much more fresh air; infinite where it could not be
  /// solved.
  double peak_with(SpaceIndex space, double flow) const {
    const Site changed = with_extra_air(site_, space, flow);
    const MixtureModel& model = models_.of(space);
    double peak = 0.0;
    const auto observe = [&](const DensePiece& piece) {
      if (piece.space != space) return;
      Polynomial p{};
      for (std::size_t c = 0; c < model.lower.size(); ++c) {
        for (std::size_t j = 0; j <= dense_degree; ++j)
          p[j] += model.lower[c] * piece.coefficients[c * (dense_degree + 1) + j];
      }
      if (largest_coefficient(p) > peak) peak = std::max(peak, largest(p).value);
    };
    const auto solved = solve_transient(changed, result_.which, gas_tracers(changed), site_.criteria.horizon, observe);
    return std::holds_alternative<TransientResult>(solved) ? peak : std::numeric_limits<double>::infinity();
  }

  /// A passing peak: the fresh air that keeps it under the target, to a thousandth.
  void peak_air(Warning& warning, double target) {
    const Space& space = site_.spaces[warning.space.value];
    const SpaceResult& result = result_.spaces[warning.space.value];
    if (site_.spaces.size() > spaces_for_peaks || space.volume <= 0.0 || peaks_solved_ >= peaks_at_most) return;
    if (result.peak.time <= 0.0) return;  // there from the start: no airflow is quick enough
    ++peaks_solved_;
    double high = space.volume / 3600.0;
    double peak = peak_with(warning.space, high);
    constexpr double most_changes = 1000.0;
    while (peak > target && high < most_changes * space.volume / 3600.0) {
      high *= 4.0;
      peak = peak_with(warning.space, high);
    }
    if (peak > target) return;
    double low = 0.0;
    const double enough = least_air_changes * space.volume / 3600.0;
    while (high > enough && high - low > 1e-3 * high) {
      const double middle = low == 0.0 && high > space.volume / 36000.0 ? 0.25 * high : 0.5 * (low + high);
      const double value = peak_with(warning.space, middle);
      if (value > target) {
        low = middle;
      } else {
        high = middle;
        peak = value;
      }
    }
    warning.remedy.kind = RemedyKind::more_air_for_peak;
    warning.remedy.extra_air = high;
    warning.remedy.value_after = peak;
  }

  const Site& site_;
  const CaseResult& result_;
  const MixtureModels& models_;
  SustainedSystem& system_;
  std::size_t peaks_solved_ = 0;
};

}  // namespace

Site with_extra_air(const Site& site, SpaceIndex space, double flow) {
  Site changed = site;
  Airway airway;
  airway.id = "more-fresh-air";
  airway.kind = Exchange{space, std::nullopt, flow};
  changed.airways.push_back(std::move(airway));
  return changed;
}

Site with_vents(const Site& site, SpaceIndex space, double area) {
  Site changed = site;
  if (!(area > 0.0)) return changed;
  for (const double height : {0.0, *site.spaces[space.value].height}) {
    Airway airway;
    airway.id = height > 0.0 ? "high-vent" : "low-vent";
    Gap vent{space, std::nullopt, discharge_of_vent * area, 0.5, height, std::nullopt};
    airway.kind = vent;
    changed.airways.push_back(std::move(airway));
  }
  return changed;
}

void find_remedies(const Site& site, const CaseResult& result, const MixtureModels& models, SustainedSystem& system,
                   std::vector<Warning>& warnings) {
  Remedies remedies(site, result, models, system);
  for (Warning& warning : warnings) remedies.find(warning);
}

}  // namespace leanside::hazard
