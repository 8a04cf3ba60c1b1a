// SPDX-License-Identifier: Apache-2.0
/// How to purge a vessel, in words and numbers.
#include <algorithm>
#include <cmath>
#include <string>

#include "base/text/plain.hpp"
#include "leanside/report.hpp"
#include "leanside/study/purge_question.hpp"
#include "leanside/study/purge_replay.hpp"
#include "report/words/words.hpp"

namespace leanside {
namespace {

using namespace report;

constexpr double cubic_foot = 0.3048 * 0.3048 * 0.3048;  // m3

/// A share for people, "2.88 %" or "100 ppm", of at most the figures given, so that a rounded target stays as it is.
std::string share_words(double fraction, int digits = 3) {
  constexpr double few = 1e-3;
  return fraction > 0.0 && fraction < few ? format_quantity(fraction, "ppm", digits) : percent(fraction, digits);
}

std::string litres_or_cubic_metres(double volume, UnitSystem units) {
  return format_quantity(volume, volume < 1.0 ? "L" : "m3", 3, units);
}

/// Rounded up in the unit that is shown.
std::string gas_volume(double volumes, double volume, UnitSystem units) {
  const double cubic_metres = volumes * volume;
  const double shown = units == UnitSystem::us ? cubic_foot * rounded_up_to(cubic_metres / cubic_foot, 3)
                                               : rounded_up_to(cubic_metres, 3);
  return litres_or_cubic_metres(shown, units);
}

/// A duration that is never less than `seconds` where it is printed.
std::string duration_at_least(double seconds) {
  constexpr double hour = 3600.0, day = 86400.0;
  double step = seconds < 9.9 ? 0.1 : seconds < hour ? 1.0 : seconds < 2.0 * day ? 60.0 : 0.1 * day;
  if (seconds >= 100.0 * day) step = std::pow(10.0, std::floor(std::log10(seconds / day)) - 2.0) * day;
  return format_duration(step * std::ceil(seconds / step * (1.0 - 1e-12)));
}

/// The name of the gas inside a sentence: "n-butane", "natural gas", "liquefied petroleum gas".
std::string name_in_text(const PurgeSubject& subject) {
  std::string name = plain_text(subject.name);
  if (const std::size_t bracket = name.find(" ("); bracket != std::string::npos) name.resize(bracket);
  const auto upper = [](char c) { return c >= 'A' && c <= 'Z'; };
  const auto lower = [](char c) { return c >= 'a' && c <= 'z'; };
  for (std::size_t i = 0; i + 1 < name.size(); ++i) {
    if (!upper(name[i]) || !lower(name[i + 1])) continue;
    name[i] = static_cast<char>(name[i] - 'A' + 'a');
    break;
  }
  return name;
}

std::string at_start(std::string sentence) {
  if (!sentence.empty() && sentence[0] >= 'a' && sentence[0] <= 'z') {
    sentence[0] = static_cast<char>(sentence[0] - 'a' + 'A');
  }
  return sentence;
}

/// The parts of the answer about one leg that differ between the two.
struct LegWords {
  std::string gas;      ///< "hydrogen"
  std::string title;    ///< "Into service: before hydrogen goes into a vessel of air"
  std::string what;     ///< what is purged: "oxygen", "hydrogen"
  std::string then;     ///< "hydrogen may go in"
  std::string measure;  ///< how to make sure of it
  std::string without;  ///< what not to do without a plan
};

LegWords words_into_service(const std::string& gas) {
  return {gas,
          "Into service: before " + gas + " goes into a vessel of air",
          "oxygen",
          gas + " may go in",
          "Measure the oxygen at the outlet before you let any " + gas + " in.",
          "Let no " + gas + " into the vessel."};
}

LegWords words_out_of_service(const std::string& gas) {
  return {gas,
          "Out of service: before a vessel of " + gas + " is opened to air",
          gas,
          "air may come in",
          "Measure the " + gas +
              " at the outlet before you let any air in. Use an instrument that works without oxygen: an ordinary "
              "gas alarm reads too low in nitrogen.",
          "Keep the vessel closed and let no air in."};
}

std::string cycle_words(const PurgeCycles& cycles, double high, double low, double volume, UnitSystem units) {
  return format_number(cycles.cycles) + (cycles.cycles == 1.0 ? " cycle" : " cycles") + " between " +
         format_quantity(low, low < 1e4 ? "mbar" : "bar", 4, units) + " and " + format_quantity(high, "bar", 4, units) +
         " absolute (" + format_number(cycles.exact, 3) + " before rounding up), " +
         gas_volume(cycles.volumes, volume, units) + " of purge gas";
}

std::string too_much_oxygen(const PurgeQuestion& question, const PurgePlan& plan, const LegWords& words, bool out) {
  const double limit = plan.into_service.limit;
  std::string why = "The purge gas holds " + share_words(question.oxygen_in_gas, 4) + " oxygen. ";
  if (!out) {
    why += "It cannot bring the oxygen in the vessel down far enough. ";
  } else if (question.oxygen_in_gas >= limit) {
    why += "As it mixes with the " + words.gas + " in the vessel, the mixture becomes flammable. ";
  } else {
    why += "As it mixes with the " + words.gas + " in the vessel, the mixture comes too close to the flammable range. ";
  }
  why += words.without;
  if (plan.oxygen_below) {
    why += " Use a gas with less than " + share_words(*plan.oxygen_below) + " oxygen, such as nitrogen.";
  }
  return why;
}

/// Why there is no plan, and what to do instead.
std::string refusal_words(const PurgeQuestion& question, const PurgePlan& plan, const PurgeLeg& leg,
                          const LegWords& words, bool out) {
  switch (leg.refusal) {
    case PurgeRefusal::decomposes:
      return "Purging does not make this safe. " + at_start(words.gas) +
             " can explode without any air, so no purge gas takes the danger away while it is in the vessel. " +
             words.without + " Keep every ignition source away and ask the supplier of the gas what to do.";
    case PurgeRefusal::oxygen_not_known:
      return "There is no plan, because no source gives the lowest oxygen content at which " + words.gas + " burns. " +
             words.without +
             (out ? " Without that value only a purge gas with no oxygen at all can be planned with." : "") +
             " If a data sheet gives the limiting oxygen concentration, put it into a file for --substances.";
    case PurgeRefusal::replay:
      return "There is no plan: computed step by step, this one enters the flammable range. " + words.without +
             " Use a smaller --margin or a gas with less oxygen.";
    default:
      return "No purging with this gas makes this safe. " + too_much_oxygen(question, plan, words, out);
  }
}

/// The ways to purge, one a line.
std::string ways_text(const PurgeQuestion& question, const PurgeLeg& leg, const TextStyle& style) {
  const std::size_t width = style.width;
  std::string sweep = "Sweep: " + format_number(leg.sweep, 3) + " vessel volumes, " +
                      gas_volume(leg.sweep, question.volume, style.units) + " of purge gas";
  if (leg.sweep_time) sweep += ", " + duration_at_least(*leg.sweep_time) + " at the given flow";
  std::string out = wrapped(sweep + ". Allow more where the gas mixes badly.", "  - ", width, 4);
  if (leg.pressure) {
    out += wrapped("Or pressure cycles: " +
                       cycle_words(*leg.pressure, *question.high, question.ambient, question.volume, style.units) +
                       ". Let the gas mix before you let it out.",
                   "  - ", width, 4);
  }
  if (leg.vacuum) {
    out += wrapped(
        "Or vacuum cycles: " + cycle_words(*leg.vacuum, question.ambient, *question.low, question.volume, style.units) +
            ". A leak draws air into the vessel under vacuum: test first that it holds the vacuum.",
        "  - ", width, 4);
  }
  return out;
}

/// Heading, target and the ways to it.
std::string leg_text(const PurgeQuestion& question, const PurgePlan& plan, const PurgeLeg& leg, const LegWords& words,
                     const TextStyle& style) {
  const std::size_t width = style.width;
  const std::string title = "\n" + words.title + "\n";
  if (!leg.possible) {
    const bool out = &leg == &plan.out_of_service;
    return title + wrapped(refusal_words(question, plan, leg, words, out), "  ", width, 2);
  }
  if (!leg.needed) {
    return title + wrapped("Nothing to purge: no mixture of air and " + words.gas + " is in the flammable range.", "  ",
                           width, 2);
  }
  return title +
         wrapped("Purge until the vessel holds " + share_words(leg.to) + " " + words.what + " or less. That is " +
                     percent(question.margin) + " of " + share_words(rounded_down_to(leg.limit, 3)) +
                     ", the most at which " + words.then + " without passing through the flammable range.",
                 "  ", width, 2) +
         ways_text(question, leg, style) + wrapped(words.measure, "  ", width, 2);
}

bool is_pyrophoric(const PurgeSubject& subject) {
  return std::ranges::any_of(subject.gases, [](const Gas& gas) {
    return std::ranges::find(gas.substance.classification, "pyrophoric") != gas.substance.classification.end();
  });
}

/// How dangerous to breathe the gas is that is left where the plan lets air in; empty where that is not known.
std::string breathing_words(const PurgeSubject& subject, const PurgeLeg& out) {
  if (!out.possible || !out.needed) return {};
  const Substance* worst = nullptr;
  double most = 1.0;
  for (const GasShare& share : subject.shares) {
    const Substance& part = subject.gases[share.gas.value].substance;
    if (!part.idlh || out.to * share.fraction <= most * part.idlh->value) continue;
    most = out.to * share.fraction / part.idlh->value;
    worst = &part;
  }
  if (worst == nullptr) return {};
  return share_words(out.to) + " " + name_in_text(subject) + " is " + format_number(most, 2) +
         " times the concentration " +
         (subject.gases.size() > 1 ? "of " + plain_text(worst->id) + " " : std::string{}) +
         "that is immediately dangerous to life or health (" + concentration_words(worst->idlh->value) +
         "): purge much further before anyone breathes near the open vessel. ";
}

/// What has to be known before anything is let in or out.
std::string before_starting(const PurgeSubject& subject, const PurgeQuestion& question, UnitSystem units) {
  const std::string gas = at_start(name_in_text(subject));
  std::string out;
  if (subject.boiling_point && *subject.boiling_point > question.temperature) {
    out += gas + " is a liquid at " + format_quantity(question.temperature, "degC", 3, units) +
           ": drain the vessel first. Liquid that stays behind gives off vapour after the purge. ";
  }
  if (is_pyrophoric(subject)) {
    out += gas +
           " ignites by itself in air: what leaves the vessel burns at the outlet. Lead it to a burner or scrubber "
           "that is made for it, and ask the supplier of the gas. ";
  }
  return out;
}

std::string safety_text(const PurgeSubject& subject, const PurgePlan& plan) {
  return breathing_words(subject, plan.out_of_service) +
         "A purged vessel holds too little oxygen to breathe: nobody may enter it or put their head in. " +
         (is_pyrophoric(subject) ? ""
                                 : "Lead what leaves the vessel, or its pump, outdoors, away from people, air intakes "
                                   "and ignition sources.");
}

/// Why the margin is what it is, where nobody chose another one.
std::string margin_words(const PurgeSubject& subject, const PurgeQuestion& question) {
  const double usual = usual_purge_margin(question.gas);
  if (question.margin != usual) return {};
  if (usual == usual_purge_margin({})) {
    return "The margin, " + percent(question.margin) +
           " of each target, is that of NFPA 69 (from memory) where nothing measures the oxygen all the time. ";
  }
  return "The margin is " + percent(question.margin) + " of each target and not " + percent(usual_purge_margin({})) +
         ", because " + name_in_text(subject) +
         " burns with less than 5 % oxygen: NFPA 69 (from memory), where nothing measures the oxygen all the time. ";
}

/// What the figures rest on.
std::string remarks(const PurgeSubject& subject, const PurgeQuestion& question, const PurgePlan& plan,
                    UnitSystem units) {
  std::string out;
  const bool planned = (plan.into_service.possible && plan.into_service.needed) ||
                       (plan.out_of_service.possible && plan.out_of_service.needed);
  if (planned) {
    out +=
        "Every plan here was also computed step by step, as `leanside check` would compute it: the vessel never "
        "entered the flammable range. ";
  }
  if (planned) out += margin_words(subject, question);
  out += "The flammable range is the one at atmospheric pressure and " +
         format_quantity(question.temperature, "degC", 3, units) + ", with nitrogen" +
         (subject.gases.size() > 1 ? ", from the limits of the parts by Le Chatelier's rule" : "") +
         " (docs/methods.md). At higher pressure it is wider. ";
  constexpr double warm = 40.0;  // degC
  if (question.temperature > zero_celsius + warm) {
    out += std::string{"Limiting oxygen concentrations are measured near "} +
           format_quantity(zero_celsius + 25.0, "degC", 3, units) + ": a hot vessel needs a smaller --margin. ";
  }
  if (planned) {
    out +=
        "Carbon dioxide gas in place of nitrogen is on the safe side; argon and helium are not. Dead ends and pockets "
        "keep their gas: measure there too.";
  }
  return out;
}

}  // namespace

std::string purge_report(const PurgeSubject& subject, const PurgeQuestion& question, const PurgePlan& plan,
                         const TextStyle& style) {
  const std::string gas = name_in_text(subject);
  std::string title = plain_text(subject.name) + " in a vessel of " +
                      litres_or_cubic_metres(question.volume, style.units) + ", purged with nitrogen";
  if (question.oxygen_in_gas > 0.0) title += " that holds " + share_words(question.oxygen_in_gas, 4) + " oxygen";
  std::string out = wrapped(title, "", style.width, 2);
  const std::string before = before_starting(subject, question, style.units);
  if (!before.empty()) out += wrapped(before, "", style.width, 0);
  out += leg_text(question, plan, plan.into_service, words_into_service(gas), style);
  out += leg_text(question, plan, plan.out_of_service, words_out_of_service(gas), style);
  out += "\n" + wrapped(safety_text(subject, plan), "", style.width, 0);
  out += "\n" + wrapped(remarks(subject, question, plan, style.units), "", style.width, 0);
  out += "\n" + wrapped(caution(), "", style.width, 0);
  return style.unicode ? out : ascii_only(out);
}

}  // namespace leanside
