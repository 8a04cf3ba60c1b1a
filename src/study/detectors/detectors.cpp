// SPDX-License-Identifier: Apache-2.0
#include "leanside/study/detectors.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

#include "hazard/mixture.hpp"
#include "hazard/polynomial.hpp"
#include "hazard/settled_horizon.hpp"
#include "leanside/advanced/release.hpp"

namespace leanside {

std::string_view word_of(Sensor sensor) {
  switch (sensor) {
    case Sensor::fuel:
      return "fuel";
    case Sensor::toxic:
      return "toxic";
    case Sensor::oxygen:
      break;
  }
  return "oxygen";
}

std::string_view word_of(Mounting mounting) {
  switch (mounting) {
    case Mounting::high:
      return "high";
    case Mounting::low:
      return "low";
    case Mounting::middle:
      break;
  }
  return "middle";
}

namespace {

constexpr double never = std::numeric_limits<double>::infinity();

using Times = std::vector<std::vector<double>>;

double sum_of(const std::vector<double>& values) {
  double sum = 0.0;
  for (const double v : values) sum += v;
  return sum;
}

/// Times with one more candidate.
std::vector<double> with(const Times& time, const std::vector<double>& best, std::size_t candidate) {
  std::vector<double> out = best;
  for (std::size_t s = 0; s < out.size(); ++s) out[s] = std::min(out[s], time[s][candidate]);
  return out;
}

/// What a candidate takes off the sum of times.
double gain(const Times& time, const std::vector<double>& best, std::size_t candidate) {
  double out = 0.0;
  for (std::size_t s = 0; s < best.size(); ++s) out += std::max(0.0, best[s] - time[s][candidate]);
  return out;
}

/// Tries every choice of `count` candidates.
class Exhaustive {
 public:
  Exhaustive(const Times& time, std::size_t count, std::size_t candidates)
      : time_{time}, count_{count}, candidates_{candidates} {}

  std::vector<std::size_t> run(const std::vector<double>& none) {
    go(0, none);
    return best_;
  }

 private:
  void go(std::size_t from, const std::vector<double>& times) {
    if (chosen_.size() == count_) {
      const double sum = sum_of(times);
      if (sum < least_) least_ = sum, best_ = chosen_;
      return;
    }
    for (std::size_t c = from; c + (count_ - chosen_.size()) <= candidates_; ++c) {
      chosen_.push_back(c);
      go(c + 1, with(time_, times, c));
      chosen_.pop_back();
    }
  }

