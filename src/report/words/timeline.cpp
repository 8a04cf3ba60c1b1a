// SPDX-License-Identifier: Apache-2.0
#include "report/words/timeline.hpp"

#include <algorithm>
#include <cmath>
#include <map>

#include "leanside/advanced/release.hpp"
#include "leanside/report.hpp"
#include "report/words/words.hpp"

namespace leanside::report {
namespace {

/// A to the last letter, then double letters.
std::string letter_of(std::size_t n) {
  const std::string one(1, static_cast<char>('a' + n % 26));
  return n < 26 ? one : letter_of(n / 26 - 1) + one;
}

std::string quoted(const std::string& text) { return "\"" + text + "\""; }

std::string way_words(const Site& site, AirwayIndex index) {
  const Airway& airway = site.airways[index.value];
  const bool fan = std::holds_alternative<Fan>(airway.kind);
  return (fan ? "the fan " : "") + quoted(plain_text(airway.id));
}

bool is_not_of_a_release(const Event& event) { return !std::holds_alternative<SetReleaseOn>(event.change); }

/// What is done to the site, by time; things done at one time are told together.
class Doings {
 public:
  void add(double time, std::string words) {
    std::string& there = by_time_[time];
    there += (there.empty() ? "" : "; ") + std::move(words);
  }
  void put(std::vector<Step>& steps) const {
    std::size_t n = 0;
    for (const auto& [time, words] : by_time_) steps.push_back({time, words, letter_of(n++), {}});
  }

