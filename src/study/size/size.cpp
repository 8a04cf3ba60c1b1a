// SPDX-License-Identifier: Apache-2.0
/// Sizing of fans and openings: a common factor of all of them first, found by Newton's method on the reciprocal of the
/// binding value (for plain dilution that is a straight line), its slope from the adjoint, kept between bounds; then
/// each fan by itself as low as it goes. What comes out is rounded to a practical step and assessed in full. What then
/// remains is sought in the events that set the same fans.
#include "leanside/study/size.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

#include "study/size/size_assumptions.hpp"
#include "study/size/size_check.hpp"
#include "study/size/size_events.hpp"
#include "study/size/size_influences.hpp"
#include "study/size/size_release.hpp"
#include "study/size/size_search.hpp"
#include "study/size/size_settings.hpp"

namespace leanside {

std::string_view word_of(Obstacle obstacle) {
  switch (obstacle) {
    case Obstacle::event:
      return "event";
    case Obstacle::too_much_air:
      return "too_much_air";
    case Obstacle::out_of_reach:
      break;
  }
  return "out_of_reach";
}

namespace {

using study::Checked;
using study::FanEvent;
using study::FlowAnswer;
using study::FlowTask;
using study::key_of;
using study::Knob;
using study::WarningKeys;
using study::with_flows;

constexpr std::size_t most_in_time = 3000;    ///< spaces times cases: a search in time takes some fifty runs
constexpr std::size_t most_lowering = 60000;  ///< fans times spaces times cases: each fan takes some ten runs
constexpr double far_too_much = 1024.0;       ///< times what is sensible: shows whether any amount of air would help
constexpr double for_ever = std::numeric_limits<double>::infinity();

class AirSizer {
 public:
  AirSizer(const Site& site, const SizeOptions& options, study::SizeCheck& check, Sizing& out)
      : site_{site}, options_{options}, check_{check}, out_{out} {
    airways_ = options.fans;
    airways_.insert(airways_.end(), options.openings.begin(), options.openings.end());
    if (airways_.empty()) airways_ = study::fans_of(site);
    if (airways_.empty()) airways_ = study::openings_of(site);
    for (const AirwayIndex airway : airways_) {
      now_.push_back(study::size_of(site.airways[airway.value]));
      constexpr double per_m3_s = 3600.0, per_m2 = 1e4;  // m3/h, cm2
      const bool fan = study::is_fan(site, airway);
      grains_.push_back({fan ? options.step : options.area_step, fan ? per_m3_s : per_m2});
    }
    flows_ = now_;
    put_flows(now_);
  }

  void run(const Checked& as_it_is) {
    if (airways_.empty()) {
      for (const Constraint& c : as_it_is.over) out_.remaining.push_back({c, Obstacle::out_of_reach});
      return fail(
          "the normal case has no running fan of given flow and no gap, louvre or window, so there is nothing to size; "
          "leanside check says what helps");
    }
    verified_ = as_it_is;
    if (as_it_is.over.empty() && !options_.may_lower) return conclude(as_it_is);
    caps_ = study::most_sensible(site_, airways_);
    for (std::size_t k = 0; k < airways_.size(); ++k) {
      const double most = std::isfinite(caps_[k]) ? caps_[k] : far_too_much * flows_[k];
      caps_[k] = std::max(now_[k], study::printable_down(most, grains_[k]));
    }
    if (!size_base(as_it_is)) return;
    size_events();
    conclude(as_it_is);
  }

 private:
  Site with(const std::vector<double>& flows) const { return with_flows(site_, airways_, flows); }

  void fail(std::string reason) {
    out_.found = false;
    out_.reason = std::move(reason);
  }

