// SPDX-License-Identifier: Apache-2.0
/// The arithmetic of one space, step by step. The equations are those of docs/methods.md, with its numbers.
#include <algorithm>
#include <cmath>
#include <optional>

#include <fmt/format.h>

#include "base/text/plain.hpp"
#include "hazard/mixture.hpp"
#include "leanside/advanced/release.hpp"
#include "leanside/report.hpp"
#include "report/words/words.hpp"

namespace leanside {
namespace {

using namespace report;

constexpr int digits = 6;
constexpr double nothing = 1e-12;  ///< mol/mol below which a gas is not there

std::string shown(double value) { return format_number(value, digits); }

/// What streams into or out of the space by one way.
struct Stream {
  std::string name;
  Side other;
  bool into = false;
  double rate = 0.0;  ///< mol/s
};

class Explanation {
 public:
  Explanation(const Site& site, const CaseResult& result, SpaceIndex index, const SteadyFractions& steady,
              const TextStyle& style)
      : site_{site},
        result_{result},
        index_{index},
        space_{site.spaces[index.value]},
        steady_{steady},
        style_{style},
        state_{state_at(site, result.which, HUGE_VAL)},
        temperature_{state_.temperature[index.value]},
        models_{hazard::mixture_models(site, result.which)} {}

  std::string text() {
    head();
    amounts();
    if (!steady_.reached[index_.value]) {
      paragraph("There is no steady state to compute here: " + plain_text(steady_.reason[index_.value]) + ".");
      ends();
      return finished();
    }
    streams();
    releases();
    fractions();
    limits();
    times();
    ends();
    return finished();
  }

 private:
  // ---- writing

  void heading(const std::string& words) { out_ += fmt::format("\n{}. {}\n", ++step_, words); }
  void paragraph(const std::string& words) { out_ += wrapped(words, "   ", style_.width, 3); }
  /// `name = expression = value unit`, checked by whoever has a calculator.
  void line(const std::string& name, const std::string& expression, double value, const std::string& unit) {
    out_ += fmt::format("     {} = {} = {}{}{}\n", name, expression, shown(value), unit.empty() ? "" : " ", unit);
  }
  void given(const std::string& name, double value, const std::string& unit, const std::string& from = "") {
    out_ += fmt::format("     {}: {} {}{}\n", name, shown(value), unit, from.empty() ? "" : "   (" + from + ")");
  }
  std::string times_sign() const { return style_.unicode ? " \u00d7 " : " * "; }
  std::string finished() const { return style_.unicode ? out_ : ascii_only(out_); }

  // ---- steps

  void head() {
    out_ += wrapped(
        label(site_, index_) + " in steady state, " +
            (result_.which.value == 0 ? std::string{"normal case"} : "case \"" + label(site_, result_.which) + "\""),
        "", style_.width, 0);
    out_ += wrapped(
        "Every event has happened and every release that never stops goes on for ever. Numbers in brackets "
        "are those of the equations in docs/methods.md. Values are shown to six figures: with them a "
        "calculator comes to the same to four.",
        "", style_.width, 0);
  }

  void amounts() {
    heading("What the space holds (1)");
    given("P, pressure", site_.conditions.pressure, "Pa", "[conditions]");
    given("T, temperature", temperature_, "K", shown(temperature_ - zero_celsius) + " degC");
    given("R, gas constant", gas_constant, "J/(mol K)", "SI, exact");
    if (!(space_.volume > 0.0)) {
      paragraph("A junction holds nothing: what comes in mixes and goes on.");
      return;
    }
    given("V, volume", space_.volume, "m3");
    moles_ = site_.conditions.pressure * space_.volume / (gas_constant * temperature_);
    line("N",
         shown(site_.conditions.pressure) + times_sign() + shown(space_.volume) + " / (" + shown(gas_constant) +
             times_sign() + shown(temperature_) + ")",
         moles_, "mol");
  }

  void add(const std::string& name, Side other, bool into, double rate) {
    if (rate > 0.0) streams_.push_back({name, other, into, rate});
  }

  void collect_streams() {
    const FlowField& flows = steady_.flows;
    const Side here{index_};
    for (std::size_t i = 0; i < site_.airways.size() && i < flows.airways.size(); ++i) {
      const Airway& airway = site_.airways[i];
      const Side a = first_side(airway), b = second_side(airway);
      const std::string name = plain_text(airway.id);
      if (a == here) {
        add(name, b, false, flows.airways[i].forward);
        add(name, b, true, flows.airways[i].backward);
      } else if (b == here) {
        add(name, a, true, flows.airways[i].forward);
        add(name, a, false, flows.airways[i].backward);
      }
    }
    const double changes = molar_flow(space_.air_changes * space_.volume, site_.conditions.pressure, temperature_);
    add("air changes", {}, true, changes);
    add("air changes", {}, false, changes);
    for (const AssumedLeak& leak : flows.leaks) {
      if (leak.space == index_) add("assumed leak", leak.other, leak.rate > 0.0, std::abs(leak.rate));
      if (leak.other == here) add("assumed leak", leak.space, leak.rate < 0.0, std::abs(leak.rate));
    }
    std::stable_partition(streams_.begin(), streams_.end(), [](const Stream& stream) { return stream.into; });
  }

