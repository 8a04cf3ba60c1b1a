// SPDX-License-Identifier: Apache-2.0
#include "study/size/size_search.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

namespace leanside::study {
namespace {

constexpr double smallest_factor = 1.0 / 1024.0;

/// What the sixth figure of `value` stands for in the unit that it is shown in.
double sixth_figure(double value, const Grain& grain) {
  return std::pow(10.0, std::floor(std::log10(grain.shown * value)) - 5.0);
}

/// The least factor at which every knob is at its cap.
double full_factor(const std::vector<Knob>& knobs) {
  double full = 1.0;
  for (const Knob& knob : knobs) {
    if (knob.unit > 0.0 && std::isfinite(knob.cap)) full = std::max(full, knob.cap / knob.unit);
    if (!std::isfinite(knob.cap)) full = std::max(full, 1024.0);
  }
  return full;
}

class FlowSearch {
 public:
  explicit FlowSearch(const FlowTask& task) : task_{task} {}

  /// The least common factor that holds; empty where none of those tried does.
  std::optional<double> common_factor() {
    const double full = full_factor(task_.knobs);
    End fails, holds{1.0};
    if (try_at(holds)) {
      if (!task_.may_lower && all_at_floor(holds.at)) return holds.at;
      for (fails.at = 0.5; fails.at > smallest_factor && try_at(fails); fails.at *= 0.5) holds = fails;
      if (fails.at <= smallest_factor) {
        End nothing;
        return try_at(nothing) ? 0.0 : holds.at;
      }
    } else {
      do {
        if (holds.at >= full) return std::nullopt;
        fails = holds;
        holds.at = std::min(full, further(fails));
      } while (!try_at(holds));
    }
    return find_edge(fails, holds, task_.accuracy, [&](double factor) { return attempt(factor); });
  }

  /// What was found at the factor that common_factor() gave.
  const Checked& held() const { return held_; }

  void lower_one_by_one(const std::vector<std::size_t>& order, std::vector<double>& flows) {
    for (const std::size_t k : order) {
      const Knob& knob = task_.knobs[k];
      if (knob.as_it_is(flows[k])) continue;
      const double now = flows[k];
      const auto holds_with = [&](double flow) {
        flows[k] = flow;
        return checked(flows).holds(task_.left_out);
      };
      if (holds_with(knob.floor)) continue;
      double under = now, over = knob.floor;
      const double near_enough = std::max(1e-3 * now, 0.02 * knob.grain.step);
      // The flow that matters most cannot be lowered at all: that is seen at once.
      if (under - over > near_enough) (holds_with(now - near_enough) ? under : over) = now - near_enough;
      while (under - over > near_enough * (1.0 + 1e-9)) {
        const double middle = 0.5 * (under + over);
        (holds_with(middle) ? under : over) = middle;
      }
      flows[k] = under;
    }
  }

  /// Rounds up and checks in full; where that does not hold, some steps more for every flow that was raised.
  bool verify(FlowAnswer& answer) {
    for (double more = 0.0; more < 1e6; more = more == 0.0 ? 1.0 : 2.0 * more) {
      answer.flows.clear();
      bool at_cap = true;
      for (std::size_t k = 0; k < task_.knobs.size(); ++k) {
        answer.flows.push_back(rounded(task_.knobs[k], answer.least[k], more));
        at_cap = at_cap && answer.flows.back() >= task_.knobs[k].cap * (1.0 - 1e-5);
      }
      answer.verified = task_.check(answer.flows, true);
      if (answer.verified.holds(task_.left_out)) return true;
      if (at_cap) return false;
    }
    return false;
  }

 private:
  /// Where peaks count, the steady state is looked at first: it is quick, and what it warns of stays in time.
  Checked checked(const std::vector<double>& flows) {
    if (task_.in_time) {
      Checked steady = task_.check(flows, false);
      if (!steady.holds(task_.left_out)) return steady;
    }
    return task_.check(flows, task_.in_time);
  }

  Checked check(double factor) {
    const bool known = factor == 1.0 && task_.in_time && task_.as_it_is;
    Checked found = known ? *task_.as_it_is : checked(flows_at(task_.knobs, factor));
    if (found.holds(task_.left_out)) held_ = found;
    return found;
  }

  /// Whether it holds there; notes the excess.
  bool try_at(End& end) {
    const Checked found = check(end.at);
    end.excess = found.excess(task_.left_out);
    return found.holds(task_.left_out);
  }

  /// A factor beyond one that fails: a little more than plain dilution would take, but at least twice as much.
  static double further(const End& fails) {
    constexpr double most = 16.0, a_little = 1.05;
    return fails.at * std::clamp(a_little * std::exp(fails.excess.value_or(0.0)), 2.0, most);
  }

  bool all_at_floor(double factor) const {
    const auto flows = flows_at(task_.knobs, factor);
    for (std::size_t k = 0; k < flows.size(); ++k) {
      if (!task_.knobs[k].as_it_is(flows[k])) return false;
    }
    return true;
  }