  /// The flows of the file itself. False where that has failed; it is then told.
  bool size_base(const Checked& as_it_is) {
    most_ = check_(with(caps_), true);
    if (!most_.fault.empty()) {  // fans that share a duct may only rise together
      double together = far_too_much;
      for (std::size_t k = 0; k < airways_.size(); ++k) together = std::min(together, caps_[k] / flows_[k]);
      for (std::size_t k = 0; k < airways_.size(); ++k) caps_[k] = together * flows_[k];
      most_ = check_(with(caps_), true);
    }
    if (!most_.fault.empty()) {
      for (const Constraint& c : as_it_is.over) out_.remaining.push_back({c, Obstacle::out_of_reach});
      fail(most_.fault);
      return false;
    }
    FlowTask task;
    for (std::size_t k = 0; k < airways_.size(); ++k) {
      task.knobs.push_back({options_.may_lower ? 0.0 : flows_[k], caps_[k], flows_[k], grains_[k]});
    }
    task.check = [&](const std::vector<double>& flows, bool in_time) { return check_(with(flows), in_time); };
    task.slope = [&](const std::vector<double>& flows, const Constraint& on) { return slope(flows, on); };
    task.as_it_is = as_it_is;
    task.left_out = study::common(study::keys_of(as_it_is.over), study::keys_of(most_.over));
    task.warn_at = site_.criteria.warn_at;
    task.in_time = out_.in_time;
    task.may_lower = options_.may_lower;
    if (as_it_is.holds(task.left_out) && !options_.may_lower) return true;  // no base flow cures anything
    FlowAnswer answer = study::least_flows(
        task, [&](const std::vector<double>& flows, const Checked& found) { return order(flows, found); });
    if (!answer.found) {
      const std::string& fault = answer.verified.fault;
      fail(fault.empty() ? "more air ends some warnings but brings others, at every setting tried"
                         : "rounded, the flows cannot be balanced: " + fault);
      out_.remaining = classified(most_.over.empty() ? as_it_is.over : most_.over, {});
      if (!most_.over.empty()) flows_ = caps_;
      put_flows(flows_);
      return false;
    }
    out_.factor = answer.factor;
    out_.lowered_one_by_one = answer.lowered_one_by_one;
    flows_ = answer.flows;
    put_flows(answer.least);
    verified_ = std::move(answer.verified);
    return true;
  }

  void put_flows(const std::vector<double>& least) {
    out_.fans.clear();
    out_.openings.clear();
    for (std::size_t k = 0; k < airways_.size(); ++k) {
      if (study::is_fan(site_, airways_[k])) {
        out_.fans.push_back({airways_[k], now_[k], least[k], flows_[k]});
      } else {
        out_.openings.push_back({airways_[k], now_[k], least[k], flows_[k]});
      }
    }
  }

  /// d value / d ln(factor) of the binding constraint by the adjoint; empty where there is none.
  std::optional<double> slope(const std::vector<double>& flows, const Constraint& on) const {
    const Site site = with(flows);
    const auto found = derivatives(site, on.case_index, on.space);
    const auto* given = std::get_if<std::optional<Derivatives>>(&found);
    if (given == nullptr || !*given) return std::nullopt;
    const SiteState state = state_at(site, on.case_index, for_ever);
    double sum = 0.0;
    for (std::size_t k = 0; k < airways_.size(); ++k) {
      const std::size_t fan = airways_[k].value;
      const bool free = state.airway_flow[fan] == flows[k] && flows[k] < caps_[k];  // no event sets it
      if (state.airway_on[fan] && free) sum += (*given)->by_flow[fan] * flows[k];
    }
    return sum;
  }

  /// In which order the fans are lowered one by one: those that matter least to the binding space first.
  std::vector<std::size_t> order(const std::vector<double>& flows, const Checked& found_there) {
    if (airways_.size() < 2 || airways_.size() * site_.spaces.size() * site_.cases.size() > most_lowering) return {};
    const Site common = with(flows);
    std::vector<double> influence(airways_.size(), 0.0);
    if (!found_there.nearest.empty()) {
      const Constraint& binding = found_there.nearest.front();
      const auto found = derivatives(common, binding.case_index, binding.space);
      if (const auto* given = std::get_if<std::optional<Derivatives>>(&found); given != nullptr && *given) {
        for (std::size_t k = 0; k < airways_.size(); ++k) influence[k] = (*given)->by_flow[airways_[k].value];
      }
    }
    std::vector<std::size_t> places(airways_.size());
    for (std::size_t k = 0; k < places.size(); ++k) places[k] = k;
    // Most positive first: more of it makes the binding space worse.
    std::stable_sort(places.begin(), places.end(),
                     [&](std::size_t a, std::size_t b) { return influence[a] > influence[b]; });
    return places;
  }

