// SPDX-License-Identifier: Apache-2.0
/// Sizing of fans: a common factor of all of them first, found by Newton's method on the reciprocal of the binding
/// value (for plain dilution that is a straight line), its slope from the adjoint, kept between bounds; then each fan
/// by itself as low as it goes. What comes out is rounded to a practical step and assessed in full. What then remains
/// is sought in the events that set the same fans.
#include "leanside/study/size.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

#include "leanside/study/failures.hpp"
#include "study/size/size_assumptions.hpp"
#include "study/size/size_check.hpp"
#include "study/size/size_events.hpp"
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

/// Fans that can be sized: without a curve, running at some time of the normal case, with a flow.
std::vector<AirwayIndex> fans_of(const Site& site) {
  std::vector<AirwayIndex> out;
  for (const Failure& failure : taken_apart(site, list_failures(site))) {
    if (failure.kind != FailureKind::fan_off) continue;
    // Return air is no fresh air.
    const auto returns = [&](const System& system) { return system.return_fan == failure.airway; };
    if (std::any_of(site.systems.begin(), site.systems.end(), returns)) continue;
    const auto& fan = std::get<Fan>(site.airways[failure.airway->value].kind);
    if (fan.curve.empty() && fan.flow > 0.0) out.push_back(*failure.airway);
  }
  return out;
}

/// Six figures in m3/h, as flows are printed, rounded down.
double printable_below(double flow) {
  if (!(flow > 0.0) || !std::isfinite(flow)) return flow;
  const double unit = std::pow(10.0, std::floor(std::log10(3600.0 * flow)) - 5.0);
  return std::floor(3600.0 * flow / unit * (1.0 + 1e-12)) * unit / 3600.0;
}

class FanSizer {
 public:
  FanSizer(const Site& site, const SizeOptions& options, study::SizeCheck& check, Sizing& out)
      : site_{site}, options_{options}, check_{check}, out_{out} {
    fans_ = options.fans.empty() ? fans_of(site) : options.fans;
    for (const AirwayIndex fan : fans_) {
      const double now = std::get<Fan>(site.airways[fan.value].kind).flow;
      out_.fans.push_back({fan, now, now, now});
      flows_.push_back(now);
    }
  }

  void run(const Checked& as_it_is) {
    if (fans_.empty()) {
      for (const Constraint& c : as_it_is.over) out_.remaining.push_back({c, Obstacle::out_of_reach});
      return fail(
          "the normal case has no running fan of given flow, so there is nothing to size; leanside check says what "
          "helps");
    }
    verified_ = as_it_is;
    if (as_it_is.over.empty() && !options_.may_lower) return conclude(as_it_is);
    caps_ = study::most_sensible(site_, fans_);
    for (std::size_t k = 0; k < fans_.size(); ++k) {
      const double limit = std::isfinite(caps_[k]) ? printable_below(caps_[k]) : far_too_much * flows_[k];
      caps_[k] = std::max(out_.fans[k].now, limit);
    }
    if (!size_base(as_it_is)) return;
    size_events();
    conclude(as_it_is);
  }

 private:
  Site with(const std::vector<double>& flows) const { return with_flows(site_, fans_, flows); }

  void fail(std::string reason) {
    out_.found = false;
    out_.reason = std::move(reason);
  }

