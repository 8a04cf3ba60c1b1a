// SPDX-License-Identifier: Apache-2.0
#include "leanside/study/compare.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <tuple>
#include <utility>

#include <fmt/format.h>

#include "hazard/judge.hpp"

namespace leanside {

std::string_view word_of(Verdict verdict) {
  switch (verdict) {
    case Verdict::same:
      return "same";
    case Verdict::better:
      return "better";
    case Verdict::worse:
      return "worse";
    case Verdict::mixed:
      return "mixed";
    case Verdict::differs:
      break;
  }
  return "differs";
}

std::string_view word_of(Aspect aspect) {
  switch (aspect) {
    case Aspect::severity:
      return "severity";
    case Aspect::lfl_fraction:
      return "lfl_fraction";
    case Aspect::steady_state:
      return "steady_state";
    case Aspect::first_passage:
      return "first_passage";
    case Aspect::flammable_time:
      return "flammable_time";
    case Aspect::oxygen:
      return "oxygen";
    case Aspect::pressure:
      break;
  }
  return "pressure";
}

namespace {

template <class Tag>
struct Pair {
  Index<Tag> before, after;
};

/// Things of two lists with the same id, in the order of the first list, and those on one side only.
template <class Tag, class List>
std::vector<Pair<Tag>> matched(const List& before, const List& after, Unmatched& unmatched) {
  std::map<std::string, std::size_t> at;
  for (std::size_t i = 0; i < after.size(); ++i) at.emplace(after[i].id, i);
  std::vector<Pair<Tag>> pairs;
  for (std::size_t i = 0; i < before.size(); ++i) {
    const auto found = at.find(before[i].id);
    if (found == at.end()) {
      unmatched.removed.push_back(before[i].id);
      continue;
    }
    pairs.push_back({{i}, {found->second}});
    at.erase(found);
  }
  for (const auto& thing : after) {
    if (at.contains(thing.id)) unmatched.added.push_back(thing.id);
  }
  return pairs;
}

Verdict sum_of(Verdict a, Verdict b) {
  if (a == b || b == Verdict::same) return a;
  if (a == Verdict::same || a == Verdict::differs) return b;
  return b == Verdict::differs ? a : Verdict::mixed;
}

constexpr int no_severity = static_cast<int>(Severity::note) + 1;

/// The warning of a space about what may burn, if there is one.
const Warning* fuel_warning(const std::vector<Warning>& warnings, CaseIndex case_index, SpaceIndex space) {
  for (const Warning& w : warnings) {
    if (subject_of(w) == Subject::fuel && w.case_index == case_index && w.space == space) return &w;
  }
  return nullptr;
}

/// What is compared of one space of one case.
struct Figures {
  int severity = no_severity;
  double lfl = 0.0;
  bool too_rich = false;
  bool reached = true;
  std::optional<double> passage;
  double flammable = 0.0;
  double oxygen = 0.0, beyond = 0.0;  ///< the worst oxygen, and how far outside the criteria it is (0: inside)
  double pressure = 0.0;
  bool burst = false;  ///< passed what the vessel stands
};

Figures figures_of(const Site& site, const Assessment& assessment, const CaseResult& result, SpaceIndex space) {
  const SpaceResult& r = result.spaces[space.value];
  Figures out;
  out.reached = r.steady.reached;
  out.lfl = r.worst.lfl_fraction;
  const double lowest = r.worst.lowest_oxygen, highest = r.worst.highest_oxygen;
  out.too_rich = r.worst.at_worst == MixtureState::rich || r.worst.at_worst == MixtureState::inerted;
  if (const Warning* w = fuel_warning(assessment.warnings, result.case_index, space)) {
    out.severity = static_cast<int>(w->severity);
  }
  for (const Crossing& c : r.crossings) {
    if (c.threshold == Threshold::warn && (!out.passage || c.up < *out.passage)) out.passage = c.up;
  }
  out.flammable = r.flammable_time;
  const double low = site.criteria.oxygen_low - lowest, high = highest - site.criteria.oxygen_high;
  out.oxygen = low >= high ? lowest : highest;
  out.beyond = std::max({0.0, low, high});
  out.pressure = r.pressure;
  out.burst = hazard::over_pressure(site.spaces[space.value], r).has_value();
  return out;
}

/// Less is better.
Verdict judged(double before, double after) { return after > before ? Verdict::worse : Verdict::better; }

std::vector<AspectChange> aspects_of(const Figures& a, const Figures& b, double horizon,
                                     const CompareOptions& options) {
  std::vector<AspectChange> out;
  if (a.severity != b.severity) {
    // A lower number is a worse severity.
    out.push_back({Aspect::severity, a.severity, b.severity, judged(b.severity, a.severity)});
  }
  constexpr double solver = 1e-6;  // relative accuracy of a fraction
  if (std::abs(a.lfl - b.lfl) > std::max(options.least_change, solver * std::max(a.lfl, b.lfl))) {
    const bool undecided = a.too_rich || b.too_rich || std::abs(a.lfl - b.lfl) < options.decisive;
    out.push_back({Aspect::lfl_fraction, a.lfl, b.lfl, undecided ? Verdict::differs : judged(a.lfl, b.lfl)});
  }
  if (a.reached != b.reached) {
    out.push_back({Aspect::steady_state, a.reached, b.reached, b.reached ? Verdict::better : Verdict::worse});
  }
  const double least_time = std::max(1.0, 1e-5 * horizon);
  const auto of_time = [&](double before, double after, Verdict verdict) {
    return std::abs(before - after) < options.decisive * std::max(before, after) ? Verdict::differs : verdict;
  };
  if (a.passage.has_value() != b.passage.has_value()) {
    out.push_back({Aspect::first_passage, a.passage, b.passage, b.passage ? Verdict::worse : Verdict::better});
  } else if (a.passage && std::abs(*a.passage - *b.passage) > least_time) {
    out.push_back(
        {Aspect::first_passage, a.passage, b.passage, of_time(*a.passage, *b.passage, judged(*b.passage, *a.passage))});
  }
  if (std::abs(a.flammable - b.flammable) > least_time) {
    out.push_back({Aspect::flammable_time, a.flammable, b.flammable,
                   of_time(a.flammable, b.flammable, judged(a.flammable, b.flammable))});
  }
  if (std::abs(a.beyond - b.beyond) > options.least_change) {
    out.push_back({Aspect::oxygen, a.oxygen, b.oxygen, judged(a.beyond, b.beyond)});
  }
  constexpr double least_pressure = 1e-3;
  if ((a.burst || b.burst) && std::abs(a.pressure - b.pressure) > least_pressure * a.pressure) {
    out.push_back({Aspect::pressure, a.pressure, b.pressure, judged(a.pressure, b.pressure)});
  }
  return out;
}

/// The terms on which the two sites are judged; a difference of the answers may come from them alone.
std::vector<std::string> differing_terms(const Site& before, const Site& after) {
  std::vector<std::string> out;
  const auto number = [&](const char* what, double a, double b, const char* unit) {
    if (a == b) return;
    out.push_back(fmt::format("{}: {} before, {} after", what, format_quantity(a, unit, 4, after.conditions.units),
                              format_quantity(b, unit, 4, after.conditions.units)));
  };
  const Criteria &c = before.criteria, &d = after.criteria;
  number("warn_at", c.warn_at, d.warn_at, "%");
  number("note_at", c.note_at, d.note_at, "%");
  number("oxygen_low", c.oxygen_low, d.oxygen_low, "%");
  number("oxygen_high", c.oxygen_high, d.oxygen_high, "%");
  number("horizon", c.horizon, d.horizon, "h");
  if (c.limits != d.limits) out.push_back(fmt::format("limits: '{}' before, '{}' after", c.limits, d.limits));
  const Conditions &e = before.conditions, &f = after.conditions;
  number("pressure", e.pressure, f.pressure, "kPa");
  number("temperature", e.temperature, f.temperature, "degC");
  number("outside_temperature", e.outside_temperature, f.outside_temperature, "degC");
  number("wind_speed", e.wind_speed, f.wind_speed, "m/s");
  number("oxygen_in_air", e.oxygen_in_air, f.oxygen_in_air, "%");
  for (const Gas& gas : before.gases) {
    for (const Gas& other : after.gases) {
      if (gas.substance.id != other.substance.id || !gas.limits || !other.limits) continue;
      number(("lower limit of " + gas.substance.id).c_str(), gas.limits->lower, other.limits->lower, "%");
      number(("upper limit of " + gas.substance.id).c_str(), gas.limits->upper, other.limits->upper, "%");
    }
  }
  return out;
}

const CaseResult* result_of(const Assessment& assessment, CaseIndex case_index) {
  for (const CaseResult& result : assessment.cases) {
    if (result.case_index == case_index) return &result;
  }
  return nullptr;
}

class Comparer {
 public:
  Comparer(const Site& site_before, const Assessment& before, const Site& site_after, const Assessment& after,
           const CompareOptions& options)
      : a_{site_before}, b_{site_after}, before_{before}, after_{after}, options_{options} {}