  const Times& time_;
  std::size_t count_, candidates_;
  std::vector<std::size_t> chosen_, best_;
  double least_ = never;
};

/// Adds the candidate that helps most, one after the other, from `allowed`; `bound` becomes the least sum of times that
/// any choice of so many can have: at every stage no choice gains more than the `count` largest gains together.
std::vector<std::size_t> greedy(const Times& time, std::vector<std::size_t> allowed, std::size_t count,
                                std::vector<double> best, double& bound) {
  std::vector<std::size_t> out;
  bound = 0.0;
  while (true) {
    std::vector<double> gains;
    for (const std::size_t c : allowed) gains.push_back(gain(time, best, c));
    auto sorted = gains;
    std::sort(sorted.begin(), sorted.end(), std::greater<>{});
    double most = 0.0;
    for (std::size_t k = 0; k < std::min(count, sorted.size()); ++k) most += sorted[k];
    bound = std::max(bound, sum_of(best) - most);
    if (out.size() == count || allowed.empty()) return out;
    const auto place = std::max_element(gains.begin(), gains.end()) - gains.begin();
    const std::size_t chosen = allowed[static_cast<std::size_t>(place)];
    out.push_back(chosen);
    best = with(time, best, chosen);
    allowed.erase(allowed.begin() + place);
  }
}

/// A release as one kind of detector sees it.
struct Watched {
  ReleaseIndex release;
  Sensor sensor = Sensor::fuel;
};

bool burns(const Site& site, const Release& release) {
  return std::any_of(release.gas.shares.begin(), release.gas.shares.end(),
                     [&](const GasShare& s) { return s.fraction > 0.0 && site.gases[s.gas.value].limits.has_value(); });
}

/// 1/IDLH of a gas; 0 where it has none, or where that is the tenth of its lower limit: a detector for gas that burns
/// does for that.
double toxicity(const Gas& gas) {
  constexpr double about_a_tenth = 0.09;
  const auto& idlh = gas.substance.idlh;
  if (!idlh || !(idlh->value > 0.0)) return 0.0;
  return gas.limits && idlh->value > about_a_tenth * gas.limits->lower ? 0.0 : 1.0 / idlh->value;
}

double toxicity(const Site& site, const Release& release) {
  double sum = 0.0;
  for (const GasShare& share : release.gas.shares) sum += share.fraction * toxicity(site.gases[share.gas.value]);
  return sum;
}

/// How many times the change of oxygen that leaves the criteria the gas makes where it is all there is.
double oxygen_change(const Site& site, const Release& release) {
  double oxygen = 0.0, tracked = 0.0;
  for (const GasShare& share : release.gas.shares) {
    tracked += share.fraction;
    if (site.gases[share.gas.value].substance.id == "oxygen") oxygen += share.fraction;
  }
  const double air = site.conditions.oxygen_in_air, change = oxygen - tracked * air;
  const double least = change < 0.0 ? air - site.criteria.oxygen_low : site.criteria.oxygen_high - air;
  return least > 0.0 ? std::abs(change) / least : 0.0;
}

/// What each release calls for: of gas that neither burns nor poisons, the oxygen.
std::vector<Watched> watched_of(const Site& site) {
  std::vector<Watched> out;
  for (std::size_t r = 0; r < site.releases.size(); ++r) {
    const Release& release = site.releases[r];
    const bool fuel = burns(site, release), toxic = toxicity(site, release) > 0.0;
    if (fuel) out.push_back({ReleaseIndex{r}, Sensor::fuel});
    if (toxic) out.push_back({ReleaseIndex{r}, Sensor::toxic});
    if (!fuel && !toxic && oxygen_change(site, release) > 1.0) out.push_back({ReleaseIndex{r}, Sensor::oxygen});
  }
  return out;
}

/// When the gas of each release comes to the alarm in each space, one case at a time.
class Alarms {
 public:
  Alarms(const Site& site, CaseIndex case_index, double alarm)
      : site_{site}, which_{case_index}, alarm_{alarm}, models_{hazard::mixture_models(site, case_index)} {}

  /// By place in `watched` and space; empty where it worked.
  std::optional<Fault> find(const std::vector<Watched>& watched, std::vector<std::vector<double>>& first) {
    first.assign(watched.size(), std::vector<double>(site_.spaces.size(), never));
    const CauseTracers causes = cause_tracers(site_);
    constexpr std::size_t block = 16;  // so that memory stays within bounds however many releases there are
    for (std::size_t begin = 0; begin < site_.releases.size(); begin += block) {
      const std::size_t count = std::min(block, site_.releases.size() - begin);
      const auto observe = [&](const DensePiece& piece) {
        for (std::size_t w = 0; w < watched.size(); ++w) {
          const std::size_t release = watched[w].release.value;
          if (release < begin || release >= begin + count) continue;
          see(piece, release - begin, watched[w], first[w][piece.space.value]);
        }
      };
      const auto solved = solve_transient(site_, which_, std::span(causes.tracers).subspan(begin, count),
                                          site_.criteria.horizon, observe);
      if (const auto* fault = std::get_if<Fault>(&solved)) return *fault;
    }
    return std::nullopt;
  }

 private:
  /// What a fraction of 1 of the released gas would be, in units of what the alarm is a share of.
  double weight_of(SpaceIndex space, const Watched& watched) const {
    const Release& release = site_.releases[watched.release.value];
    if (watched.sensor == Sensor::toxic) return toxicity(site_, release);
    if (watched.sensor == Sensor::oxygen) return alarm_ * oxygen_change(site_, release);  // it answers at the criterion
    const auto& lower = models_.of(space).lower;
    double weight = 0.0;
    for (const GasShare& share : release.gas.shares) weight += share.fraction * lower[share.gas.value];
    return weight;
  }

