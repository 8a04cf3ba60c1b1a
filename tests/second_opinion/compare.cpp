// SPDX-License-Identifier: Apache-2.0
#include "second_opinion/compare.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "leanside/leanside.hpp"
#include "second_opinion/judge.hpp"
#include "second_opinion/layers.hpp"

namespace second_opinion {
namespace {
class Comparer {
 public:
  Comparer(const Site& site, const Allowed& allowed) : site_{site}, allowed_{allowed} {}

  Comparison go() {
    const auto reading = leanside::parse_site(text_of(site_), "site.toml", leanside::built_in_substances());
    if (reading.usable() == nullptr) {
      for (const auto& d : reading.diagnostics)
        if (d.level == leanside::DiagnosticLevel::error) complain("refused: " + leanside::to_text(d));
      return std::move(out_);
    }
    product_ = reading.usable();
    match_gases();
    for (std::size_t c = 0; c <= site_.cases.size(); ++c) compare_case(c);
    return std::move(out_);
  }

 private:
  struct Point {
    double time;
    leanside::FractionField x;
  };
  void complain(std::string text) { out_.disagreements.push_back(where_ + text); }

  void match_gases() {
    for (const auto& gas : product_->gases) {
      for (std::size_t k = 0; k < site_.gases.size(); ++k) {
        if (site_.gases[k].id == gas.substance.id) gas_.push_back(static_cast<Eigen::Index>(k));
      }
    }
    if (gas_.size() != product_->gases.size()) complain("tracks different gases");
  }

  void compare_case(std::size_t c) {
    where_ = fmt::format("case {}: ", c);
    std::vector<Point> series;
    leanside::AssessOptions options;
    options.only = leanside::CaseIndex{c};
    options.explain = false;
    options.series_points = 30;
    options.series = [&](leanside::CaseIndex, double t, const leanside::FractionField& x) { series.push_back({t, x}); };
    std::vector<std::pair<double, leanside::LayerState>> layers;
    options.layer_series = [&](leanside::CaseIndex, double t, const leanside::LayerState& l) {
      layers.push_back({t, l});
    };
    const auto answer = leanside::assess(*product_, options);
    const Site solved = with_mixed_rooms(answer);
    Run mine;
    try {
      mine = run(solved, c);
    } catch (const std::runtime_error& e) {
      mine.beyond = e.what();
    }
    if (!mine.beyond.empty()) {
      out_.beyond = mine.beyond;
      return;
    }
    const auto* fault = std::get_if<leanside::Fault>(&answer);
    if (fault != nullptr || !mine.fault.empty()) {
      out_.fault = fault != nullptr ? fault->message : mine.fault;
      if (fault == nullptr) complain("only the second solver refuses: " + mine.fault);
      if (fault != nullptr && mine.fault.empty()) complain("only leanside refuses: " + fault->message);
      return;
    }
    const leanside::CaseResult& theirs = std::get<leanside::Assessment>(answer).cases.at(0);
    constexpr double most_lost = 1e-6;  // each step has a tolerance of 1e-7
    if (!(theirs.balance_error <= most_lost)) complain(fmt::format("gas balance error: {:.2g}", theirs.balance_error));
    compare_flows(theirs, mine);
    compare_series(series, solved, mine);
    compare_releases(theirs, mine);
    compare_layer_series(layers, layers_of(solved), mine);
    for (std::size_t i = 0; i < site_.spaces.size(); ++i) {
      where_ = fmt::format("case {}, {}: ", c, site_.spaces[i].id);
      if (solved.spaces[i].layered) continue;
      compare_steady_state(theirs.spaces[i].steady, mine.steady, i, i);
      compare_course(theirs.spaces[i], mine, i, i);
      pressure(theirs.spaces[i], mine, i);
    }
    for (const leanside::LayeredRoom& room : theirs.layered) {
      where_ = fmt::format("case {}, layers of {}: ", c, site_.spaces[room.space.value].id);
      compare_layered(room, theirs.spaces[room.space.value], layers_of(solved), mine);
    }
  }