  Comparison run() {
    spaces_ = matched<SpaceTag>(a_.spaces, b_.spaces, out_.spaces);
    airways_ = matched<AirwayTag>(a_.airways, b_.airways, out_.airways);
    matched<ReleaseTag>(a_.releases, b_.releases, out_.releases);
    out_.terms = differing_terms(a_, b_);
    for (const auto& pair : matched<CaseTag>(a_.cases, b_.cases, out_.cases)) {
      const CaseResult* const r = result_of(before_, pair.before);
      const CaseResult* const s = result_of(after_, pair.after);
      if (r == nullptr || s == nullptr) continue;
      compare_spaces(*r, *s);
      compare_flows(*r, *s);
    }
    order();
    compare_warnings();
    return std::move(out_);
  }

 private:
  void compare_spaces(const CaseResult& r, const CaseResult& s) {
    const double horizon = std::max(before_.horizon, after_.horizon);
    for (const auto& space : spaces_) {
      ++out_.compared;
      const Figures before = figures_of(a_, before_, r, space.before);
      const Figures after = figures_of(b_, after_, s, space.after);
      SpaceChange change{r.case_index,  s.case_index, space.before, space.after,
                         Verdict::same, before.lfl,   after.lfl,    {}};
      change.aspects = aspects_of(before, after, horizon, options_);
      if (change.aspects.empty()) continue;
      // The severity sums up what may burn: where it moved, the other figures of the fuel do not speak against it.
      const bool severity = change.aspects.front().aspect == Aspect::severity;
      for (const AspectChange& aspect : change.aspects) {
        const bool of_fuel = aspect.aspect == Aspect::lfl_fraction || aspect.aspect == Aspect::first_passage ||
                             aspect.aspect == Aspect::flammable_time;
        if (severity && of_fuel) continue;
        change.verdict = sum_of(change.verdict, aspect.verdict);
      }
      out_.changes.push_back(std::move(change));
    }
  }

