// SPDX-License-Identifier: Apache-2.0
/// The arithmetic of one space in words and lines `name = expression = value unit`.
#include <cmath>
#include <optional>

#include <fmt/format.h>

#include "base/text/plain.hpp"
#include "leanside/explain.hpp"
#include "leanside/report.hpp"
#include "report/text/vessel_explanation.hpp"
#include "report/words/words.hpp"

namespace leanside {
namespace {

using namespace report;

constexpr int digits = 6;

std::string shown(double value) { return format_number(value, digits); }

class Explanation {
 public:
  Explanation(const Site& site, const SpaceArithmetic& arithmetic, const TextStyle& style)
      : site_{site}, a_{arithmetic}, style_{style} {}

  std::string text() {
    head();
    amounts();
    for (const VesselStep& step : vessel_steps(site_, a_, times_sign())) {
      heading(step.heading);
      for (const std::string& words : step.words) paragraph(words);
      for (const VesselLine& one : step.lines) line(one.name, one.expression, one.value, one.unit);
    }
    if (!a_.no_steady.empty()) {
      const bool open = a_.experiment && !a_.experiment->sealed;
      paragraph("There is no steady state to compute here: " +
                (open ? "in the end nothing flows but the air that gets in by itself" : plain_text(a_.no_steady)) +
                ".");
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
  /// What people of other units read beside a value of SI, in brackets or behind a comma; empty where they read SI.
  std::string beside(double si, std::string_view unit) const {
    if (site_.conditions.units == UnitSystem::si) return {};
    return format_quantity(si, unit, 4, site_.conditions.units);
  }
  std::string beside(double si, std::string_view unit, const std::string& from) const {
    const std::string words = beside(si, unit);
    return words.empty() || from.empty() ? words + from : words + ", " + from;
  }
  void given(const std::string& name, double value, const std::string& unit, const std::string& from = "") {
    out_ += fmt::format("     {}: {} {}{}\n", name, shown(value), unit, from.empty() ? "" : "   (" + from + ")");
  }
  std::string times_sign() const { return style_.unicode ? " \u00d7 " : " * "; }
  std::string finished() const { return style_.unicode ? out_ : ascii_only(out_); }

  // ---- steps

  void head() {
    out_ += wrapped(
        label(site_, a_.space) + " in steady state, " +
            (a_.case_index.value == 0 ? std::string{"normal case"} : "case \"" + label(site_, a_.case_index) + "\""),
        "", style_.width, 0);
    out_ += wrapped(
        "Every event has happened and every release that never stops goes on for ever. Numbers in brackets "
        "are those of the equations in docs/methods.md. Values are shown to six figures: with them a "
        "calculator comes to the same to four." +
            std::string{site_.conditions.units == UnitSystem::us
                            ? " The arithmetic is in SI units; what it starts from stands beside in cfm, ft3, psi and "
                              "degF."
                            : ""},
        "", style_.width, 0);
  }

  void amounts() {
    heading("What the space holds (1)");
    given("P, pressure", a_.pressure, "Pa", beside(a_.pressure, "kPa", "[conditions]"));
    given("T, temperature", a_.temperature, "K",
          format_quantity(a_.temperature, "degC", digits, site_.conditions.units));
    given("R, gas constant", gas_constant, "J/(mol K)", "SI, exact");
    if (!(a_.volume > 0.0)) {
      paragraph("A junction holds nothing: what comes in mixes and goes on.");
      return;
    }
    given("V, volume", a_.volume, "m3", beside(a_.volume, "m3"));
    line("N",
         shown(a_.pressure) + times_sign() + shown(a_.volume) + " / (" + shown(gas_constant) + times_sign() +
             shown(a_.temperature) + ")",
         a_.moles, "mol");
  }

  std::string name_of(const ExplainedStream& stream) const {
    switch (stream.kind) {
      case ExplainedStream::Kind::airway:
        return plain_text(site_.airways[stream.airway->value].id);
      case ExplainedStream::Kind::air_changes:
        return "air changes";
      case ExplainedStream::Kind::assumed_leak:
        break;
    }
    return "assumed leak";
  }

  void streams() {
    heading("The air that moves: F = P q / (R T), T that of where it comes from");
    if (a_.streams.empty()) paragraph("None.");
    for (const ExplainedStream& stream : a_.streams) {
      const double q = 3600.0 * stream.flow;
      const std::string name =
          fmt::format("{} {} {}", name_of(stream), stream.into ? "from" : "to", label(site_, stream.other));
      const std::string other = beside(stream.flow, "m3/h");
      out_ += wrapped(fmt::format("{}: {} m3/h{}", name, shown(q), other.empty() ? "" : " (" + other + ")"), "     ",
                      style_.width, 7);
      line("F",
           shown(a_.pressure) + times_sign() + shown(q) + " / 3600 / (" + shown(gas_constant) + times_sign() +
               shown(stream.temperature) + ")",
           stream.rate, "mol/s");
    }
    sum("I, all that comes in", true, a_.inflow);
    sum("all that goes out", false, a_.outflow);
  }

  void sum(const std::string& name, bool into, double value) {
    std::string terms;
    std::size_t n = 0;
    for (const ExplainedStream& stream : a_.streams) {
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
    std::vector<std::string> terms(site_.gases.size());
    std::vector<double> sums(site_.gases.size(), 0.0);
    for (const ExplainedRelease& one : a_.releases) {
      const Release& release = site_.releases[one.release.value];
      out_ += wrapped("\"" + label(site_, one.release) + "\", " + plain_text(release.gas.name) +
                          ", as written: " + plain_text(release.as_written),
                      "     ", style_.width, 7);
      out_ += fmt::format("     = {} mol/s, {} at {} and site pressure\n", shown(one.rate),
                          format_quantity(one.flow, "L/min", digits, site_.conditions.units),
                          format_quantity(site_.conditions.temperature, "degC", digits, site_.conditions.units));
      for (const ExplainedRelease::Part& part : one.parts) {
        if (part.fraction < 1.0) {
          line("of which " + name_of(part.gas), shown(part.fraction) + times_sign() + shown(one.rate), part.rate,
               "mol/s");
        }
        std::string& all = terms[part.gas.value];
        all += (all.empty() ? "" : " + ") + shown(part.rate);
        sums[part.gas.value] += part.rate;
      }
    }
    if (a_.releases.empty()) paragraph("None gets into this space itself; what is there comes with the air.");
    for (std::size_t k = 0; k < terms.size(); ++k) {
      if (terms[k].find('+') != std::string::npos) {
        line("G of " + name_of(GasIndex{k}), terms[k], sums[k], "mol/s");
      }
    }
  }

  std::string name_of(GasIndex gas) const { return plain_text(site_.gases[gas.value].substance.id); }

  void fractions() {
    const double factor = a_.mixing_factor;
    const double mixed = a_.inflow / factor;
    heading(factor > 1.0 ? "The fraction of each gas, with mixing factor K = " + shown(factor) +
                               ": x = (gas brought / K + G) / (I / K + all gas let in) (5)"
                         : "The fraction of each gas: x = (gas brought + G) / (I + all gas let in) (4)");
    paragraph(
        "Gas brought: each stream that comes in times the fraction in what it comes from; air from outside brings "
        "none. What goes out is as much as comes in and is let in.");
    if (factor > 1.0) line("I / K", shown(a_.inflow) + " / " + shown(factor), mixed, "mol/s");
    for (const ExplainedGas& gas : a_.gases) {
      std::string terms;
      for (const ExplainedGas::Term& term : gas.terms) {
        terms +=
            (terms.empty() ? "" : " + ") + shown(a_.streams[term.stream].rate) + times_sign() + shown(term.fraction);
      }
      if (!terms.empty()) line(name_of(gas.gas) + ", brought", terms, gas.brought, "mol/s");
      const std::string through = factor > 1.0 ? shown(gas.brought) + " / " + shown(factor) : shown(gas.brought);
      line("x of " + name_of(gas.gas),
           "(" + through + " + " + shown(gas.released) + ") / (" + shown(mixed) + " + " + shown(a_.released) + ")",
           gas.fraction, "(" + percent(gas.fraction, 4) + ")");
      if (gas.differs) {
        paragraph("The engine has " + shown(gas.solved) + ": gas flows there that this arithmetic does not see.");
      }
    }
    if (a_.gases.empty()) paragraph("There is none of any gas.");
  }

  std::string level_words() const {
    const Criteria& c = site_.criteria;
    switch (a_.level) {
      case MixtureState::flammable:
        return "at or over the lower flammable limit";
      case MixtureState::margin:
        return "at or over the margin of " + percent(c.warn_at);
      case MixtureState::note:
        return "worth a note: at or over " + percent(c.note_at);
      default:
        return "clear: under " + percent(c.note_at);
    }
  }

  void limits() {
    heading("How near to burning: sum of x / LFL (Le Chatelier)");
    std::string terms;
    for (const ExplainedLimit& one : a_.limits) {
      const Gas& gas = site_.gases[one.gas.value];
      given("LFL of " + name_of(one.gas) + " at " +
                format_quantity(zero_celsius + 25.0, "degC", 3, site_.conditions.units),
            one.lower_at_25, "mol/mol", plain_text(gas.limits->lower_source));
      if (std::abs(one.lower - one.lower_at_25) > 1e-9) {
        out_ += fmt::format("     LFL of {} at the temperature of the space: {} mol/mol   (docs/methods.md, 7)\n",
                            name_of(one.gas), shown(one.lower));
      }
      terms += (terms.empty() ? "" : " + ") + shown(one.fraction) + " / " + shown(one.lower);
    }
    if (terms.empty()) {
      paragraph("Nothing that burns.");
    } else {
      line("share of the limit", terms, a_.lfl_fraction, "(" + percent_of_limit(site_, a_.lfl_fraction) + ")");
      paragraph("That is " + level_words() + ".");
    }
    if (!a_.oxygen) return;
    std::string others;
    for (const double fraction : a_.oxygen->fractions) others += " - " + shown(fraction);
    line("oxygen (2)", shown(a_.oxygen->in_air) + times_sign() + "(1" + others + ") + " + shown(a_.oxygen->added),
         a_.oxygen->value, "(" + percent_of_oxygen(site_, a_.oxygen->value) + ")");
  }

  void times() {
    if (!a_.time_constant) return;
    heading("How quickly");
    const double time = *a_.time_constant;
    line("time constant",
         shown(a_.moles) + " / (" + shown(a_.inflow / a_.mixing_factor) + " + " + shown(a_.released) + ")", time,
         "s (" + format_duration(time) + ")");
    paragraph(
        "After one time constant 63 % of a change is done, after three 95 %, after five 99 %, as far as what the air "
        "brings and all flows stay the same.");
    for (const ExplainedPassage& passage : a_.passages) {
      line("reaches " + percent(passage.mark) + " of the limit after",
           "-" + shown(time) + times_sign() + "ln(1 - " + shown(passage.mark) + " / " + shown(a_.lfl_fraction) + ")",
           passage.time, "s");
      out_ += fmt::format("       the engine: {} s\n", shown(passage.engine));
    }
  }

  void ends() {
    heading("And within the run of " + format_duration(a_.horizon));
    paragraph(
        "The engine follows events and releases that end step by step (docs/methods.md, 5); its worst instant is " +
        (a_.peak.time > 0.0 ? "after " + format_duration(a_.peak.time) : std::string{"the start"}) + ", with " +
        percent_of_limit(site_, a_.peak.lfl_fraction) + " of the lower flammable limit.");
    out_ += "\n" + wrapped(std::string{caution()}, "", style_.width, 0);
  }

  const Site& site_;
  const SpaceArithmetic& a_;
  TextStyle style_;
  std::string out_;
  int step_ = 0;
};

}  // namespace

std::string explanation(const Site& site, const SpaceArithmetic& arithmetic, const TextStyle& style) {
  return Explanation{site, arithmetic, style}.text();
}

}  // namespace leanside