  void see(const DensePiece& piece, std::size_t column, const Watched& watched, double& first) const {
    if (first <= piece.end) return;
    const double weight = weight_of(piece.space, watched);
    if (weight <= 0.0) return;
    hazard::Polynomial p{};
    for (std::size_t j = 0; j <= dense_degree; ++j) p[j] = weight * piece.coefficients[column * (dense_degree + 1) + j];
    if (hazard::largest_coefficient(p) < alarm_) return;
    if (p[0] >= alarm_) {
      first = std::min(first, piece.begin);
      return;
    }
    hazard::passages(p, alarm_, [&](double s, bool upwards) {
      if (upwards) first = std::min(first, piece.time_at(s));
    });
  }

  const Site& site_;
  CaseIndex which_;
  double alarm_;
  hazard::MixtureModels models_;
};

/// Light gas gathers under the ceiling, heavy gas on the floor; within a twentieth of the weight of air, neither does.
/// The oxygen is measured where people breathe. Common practice, no source.
Mounting mounting_for(const Site& site, const GasScenario& scenario) {
  if (scenario.sensor == Sensor::oxygen) return Mounting::middle;
  const double ratio = molar_mass(site.releases[scenario.release.value].gas, site.gases) / molar_mass_of_air;
  return ratio < 0.95 ? Mounting::high : ratio > 1.05 ? Mounting::low : Mounting::middle;
}

}  // namespace

DetectorChoice choose_detectors(const Times& time, std::size_t count, double horizon, double most_choices) {
  DetectorChoice out;
  const std::size_t scenarios = time.size(), candidates = scenarios == 0 ? 0 : time.front().size();
  count = std::min(count, candidates);
  const std::vector<double> none(scenarios, horizon);
  out.mean_time = out.bound = horizon;
  if (scenarios == 0 || count == 0) {
    out.exact = true;
    return out;
  }
  double choices = 1.0;
  for (std::size_t k = 0; k < count; ++k) choices *= static_cast<double>(candidates - k) / static_cast<double>(k + 1);
  std::vector<std::size_t> all(candidates);
  for (std::size_t c = 0; c < candidates; ++c) all[c] = c;
  double bound = 0.0;
  out.exact = choices <= most_choices;
  if (out.exact) {
    out.chosen = greedy(time, Exhaustive{time, count, candidates}.run(none), count, none, bound);
  } else {
    out.chosen = greedy(time, all, count, none, bound);
  }
  std::vector<double> best = none;
  for (const std::size_t c : out.chosen) best = with(time, best, c);
  out.mean_time = sum_of(best) / static_cast<double>(scenarios);
  out.bound = out.exact ? out.mean_time : bound / static_cast<double>(scenarios);
  return out;
}

namespace {

/// Where a detector may hang: what the options name, else every room and cabinet.
std::vector<SpaceIndex> candidates_of(const Site& site, const DetectorOptions& options) {
  std::vector<SpaceIndex> out = options.candidates;
  if (!out.empty()) return out;
  for (std::size_t i = 0; i < site.spaces.size(); ++i) {
    const SpaceKind kind = site.spaces[i].kind;
    if (kind == SpaceKind::room || kind == SpaceKind::cabinet) out.push_back(SpaceIndex{i});
  }
  return out;
}

/// Adds the releases of one case to the plan, each with the times at which its gas comes to the alarm.
std::optional<Fault> add_scenarios(const Site& site, CaseIndex case_index, DetectorPlan& plan) {
  std::vector<std::vector<double>> first;
  const std::vector<Watched> watched = watched_of(site);
  if (auto fault = Alarms{site, case_index, plan.alarm}.find(watched, first)) return fault;
  for (std::size_t w = 0; w < watched.size(); ++w) {
    const std::size_t r = watched[w].release.value;
    const auto& added = site.cases[case_index.value].added_for;
    if (added && *added != ReleaseIndex{r}) continue;  // the others are scenarios of the normal case
    const auto spans = emission(site.releases[r], ReleaseIndex{r}, site.cases[case_index.value].events);
    if (spans.empty() || spans.front().begin >= plan.horizon) continue;
    std::vector<double> row;
    for (const SpaceIndex space : plan.candidates) {
      const double t = first[w][space.value] - spans.front().begin;
      row.push_back(t <= plan.horizon ? std::max(0.0, t) : never);
    }
    const GasScenario scenario{case_index, ReleaseIndex{r}, watched[w].sensor};
    if (std::all_of(row.begin(), row.end(), [](double t) { return t == never; })) {
      plan.silent.push_back(scenario);
      continue;
    }
    plan.scenarios.push_back(scenario);
    plan.time.push_back(std::move(row));
  }
  return std::nullopt;
}

/// The detector at candidate `c`: how high it hangs depends on the gases that reach it.
DetectorPlace place_at(const Site& site, const DetectorPlan& plan, std::size_t c) {
  DetectorPlace place{plan.candidates[c], {}, {}, {}};
  const auto add_once = [](auto& list, auto what) {
    if (std::find(list.begin(), list.end(), what) == list.end()) list.push_back(what);
  };
  for (std::size_t s = 0; s < plan.scenarios.size(); ++s) {
    if (plan.time[s][c] == never) continue;
    add_once(place.mountings, mounting_for(site, plan.scenarios[s]));
    add_once(place.sensors, plan.scenarios[s].sensor);
  }
  return place;
}

/// Which of the chosen detectors sees each scenario first, and when.
void find_first_alarms(const std::vector<std::size_t>& chosen, DetectorPlan& plan) {
  for (std::size_t s = 0; s < plan.scenarios.size(); ++s) {
    std::size_t by = 0;
    double soonest = never;
    for (std::size_t k = 0; k < chosen.size(); ++k) {
      const double t = plan.time[s][chosen[k]];
      if (t < soonest) soonest = t, by = k;
    }
    plan.seen.push_back(soonest == never ? std::nullopt : std::optional(soonest));
    if (soonest != never) plan.places[by].first.push_back(s);
  }
}

}  // namespace

Site with_fans_off(const Site& site) {
  Site out = site;
  Case off{"fans-off", "every fan is off", {}};
  const auto is_fan = [&](AirwayIndex i) { return std::holds_alternative<Fan>(site.airways[i.value].kind); };
  for (const Event& event : site.cases.front().events) {
    const auto* set = std::get_if<SetAirwayOn>(&event.change);
    if (set == nullptr || !is_fan(set->airway)) off.events.push_back(event);
  }
  std::vector<Event> stops;
  for (std::size_t i = 0; i < site.airways.size(); ++i) {
    if (is_fan(AirwayIndex{i})) stops.push_back({0.0, SetAirwayOn{AirwayIndex{i}, false}, {}});
  }
  off.events.insert(off.events.begin(), stops.begin(), stops.end());
  out.cases.push_back(std::move(off));
  return out;
}

Result<DetectorPlan> place_detectors(const Site& given, const DetectorOptions& options) {
  const auto settled = hazard::with_settled_horizon(given);
  if (const auto* fault = std::get_if<Fault>(&settled)) return *fault;
  const Site& site = std::get<Site>(settled);
  DetectorPlan plan;
  plan.alarm = options.alarm;
  plan.horizon = site.criteria.horizon;
  plan.candidates = candidates_of(site, options);
  for (std::size_t c = 0; c < site.cases.size(); ++c) {
    if (auto fault = add_scenarios(site, CaseIndex{c}, plan)) return std::move(*fault);
  }
  const DetectorChoice choice = choose_detectors(plan.time, options.count, plan.horizon);
  plan.mean_time = choice.mean_time;
  plan.exact = choice.exact;
  plan.bound = choice.bound;
  for (const std::size_t c : choice.chosen) plan.places.push_back(place_at(site, plan, c));
  find_first_alarms(choice.chosen, plan);
  plan.assumptions = {{AssumptionKind::detector_alarm, {}, {}, {}, {}, {plan.alarm}},
                      {AssumptionKind::detector_place},
                      {AssumptionKind::detector_only_warns}};
  plan.assumptions.insert(plan.assumptions.end(), site.assumptions.begin(), site.assumptions.end());
  if (has_layers(site)) {
    plan.assumptions.push_back({AssumptionKind::detector_in_layer});
  }
  return plan;
}

}  // namespace leanside
