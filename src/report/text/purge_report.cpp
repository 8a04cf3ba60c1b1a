// SPDX-License-Identifier: Apache-2.0
/// How to purge a vessel, in words and numbers.
#include <algorithm>
#include <cmath>
#include <string>

#include "base/text/plain.hpp"
#include "leanside/report.hpp"
#include "leanside/study/purge_replay.hpp"
#include "report/json/json.hpp"
#include "report/words/words.hpp"

namespace leanside {
namespace {

using namespace report;

/// A share for people: "2.88 %", "100 ppm". Has at most the figures given, so that a rounded target stays as it is.
std::string share_words(double fraction, int digits = 3) {
  constexpr double few = 1e-3;
  return fraction > 0.0 && fraction < few ? format_quantity(fraction, "ppm", digits) : percent(fraction, digits);
}

std::string litres_or_cubic_metres(double volume) { return format_quantity(volume, volume < 1.0 ? "L" : "m3", 3); }

std::string gas_volume(double volumes, double volume) {
  return litres_or_cubic_metres(rounded_up_to(volumes * volume, 3));
}

/// A duration that is never less than `seconds` where it is printed.
std::string duration_at_least(double seconds) {
  constexpr double hour = 3600.0, day = 86400.0;
  double step = seconds < 9.9 ? 0.1 : seconds < hour ? 1.0 : seconds < 2.0 * day ? 60.0 : 0.1 * day;
  if (seconds >= 100.0 * day) step = std::pow(10.0, std::floor(std::log10(seconds / day)) - 2.0) * day;
  return format_duration(step * std::ceil(seconds / step * (1.0 - 1e-12)));
}

/// The parts of the answer about one leg that differ between the two.
struct LegWords {
  std::string title;   ///< "Into service: before hydrogen goes into a vessel of air"
  std::string what;    ///< what is purged: "oxygen", "hydrogen"
  std::string then;    ///< "let hydrogen in"
  std::string before;  ///< what must not be done before: "Let no hydrogen in"
  bool out = false;
};

std::string cycle_words(const PurgeCycles& cycles, double high, double low, double volume) {
  return format_number(cycles.cycles) + (cycles.cycles == 1.0 ? " cycle" : " cycles") + " between " +
         format_quantity(low, "bar", 4) + " and " + format_quantity(high, "bar", 4) + " absolute (" +
         format_number(cycles.exact, 3) + " before rounding up), " + gas_volume(cycles.volumes, volume) + " of gas";
}

/// Why there is no plan, and what gas would do.
std::string refusal_words(const PurgeSubject& subject, const PurgeQuestion& question, const PurgePlan& plan,
                          const PurgeLeg& leg, bool out) {
  const std::string id = plain_text(subject.id);
  const std::string keep = out ? " Keep the vessel closed and let no air in." : "";
  switch (leg.refusal) {
    case PurgeRefusal::decomposes:
      return id + " can burn or decompose without air. No inert gas takes that away while it is in the vessel." + keep +
             " Keep every ignition source away, and ask the supplier of the gas what to do.";
    case PurgeRefusal::oxygen_not_known:
      return "No source gives the least oxygen with which " + id + " burns, so any oxygen counts as enough." + keep +
             " If a data sheet gives its limiting oxygen concentration, put it into a file for --substances.";
    case PurgeRefusal::replay:
      return "Computed step by step, this plan enters the flammable range." + keep +
             " Use a smaller --margin or a gas with less oxygen.";
    default:
      break;
  }
  std::string why = "The purge gas holds " + share_words(question.oxygen_in_gas, 4) + " of oxygen.";
  if (out) {
    why += " While it sweeps " + id +
           " out, the mixture passes the flammable range or comes closer to it than the margin allows." + keep;
  } else {
    why += " It cannot bring the oxygen down to a level at which " + id + " may go in.";
  }
  if (plan.oxygen_below) {
    why += " Use a gas with less than " + share_words(*plan.oxygen_below) + " of oxygen, such as nitrogen.";
  }
  return why;
}

/// Heading, target and the ways to it.
std::string leg_text(const PurgeSubject& subject, const PurgeQuestion& question, const PurgePlan& plan,
                     const PurgeLeg& leg, const LegWords& words, std::size_t width) {
  std::string out = "\n" + words.title + "\n";
  if (!leg.possible) {
    return out + wrapped("No purging with this gas makes this safe.", "  ", width, 2) +
           wrapped(refusal_words(subject, question, plan, leg, words.out), "  ", width, 2);
  }
  if (!leg.needed) {
    return out + wrapped("Nothing to purge: no mixture on the way from air to " + plain_text(subject.id) +
                             " is in the flammable range.",
                         "  ", width, 2);
  }
  out += wrapped("Purge until the vessel holds " + share_words(leg.to) + " of " + words.what + " or less. That is " +
                     percent(question.margin) + " of " + share_words(rounded_down_to(leg.limit, 3)) +
                     ", the most from which you can " + words.then + " without passing the flammable range.",
                 "  ", width, 2);
  std::string sweep = "Sweep: " + format_number(leg.sweep, 3) + " volumes of the vessel, " +
                      gas_volume(leg.sweep, question.volume) + " of gas";
  if (leg.sweep_time) sweep += ", " + duration_at_least(*leg.sweep_time) + " at the given flow";
  out += wrapped(sweep + ". Where the gas mixes badly, more.", "  - ", width, 4);
  if (leg.pressure) {
    out += wrapped(
        "Or pressure cycles: " + cycle_words(*leg.pressure, *question.high, question.ambient, question.volume) + ".",
        "  - ", width, 4);
  }
  if (leg.vacuum) {
    out += wrapped("Or vacuum cycles: " + cycle_words(*leg.vacuum, question.ambient, *question.low, question.volume) +
                       ". A leak draws air into the vessel under vacuum: test first that it holds the vacuum.",
                   "  - ", width, 4);
  }
  return out + wrapped(words.before + " before you have measured this at the outlet.", "  ", width, 2);
}

std::string remarks(const PurgeSubject& subject, const PurgeQuestion& question, const PurgePlan& plan) {
  const std::string id = plain_text(subject.id), at = format_quantity(question.temperature, "degC", 3);
  std::string out;
  if (subject.boiling_point && *subject.boiling_point > question.temperature) {
    out += id + " is a liquid at " + at +
           " and boils above it: drain the vessel first. Liquid that stays behind gives off vapour after the purge. ";
  }
  if (plan.into_service.possible || plan.out_of_service.possible) {
    out +=
        "Each way was also computed step by step, as `leanside check` computes a site, and stayed outside the "
        "flammable range. ";
  }
  out += "The flammable range is that with nitrogen at atmospheric pressure and " + at +
         (subject.gases.size() > 1 ? ", from the limits of the parts by Le Chatelier's rule" : "") +
         " (docs/methods.md)";
  out += question.high ? "; under pressure it is wider. " : ". ";
  return out +
         "Carbon dioxide instead of nitrogen is on the safe side, argon and helium are not. Lead what leaves the "
         "vessel "
         "outdoors, away from ignition sources. Dead ends and pockets keep their gas: measure there too.";
}

Json leg_json(const PurgeLeg& leg) {
  const auto cycles = [](const std::optional<PurgeCycles>& c) {
    if (!c) return Json(nullptr);
    return Json{{"exact", c->exact}, {"cycles", c->cycles}, {"volumes", c->volumes}};
  };
  const auto reason = [&]() -> Json {
    switch (leg.refusal) {
      case PurgeRefusal::none:
        return nullptr;
      case PurgeRefusal::decomposes:
        return "decomposes";
      case PurgeRefusal::oxygen_not_known:
        return "oxygen_not_known";
      case PurgeRefusal::too_much_oxygen:
        return "too_much_oxygen";
      case PurgeRefusal::replay:
        break;
    }
    return "replay";
  };
  return {{"possible", leg.possible},
          {"refusal", reason()},
          {"needed", leg.needed},
          {"from", leg.from},
          {"limit", leg.limit},
          {"to", leg.to},
          {"sweep_volumes", leg.sweep},
          {"sweep_s", or_null(leg.sweep_time)},
          {"pressure", cycles(leg.pressure)},
          {"vacuum", cycles(leg.vacuum)}};
}

}  // namespace

std::string purge_report(const PurgeSubject& subject, const PurgeQuestion& question, const PurgePlan& plan,
                         const TextStyle& style) {
  const std::string id = plain_text(subject.id);
  std::string title =
      plain_text(subject.name) + " in a vessel of " + litres_or_cubic_metres(question.volume) + ", purged with ";
  title += question.oxygen_in_gas > 0.0
               ? "a gas of nitrogen and " + share_words(question.oxygen_in_gas, 4) + " of oxygen"
               : std::string{"nitrogen"};
  std::string out = wrapped(title, "", style.width, 2);
  out += leg_text(subject, question, plan, plan.into_service,
                  {"Into service: before " + id + " goes into a vessel of air", "oxygen", "let " + id + " in",
                   "Let no " + id + " in", false},
                  style.width);
  out += leg_text(
      subject, question, plan, plan.out_of_service,
      {"Out of service: before a vessel of " + id + " is opened to air", id, "let air in", "Let no air in", true},
      style.width);
  out += "\n" + wrapped(remarks(subject, question, plan), "", style.width, 0);
  out += "\n" + wrapped(caution(), "", style.width, 0);
  return style.unicode ? out : ascii_only(out);
}

std::string purge_json(const PurgeSubject& subject, const PurgeQuestion& question, const PurgePlan& plan) {
  return dumped({{"gas", subject.id},
                 {"volume_m3", question.volume},
                 {"temperature_K", question.temperature},
                 {"margin", question.margin},
                 {"oxygen_in_gas", question.oxygen_in_gas},
                 {"oxygen_in_gas_below", or_null(plan.oxygen_below)},
                 {"into_service", leg_json(plan.into_service)},
                 {"out_of_service", leg_json(plan.out_of_service)}}) +
         "\n";
}

}  // namespace leanside