  /// Rooms whose layers are broken up are mixed. The answer of leanside decides which rooms these are.
  Site with_mixed_rooms(const leanside::Result<leanside::Assessment>& answer) {
    Site out = site_;
    const auto* assessment = std::get_if<leanside::Assessment>(&answer);
    if (assessment == nullptr) return out;
    for (const auto& mixed : assessment->cases.at(0).mixed) {
      out.spaces[mixed.space.value].layered = false;
      ++out_.mixed;
    }
    out_.layered += assessment->cases.at(0).layered.size();
    return out;
  }

  void compare_layer_series(const std::vector<std::pair<double, leanside::LayerState>>& series, const Layers& layers,
                            const Run& mine) {
    for (const auto& [time, state] : series) {
      const Matrix x = mine.stretch_at(time).at(time);
      const std::size_t room = state.space.value;
      const auto row = static_cast<Eigen::Index>(layers.interface_row(room));
      const std::string at = fmt::format("{} at {} s", site_.spaces[room].id, time);
      interface(at, state.interface_height, x(row, 0), layers.height[room]);
      for (std::size_t k = 0; k < gas_.size(); ++k) {
        const std::string gas = site_.gases[static_cast<std::size_t>(gas_[k])].id;
        const auto far = layers.far_row(room);
        value(gas + " at the far end in " + at, state.far_end[k], x(static_cast<Eigen::Index>(far), gas_[k]),
              allowed_.fraction + slip(mine, time, far, k));
        for (const bool low : {true, false}) {
          const auto cell = static_cast<std::size_t>(low ? layers.lower(int(room)) : layers.upper(int(room)));
          value(gas + (low ? " below in " : " above in ") + at, (low ? state.lower : state.upper)[k],
                x(static_cast<Eigen::Index>(cell), gas_[k]), allowed_.fraction + slip(mine, time, cell, k));
        }
      }
    }
  }

  void interface(const std::string& what, double theirs, Real mine, Real height) {
    value("interface: " + what, theirs, mine, allowed_.edge * double(height) - allowed_.relative * double(mine));
  }

  /// How much a value changes within the allowed time shift.
  template <class Course>
  double shift_of(const Course& course, Real time) const {
    const Real by = Real(allowed_.slip) * Real(site_.horizon);
    if (by <= 0) return 0;
    const Real here = course(time), before = course(std::max(Real(0), time - by)),
               after = course(std::min(Real(site_.horizon), time + by));
    return double(std::max(std::abs(after - here), std::abs(here - before)));
  }

  double slip(const Run& mine, double time, std::size_t row, std::size_t gas) const {
    return shift_of([&](Real t) { return mine.stretch_at(t).at(t)(static_cast<Eigen::Index>(row), gas_[gas]); }, time);
  }

  /// The room shows the worse layer, but that of the gas only where it is deep enough.
  void compare_shown(const leanside::LayeredRoom& theirs, const leanside::SpaceResult& shown, const Layers& layers,
                     const Run& mine) {
    const leanside::SpaceResult& gas = theirs.gas_above ? theirs.upper : theirs.lower;
    const leanside::SpaceResult& rest = theirs.gas_above ? theirs.lower : theirs.upper;
    // A layer that passes through the range is worse than one that is too rich all the time.
    const auto badness = [](const auto& of) { return std::pair(of.flammable_from.has_value(), of.peak.lfl_fraction); };
    const double highest = std::max(gas.peak.lfl_fraction, rest.peak.lfl_fraction);
    if (shown.peak.lfl_fraction > highest || badness(shown) < badness(rest)) complain("does not show the worse layer");
    const Real peak = gas.peak.time, height = layers.height[theirs.space.value];
    const Real interface_then =
        mine.stretch_at(peak).at(peak)(static_cast<Eigen::Index>(layers.interface_row(theirs.space.value)), 0);
    const Real depth = theirs.gas_above ? height - interface_then : interface_then;
    if (depth > Real(0.0101) * height && badness(shown) < badness(gas)) complain("does not show the layer of gas");
  }

