// SPDX-License-Identifier: Apache-2.0
#include "report/words/timeline.hpp"

#include <algorithm>
#include <cmath>
#include <map>

#include "leanside/advanced/release.hpp"
#include "leanside/report.hpp"
#include "report/words/page_words.hpp"
#include "report/words/words.hpp"

namespace leanside::report {
namespace {

/// A to the last letter, then double letters.
std::string letter_of(std::size_t n) {
  const std::string one(1, static_cast<char>('a' + n % 26));
  return n < 26 ? one : letter_of(n / 26 - 1) + one;
}

std::string quoted(const std::string& text) { return "\"" + text + "\""; }

std::string way_words(Told site, AirwayIndex index, const PageWords& w) {
  const Airway& airway = site->airways[index.value];
  const std::string name = quoted(plain_text(airway.id));
  return std::holds_alternative<Fan>(airway.kind) ? said(w.step_fan, name) : name;
}

bool is_not_of_a_release(const Event& event) { return !std::holds_alternative<SetReleaseOn>(event.change); }

/// What is done to the site, by time; things done at one time are listed together.
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

void add_sources(Told site, const CaseResult& result, const Warning& warning, Doings& doings, const PageWords& w) {
  const double horizon = site->criteria.horizon;
  for (const Cause& cause : warning.causes) {
    if (!cause.release) continue;
    const Release& release = site->releases[cause.release->value];
    for (const EmissionSpan& span : emission(release, *cause.release, site->cases[result.case_index.value].events)) {
      if (span.begin > horizon) break;
      doings.add(span.begin, said(w.step_gas_starts, source_words(site, cause)));
      if (span.end <= horizon) doings.add(span.end, said(w.step_gas_ends, quoted(label(site, *cause.release))));
    }
  }
}

std::string up_words(Told site, Threshold threshold, const PageWords& w) {
  switch (threshold) {
    case Threshold::note:
      return said(w.step_note_up, percent(site->criteria.note_at));
    case Threshold::warn:
      return said(w.step_margin_up, percent(site->criteria.warn_at));
    case Threshold::lfl:
      return std::string{w.step_lower_up};
    case Threshold::ufl:
      return std::string{w.step_upper_up};
    case Threshold::stoichiometric:
      break;
  }
  return {};
}

std::string down_words(Told site, Threshold threshold, const PageWords& w) {
  switch (threshold) {
    case Threshold::note:
      return said(w.step_note_down, percent(site->criteria.note_at));
    case Threshold::warn:
      return said(w.step_margin_down, percent(site->criteria.warn_at));
    case Threshold::lfl:
      return std::string{w.step_lower_down};
    case Threshold::ufl:
      return std::string{w.step_upper_down};
    case Threshold::stoichiometric:
      break;
  }
  return {};
}

std::optional<double> level_of(Told site, Threshold threshold) {
  if (threshold == Threshold::note) return site->criteria.note_at;
  if (threshold == Threshold::warn) return site->criteria.warn_at;
  if (threshold == Threshold::lfl) return 1.0;
  return {};
}

void add_pressure(const SpaceResult& space, std::vector<Step>& steps, const PageWords& w) {
  for (const auto& [time, words] :
       {std::pair{space.pressure_rated, w.step_rating}, std::pair{space.pressure_110, w.step_tenth}}) {
    if (time) steps.push_back({*time, std::string{words}, "", {}});
  }
}

void add_passages(Told site, const SpaceResult& space, std::vector<Step>& steps, const PageWords& w) {
  for (const Crossing& crossing : space.crossings) {
    if (crossing.threshold == Threshold::stoichiometric) continue;
    const auto level = level_of(site, crossing.threshold);
    if (crossing.up > 0.0) steps.push_back({crossing.up, up_words(site, crossing.threshold, w), "", level});
    if (crossing.down) steps.push_back({*crossing.down, down_words(site, crossing.threshold, w), "", level});
  }
  const auto add = [&](const std::optional<double>& time, std::string words) {
    if (time) steps.push_back({*time, std::move(words), "", {}});
  };
  // Nothing new where the lower limit is reached at that instant.
  const bool said_already =
      space.flammable_from && std::any_of(space.crossings.begin(), space.crossings.end(), [&](const Crossing& one) {
        return one.threshold == Threshold::lfl && one.up > 0.0 && std::abs(one.up - *space.flammable_from) < 1.0;
      });
  if (!said_already) add(space.flammable_from, std::string{w.step_ignitable});
  add(space.oxygen_left_criteria,
      said(w.step_oxygen, percent(site->criteria.oxygen_low), percent(site->criteria.oxygen_high)));
  add_pressure(space, steps, w);
}

std::string of_limit(Told site, double value, const PageWords& w) {
  return said(w.of_lower_limit, percent_of_limit(site, value));
}

void add_end(Told site, const SpaceResult& space, std::vector<Step>& steps, const std::string& at_end,
             const std::string& in_steady_state, const PageWords& w) {
  if (space.end.time > 0.0) steps.push_back({site->criteria.horizon, at_end, "", {}});
  steps.push_back({{},
                   space.steady.reached ? said(w.step_steady, in_steady_state)
                                        : said(w.step_no_steady, plain_text(space.steady.reason)),
                   "",
                   {}});
}

/// Of a finding on oxygen the steps are those of the oxygen.
void add_oxygen(Told site, const SpaceResult& space, std::vector<Step>& steps, const PageWords& w) {
  const auto words = [&](double oxygen) { return said(w.oxygen_value, percent_of_oxygen(site, oxygen)); };
  if (space.oxygen_left_criteria)
    steps.push_back({*space.oxygen_left_criteria,
                     said(w.step_oxygen, percent(site->criteria.oxygen_low), percent(site->criteria.oxygen_high)),
                     "",
                     {}});
  const bool low = space.lowest_oxygen < site->criteria.oxygen_low;
  const double worst = low ? space.lowest_oxygen : space.highest_oxygen;
  if (space.worst_oxygen_time > 0.0 && space.worst_oxygen_time < space.end.time * (1.0 - 1e-9)) {
    steps.push_back({space.worst_oxygen_time, said(low ? w.step_lowest : w.step_highest, words(worst)), "", {}});
  }
  add_end(site, space, steps, said(w.step_end, words(space.end.oxygen)), words(space.steady.at.oxygen), w);
}

void add_worst(Told site, const SpaceResult& space, std::vector<Step>& steps, const PageWords& w) {
  const double horizon = site->criteria.horizon;
  const bool peak_at_end = space.peak.time >= space.end.time * (1.0 - 1e-9);
  if (space.peak.lfl_fraction > 0.0 && !peak_at_end) {
    steps.push_back({space.peak.time, said(w.step_highest, of_limit(site, space.peak.lfl_fraction, w)), "",
                     space.peak.lfl_fraction});
  }
  if (space.end.time > 0.0) {
    const bool highest = peak_at_end && space.peak.lfl_fraction > 0.0;
    steps.push_back({horizon,
                     said(highest ? w.step_end_highest : w.step_end, of_limit(site, space.end.lfl_fraction, w)), "",
                     space.end.lfl_fraction});
  }
  if (space.steady.reached) {
    steps.push_back({{}, said(w.step_steady, of_limit(site, space.steady.at.lfl_fraction, w)), "", {}});
  } else {
    steps.push_back({{}, said(w.step_no_steady, plain_text(space.steady.reason)), "", {}});
  }
}

}  // namespace

std::string event_words(Told site, const Event& event, const PageWords& words) {
  struct Words {
    Told site;
    const PageWords& w;
    std::string operator()(const SetAirwayOn& set) const {
      const bool fan = std::holds_alternative<Fan>(site->airways[set.airway.value].kind);
      const std::string_view what =
          fan ? (set.on ? w.step_switched_on : w.step_switched_off) : (set.on ? w.step_opened : w.step_shut);
      return said(what, way_words(site, set.airway, w));
    }
    std::string operator()(const SetAirwayFlow& set) const {
      return said(w.step_carries, way_words(site, set.airway, w), hourly(site, set.flow));
    }
    std::string operator()(const SetReleaseOn& set) const {
      return said(set.on ? w.step_turned_on : w.step_turned_off, quoted(label(site, set.release)));
    }
    std::string operator()(const SetAirwayOpen& set) const {
      return said(w.step_stands_open, way_words(site, set.airway, w), percent(set.open));
    }
    std::string operator()(const SetAirwayKind& set) const {
      return said(w.step_changes, way_words(site, set.airway, w), plain_text(set.as_written));
    }
    std::string operator()(const SetSystem& set) const {
      const std::string name = label(site, set.system);
      if (set.on) return said(*set.on ? w.step_system_starts : w.step_system_stops, name);
      if (set.flow_factor) return said(w.step_system_moves, name, percent(*set.flow_factor));
      return said(w.step_system_returns, name, percent(set.recirculation.value_or(0.0)));
    }
    std::string operator()(const SetSpaceTemperature& set) const {
      return said(w.step_temperature, label(site, set.space),
                  format_quantity(set.temperature, "degC", 3, site->conditions.units));
    }
  };
  return std::visit(Words{site, words}, event.change);
}

Timeline timeline(Told site, const CaseResult& result, const Warning& warning, std::size_t most,
                  const PageWords& words) {
  const SpaceResult& space = result.spaces[warning.space.value];
  Doings doings;
  for (const Event& event : site->cases[result.case_index.value].events) {
    if (is_not_of_a_release(event) && !event.follows && event.at <= site->criteria.horizon)
      doings.add(event.at, event_words(site, event, words));
  }
  add_sources(site, result, warning, doings, words);
  Timeline out;
  std::vector<Step>& steps = out.steps;
  doings.put(steps);
  const Subject subject = subject_of(warning);
  if (subject == Subject::oxygen) {
    add_oxygen(site, space, steps, words);
  } else if (subject == Subject::pressure) {
    add_pressure(space, steps, words);
  } else {
    add_passages(site, space, steps, words);
    add_worst(site, space, steps, words);
  }
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