  Trial attempt(double factor) {
    const Checked there = check(factor);
    Trial trial{there.holds(task_.left_out), there.excess(task_.left_out)};
    if (!there.fault.empty() || !task_.slope) return trial;
    // Follows the worst fuel value, on either side of the margin.
    const auto worst = std::find_if(there.over.begin(), there.over.end(),
                                    [&](const Constraint& c) { return !task_.left_out.contains(key_of(c)); });
    const Constraint* on = worst != there.over.end() ? &*worst
                           : there.nearest.empty()   ? nullptr
                                                     : &there.nearest.front();
    if (on == nullptr || !on->is_steady || on->subject != Subject::fuel) return trial;
    const auto slope = task_.slope(flows_at(task_.knobs, factor), *on);
    if (!slope || *slope == 0.0) return trial;
    // 1/v is a straight line in the factor, of slope -v'/v^2. A little beyond the root, so that the next point is the
    // other bound.
    const double v = on->lfl_fraction, by_factor = *slope / factor;
    const double root = factor + (1.0 / task_.warn_at - 1.0 / v) / (-by_factor / (v * v));
    trial.guess = root + (trial.holds ? -2e-8 : 2e-8) * root;
    return trial;
  }

  double rounded(const Knob& knob, double least, double more) const {
    if (knob.as_it_is(least) && least > 0.0 && !task_.may_lower) return least;
    if (!(least > 0.0)) return 0.0;
    const double steps = std::ceil(least / knob.grain.step - 1e-9) + more;
    const double flow = printable_up(steps * knob.grain.step, knob.grain);
    if (least <= knob.unit && flow > knob.unit) return knob.unit;  // a flow of the file is round enough
    return std::min(flow, knob.cap);
  }

  const FlowTask& task_;
  Checked held_;  ///< with the last factor that held
};

/// Where the excess is zero on the straight line between the two ends, a little towards `fails` or `holds`.
std::optional<double> secant(const End& fails, const End& holds, double accuracy, bool towards_fails) {
  if (!fails.excess || !holds.excess || !(fails.at > 0.0) || !(holds.at > 0.0)) return {};
  const double over = *fails.excess, under = *holds.excess;
  if (!(over >= 0.0) || !(under <= 0.0) || !(over - under > 0.0)) return {};
  const double root = std::exp((over * std::log(holds.at) - under * std::log(fails.at)) / (over - under));
  const double a_little = 0.3 * accuracy * root;
  return root + ((fails.at < root) == towards_fails ? -a_little : a_little);
}

}  // namespace

double find_edge(End fails, End holds, double accuracy, const std::function<Trial(double)>& attempt) {
  std::optional<double> guess = secant(fails, holds, accuracy, true);
  std::optional<bool> held_before;
  for (int pass = 0; pass < 60 && std::abs(holds.at - fails.at) > accuracy * holds.at; ++pass) {
    const double from = std::min(fails.at, holds.at), to = std::max(fails.at, holds.at);
    const bool usable = guess && *guess > from && *guess < to && pass % 4 != 3;
    double middle = usable ? *guess : from > 0.0 ? std::sqrt(from * to) : 0.5 * (from + to);
    if (to < 1.01 * from && !usable) middle = 0.5 * (from + to);
    const Trial trial = attempt(middle);
    End &moved = trial.holds ? holds : fails, &stays = trial.holds ? fails : holds;
    moved = {middle, trial.excess};
    if (held_before == trial.holds && stays.excess) *stays.excess *= 0.5;
    held_before = trial.holds;
    guess = trial.guess ? trial.guess : secant(fails, holds, accuracy, trial.holds);
  }
  return holds.at;
}

// What is printed is what was verified.
double printable_up(double value, const Grain& grain) {
  if (!(value > 0.0) || !std::isfinite(value)) return value;
  const double unit = sixth_figure(value, grain);
  return std::ceil(grain.shown * value / unit * (1.0 - 1e-12)) * unit / grain.shown;
}

double printable_down(double value, const Grain& grain) {
  if (!(value > 0.0) || !std::isfinite(value)) return value;
  const double unit = sixth_figure(value, grain);
  return std::floor(grain.shown * value / unit * (1.0 + 1e-12)) * unit / grain.shown;
}

std::vector<double> flows_at(const std::vector<Knob>& knobs, double factor) {
  std::vector<double> flows;
  for (const Knob& knob : knobs) flows.push_back(std::clamp(factor * knob.unit, knob.floor, knob.cap));
  return flows;
}

FlowAnswer least_flows(const FlowTask& task, const Order& order) {
  FlowSearch search{task};
  FlowAnswer answer;
  const auto factor = search.common_factor();
  if (!factor) {
    answer.flows = answer.least = flows_at(task.knobs, full_factor(task.knobs));
    return answer;
  }
  answer.factor = *factor;
  answer.least = flows_at(task.knobs, *factor);
  const auto places = order ? order(answer.least, search.held()) : std::vector<std::size_t>{};
  if (!places.empty()) {
    search.lower_one_by_one(places, answer.least);
    answer.lowered_one_by_one = true;
  }
  answer.found = search.verify(answer);
  return answer;
}

}  // namespace leanside::study