  void compare_layered(const leanside::LayeredRoom& theirs, const leanside::SpaceResult& shown, const Layers& layers,
                       const Run& mine) {
    const std::size_t room = theirs.space.value;
    if (theirs.gas_above != layers.above[room]) complain("gas gathers in the other layer");
    compare_shown(theirs, shown, layers, mine);
    const std::string where = where_;
    for (const bool low : {true, false}) {
      where_ = where + (low ? "lower: " : "upper: ");
      const leanside::SpaceResult& layer = low ? theirs.lower : theirs.upper;
      const int at = static_cast<int>(room);
      const auto cell = static_cast<std::size_t>(low ? layers.lower(at) : layers.upper(at));
      // The layer of gas is judged by its far end.
      const auto row = low == layers.above[room] ? cell : layers.far_row(room);
      compare_steady_state(layer.steady, mine.steady, cell, row);
      compare_course(layer, mine, row, room);
    }
    where_ = where;
    const auto row = static_cast<Eigen::Index>(layers.cells) +
                     (std::find(layers.rooms.begin(), layers.rooms.end(), room) - layers.rooms.begin());
    const Trace heights{mine, row, [](const Measures::Row& x) { return x(0); }};
    interface("at the end", theirs.end_interface, heights.value(Real(site_.horizon)), layers.height[room]);
    const auto deepest = layers.above[room] ? heights.lowest() : heights.highest();
    interface("deepest", theirs.deepest_interface, deepest.value, layers.height[room]);
    if (theirs.steady_interface) {
      interface("at steady state", *theirs.steady_interface, mine.steady.fraction(row, 0), layers.height[room]);
    } else if (mine.steady.reached[room]) {
      complain("no interface at steady state");
    }
  }

  void value(const std::string& what, double theirs, Real mine, double floor) {
    ++out_.values;
    const double off = std::abs(theirs - double(mine)) / (allowed_.relative * std::abs(double(mine)) + floor);
    if (std::isfinite(off)) out_.worst = std::max(out_.worst, off);
    if (!(off <= 1))
      complain(
          fmt::format("{}: {:.12g} instead of {:.12g} ({:.3g} times the tolerance)", what, theirs, double(mine), off));
  }

  void time(const std::string& what, const std::optional<double>& theirs, const std::optional<Real>& mine) {
    ++out_.values;
    if (theirs.has_value() != mine.has_value()) {
      return complain(fmt::format("{}: {} instead of {}", what, theirs ? fmt::format("{:.9g} s", *theirs) : "never",
                                  mine ? fmt::format("{:.9g} s", double(*mine)) : "never"));
    }
    if (mine && std::abs(*theirs - double(*mine)) > allowed_.time * site_.horizon) {
      complain(fmt::format("{}: {:.12g} s instead of {:.12g} s", what, *theirs, double(*mine)));
    }
  }

  void compare_flows(const leanside::CaseResult& theirs, const Run& mine) {
    const double floor = 1e-11 * double(mine.first.rate.maxCoeff()) + (mine.varying ? 1e-12 : 1e-18);
    for (std::size_t i = 0; i < site_.airways.size(); ++i) {
      value("flow of " + site_.airways[i].id, theirs.flows.airways[i].forward, mine.first.forward[i], floor);
      value("reverse flow of " + site_.airways[i].id, theirs.flows.airways[i].backward, mine.first.backward[i], floor);
    }
    std::vector<double> leaks(site_.spaces.size(), 0.0);
    for (const auto& leak : theirs.leaks) leaks[leak.space.value] = leak.rate;
    for (std::size_t i = 0; i < leaks.size() && !mine.varying; ++i) {
      value("leak of " + site_.spaces[i].id, leaks[i], mine.largest_leak(static_cast<Eigen::Index>(i)), floor);
    }
    std::vector<bool> overflows(site_.airways.size(), false);
    for (const auto a : theirs.overflowing) overflows[a.value] = true;
    for (std::size_t i = 0; i < overflows.size() && !mine.varying; ++i) {
      if (overflows[i] != mine.overflows[i])
        complain(fmt::format("{}: overflows is {} instead of {}", site_.airways[i].id, bool{overflows[i]},
                             bool{mine.overflows[i]}));
    }
  }

