// SPDX-License-Identifier: Apache-2.0
/// Whether more computed time could change a verdict, and what still rises at the end of a horizon that the file gives.
#include <algorithm>
#include <cmath>

#include "hazard/judge.hpp"
#include "hazard/watch.hpp"
#include "leanside/advanced/release.hpp"

namespace leanside {

std::string_view word_of(OpenQuestion kind) {
  switch (kind) {
    case OpenQuestion::release_off:
      return "release-off";
    case OpenQuestion::still_rising:
      return "still-rising";
    case OpenQuestion::layers_unsolved:
      return "layers-unsolved";
    case OpenQuestion::unknown_limits:
      break;
  }
  return "unknown-limits";
}

std::string_view word_of(RisingTo threshold) {
  switch (threshold) {
    case RisingTo::note:
      return "note";
    case RisingTo::warn:
      return "warn";
    case RisingTo::lfl:
      return "lfl";
    case RisingTo::idlh:
      return "idlh";
    case RisingTo::oxygen:
      return "oxygen";
    case RisingTo::pressure:
      break;
  }
  return "pressure";
}

bool calls_for_action(const Assessment& assessment) {
  const auto starves = [](const CaseResult& result) { return !result.starved.empty(); };
  return std::any_of(assessment.cases.begin(), assessment.cases.end(), starves) ||
         std::any_of(assessment.warnings.begin(), assessment.warnings.end(),
                     [](const Warning& w) { return w.severity != Severity::note; }) ||
         std::any_of(assessment.not_judged.begin(), assessment.not_judged.end(), [](const NotJudged& open) {
           return open.kind == OpenQuestion::release_off || open.kind == OpenQuestion::layers_unsolved ||
                  (open.kind == OpenQuestion::still_rising && open.threshold != RisingTo::note);
         });
}

namespace hazard {
namespace {

/// How near to the steady state counts as there, and what change over half the horizon counts as none where there is no
/// steady state.
constexpr double near_steady = 0.01;
constexpr double no_change = 1e-9;

/// One value of a space: at the end of the horizon, in the steady state, and from where on it matters.
struct Measure {
  double end = 0.0, steady = 0.0, least = 0.0;
  bool settled() const {
    return (end < least && steady < least) || std::abs(end - steady) <= near_steady * std::abs(steady);
  }
};

bool near_its_steady_state(const Site& site, const SpaceResult& space) {
  const Instant &end = space.end, &steady = space.steady.at;
  if (!Measure{end.lfl_fraction, steady.lfl_fraction, site.criteria.note_at}.settled()) return false;
  const double air = site.conditions.oxygen_in_air;
  const double lack = air - site.criteria.oxygen_low, excess = site.criteria.oxygen_high - air;
  if (!Measure{air - end.oxygen, air - steady.oxygen, lack}.settled()) return false;
  if (!Measure{end.oxygen - air, steady.oxygen - air, excess}.settled()) return false;
  return std::all_of(space.exposures.begin(), space.exposures.end(), [&](const Exposure& exposure) {
    const std::size_t k = exposure.gas.value;
    return Measure{end.fraction[k], steady.fraction[k], exposure.idlh}.settled();
  });
}

/// A space without a steady state: nothing moves any more, or its vessel is long burst.
bool stands_still(const Space& of, const SpaceResult& space) {
  if (of.rated_pressure ? space.pressure_rated.has_value() : space.pressure_200.has_value()) return true;
  for (std::size_t k = 0; k < space.halfway.size(); ++k) {
    if (std::abs(space.end.fraction[k] - space.halfway[k]) > no_change) return false;
  }
  return true;
}

bool is_past(const Site& site, const CaseResult& result, ReleaseIndex index) {
  const auto& events = site.cases[result.case_index.value].events;
  const Release& release = site.releases[index.value];
  const double horizon = site.criteria.horizon;
  const auto spans = emission(release, index, events);
  if (spans.empty()) return true;
  const EmissionSpan& last = spans.back();
  if (last.begin > horizon) return false;
  if (lasts(release) || last.end <= horizon) return true;
  if (index.value >= result.releases.size()) return false;
  // A reaction with a half time never quite ends; what is left of it no longer matters.
  const ReleaseTrace& trace = result.releases[index.value];
  return trace.spent || (!follows_vapour(release) && trace.amount >= (1.0 - near_steady) * total_amount(release));
}

std::optional<double> first_up(const SpaceResult& space, Threshold threshold) {
  std::optional<double> first;
  for (const Crossing& crossing : space.crossings) {
    if (crossing.threshold == threshold && (!first || crossing.up < *first)) first = crossing.up;
  }
  return first;
}

/// Collects what one space of a case still rises towards.
class Rising {
 public:
  Rising(const Site& site, CaseIndex case_index, SpaceIndex space, const SpaceResult& now, const SpaceResult* longer)
      : site_{site}, which_{case_index}, space_{space}, now_{now}, longer_{longer} {}

