// SPDX-License-Identifier: Apache-2.0
/// The least setting of some flows or areas with which no warning is left.
#pragma once

#include <functional>
#include <optional>
#include <vector>

#include "study/size/size_check.hpp"
#include "study/size/size_settings.hpp"

namespace leanside::study {

/// One try: whether it holds, Checked::excess, and where the edge may be.
struct Trial {
  bool holds = false;
  std::optional<double> excess = {};
  std::optional<double> guess = {};
};

/// An end of the bracket around an edge.
struct End {
  double at = 0.0;
  std::optional<double> excess = {};
};

/// The edge between `fails` and `holds` (either may be the smaller), to `accuracy` of it, from the side that holds.
/// Follows a guess of the last try that lies between the two; else the secant of the excess over the logarithm, which
/// for plain dilution is the edge itself, the end that stays counting less and less (the Illinois rule); else halves.
double find_edge(End fails, End holds, double accuracy, const std::function<Trial(double)>& attempt);

/// A flow, m3/s, or an area, m2, that can be set.
struct Knob {
  double floor = 0.0;  ///< never below
  double cap = 0.0;    ///< never above
  double unit = 0.0;   ///< what a common factor of 1 stands for
  Grain grain;
  bool as_it_is(double flow) const { return flow <= floor * (1.0 + 1e-12); }
};

/// The value to six figures in the unit that it is shown in, up or down.
double printable_up(double value, const Grain& grain);
double printable_down(double value, const Grain& grain);

/// All knobs at a common factor of their units, each kept within its bounds.
std::vector<double> flows_at(const std::vector<Knob>& knobs, double factor);

/// What the search is about. `in_time`: peaks count while searching; the verification always looks at them.
struct FlowTask {
  std::vector<Knob> knobs;
  std::function<Checked(const std::vector<double>& flows, bool in_time)> check;
  /// d(value)/d(ln factor) of the worst lfl_fraction; empty where it is not known.
  std::function<std::optional<double>(const std::vector<double>& flows, const Constraint& on)> slope;
  std::optional<Checked> as_it_is;  ///< of a common factor of 1, in time
  WarningKeys left_out;             ///< warnings that are there already and stay whatever is set
  double warn_at = 0.25;
  bool in_time = true;
  bool may_lower = false;
  double accuracy = 1e-7;
};

struct FlowAnswer {
  bool found = false;
  std::vector<double> least, flows;  ///< by knob, before and after rounding
  double factor = 1.0;               ///< the common factor
  Checked verified;                  ///< with `flows`, in time
  bool lowered_one_by_one = false;
};

/// In which order the knobs are lowered one by one from a common factor; empty: they are not. What was found there is
/// given as well.
using Order = std::function<std::vector<std::size_t>(const std::vector<double>& flows, const Checked& found)>;

/// The least common factor with which only what is `left_out` is warned of; then each knob by itself as low as it goes,
/// in `order`; then rounded up and verified in time, a little more being tried where that fails.
FlowAnswer least_flows(const FlowTask& task, const Order& order);

}  // namespace leanside::study