  void compare_flows(const CaseResult& r, const CaseResult& s) {
    const SiteState before = state_at(a_, r.case_index, 0.0), after = state_at(b_, s.case_index, 0.0);
    const auto volume = [](const Site& site, const SiteState& state, double rate, const Side& from) {
      const double t = from ? state.temperature[from->value] : site.conditions.outside_temperature;
      return rate * gas_constant * t / site.conditions.pressure;
    };
    for (const auto& pair : airways_) {
      const AirwayFlow& f = r.flows.airways[pair.before.value];
      const AirwayFlow& g = s.flows.airways[pair.after.value];
      const Airway &u = a_.airways[pair.before.value], &v = b_.airways[pair.after.value];
      AirwayChange change{r.case_index, s.case_index, pair.before, pair.after, 0.0, 0.0, 0.0, 0.0};
      change.forward_before = volume(a_, before, f.forward, first_side(u));
      change.backward_before = volume(a_, before, f.backward, second_side(u));
      change.forward_after = volume(b_, after, g.forward, first_side(v));
      change.backward_after = volume(b_, after, g.backward, second_side(v));
      const double most =
          std::max({change.forward_before, change.backward_before, change.forward_after, change.backward_after});
      const double moved = std::max(std::abs(change.forward_after - change.forward_before),
                                    std::abs(change.backward_after - change.backward_before));
      constexpr double least_share = 1e-4, least_flow = 1e-9;  // of the flow; m3/s
      if (moved > std::max(least_share * most, least_flow)) out_.flows.push_back(change);
    }
  }