  void compare_series(const std::vector<Point>& series, const Site& solved, const Run& mine) {
    const Layers layers = layers_of(solved);
    if (series.size() < 2 && !site_.gases.empty()) complain("no series");
    for (const Point& p : series) {
      const Matrix x = mine.stretch_at(p.time).at(p.time);
      for (std::size_t i = 0; i < site_.spaces.size(); ++i) {
        const auto row = static_cast<Eigen::Index>(layers.is_layered(static_cast<int>(i)) ? layers.far_row(i) : i);
        for (std::size_t k = 0; k < gas_.size(); ++k) {
          value(fmt::format("{} in {} at {} s", site_.gases[static_cast<std::size_t>(gas_[k])].id, site_.spaces[i].id,
                            p.time),
                p.x({i}, k), x(row, gas_[k]), allowed_.fraction + slip(mine, p.time, static_cast<std::size_t>(row), k));
        }
      }
    }
  }

  void compare_releases(const leanside::CaseResult& theirs, const Run& mine) {
    for (std::size_t r = 0; r < site_.releases.size(); ++r) {
      // A spill next to another source of its vapour stops when the air is saturated. leanside steps across this
      // breakpoint.
      const double floor = site_.releases[r].source == Source::spill ? 1e-3 * double(mine.given[r]) + 1e-15 : 1e-15;
      value("amount released by " + site_.releases[r].id, theirs.releases[r].amount, mine.given[r], floor);
      const auto spent = mine.spent[r] < never ? std::optional<Real>{mine.spent[r]} : std::nullopt;
      time("time at which the stock is spent: " + site_.releases[r].id, theirs.releases[r].spent, spent);
    }
  }

  void compare_steady_state(const leanside::SteadyInstant& theirs, const SteadyState& mine, std::size_t i,
                            std::size_t row) {
    if (theirs.reached && !mine.reached[i] && mine.never_gas[i]) {
      for (const double x : theirs.at.fraction) value("at steady state", x, 0, 1e-300);
      return;
    }
    if (theirs.reached != mine.reached[i]) {
      return complain(fmt::format("steady state reached is {} instead of {}: {}", theirs.reached, bool{mine.reached[i]},
                                  theirs.reason));
    }
    if (!theirs.reached) return;
    for (std::size_t k = 0; k < gas_.size(); ++k) {
      value("at steady state", theirs.at.fraction[k], mine.fraction(static_cast<Eigen::Index>(row), gas_[k]),
            allowed_.fraction);
    }
  }

  void compare_course(const leanside::SpaceResult& theirs, const Run& mine, std::size_t row, std::size_t of) {
    const Measures measures{site_, of, mine.hottest[of], mine.coldest[of]};
    const auto space = static_cast<Eigen::Index>(row);
    const auto trace = [&](auto member) {
      return Trace{mine, space, [&measures, member](const Measures::Row& x) { return (measures.*member)(x); }};
    };
    const Trace lower = trace(&Measures::of_lower);
    value("peak", theirs.peak.lfl_fraction, lower.highest().value,
          allowed_.peak + shift_of([&](Real t) { return lower.value(t); }, theirs.peak.time));
    // A junction, or a space that is warmed, may jump at an event. The peak may be just before or just after it.
    const Real slip = 1e-12L * Real(site_.horizon);
    value("at the time of the peak",
          double(std::max({lower.value(theirs.peak.time), lower.value(std::max(Real(0), theirs.peak.time - slip)),
                           lower.value(std::min(Real(site_.horizon), theirs.peak.time + slip))})),
          lower.highest().value, 1e-8);
    const double late = shift_of([&](Real t) { return lower.value(t); }, Real(site_.horizon));
    value("at the end", theirs.end.lfl_fraction, lower.value(Real(site_.horizon)), 1e-10 + late);
    const Trace oxygen = trace(&Measures::oxygen);
    value("lowest oxygen", theirs.lowest_oxygen, oxygen.lowest().value, allowed_.oxygen);
    value("highest oxygen", theirs.highest_oxygen, oxygen.highest().value, allowed_.oxygen);
    using leanside::Threshold;
    crossings(theirs, Threshold::note, lower, site_.note_at);
    crossings(theirs, Threshold::warn, lower, site_.warn_at);
    crossings(theirs, Threshold::lfl, lower, 1);
    crossings(theirs, Threshold::ufl, trace(&Measures::of_upper), 1);
    if (measures.demand_known()) crossings(theirs, Threshold::stoichiometric, trace(&Measures::lacking), 1e-8L);
    in_range(theirs, trace(&Measures::inside));
  }

