// SPDX-License-Identifier: Apache-2.0
#include "report/text/vessel_explanation.hpp"

#include <cmath>
#include <utility>

#include "base/text/plain.hpp"
#include "leanside/substance_file.hpp"
#include "leanside/units.hpp"
#include "report/words/experiments.hpp"
#include "report/words/words.hpp"

namespace leanside::report {
namespace {

std::string shown(double value) {
  constexpr int digits = 6;
  return format_number(value, digits);
}

class Steps {
 public:
  Steps(const Site& site, const SpaceArithmetic& arithmetic, std::string times)
      : site_{site}, a_{arithmetic}, times_{std::move(times)} {}

  std::vector<VesselStep> take() {
    for (const ExplainedYield& yield : a_.yields) made(yield);
    if (a_.experiment) {
      if (!a_.experiment->fed_by.empty()) through_tube(*a_.experiment);
      fire(*a_.experiment);
      if (a_.experiment->counterflow) against_flow(*a_.experiment);
      if (a_.experiment->window) air(*a_.experiment);
    }
    return std::move(out_);
  }

 private:
  void made(const ExplainedYield& yield) {
    const Release& release = site_.releases[yield.release.value];
    VesselStep step{"The gas from \"" + label(site_, yield.release) + "\"", {}, {}};
    if (const auto* reaction = std::get_if<ReactionRelease>(&release.kind)) {
      by_equation(*reaction, yield, step);
    } else if (const auto* steady = std::get_if<SteadyRelease>(&release.kind); steady != nullptr && steady->current) {
      step.words.push_back(
          "2 H2O -> 2 H2 + O2: two electrons for a molecule of hydrogen, four for one of oxygen (Faraday).");
      const std::string charge = shown(*steady->current) + times_ + shown(*steady->duration);
      for (const GasShare& share : release.gas.shares) {
        const bool oxygen = site_.gases[share.gas.value].substance.id == "oxygen";
        step.lines.push_back({"n of " + gas_name(site_, share.gas),
                              charge + " / (" + (oxygen ? "4" : "2") + times_ + shown(faraday) + ")",
                              yield.gas * share.fraction, "mol"});
      }
    }
    const std::string top = shown(yield.gas) + times_ + shown(gas_constant) + times_ + shown(a_.temperature);
    step.lines.push_back({"volume, dry", "1000" + times_ + top + " / " + shown(a_.pressure), 1e3 * yield.volume, "L"});
    if (yield.wet_volume > 0.0) {
      const double water = water_vapour_pressure(a_.temperature);
      step.lines.push_back({"volume over water",
                            "1000" + times_ + top + " / (" + shown(a_.pressure) + " - " + shown(water) + ")",
                            1e3 * yield.wet_volume, "L"});
    }
    if (yield.volumes) {
      step.lines.push_back(
          {"gas spaces displaced", shown(yield.volume) + " / " + shown(a_.volume), *yield.volumes, ""});
      if (a_.experiment && !a_.experiment->sealed) {
        step.lines.push_back(
            {"air left, evenly mixed", "exp(-" + shown(*yield.volumes) + ")", std::exp(-*yield.volumes), ""});
      } else if (a_.experiment) {
        step.lines.push_back({"pressure, nothing leaves",
                              shown(a_.pressure) + times_ + "(1 + " + shown(*yield.volumes) + ")",
                              a_.pressure * (1.0 + *yield.volumes), "Pa"});
      }
    }
    out_.push_back(std::move(step));
  }

  void by_equation(const ReactionRelease& reaction, const ExplainedYield& yield, VesselStep& step) const {
    const Reaction* table = find_reaction(reaction.reaction);
    if (table == nullptr) return;
    step.words.push_back(table->equation + (reaction.half_time ? "; half of it comes in each " : "; evenly over ") +
                         format_duration(yield.time) + ".");
    for (std::size_t i = 0; i < table->reagents.size() && i < reaction.reagents.size(); ++i) {
      const ReactionPart& part = table->reagents[i];
      if (!std::isfinite(reaction.reagents[i])) {
        step.words.push_back(part.name + ": more than enough.");
        continue;
      }
      step.lines.push_back({"moles of " + part.name + " / its number in the equation",
                            shown(reaction.reagents[i]) + " / " + shown(part.count), reaction.reagents[i] / part.count,
                            i == reaction.limiting ? "(the least: it is used up first)" : ""});
    }
    const double least = reaction.reagents[reaction.limiting] / table->reagents[reaction.limiting].count;
    step.lines.push_back({"n, moles of gas", shown(least) + times_ + shown(table->gas_count), yield.gas, "mol"});
  }