  void order() {
    const auto key = [](const SpaceChange& c) {
      const int group = c.verdict == Verdict::worse    ? 0
                        : c.verdict == Verdict::mixed  ? 1
                        : c.verdict == Verdict::better ? 2
                                                       : 3;
      return std::tuple(group, -std::abs(c.lfl_after - c.lfl_before));
    };
    std::stable_sort(out_.changes.begin(), out_.changes.end(),
                     [&](const SpaceChange& x, const SpaceChange& y) { return key(x) < key(y); });
    for (const SpaceChange& change : out_.changes) {
      if (change.verdict == Verdict::worse || change.verdict == Verdict::mixed) out_.anything_worse = true;
    }
  }

  /// Case, space, and what the warning is about: what may burn, oxygen, pressure, or two stores, named.
  using Key = std::tuple<std::string, std::string, int, std::string>;
  static Key key_of(const Site& site, const Warning& w) {
    int about = static_cast<int>(subject_of(w));
    std::string stores;
    if (w.toxic) stores = site.gases[w.toxic->gas.value].substance.id;
    if (w.source) stores = site.releases[w.source->release.value].id;
    if (w.storage) {
      about += static_cast<int>(w.storage->concern);
      stores = store_of(site, w.storage->first);
      if (concerns_two(w.storage->concern)) stores += " " + store_of(site, w.storage->second);
    }
    return {site.cases[w.case_index.value].id, site.spaces[w.space.value].id, about, stores};
  }
  static std::string store_of(const Site& site, const StoredGas& store) {
    return store.release ? site.releases[store.release->value].id : "in " + site.spaces[store.space.value].id;
  }
  bool unmatched(const Site& site, const Warning& w, const std::vector<std::string>& spaces,
                 const std::vector<std::string>& cases) const {
    const auto holds = [](const std::vector<std::string>& list, const std::string& id) {
      return std::find(list.begin(), list.end(), id) != list.end();
    };
    return holds(spaces, site.spaces[w.space.value].id) || holds(cases, site.cases[w.case_index.value].id);
  }

  void compare_warnings() {
    std::map<Key, std::size_t> old;
    for (std::size_t i = 0; i < before_.warnings.size(); ++i) old.emplace(key_of(a_, before_.warnings[i]), i);
    std::vector<WarningChange> appeared, vanished, changed;
    for (std::size_t i = 0; i < after_.warnings.size(); ++i) {
      const Warning& w = after_.warnings[i];
      const auto known = old.find(key_of(b_, w));
      if (known == old.end()) {
        const bool lone = unmatched(b_, w, out_.spaces.added, out_.cases.added);
        appeared.push_back({std::nullopt, i, Verdict::worse, lone});
        const bool new_case = std::find(out_.cases.added.begin(), out_.cases.added.end(),
                                        b_.cases[w.case_index.value].id) != out_.cases.added.end();
        // A case that only one side has asks another question.
        if (new_case) {
          appeared.back().verdict = Verdict::differs;
        } else if (!lone || w.severity != Severity::note) {
          out_.anything_worse = true;
        }
        continue;
      }
      const Warning& earlier = before_.warnings[known->second];
      if (earlier.severity != w.severity) {
        const Verdict verdict = w.severity < earlier.severity ? Verdict::worse : Verdict::better;
        changed.push_back({known->second, i, verdict, false});
      } else if (known->second != i) {
        changed.push_back({known->second, i, Verdict::differs, false});
      }
      old.erase(known);
    }
    for (std::size_t i = 0; i < before_.warnings.size(); ++i) {
      const Warning& w = before_.warnings[i];
      if (!old.contains(key_of(a_, w))) continue;
      const bool lone = unmatched(a_, w, out_.spaces.removed, out_.cases.removed);
      vanished.push_back({i, std::nullopt, lone ? Verdict::differs : Verdict::better, lone});
    }
    for (auto* list : {&appeared, &vanished, &changed}) {
      out_.warnings.insert(out_.warnings.end(), list->begin(), list->end());
    }
  }

  const Site &a_, &b_;
  const Assessment &before_, &after_;
  const CompareOptions& options_;
  std::vector<Pair<SpaceTag>> spaces_;
  std::vector<Pair<AirwayTag>> airways_;
  Comparison out_;
};

}  // namespace

Comparison compare(const Site& site_before, const Assessment& before, const Site& site_after, const Assessment& after,
                   const CompareOptions& options) {
  return Comparer{site_before, before, site_after, after, options}.run();
}

}  // namespace leanside