  /// If the course only just touches the threshold, both answers are right.
  void crossings(const leanside::SpaceResult& theirs, leanside::Threshold threshold_kind, const Trace& trace,
                 Real threshold) {
    std::vector<leanside::Crossing> found;
    for (const auto& c : theirs.crossings) {
      if (c.threshold == threshold_kind) found.push_back(c);
    }
    const Real around = 3e-7L * std::max(threshold, Real(0.1L));
    const auto mine = trace.above(threshold);
    if (trace.above(threshold + around).size() != mine.size() || trace.above(threshold - around).size() != mine.size())
      return;
    const std::string word{leanside::word_of(threshold_kind)};
    ++out_.values;
    if (found.size() != mine.size()) {
      return complain(fmt::format("crosses {} {} times instead of {}", word, found.size(), mine.size()));
    }
    for (std::size_t k = 0; k < mine.size(); ++k) {
      crossing(word + " upwards", trace, threshold, found[k].up, mine[k].up);
      if (found[k].down && mine[k].down) {
        crossing(word + " downwards", trace, threshold, *found[k].down, *mine[k].down);
      } else {
        time(word + " downwards", found[k].down, mine[k].down);
      }
    }
  }

  /// The time is ill-conditioned for a slow course, so there the value counts.
  void crossing(const std::string& what, const Trace& trace, Real threshold, double theirs, Real mine) {
    const Real off = std::abs(trace.value(theirs) - threshold);
    if (off > 2e-7L * std::max(threshold, Real(0.1L))) time(what, theirs, mine);
  }

  void in_range(const leanside::SpaceResult& theirs, const Trace& inside) {
    if (!range_is_documented(site_)) return;
    const auto total = [&](Real threshold) {
      Real sum = 0;
      for (const auto& p : inside.above(threshold)) sum += p.down.value_or(Real(site_.horizon)) - p.up;
      return sum;
    };
    const Real off = allowed_.time * site_.horizon, least = total(3e-8L) - off, most = total(-3e-8L) + off;
    ++out_.values;
    if (theirs.flammable_time < double(least) || theirs.flammable_time > double(most)) {
      complain(fmt::format("in the flammable range for {:.10g} s instead of {:.10g} s to {:.10g} s",
                           theirs.flammable_time, double(least), double(most)));
    }
  }

  void pressure(const leanside::SpaceResult& theirs, const Run& mine, std::size_t i) {
    if (site_.spaces[i].kind == Kind::junction) return;
    Real highest = 1;
    std::optional<Real> tenth, twice;
    for (const auto& s : mine.stretches) {
      const auto space = static_cast<Eigen::Index>(i);
      const auto factor = [&](Real t) { return s->held(t)(space) / holds(site_, s->moment, i); };
      highest = std::max({highest, factor(s->begin), factor(s->end)});
      const auto reach = [&](Real level, std::optional<Real>& when) {
        if (when || factor(s->end) < level) return;
        Real low = s->begin, high = s->end;
        if (factor(low) >= level) high = low;
        for (int k = 0; k < 60; ++k) {
          const Real middle = (low + high) / 2;
          (factor(middle) >= level ? high : low) = middle;
        }
        when = high;
      };
      reach(1.1L, tenth);
      reach(2, twice);
    }
    value("pressure", theirs.pressure, highest * Real(site_.pressure), 1e-3);
    time("pressure up by a tenth", theirs.pressure_110, tenth);
    time("pressure doubled", theirs.pressure_200, twice);
  }

  const Site& site_;
  Allowed allowed_;
  const leanside::Site* product_ = nullptr;
  std::vector<Eigen::Index> gas_;  ///< index in the second solver, by index in leanside
  std::string where_;
  Comparison out_;
};

}  // namespace

Comparison compare(const Site& site, const Allowed& allowed) { return Comparer{site, allowed}.go(); }

}  // namespace second_opinion
