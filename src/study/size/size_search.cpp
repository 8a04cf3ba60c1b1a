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
    double low = 0.0, high = 1.0;
    if (holds(high)) {
      if (!task_.may_lower && all_at_floor(high)) return high;
      for (low = 0.5 * high; low > smallest_factor && holds(low); low *= 0.5) high = low;
      if (low <= smallest_factor) return holds(0.0) ? 0.0 : high;
    } else {
      do {
        if (high >= full) return std::nullopt;
        low = high;
        high = std::min(full, 2.0 * high);
      } while (!holds(high));
    }
    return find_edge(low, high, task_.accuracy, [&](double factor) { return attempt(factor); });
  }

  void lower_one_by_one(const std::vector<std::size_t>& order, std::vector<double>& flows) {
    for (const std::size_t k : order) {
      const Knob& knob = task_.knobs[k];
      if (knob.as_it_is(flows[k])) continue;
      const double now = flows[k];
      const auto holds_with = [&](double flow) {
        flows[k] = flow;
        return task_.check(flows, task_.in_time).holds(task_.left_out);
      };
      if (holds_with(knob.floor)) continue;
      double under = now, over = knob.floor;
      const double near_enough = std::max(1e-3 * now, 0.02 * knob.grain.step);
      while (under - over > near_enough) {
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
  Checked check(double factor) { return task_.check(flows_at(task_.knobs, factor), task_.in_time); }
  bool holds(double factor) { return check(factor).holds(task_.left_out); }

  bool all_at_floor(double factor) const {
    const auto flows = flows_at(task_.knobs, factor);
    for (std::size_t k = 0; k < flows.size(); ++k) {
      if (!task_.knobs[k].as_it_is(flows[k])) return false;
    }
    return true;
  }

  Trial attempt(double factor) {
    const Checked there = check(factor);
    Trial trial{there.holds(task_.left_out), std::nullopt};
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
};

}  // namespace

double find_edge(double fails, double holds, double accuracy, const std::function<Trial(double)>& attempt) {
  std::optional<double> guess;
  for (int pass = 0; pass < 60 && std::abs(holds - fails) > accuracy * holds; ++pass) {
    const double from = std::min(fails, holds), to = std::max(fails, holds);
    const bool usable = guess && *guess > from && *guess < to && pass % 4 != 3;
    double middle = usable ? *guess : from > 0.0 ? std::sqrt(from * to) : 0.5 * (from + to);
    if (to < 1.01 * from && !usable) middle = 0.5 * (from + to);
    const Trial trial = attempt(middle);
    (trial.holds ? holds : fails) = middle;
    guess = trial.guess;
  }
  return holds;
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

FlowAnswer least_flows(const FlowTask& task,
                       const std::function<std::vector<std::size_t>(const std::vector<double>&)>& order) {
  FlowSearch search{task};
  FlowAnswer answer;
  const auto factor = search.common_factor();
  if (!factor) {
    answer.flows = answer.least = flows_at(task.knobs, full_factor(task.knobs));
    return answer;
  }
  answer.factor = *factor;
  answer.least = flows_at(task.knobs, *factor);
  const auto places = order ? order(answer.least) : std::vector<std::size_t>{};
  if (!places.empty()) {
    search.lower_one_by_one(places, answer.least);
    answer.lowered_one_by_one = true;
  }
  answer.found = search.verify(answer);
  return answer;
}

}  // namespace leanside::study