  void find(std::vector<NotJudged>& out) const {
    const Criteria& criteria = site_.criteria;
    const std::pair<Threshold, std::pair<RisingTo, double>> levels[] = {
        {Threshold::lfl, {RisingTo::lfl, 1.0}},
        {Threshold::warn, {RisingTo::warn, criteria.warn_at}},
        {Threshold::note, {RisingTo::note, criteria.note_at}}};
    for (const auto& [threshold, to] : levels) {
      if (first_up(now_, threshold)) continue;
      add(out, to.first, now_.end.lfl_fraction, longer_ != nullptr ? first_up(*longer_, threshold) : std::nullopt,
          now_.steady.reached && reached(now_.steady.at.lfl_fraction, to.second));
    }
    const Space& space = site_.spaces[space_.value];
    if (space.kind == SpaceKind::room || space.entered) find_of_breathing(out);
    const auto later = longer_ != nullptr ? over_pressure(space, *longer_) : std::nullopt;
    if (later && !over_pressure(space, now_)) add(out, RisingTo::pressure, now_.pressure, later, false);
  }

 private:
  void find_of_breathing(std::vector<NotJudged>& out) const {
    const Instant& at_rest = now_.breathed_steady ? *now_.breathed_steady : now_.steady.at;
    for (std::size_t e = 0; e < now_.exposures.size(); ++e) {
      const Exposure& exposure = now_.exposures[e];
      if (exposure.from) continue;
      const std::size_t k = exposure.gas.value;
      const bool steady = now_.steady.reached && reached(at_rest.fraction[k], exposure.idlh);
      if (add(out, RisingTo::idlh, now_.end.fraction[k], longer_ != nullptr ? longer_->exposures[e].from : std::nullopt,
              steady)) {
        out.back().gas = exposure.gas;
      }
    }
    if (now_.oxygen_left_criteria) return;
    const double low = site_.criteria.oxygen_low, high = site_.criteria.oxygen_high;
    const double steady = at_rest.oxygen;
    add(out, RisingTo::oxygen, now_.end.oxygen, longer_ != nullptr ? longer_->oxygen_left_criteria : std::nullopt,
        now_.steady.reached && (steady < low * (1.0 - near_round_off) || steady > high * (1.0 + near_round_off)));
  }

  bool add(std::vector<NotJudged>& out, RisingTo threshold, double value, std::optional<double> time,
           bool in_steady_state) const {
    if (!time && !in_steady_state) return false;
    NotJudged rising{OpenQuestion::still_rising};
    rising.space = space_;
    rising.case_index = which_;
    rising.threshold = threshold;
    rising.value = value;
    rising.time = time;
    out.push_back(rising);
    return true;
  }

  static constexpr double near_round_off = 1e-9;
  const Site& site_;
  CaseIndex which_;
  SpaceIndex space_;
  const SpaceResult& now_;
  const SpaceResult* longer_;
};

}  // namespace

bool is_settled(const Site& site, const CaseResult& result) {
  const double horizon = site.criteria.horizon;
  for (const Event& event : site.cases[result.case_index.value].events) {
    if (event.at > horizon) return false;
  }
  for (std::size_t r = 0; r < site.releases.size(); ++r) {
    if (!is_past(site, result, ReleaseIndex{r})) return false;
  }
  for (std::size_t i = 0; i < result.spaces.size(); ++i) {
    const SpaceResult& space = result.spaces[i];
    if (space.steady.reached ? !near_its_steady_state(site, space) : !stands_still(site.spaces[i], space)) return false;
  }
  return true;
}

std::vector<NotJudged> still_rising(const Site& site, const CaseResult& result, const CaseResult* longer) {
  std::vector<NotJudged> out;
  for (std::size_t i = 0; i < result.spaces.size(); ++i) {
    const SpaceResult* further = longer != nullptr ? &longer->spaces[i] : nullptr;
    Rising(site, result.case_index, SpaceIndex{i}, result.spaces[i], further).find(out);
  }
  return out;
}

}  // namespace hazard
}  // namespace leanside