  /// The flows of the file itself. False where that has failed; it is then told.
  bool size_base(const Checked& as_it_is) {
    most_ = check_(with(caps_), true);
    if (!most_.fault.empty()) {  // fans that share a duct may only rise together
      double together = far_too_much;
      for (std::size_t k = 0; k < fans_.size(); ++k) together = std::min(together, caps_[k] / flows_[k]);
      for (std::size_t k = 0; k < fans_.size(); ++k) caps_[k] = together * flows_[k];
      most_ = check_(with(caps_), true);
    }
    if (!most_.fault.empty()) {
      for (const Constraint& c : as_it_is.over) out_.remaining.push_back({c, Obstacle::out_of_reach});
      fail(most_.fault);
      return false;
    }
    FlowTask task;
    for (std::size_t k = 0; k < fans_.size(); ++k) {
      task.knobs.push_back({options_.may_lower ? 0.0 : flows_[k], caps_[k], flows_[k]});
    }
    task.check = [&](const std::vector<double>& flows, bool in_time) { return check_(with(flows), in_time); };
    task.slope = [&](const std::vector<double>& flows, const Constraint& on) { return slope(flows, on); };
    task.left_out = study::common(study::keys_of(as_it_is.over), study::keys_of(most_.over));
    task.warn_at = site_.criteria.warn_at;
    task.step = options_.step;
    task.in_time = out_.in_time;
    task.may_lower = options_.may_lower;
    if (as_it_is.holds(task.left_out) && !options_.may_lower) return true;  // no base flow cures anything
    FlowAnswer answer = study::least_flows(task, [&](const std::vector<double>& flows) { return order(flows); });
    if (!answer.found) {
      const std::string& fault = answer.verified.fault;
      fail(fault.empty() ? "more air through these fans ends some warnings but brings others, at every setting tried"
                         : "rounded, these flows cannot be balanced: " + fault);
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
    for (std::size_t k = 0; k < fans_.size(); ++k) {
      out_.fans[k].least = least[k];
      out_.fans[k].flow = flows_[k];
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
    for (std::size_t k = 0; k < fans_.size(); ++k) {
      const std::size_t fan = fans_[k].value;
      const bool free = state.airway_flow[fan] == flows[k] && flows[k] < caps_[k];  // no event sets it
      if (state.airway_on[fan] && free) sum += (*given)->by_flow[fan] * flows[k];
    }
    return sum;
  }

  /// In which order the fans are lowered one by one: those that matter least to the binding space first.
  std::vector<std::size_t> order(const std::vector<double>& flows) {
    if (fans_.size() < 2 || fans_.size() * site_.spaces.size() * site_.cases.size() > most_lowering) return {};
    const Site common = with(flows);
    const Checked checked = check_(common, out_.in_time);
    std::vector<double> influence(fans_.size(), 0.0);
    if (!checked.nearest.empty()) {
      const Constraint& binding = checked.nearest.front();
      const auto found = derivatives(common, binding.case_index, binding.space);
      if (const auto* given = std::get_if<std::optional<Derivatives>>(&found); given != nullptr && *given) {
        for (std::size_t k = 0; k < fans_.size(); ++k) influence[k] = (*given)->by_flow[fans_[k].value];
      }
    }
    std::vector<std::size_t> places(fans_.size());
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
    for (FanEvent& event : study::fan_events(site_, fans_, verified_.over)) {
      if (event.switches_off) {
        switches_.push_back(std::move(event));
        continue;
      }
      const auto k = static_cast<std::size_t>(std::find(fans_.begin(), fans_.end(), event.fan) - fans_.begin());
      task.knobs.push_back({event.now, std::max(event.now, caps_[k]), flows_[k]});
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
    task.step = options_.step;
    task.in_time = out_.in_time;
    task.accuracy = 1e-4;
    FlowAnswer answer = study::least_flows(task, [&](const std::vector<double>&) {
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
    const auto every = [&](const auto& holds) {
      return std::all_of(out_.remaining.begin(), out_.remaining.end(), holds);
    };
    const bool too_much = !every([](const Remaining& r) { return r.why != Obstacle::too_much_air; });
    const bool starved = every([](const Remaining& r) { return r.warning.starved.has_value(); });
    fail(too_much
             ? "more than 60 air changes an hour would be needed, which is not practical; reduce the source instead"
         : starved ? "the fans get too little air whatever they are set to; openings are missing"
                   : "more air through these fans, up to 60 air changes an hour, ends none of the warnings; reduce the "
                     "source");
    take_values(most_);
    flows_ = caps_;
    put_flows(flows_);
  }

  const Site& site_;
  const SizeOptions& options_;
  study::SizeCheck& check_;
  Sizing& out_;
  std::vector<AirwayIndex> fans_;
  std::vector<double> flows_, caps_;  ///< m3/s, by place in fans_
  Checked verified_, most_;           ///< with the base flows, and with the caps
  std::vector<FanEvent> events_, switches_;
  std::vector<double> event_flows_;  ///< m3/s, by place in events_; empty: none would help
  std::optional<Checked> with_events_;
};

/// What the worst space of the file as it is answers to most.
void find_influences(const Site& site, Sizing& out) {
  const auto of_fuel = [](const Constraint& c) { return c.subject == Subject::fuel && !c.starved; };
  auto on = std::find_if(out.before.begin(), out.before.end(),
                         [&](const Constraint& c) { return of_fuel(c) && c.is_steady; });
  if (on == out.before.end()) on = std::find_if(out.before.begin(), out.before.end(), of_fuel);
  if (on == out.before.end()) return;
  const auto found = derivatives(site, on->case_index, on->space);
  const auto* given = std::get_if<std::optional<Derivatives>>(&found);
  if (given == nullptr || !*given) return;
  const SiteState state = state_at(site, on->case_index, for_ever);
  for (std::size_t i = 0; i < site.airways.size(); ++i) {
    const double d = (*given)->by_flow[i];
    const double one_percent = 0.01 * d * state.airway_flow[i];
    if (one_percent != 0.0) out.influences.push_back({*on, AirwayIndex{i}, std::nullopt, d, one_percent});
  }
  for (std::size_t r = 0; r < site.releases.size(); ++r) {
    const double d = (*given)->by_release[r];
    const double one_percent = 0.01 * d * state.release_rate[r];
    if (one_percent != 0.0) out.influences.push_back({*on, std::nullopt, ReleaseIndex{r}, d, one_percent});
  }
  std::stable_sort(out.influences.begin(), out.influences.end(), [](const Influence& a, const Influence& b) {
    return std::abs(a.of_one_percent) > std::abs(b.of_one_percent);
  });
  if (out.influences.size() > 10) out.influences.resize(10);
}

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
  find_influences(site, out);
  study::SizeCheck check;
  if (options.release) {
    study::size_release(site, *options.release, check, out);
  } else {
    FanSizer{site, options, check, out}.run(as_it_is);
  }
  if (!out.found) name_local(as_it_is, out);
  out.runs = check.runs() + 1;
  out.assumptions = study::assumptions_of(out, assessment);
  return out;
}

}  // namespace leanside
