// SPDX-License-Identifier: Apache-2.0
#include "hazard/watch.hpp"

#include <algorithm>
#include <cmath>

namespace leanside::hazard {
namespace {

constexpr double round_off = 1e-12;

/// How far from a passage of a limit, in lengths of a piece, the range is looked at too. More than the error of the
/// passage.
constexpr double beside = 1e-9;

}  // namespace

bool reached(double value, double level) { return value >= level * (1.0 - round_off); }

Watch::Watch(const Site& site, const MixtureModels& models)
    : site_{site}, models_{models}, watches_(site.spaces.size()), fractions_(site.gases.size(), 0.0) {
  const double air = site.conditions.oxygen_in_air;
  for (std::size_t i = 0; i < watches_.size(); ++i) {
    SpaceResult& result = watches_[i].result;
    result.peak = result.end = models.of(SpaceIndex{i}).instant(0.0, fractions_);
    result.lowest_oxygen = result.highest_oxygen = air;
    result.pressure = site.conditions.pressure;
    for (std::size_t k = 0; k < site.gases.size(); ++k) {
      if (const auto& idlh = site.gases[k].substance.idlh) result.exposures.push_back({GasIndex{k}, idlh->value});
    }
  }
}

double Watch::level_of(std::size_t threshold) const {
  switch (static_cast<Threshold>(threshold)) {
    case Threshold::note:
      return site_.criteria.note_at * (1.0 - round_off);
    case Threshold::warn:
      return site_.criteria.warn_at * (1.0 - round_off);
    case Threshold::lfl:
    case Threshold::ufl:
      return 1.0 - round_off;
    case Threshold::stoichiometric:
      break;
  }
  // The oxygen demanded less the oxygen there; in a space with neither, both are nothing but round-off.
  return 1e-8;
}

Polynomial Watch::combine(const DensePiece& piece, const std::vector<double>& weights, double constant) const {
  Polynomial p;
  p.fill(constant);
  for (std::size_t c = 0; c < weights.size(); ++c) {
    if (weights[c] == 0.0) continue;
    for (std::size_t j = 0; j <= dense_degree; ++j) p[j] += weights[c] * piece.coefficients[c * (dense_degree + 1) + j];
  }
  return p;
}

void Watch::fractions_at(const DensePiece& piece, double s) {
  for (std::size_t c = 0; c < fractions_.size(); ++c) {
    fractions_[c] = bernstein_value(piece.coefficients.subspan(c * (dense_degree + 1), dense_degree + 1), s);
  }
}

void Watch::see(const DensePiece& piece, bool breathed) {
  SpaceWatch& watch = watches_[piece.space.value];
  const MixtureModel& model = models_.of(piece.space);
  const Polynomial oxygen = combine(piece, model.oxygen, model.oxygen_in_air);
  if (breathed) {
    follow_oxygen(watch, piece, oxygen);
    follow_exposures(watch, piece);
  }
  keep_halfway(watch, piece);
  if (model.fuels.empty()) {
    Polynomial distance;
    const double rise = largest_coefficient(oxygen) - model.oxygen_in_air;
    const double sign = rise > model.oxygen_in_air - least_coefficient(oxygen) ? 1.0 : -1.0;
    for (std::size_t j = 0; j <= dense_degree; ++j) distance[j] = sign * (oxygen[j] - model.oxygen_in_air);
    follow_peak(watch, piece, distance);
    watch.seen = true;
    return;
  }
  const Polynomial lower = combine(piece, model.lower, 0.0);
  const Polynomial upper = combine(piece, model.upper, 0.0);
  Polynomial demand = combine(piece, model.demand, 0.0);
  for (std::size_t j = 0; j <= dense_degree; ++j) demand[j] -= oxygen[j];
  // What jumps from below the lower limit to above the upper one has gone through the range.
  const bool was_lean = !watch.over[static_cast<std::size_t>(Threshold::lfl)];
  follow_thresholds(watch, piece, {&lower, &lower, &lower, &upper, &demand});
  const bool starts_rich = upper[0] >= level_of(static_cast<std::size_t>(Threshold::ufl));
  if (was_lean && starts_rich && watch.seen && !watch.result.flammable_from) watch.result.flammable_from = piece.begin;
  follow_peak(watch, piece, lower);
  if (largest_coefficient(lower) >= level_of(static_cast<std::size_t>(Threshold::lfl))) {
    follow_range(watch, piece, model, lower, upper);
  }
  watch.seen = true;
}

void Watch::pass(SpaceWatch& watch, std::size_t threshold, double time, bool upwards) {
  if (watch.over[threshold] == upwards) return;
  watch.over[threshold] = upwards;
  if (upwards) {
    watch.open[threshold] = watch.result.crossings.size();
    watch.result.crossings.push_back({static_cast<Threshold>(threshold), time, std::nullopt});
  } else {
    watch.result.crossings[watch.open[threshold]].down = time;
  }
}

void Watch::follow_thresholds(SpaceWatch& watch, const DensePiece& piece,
                              const std::array<const Polynomial*, thresholds>& measure) {
  for (std::size_t t = 0; t < thresholds; ++t) {
    const Polynomial& p = *measure[t];
    const double level = level_of(t);
    if (!watch.over[t] && largest_coefficient(p) < level) continue;
    // A junction, or a room into which a vessel bursts, may jump between two pieces.
    pass(watch, t, piece.begin, p[0] >= level);
    passages(p, level, [&](double s, bool upwards) { pass(watch, t, piece.time_at(s), upwards); });
  }
}

void Watch::follow_peak(SpaceWatch& watch, const DensePiece& piece, const Polynomial& measure) {
  if (watch.seen && largest_coefficient(measure) <= watch.worst) return;
  const Extremum top = largest(measure);
  if (watch.seen && top.value <= watch.worst) return;
  if (!watch.seen && top.value <= 0.0) return;
  watch.worst = top.value;
  fractions_at(piece, top.s);
  watch.result.peak.time = piece.time_at(top.s);
  watch.result.peak.fraction.assign(fractions_.begin(), fractions_.end());
}

void Watch::complete_peak(std::size_t space) {
  Instant& peak = watches_[space].result.peak;
  peak = models_.of(SpaceIndex{space}).instant(peak.time, peak.fraction);
}

void Watch::follow_oxygen(SpaceWatch& watch, const DensePiece& piece, const Polynomial& oxygen) const {
  SpaceResult& result = watch.result;
  const double air = site_.conditions.oxygen_in_air;
  // A space that is not seen from the start held air until then.
  if (!watch.seen && piece.begin <= 0.0) result.lowest_oxygen = result.highest_oxygen = std::max(0.0, oxygen[0]);
  const double farthest = std::max(result.highest_oxygen - air, air - result.lowest_oxygen);
  const auto note_time = [&](double distance, double s) {
    if (distance > farthest) result.worst_oxygen_time = piece.time_at(s);
  };
  if (largest_coefficient(oxygen) > result.highest_oxygen) {
    const Extremum top = largest(oxygen);
    note_time(top.value - air, top.s);
    result.highest_oxygen = std::max(result.highest_oxygen, top.value);
  }
  if (least_coefficient(oxygen) < result.lowest_oxygen) {
    Polynomial negative;
    for (std::size_t j = 0; j <= dense_degree; ++j) negative[j] = -oxygen[j];
    const Extremum bottom = largest(negative);
    note_time(air + bottom.value, bottom.s);
    result.lowest_oxygen = std::max(0.0, std::min(result.lowest_oxygen, -bottom.value));
  }
  if (result.oxygen_left_criteria) return;
  const double low = site_.criteria.oxygen_low * (1.0 - round_off),
               high = site_.criteria.oxygen_high * (1.0 + round_off);
  if (least_coefficient(oxygen) >= low && largest_coefficient(oxygen) <= high) return;
  double first = 2.0;
  if (oxygen[0] < low || oxygen[0] > high) first = 0.0;
  passages(oxygen, low, [&](double s, bool upwards) { first = upwards ? first : std::min(first, s); });
  passages(oxygen, high, [&](double s, bool upwards) { first = upwards ? std::min(first, s) : first; });
  if (first <= 1.0) result.oxygen_left_criteria = piece.time_at(first);
}

void Watch::follow_exposures(SpaceWatch& watch, const DensePiece& piece) const {
  for (Exposure& exposure : watch.result.exposures) {
    Polynomial p;
    for (std::size_t j = 0; j <= dense_degree; ++j) {
      p[j] = piece.coefficients[exposure.gas.value * (dense_degree + 1) + j];
    }
    if (largest_coefficient(p) <= exposure.worst) continue;
    const Extremum top = largest(p);
    if (top.value > exposure.worst) {
      exposure.worst = top.value;
      exposure.worst_time = piece.time_at(top.s);
    }
    if (exposure.from || !reached(top.value, exposure.idlh)) continue;
    const double level = exposure.idlh * (1.0 - round_off);
    double first = p[0] >= level ? 0.0 : top.s;
    passages(p, level, [&](double s, bool upwards) { first = upwards ? std::min(first, s) : first; });
    exposure.from = piece.time_at(first);
  }
}

/// The fractions at half the horizon tell whether a space without a steady state still changes at its end.
void Watch::keep_halfway(SpaceWatch& watch, const DensePiece& piece) {
  const double half = 0.5 * site_.criteria.horizon;
  if (half < piece.begin || half > piece.end) return;
  fractions_at(piece, piece.position_at(half));
  watch.result.halfway.assign(fractions_.begin(), fractions_.end());
}

// Between two passages of the lower and the upper limit only the oxygen can open or close the range: a few places
// between are looked at for that, and a change between two of them is then found by halving.
void Watch::follow_range(SpaceWatch& watch, const DensePiece& piece, const MixtureModel& model, const Polynomial& lower,
                         const Polynomial& upper) {
  std::vector<double> places;
  constexpr int looks = 16;
  for (int k = 0; k <= looks; ++k) places.push_back(static_cast<double>(k) / looks);
  const double level = level_of(static_cast<std::size_t>(Threshold::lfl));
  for (const Polynomial* p : {&lower, &upper}) {
    // A mixture that only cuts a corner of the range is inside next to the passage and nowhere else that is looked at.
    // At the passage itself the last digit would decide.
    passages(*p, level, [&](double s, bool) {
      places.insert(places.end(), {std::max(0.0, s - beside), s, std::min(1.0, s + beside)});
    });
  }
  places.push_back(largest(lower).s);
  std::sort(places.begin(), places.end());

  const auto inside = [&](double s) {
    fractions_at(piece, s);
    if (model.range(fractions_).inside < -round_off) return false;
    watch.result.flammable_oxygen = std::max(watch.result.flammable_oxygen, model.oxidiser_of(fractions_));
    return true;
  };
  const auto fuel_volume = [&](double s) {
    fractions_at(piece, s);
    double fuel = 0.0;
    for (std::size_t c = 0; c < fractions_.size(); ++c) fuel += model.burnable[c] * fractions_[c];
    const Space& space = site_.spaces[piece.space.value];
    return fuel * space.volume * site_.conditions.temperature / space.temperature;
  };
  const auto edge_between = [&](double a, double b, bool inside_at_b) {
    for (int k = 0; k < 60 && b - a > 1e-15; ++k) {
      const double middle = 0.5 * (a + b);
      (inside(middle) == inside_at_b ? b : a) = middle;
    }
    return b;
  };
  const auto stay = [&](double a, double b) {
    SpaceResult& result = watch.result;
    result.flammable_time += piece.time_at(b) - piece.time_at(a);
    if (!result.flammable_from) result.flammable_from = piece.time_at(a);
    result.flammable_gas = std::max({result.flammable_gas, fuel_volume(a), fuel_volume(b)});
  };

  bool in = inside(places.front());
  double since = places.front();
  for (std::size_t k = 1; k < places.size(); ++k) {
    const bool now = inside(places[k]);
    if (now == in) {
      if (in) watch.result.flammable_gas = std::max(watch.result.flammable_gas, fuel_volume(places[k]));
      continue;
    }
    const double edge = edge_between(places[k - 1], places[k], now);
    if (in) stay(since, edge);
    since = edge;
    in = now;
  }
  if (in) stay(since, places.back());
}

std::vector<SpaceResult> Watch::finish(const TransientResult& transient) {
  std::vector<SpaceResult> results;
  results.reserve(watches_.size());
  for (const PressureTrace& trace : transient.pressures) {
    SpaceResult& result = watches_[trace.space.value].result;
    result.pressure = site_.conditions.pressure * trace.largest_factor;
    result.pressure_110 = trace.reaches_110_percent;
    result.pressure_200 = trace.reaches_200_percent;
    result.pressure_rated = trace.reaches_rating;
  }
  for (std::size_t i = 0; i < watches_.size(); ++i) {
    SpaceResult& result = watches_[i].result;
    complete_peak(i);
    if (result.halfway.empty()) result.halfway.assign(site_.gases.size(), 0.0);
    result.end = models_.of(SpaceIndex{i}).instant(site_.criteria.horizon, transient.end.of(SpaceIndex{i}));
    std::stable_sort(result.crossings.begin(), result.crossings.end(),
                     [](const Crossing& a, const Crossing& b) { return a.up < b.up; });
    results.push_back(std::move(result));
  }
  return results;
}

std::vector<SpaceResult> Watch::at_start(const FractionField& initial) {
  std::vector<SpaceResult> results;
  results.reserve(watches_.size());
  for (std::size_t i = 0; i < watches_.size(); ++i) {
    SpaceResult& result = watches_[i].result;
    result.peak = result.end = models_.of(SpaceIndex{i}).instant(0.0, initial.of(SpaceIndex{i}));
    result.lowest_oxygen = result.highest_oxygen = result.peak.oxygen;
    for (Exposure& exposure : result.exposures) {
      exposure.worst = result.peak.fraction[exposure.gas.value];
      if (reached(exposure.worst, exposure.idlh)) exposure.from = 0.0;
    }
    results.push_back(std::move(result));
  }
  return results;
}

}  // namespace leanside::hazard