  double temperature_of(Side side) const {
    return side ? state_.temperature[side->value] : site_.conditions.outside_temperature;
  }

  void streams() {
    collect_streams();
    heading("The air that moves: F = P q / (R T), T that of where it comes from");
    if (streams_.empty()) paragraph("None.");
    for (const Stream& stream : streams_) {
      const double t = temperature_of(stream.into ? stream.other : Side{index_});
      const double q = 3600.0 * stream.rate * gas_constant * t / site_.conditions.pressure;
      const std::string name =
          fmt::format("{} {} {}", stream.name, stream.into ? "from" : "to", label(site_, stream.other));
      out_ += wrapped(fmt::format("{}: {} m3/h", name, shown(q)), "     ", style_.width, 7);
      line("F",
           shown(site_.conditions.pressure) + times_sign() + shown(q) + " / 3600 / (" + shown(gas_constant) +
               times_sign() + shown(t) + ")",
           stream.rate, "mol/s");
      (stream.into ? inflow_ : outflow_) += stream.rate;
    }
    sum("I, all that comes in", true, inflow_);
    sum("all that goes out", false, outflow_);
  }

  void sum(const std::string& name, bool into, double value) {
    std::string terms;
    std::size_t n = 0;
    for (const Stream& stream : streams_) {
      if (stream.into != into) continue;
      terms += (n++ > 0 ? " + " : "") + shown(stream.rate);
    }
    if (n > 1) {
      line(name, terms, value, "mol/s");
    } else if (n == 1) {
      given(name, value, "mol/s");
    }
  }

  void releases() {
    heading("The gas that gets in and never stops");
    gas_in_.assign(site_.gases.size(), 0.0);
    std::vector<std::string> terms(site_.gases.size());
    bool any = false;
    for (std::size_t r = 0; r < site_.releases.size(); ++r) {
      const Release& release = site_.releases[r];
      const double rate = state_.release_rate[r];
      if (release.into != index_ || !(rate > 0.0)) continue;
      any = true;
      const double q = 60000.0 * rate * gas_constant * site_.conditions.temperature / site_.conditions.pressure;
      out_ += wrapped("\"" + label(site_, ReleaseIndex{r}) + "\", " + plain_text(release.gas.name) +
                          ", as written: " + plain_text(release.as_written),
                      "     ", style_.width, 7);
      out_ += fmt::format("     = {} mol/s, {} L/min at {} degC and site pressure\n", shown(rate), shown(q),
                          shown(site_.conditions.temperature - zero_celsius));
      released_ += rate;
      for (const GasShare& share : release.gas.shares) {
        const double part = share.fraction * rate;
        if (share.fraction < 1.0) {
          line("of which " + name_of(share.gas.value), shown(share.fraction) + times_sign() + shown(rate), part,
               "mol/s");
        }
        std::string& all = terms[share.gas.value];
        all += (all.empty() ? "" : " + ") + shown(part);
        gas_in_[share.gas.value] += part;
      }
    }
    if (!any) paragraph("None gets into this space itself; what is there comes with the air.");
    for (std::size_t k = 0; k < terms.size(); ++k) {
      if (terms[k].find('+') != std::string::npos) {
        line("G of " + name_of(k), terms[k], gas_in_[k], "mol/s");
      }
    }
  }

  std::string name_of(std::size_t gas) const { return plain_text(site_.gases[gas].substance.id); }

  /// What leaves a space: its mixed part where K is 1; else equation (5), its z found from what it is fed with.
  double leaving(Side side, std::size_t gas) const {
    if (!side) return 0.0;
    return leaving_.empty() ? steady_.fractions(*side, gas) : leaving_[side->value * site_.gases.size() + gas];
  }