  /// What the events that set these fans would have to set, for what is still there with the base flows.
  void size_events() {
    if (verified_.over.empty()) return;
    const Site base = with(flows_);
    FlowTask task;
    for (FanEvent& event : study::fan_events(site_, airways_, verified_.over)) {
      if (event.switches_off) {
        switches_.push_back(std::move(event));
        continue;
      }
      const auto k =
          static_cast<std::size_t>(std::find(airways_.begin(), airways_.end(), event.fan) - airways_.begin());
      task.knobs.push_back({event.now, std::max(event.now, caps_[k]), flows_[k], grains_[k]});
      events_.push_back(std::move(event));
    }
    if (events_.empty()) return;
    task.check = [&](const std::vector<double>& flows, bool in_time) {
      return check_(study::with_event_flows(base, events_, flows), in_time);
    };
    std::vector<double> caps;
    for (const Knob& knob : task.knobs) caps.push_back(knob.cap);
    const Checked most = task.check(caps, true);
    if (!most.fault.empty()) return;
    const WarningKeys there = study::keys_of(verified_.over);
    task.left_out = study::common(there, study::keys_of(most.over));
    if (task.left_out == there) return;
    task.in_time = out_.in_time;
    task.accuracy = 1e-4;
    FlowAnswer answer = study::least_flows(task, [&](const std::vector<double>&, const Checked&) {
      std::vector<std::size_t> places;
      for (std::size_t k = 0; events_.size() > 1 && k < events_.size(); ++k) places.push_back(k);
      return places;
    });
    if (!answer.found) return;
    event_flows_ = answer.flows;
    with_events_ = std::move(answer.verified);
  }

  /// Why each of these warnings is still there; `cured` by other flows in events.
  std::vector<Remaining> classified(const std::vector<Constraint>& over, const WarningKeys& cured) {
    std::vector<Remaining> out;
    bool any_left = false;
    for (const Constraint& c : over) {
      const bool event = cured.contains(key_of(c));
      out.push_back({c, event ? Obstacle::event : Obstacle::out_of_reach});
      any_left = any_left || !event;
    }
    if (!any_left) return out;
    std::vector<double> flows;
    for (const double cap : caps_) flows.push_back(far_too_much * cap);
    Site windy = with(flows);
    for (const FanEvent& event : events_) {
      if (!event.switches_off)
        study::set_events(windy, event.places, far_too_much * std::max(event.now, caps_.front()));
    }
    const Checked storm = check_(windy, true);
    const WarningKeys still = study::keys_of(storm.over);
    for (Remaining& r : out) {
      const bool helps = storm.fault.empty() && r.why == Obstacle::out_of_reach && !still.contains(key_of(r.warning));
      if (helps) r.why = Obstacle::too_much_air;
    }
    return out;
  }

  void put_events() {
    for (std::size_t k = 0; k < events_.size(); ++k) {
      EventSize event = study::event_size(events_[k]);
      const bool raised = !event_flows_.empty() && event_flows_[k] > events_[k].now * (1.0 + 1e-12);
      if (raised) event.flow = event_flows_[k];
      if (raised || event_flows_.empty()) out_.events.push_back(std::move(event));
    }
    for (const FanEvent& event : switches_) {
      const EventSize told = study::event_size(event);
      const bool matters = std::any_of(out_.remaining.begin(), out_.remaining.end(), [&](const Remaining& r) {
        return r.why != Obstacle::event &&
               std::find(told.cases.begin(), told.cases.end(), r.warning.case_index) != told.cases.end();
      });
      if (matters) out_.events.push_back(told);
    }
  }