  void fire(const Experiment& e) {
    if (!(e.heat > 0.0)) return;
    VesselStep step{"If it is lit inside", {}, {}};
    const double all = e.fuel > 0.0 ? e.heat_of_all / (e.held * e.fuel) : 0.0;
    step.words.push_back(
        "At its worst it holds " + percent(e.worst_fuel) + " fuel and " + percent(e.worst_oxygen) + " oxygen" +
        (e.oxygen_demand ? "; each mol of fuel needs " + shown(*e.oxygen_demand) + " mol of oxygen" : "") + ".");
    const double burnt = e.heat / (e.held * all);
    step.lines.push_back({"heat", shown(e.held) + times_ + shown(burnt) + times_ + shown(all), e.heat, "J"});
    out_.push_back(std::move(step));
  }

  /// Gas that was made in another vessel: of one such vessel the air that is left as a closed form.
  void through_tube(const Experiment& e) {
    VesselStep step{"The gas through the tube from " + label(site_, e.fed_by.front()), {}, {}};
    step.words.push_back("What leaves " + label(site_, e.fed_by.front()) +
                         " comes in here, its air first; as much leaves.");
    if (std::isfinite(e.gas_in)) {
      const double gas = e.gas_in * gas_constant * a_.temperature / a_.pressure;
      step.lines.push_back({"all gas, dry",
                            "1000" + times_ + shown(e.gas_in) + times_ + shown(gas_constant) + times_ +
                                shown(a_.temperature) + " / " + shown(a_.pressure),
                            1e3 * gas, "L"});
      if (e.fed_by.size() == 1) air_left(e, gas, step);
    }
    if (!e.mixed.empty()) step.words.push_back("Evenly mixed it is " + states(e.mixed) + ".");
    out_.push_back(std::move(step));
  }

  /// Both spaces start full of air: V2 dx2/dv = x1 - x2 with x1 = exp(-v/V1).
  void air_left(const Experiment& e, double gas, VesselStep& step) const {
    const double first = site_.spaces[e.fed_by.front().value].volume, second = a_.volume;
    const auto has_air = [&](SpaceIndex space) { return site_.spaces[space.value].initial.empty(); };
    if (!has_air(e.fed_by.front()) || !has_air(e.space)) return;
    const double n1 = gas / first, n2 = gas / second;
    constexpr double alike = 1e-6;
    if (std::abs(first - second) < alike * second) {
      step.lines.push_back({"air left at the end", "(1 + " + shown(n2) + ")" + times_ + "exp(-" + shown(n2) + ")",
                            (1.0 + n2) * std::exp(-n2), ""});
      return;
    }
    step.lines.push_back({"air left at the end",
                          "(" + shown(first) + times_ + "exp(-" + shown(n1) + ") - " + shown(second) + times_ +
                              "exp(-" + shown(n2) + ")) / (" + shown(first) + " - " + shown(second) + ")",
                          (first * std::exp(-n1) - second * std::exp(-n2)) / (first - second), ""});
  }

  /// "too lean to burn until 12 s, able to burn until 48 s, too rich from then on".
  static std::string states(const std::vector<StateSpan>& spans) {
    std::string out;
    for (std::size_t i = 0; i < spans.size(); ++i) {
      const StateSpan& span = spans[i];
      out += out.empty() ? "" : ", ";
      out += span.state == FlameState::steady       ? "too rich to burn"
             : span.state == FlameState::may_strike ? "able to burn"
                                                    : "too lean to burn";
      if (i + 1 < spans.size()) {
        out += " until " + format_duration(span.end);
      } else if (spans.size() > 1) {
        out += " from then on";
      }
    }
    return out;
  }

  void against_flow(const Experiment& e) {
    const Counterflow& flow = *e.counterflow;
    VesselStep step{"Air against the gas that leaves (docs/methods.md, 15)", {}, {}};
    step.lines.push_back(
        {"gas that leaves, at the weakest", "60000" + times_ + shown(flow.outflow), 60000.0 * flow.outflow, "L/min"});
    step.lines.push_back(
        {"air that would get in without it", "60000" + times_ + shown(flow.air), 60000.0 * flow.air, "L/min"});
    step.lines.push_back(
        {"flow that keeps all air out", "60000" + times_ + shown(flow.keeps_out), 60000.0 * flow.keeps_out, "L/min"});
    step.words.push_back(flow.kept_out ? "The gas keeps the air out."
                                       : "Air gets in. Two bounds: none of it does; or it mixes at once, and the "
                                         "vessel holds " +
                                             percent(flow.settles) + " fuel when the gas ends.");
    out_.push_back(std::move(step));
  }