 private:
  std::map<double, std::string> by_time_;
};

void add_sources(const Site& site, const CaseResult& result, const Warning& warning, Doings& doings) {
  const double horizon = site.criteria.horizon;
  for (const Cause& cause : warning.causes) {
    if (!cause.release) continue;
    const Release& release = site.releases[cause.release->value];
    for (const EmissionSpan& span : emission(release, *cause.release, site.cases[result.case_index.value].events)) {
      if (span.begin > horizon) break;
      doings.add(span.begin, "gas starts to come from " + source_words(site, cause));
      if (span.end <= horizon) doings.add(span.end, "no more gas comes from " + quoted(label(site, *cause.release)));
    }
  }
}

std::string up_words(const Site& site, Threshold threshold) {
  switch (threshold) {
    case Threshold::note:
      return "passes " + percent(site.criteria.note_at) + " of the lower limit, worth a note";
    case Threshold::warn:
      return "passes the margin of " + percent(site.criteria.warn_at) + " of the lower limit";
    case Threshold::lfl:
      return "reaches the lower flammable limit";
    case Threshold::ufl:
      return "passes the upper limit: too rich to burn, but not safe";
    case Threshold::stoichiometric:
      break;
  }
  return {};
}

std::string down_words(const Site& site, Threshold threshold) {
  switch (threshold) {
    case Threshold::note:
      return "falls below " + percent(site.criteria.note_at) + " of the lower limit";
    case Threshold::warn:
      return "falls below the margin of " + percent(site.criteria.warn_at);
    case Threshold::lfl:
      return "falls below the lower flammable limit";
    case Threshold::ufl:
      return "falls below the upper limit, back into the flammable range";
    case Threshold::stoichiometric:
      break;
  }
  return {};
}

std::optional<double> level_of(const Site& site, Threshold threshold) {
  if (threshold == Threshold::note) return site.criteria.note_at;
  if (threshold == Threshold::warn) return site.criteria.warn_at;
  if (threshold == Threshold::lfl) return 1.0;
  return {};
}

void add_passages(const Site& site, const SpaceResult& space, std::vector<Step>& steps) {
  for (const Crossing& crossing : space.crossings) {
    if (crossing.threshold == Threshold::stoichiometric) continue;
    const auto level = level_of(site, crossing.threshold);
    if (crossing.up > 0.0) steps.push_back({crossing.up, up_words(site, crossing.threshold), "", level});
    if (crossing.down) steps.push_back({*crossing.down, down_words(site, crossing.threshold), "", level});
  }
  if (space.flammable_from) steps.push_back({*space.flammable_from, "can be ignited from here on", "", {}});
  if (space.oxygen_left_criteria) {
    steps.push_back({*space.oxygen_left_criteria,
                     "the oxygen leaves the range of " + percent(site.criteria.oxygen_low) + " to " +
                         percent(site.criteria.oxygen_high),
                     "",
                     {}});
  }
  if (space.pressure_rated) steps.push_back({*space.pressure_rated, "the pressure reaches the rating", "", {}});
  if (space.pressure_110) steps.push_back({*space.pressure_110, "the pressure has gained 10 %", "", {}});
}

std::string of_limit(const Site& site, double value) {
  return percent_of_limit(value, site.criteria) + " of the lower limit";
}

void add_worst(const Site& site, const SpaceResult& space, std::vector<Step>& steps) {
  const double horizon = site.criteria.horizon;
  const bool peak_at_end = space.peak.time >= space.end.time * (1.0 - 1e-9);
  if (space.peak.lfl_fraction > 0.0 && !peak_at_end) {
    steps.push_back({space.peak.time, "the highest of this run: " + of_limit(site, space.peak.lfl_fraction), "",
                     space.peak.lfl_fraction});
  }
  if (space.end.time > 0.0) {
    steps.push_back({horizon,
                     "the run ends at " + of_limit(site, space.end.lfl_fraction) +
                         (peak_at_end && space.peak.lfl_fraction > 0.0 ? ", its highest" : ""),
                     "", space.end.lfl_fraction});
  }
  if (space.steady.reached) {
    steps.push_back({{}, "in steady state it is at " + of_limit(site, space.steady.at.lfl_fraction), "", {}});
  } else {
    steps.push_back({{}, "there is no steady state: " + plain_text(space.steady.reason), "", {}});
  }
}

}  // namespace

std::string event_words(const Site& site, const Event& event) {
  struct Words {
    const Site& site;
    std::string operator()(const SetAirwayOn& set) const {
      const bool fan = std::holds_alternative<Fan>(site.airways[set.airway.value].kind);
      const std::string what = fan ? (set.on ? "switched on" : "switched off") : (set.on ? "opened" : "shut");
      return way_words(site, set.airway) + " is " + what;
    }
    std::string operator()(const SetAirwayFlow& set) const {
      return way_words(site, set.airway) + " carries " + hourly(site, set.flow) + " from here on";
    }
    std::string operator()(const SetReleaseOn& set) const {
      return quoted(label(site, set.release)) + (set.on ? " is turned on" : " is turned off");
    }
    std::string operator()(const SetAirwayOpen& set) const {
      return way_words(site, set.airway) + " stands " + percent(set.open) + " open";
    }
    std::string operator()(const SetAirwayKind& set) const {
      return way_words(site, set.airway) + " changes: " + plain_text(set.as_written);
    }
    std::string operator()(const SetSystem& set) const {
      const std::string what = "the system " + label(site, set.system);
      if (set.on) return what + (*set.on ? " starts" : " stops");
      if (set.flow_factor) return what + " moves " + percent(*set.flow_factor) + " of its flows from here on";
      return what + " takes " + percent(set.recirculation.value_or(0.0)) +
             " of its supply from return air from here on";
    }
    std::string operator()(const SetSpaceTemperature& set) const {
      return label(site, set.space) + " has " + format_quantity(set.temperature, "degC", 3, site.conditions.units) +
             " from here on";
    }
  };
  return std::visit(Words{site}, event.change);
}

Timeline timeline(const Site& site, const CaseResult& result, const Warning& warning, std::size_t most) {
  const SpaceResult& space = result.spaces[warning.space.value];
  Doings doings;
  for (const Event& event : site.cases[result.case_index.value].events) {
    if (is_not_of_a_release(event) && !event.follows && event.at <= site.criteria.horizon)
      doings.add(event.at, event_words(site, event));
  }
  add_sources(site, result, warning, doings);
  Timeline out;
  std::vector<Step>& steps = out.steps;
  doings.put(steps);
  add_passages(site, space, steps);
  add_worst(site, space, steps);
  std::stable_sort(steps.begin(), steps.end(),
                   [](const Step& a, const Step& b) { return a.time.value_or(HUGE_VAL) < b.time.value_or(HUGE_VAL); });
  if (steps.size() > most) {
    // The end of the story stays.
    out.left_out = steps.size() - most;
    const auto from = steps.end() - 2 - static_cast<std::ptrdiff_t>(out.left_out);
    steps.erase(from, steps.end() - 2);
  }
  return out;
}

}  // namespace leanside::report