  /// y of every space; by repetition, since a badly mixed space may feed another. Each turn shrinks the error by the
  /// share that passes by unmixed and comes back.
  void find_leaving() {
    const std::size_t gases = site_.gases.size();
    std::vector<double> y(site_.spaces.size() * gases);
    for (std::size_t i = 0; i < site_.spaces.size(); ++i) {
      for (std::size_t k = 0; k < gases; ++k) y[i * gases + k] = steady_.fractions(SpaceIndex{i}, k);
    }
    leaving_ = y;
    if (std::none_of(site_.spaces.begin(), site_.spaces.end(), [](const Space& s) { return s.mixing_factor > 1.0; })) {
      return;
    }
    std::vector<double> in(site_.spaces.size(), 0.0);
    for (const MolarFlow& flow : steady_.flows.flows) {
      if (flow.to) in[flow.to->value] += flow.rate;
    }
    constexpr int turns = 300;
    for (int turn = 0; turn < turns; ++turn) {
      std::vector<double> carried(y.size(), 0.0);
      for (const MolarFlow& flow : steady_.flows.flows) {
        if (!flow.to || !flow.from) continue;
        for (std::size_t k = 0; k < gases; ++k) {
          carried[flow.to->value * gases + k] += flow.rate * leaving_[flow.from->value * gases + k];
        }
      }
      for (std::size_t i = 0; i < site_.spaces.size(); ++i) {
        const double factor = site_.spaces[i].mixing_factor, release = steady_.flows.release[i];
        if (!(factor > 1.0) || !(in[i] + release > 0.0)) continue;
        for (std::size_t k = 0; k < gases; ++k) {
          leaving_[i * gases + k] =
              ((in[i] / factor + release) * y[i * gases + k] + (1.0 - 1.0 / factor) * carried[i * gases + k]) /
              (in[i] + release);
        }
      }
    }
  }

  bool is_there(std::size_t gas) const { return steady_.fractions(index_, gas) > nothing; }

  void fractions() {
    find_leaving();
    const double factor = space_.mixing_factor;
    const double mixed = inflow_ / factor;
    heading(factor > 1.0 ? "The fraction of each gas, with mixing factor K = " + shown(factor) +
                               ": x = (gas brought / K + G) / (I / K + all gas let in) (5)"
                         : "The fraction of each gas: x = (gas brought + G) / (I + all gas let in) (4)");
    paragraph(
        "Gas brought: each stream that comes in times the fraction in what it comes from; air from outside brings "
        "none. What goes out is as much as comes in and is let in.");
    if (factor > 1.0) line("I / K", shown(inflow_) + " / " + shown(factor), mixed, "mol/s");
    bool any = false;
    for (std::size_t k = 0; k < site_.gases.size(); ++k) {
      if (!is_there(k)) continue;
      any = true;
      double brought = 0.0;
      std::string terms;
      for (const Stream& stream : streams_) {
        const double there = stream.into ? leaving(stream.other, k) : 0.0;
        if (!(there > 0.0)) continue;
        terms += (terms.empty() ? "" : " + ") + shown(stream.rate) + times_sign() + shown(there);
        brought += stream.rate * there;
      }
      if (!terms.empty()) line(name_of(k) + ", brought", terms, brought, "mol/s");
      const std::string through = factor > 1.0 ? shown(brought) + " / " + shown(factor) : shown(brought);
      const double computed = (brought / factor + gas_in_[k]) / (mixed + released_);
      line("x of " + name_of(k),
           "(" + through + " + " + shown(gas_in_[k]) + ") / (" + shown(mixed) + " + " + shown(released_) + ")",
           computed, "(" + percent(computed, 4) + ")");
      const double solved = steady_.fractions(index_, k);
      if (std::abs(computed - solved) > 1e-5 * solved) {
        paragraph("The engine has " + shown(solved) + ": gas flows there that this arithmetic does not see.");
      }
    }
    if (!any) paragraph("There is none of any gas.");
  }

  void limits() {
    heading("How near to burning: sum of x / LFL (Le Chatelier)");
    const hazard::MixtureModel& model = models_.of(index_);
    std::string terms;
    bool several = false;
    for (std::size_t k = 0; k < site_.gases.size(); ++k) {
      const Gas& gas = site_.gases[k];
      if (!gas.limits || !is_there(k)) continue;
      const double lower = 1.0 / model.lower[k];
      given("LFL of " + name_of(k) + " at 25 degC", gas.limits->lower, "mol/mol", plain_text(gas.limits->lower_source));
      if (std::abs(lower - gas.limits->lower) > 1e-9) {
        out_ += fmt::format("     LFL of {} at the temperature of the space: {} mol/mol   (docs/methods.md, 7)\n",
                            name_of(k), shown(lower));
      }
      several = several || !terms.empty();
      terms += (terms.empty() ? "" : " + ") + shown(steady_.fractions(index_, k)) + " / " + shown(lower);
    }
    if (terms.empty()) {
      paragraph("Nothing that burns.");
    } else {
      const double level = model.lfl_fraction(steady_.fractions.of(index_));
      line("share of the limit", terms, level, "(" + percent_of_limit(level, site_.criteria) + ")");
      const Criteria& c = site_.criteria;
      const std::string verdict = level >= 1.0         ? "at or over the lower flammable limit"
                                  : level >= c.warn_at ? "at or over the margin of " + percent(c.warn_at)
                                  : level >= c.note_at ? "worth a note: at or over " + percent(c.note_at)
                                                       : "clear: under " + percent(c.note_at);
      paragraph("That is " + verdict + ".");
    }
    oxygen(model);
  }