  /// What remains for good, with the values that it has there.
  void take_values(const Checked& checked) {
    for (Remaining& r : out_.remaining) {
      const auto same = std::find_if(checked.over.begin(), checked.over.end(),
                                     [&](const Constraint& c) { return key_of(c) == key_of(r.warning); });
      if (r.why != Obstacle::event && same != checked.over.end()) r.warning = *same;
    }
  }

  void conclude(const Checked& as_it_is) {
    const Checked& last = with_events_ ? *with_events_ : verified_;
    WarningKeys cured = study::keys_of(verified_.over);
    for (const auto& key : study::keys_of(last.over)) cured.erase(key);
    out_.remaining = classified(verified_.over, cured);
    take_values(last);
    put_events();
    for (const Constraint& c : last.local) out_.remaining.push_back({c, Obstacle::out_of_reach});
    out_.binding.assign(last.nearest.begin(),
                        last.nearest.begin() + std::min<std::ptrdiff_t>(5, std::ssize(last.nearest)));
    const WarningKeys still = study::keys_of(last.over);
    out_.found = as_it_is.over.empty() || std::any_of(as_it_is.over.begin(), as_it_is.over.end(),
                                                      [&](const Constraint& c) { return !still.contains(key_of(c)); });
    if (out_.found) return;
    fail(study::nothing_cured(out_));
    take_values(most_);
    flows_ = caps_;
    put_flows(flows_);
  }

  const Site& site_;
  const SizeOptions& options_;
  study::SizeCheck& check_;
  Sizing& out_;
  std::vector<AirwayIndex> airways_;
  std::vector<double> now_, flows_, caps_;  ///< m3/s or m2, by place in airways_
  std::vector<study::Grain> grains_;
  Checked verified_, most_;  ///< with the base flows, and with the caps
  std::vector<FanEvent> events_, switches_;
  std::vector<double> event_flows_;  ///< m3/s, by place in events_; empty: none would help
  std::optional<Checked> with_events_;
};

/// What can be ignited close to a release remains, whatever the fans do.
void name_local(const Checked& as_it_is, Sizing& out) {
  for (const Constraint& c : as_it_is.local) {
    const bool named = std::any_of(out.remaining.begin(), out.remaining.end(),
                                   [&](const Remaining& r) { return key_of(r.warning) == key_of(c); });
    if (!named) out.remaining.push_back({c, Obstacle::out_of_reach});
  }
}

}  // namespace

Result<Sizing> size_site(const Site& given, const SizeOptions& options) {
  const Site site = without_added_cases(given);
  Sizing out;
  out.in_time = site.spaces.size() * site.cases.size() <= most_in_time;
  out.of_release = options.release.has_value();
  out.release = options.release;
  AssessOptions assess_options;
  assess_options.explain = false;
  const auto now = assess(study::until_settled(site), assess_options);
  if (const auto* fault = std::get_if<Fault>(&now)) return *fault;
  const auto& assessment = std::get<Assessment>(now);
  const Checked as_it_is = study::checked(site, assessment);
  out.before = as_it_is.over;
  out.before.insert(out.before.end(), as_it_is.local.begin(), as_it_is.local.end());
  for (const NotJudged& open : assessment.not_judged) {
    if (open.kind == OpenQuestion::release_off && open.release != options.release) out.untried.push_back(*open.release);
  }
  study::find_influences(site, out);
  study::SizeCheck check{assessment.horizon};
  if (options.release) {
    study::size_release(site, *options.release, check, out);
  } else {
    AirSizer{site, options, check, out}.run(as_it_is);
  }
  if (!out.found) name_local(as_it_is, out);
  out.runs = check.runs() + 1;
  out.assumptions = study::assumptions_of(out, assessment);
  return out;
}

}  // namespace leanside