  void air(const Experiment& e) {
    const FlameWindow& window = *e.window;
    VesselStep step{"Air that gets in by itself (docs/methods.md, 15)", {}, {}};
    const std::string way = e.way == WayIn::two_openings ? "Gas leaves by one opening and air comes in by the other."
                            : e.way == WayIn::diffusion  ? "The gas stays; it only diffuses out of the mouth."
                            : e.way == WayIn::small_hole ? "The gas stays; it only diffuses out of the hole."
                            : e.way == WayIn::wide_mouth ? "Air falls or rises through the open mouth."
                                                         : "Gas and air pass each other in one opening.";
    step.words.push_back(way + " Its content weighs " + shown(e.density) + " kg/m3, the air around it " +
                         shown(e.surrounding_density) + " kg/m3. It can burn while " + percent(e.lean_share) + " to " +
                         percent(e.rich_share) + " of the content is left.");
    two_openings(e, step);
    step.lines.push_back({"air at first", "60000" + times_ + shown(e.air_flow), 60000.0 * e.air_flow, "L/min"});
    out_.push_back(std::move(step));
    if (e.fed) return;
    out_.back().words.push_back(
        "Where the air mixes at once it comes into the range after " + format_duration(window.mixed_from) +
        " and is too lean after " + format_duration(window.mixed_until) +
        "; where it stays unmixed it passes the range after " + format_duration(window.unmixed) + ".");
  }

  /// Equations (25) and (26), of a vessel with one opening at its top and one at its bottom.
  void two_openings(const Experiment& e, VesselStep& step) const {
    const Apparatus& vessel = site_.spaces[a_.space.value].apparatus;
    if (e.way != WayIn::two_openings || vessel.openings.size() != 2) return;
    const bool floats = e.density < e.surrounding_density;
    const VesselOpening* out = &vessel.openings[0];
    const VesselOpening* in = &vessel.openings[1];
    if ((out->height > in->height) != floats) std::swap(out, in);
    constexpr double discharge = 0.6, quarter_pi = 0.785398;
    double c_a[2] = {};
    int k = 0;
    for (const VesselOpening* hole : {out, in}) {
      const std::string d = shown(hole->diameter);
      c_a[k] = discharge * quarter_pi * hole->diameter * hole->diameter;
      step.lines.push_back({hole == out ? "C a, where gas leaves" : "C a, where air enters",
                            shown(discharge) + times_ + shown(quarter_pi) + times_ + d + times_ + d, c_a[k++], "m2"});
    }
    const double apart = std::abs(out->height - in->height);
    const double difference = std::abs(e.surrounding_density - e.density);
    const double square = 2.0 * difference * standard_gravity * apart /
                          (e.density / (c_a[0] * c_a[0]) + e.surrounding_density / (c_a[1] * c_a[1]));
    const auto over = [&](double density, double area) {
      return shown(density) + " / (" + shown(area) + times_ + shown(area) + ")";
    };
    step.lines.push_back({"q squared (25)",
                          "2" + times_ + shown(difference) + times_ + shown(standard_gravity) + times_ + shown(apart) +
                              " / (" + over(e.density, c_a[0]) + " + " + over(e.surrounding_density, c_a[1]) + ")",
                          square, "m6/s2"});
    step.words.push_back("q, its root, is " + shown(std::sqrt(square)) + " m3/s.");
    if (vessel.liquid > 0.0) return;
    const double between = a_.volume * apart / vessel.inner_height.value_or(apart);
    step.lines.push_back({"emptied, unmixed (26)", "2" + times_ + shown(between) + " / " + shown(std::sqrt(square)),
                          2.0 * between / std::sqrt(square), "s"});
  }

  const Site& site_;
  const SpaceArithmetic& a_;
  std::string times_;
  std::vector<VesselStep> out_;
};

}  // namespace

std::vector<VesselStep> vessel_steps(const Site& site, const SpaceArithmetic& arithmetic, const std::string& times) {
  return Steps{site, arithmetic, times}.take();
}

}  // namespace leanside::report