  void oxygen(const hazard::MixtureModel& model) {
    std::string others;
    double added = 0.0;
    for (std::size_t k = 0; k < site_.gases.size(); ++k) {
      if (!is_there(k)) continue;
      others += " - " + shown(steady_.fractions(index_, k));
      // Oxygen itself takes the place of air and is oxygen.
      if (model.oxygen[k] > 0.0) added += steady_.fractions(index_, k);
    }
    if (others.empty()) return;
    const double value = model.oxygen_of(steady_.fractions.of(index_));
    line("oxygen (2)", shown(site_.conditions.oxygen_in_air) + times_sign() + "(1" + others + ") + " + shown(added),
         value, "(" + percent_of_oxygen(value, site_.criteria) + ")");
  }

  void times() {
    if (!(moles_ > 0.0)) return;
    const double through = inflow_ / space_.mixing_factor + released_;
    if (!(through > 0.0)) return;
    heading("How quickly");
    const double time = moles_ / through;
    line("time constant",
         shown(moles_) + " / (" + shown(inflow_ / space_.mixing_factor) + " + " + shown(released_) + ")", time,
         "s (" + format_duration(time) + ")");
    paragraph(
        "After one time constant 63 % of a change is done, after three 95 %, after five 99 %, as far as what the air "
        "brings and all flows stay the same.");
    const SpaceResult& space = result_.spaces[index_.value];
    const bool from_clean_air = std::none_of(streams_.begin(), streams_.end(), [&](const Stream& stream) {
      if (!stream.into || !stream.other) return false;
      for (std::size_t k = 0; k < site_.gases.size(); ++k) {
        if (leaving(stream.other, k) > nothing) return true;
      }
      return false;
    });
    if (!from_clean_air || changes_on_the_way() || !space_.initial.empty()) return;
    const double level = models_.of(index_).lfl_fraction(steady_.fractions.of(index_));
    for (const Crossing& crossing : space.crossings) {
      const double mark = crossing.threshold == Threshold::note   ? site_.criteria.note_at
                          : crossing.threshold == Threshold::warn ? site_.criteria.warn_at
                          : crossing.threshold == Threshold::lfl  ? 1.0
                                                                  : 0.0;
      if (!(mark > 0.0) || !(level > mark)) continue;
      line("reaches " + percent(mark) + " of the limit after",
           "-" + shown(time) + times_sign() + "ln(1 - " + shown(mark) + " / " + shown(level) + ")",
           -time * std::log(1.0 - mark / level), "s");
      out_ += fmt::format("       the engine: {} s\n", shown(crossing.up));
    }
  }

  /// Whether anything is switched in this case, or gas begins to get in here later, or ends.
  bool changes_on_the_way() const {
    const auto& events = site_.cases[result_.which.value].events;
    if (!events.empty()) return true;
    for (std::size_t r = 0; r < site_.releases.size(); ++r) {
      if (site_.releases[r].into != index_) continue;
      for (const EmissionSpan& span : emission(site_.releases[r], ReleaseIndex{r}, events)) {
        if (span.begin > 0.0 || std::isfinite(span.end)) return true;
      }
    }
    return std::any_of(site_.airways.begin(), site_.airways.end(), follows_pressure);
  }

  void ends() {
    const SpaceResult& space = result_.spaces[index_.value];
    heading("And within the run of " + format_duration(site_.criteria.horizon));
    paragraph(
        "The engine follows events and releases that end step by step (docs/methods.md, 5); its worst instant is " +
        (space.peak.time > 0.0 ? "after " + format_duration(space.peak.time) : std::string{"the start"}) + ", with " +
        percent_of_limit(space.peak.lfl_fraction, site_.criteria) + " of the lower flammable limit.");
    out_ += "\n" + wrapped(std::string{caution()}, "", style_.width, 0);
  }

  const Site& site_;
  const CaseResult& result_;
  SpaceIndex index_;
  const Space& space_;
  const SteadyFractions& steady_;
  TextStyle style_;
  SiteState state_;
  double temperature_;
  hazard::MixtureModels models_;

  std::string out_;
  int step_ = 0;
  double moles_ = 0.0;
  double inflow_ = 0.0, outflow_ = 0.0;  ///< mol/s
  double released_ = 0.0;                ///< mol/s, all gases and the air in them
  std::vector<double> gas_in_;           ///< mol/s, by GasIndex
  std::vector<Stream> streams_;          ///< those that come in first
  std::vector<double> leaving_;          ///< y, by space and gas
};

}  // namespace

std::string explanation(const Site& site, const CaseResult& result, SpaceIndex space, const SteadyFractions& steady,
                        const TextStyle& style) {
  return Explanation{site, result, space, steady, style}.text();
}

}  // namespace leanside
