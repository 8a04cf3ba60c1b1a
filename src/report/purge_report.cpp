// SPDX-License-Identifier: Apache-2.0
/// How to purge a vessel, in words and numbers.
#include <algorithm>
#include <string>

#include "leanside/report.hpp"
#include "report/json.hpp"
#include "report/plain.hpp"
#include "report/words.hpp"

namespace leanside {
namespace {

using namespace report;

std::string gas_volume(double volumes, double volume) {
  const double used = volumes * volume;
  constexpr double large = 1.0;
  return format_quantity(used, used < large ? "L" : "m3", 3);
}

std::string cycle_words(const PurgeCycles& cycles, double high, double low, double volume) {
  return format_number(cycles.cycles) + (cycles.cycles == 1.0 ? " cycle" : " cycles") + " between " +
         format_quantity(low, "bar", 3) + " and " + format_quantity(high, "bar", 3) + " absolute (" +
         format_number(cycles.exact, 3) + " before rounding up), " + gas_volume(cycles.volumes, volume) + " of gas";
}

/// "Out of service"-like heading, target and the ways to it.
std::string leg_text(const PurgeQuestion& question, const PurgeLeg& leg, const std::string& title,
                     const std::string& what, const std::string& why, std::size_t width) {
  std::string out = "\n" + title + "\n";
  if (!leg.possible) {
    return out + wrapped("No purging makes this safe: " + why, "  ", width, 2);
  }
  if (leg.from <= leg.to) {
    return out + wrapped("Nothing to purge: " + what + " is under its target from the start.", "  ", width, 2);
  }
  out += wrapped(what + " from " + percent(leg.from, 4) + " down to " + percent(leg.to, 3) + ": " +
                     percent(question.margin) + " of " + percent(leg.limit, 3) + ", " + why,
                 "  ", width, 2);
  std::string sweep = "sweep through: " + format_number(leg.sweep, 3) + " volumes of the vessel, " +
                      gas_volume(leg.sweep, question.volume) + " of gas";
  if (leg.sweep_time) sweep += ", " + format_duration(*leg.sweep_time) + " at the given flow";
  out += wrapped(sweep + "; where the gas does not mix well, more", "  ", width, 4);
  if (leg.pressure) {
    out += wrapped("pressure cycles: " + cycle_words(*leg.pressure, *question.high, question.ambient, question.volume),
                   "  ", width, 4);
  }
  if (leg.vacuum) {
    out += wrapped("vacuum cycles: " + cycle_words(*leg.vacuum, question.ambient, *question.low, question.volume), "  ",
                   width, 4);
  }
  return out;
}

Json leg_json(const PurgeLeg& leg) {
  const auto cycles = [](const std::optional<PurgeCycles>& c) {
    if (!c) return Json(nullptr);
    return Json{{"exact", c->exact}, {"cycles", c->cycles}, {"volumes", c->volumes}};
  };
  return {{"possible", leg.possible},
          {"from", leg.from},
          {"limit", leg.limit},
          {"to", leg.to},
          {"sweep_volumes", leg.sweep},
          {"sweep_s", or_null(leg.sweep_time)},
          {"pressure", cycles(leg.pressure)},
          {"vacuum", cycles(leg.vacuum)}};
}

}  // namespace

std::string purge_report(const Substance& gas, const PurgeQuestion& question, const PurgePlan& plan,
                         const TextStyle& style) {
  const std::string name = plain_text(gas.name.empty() ? gas.id : gas.name), id = plain_text(gas.id);
  std::string out = name + " in a vessel of " +
                    format_quantity(question.volume, question.volume < 1.0 ? "L" : "m3", 3) +
                    ", purged with nitrogen\n";
  const bool unknown = !question.fuel.limiting_oxygen;
  const std::string no_way = question.fuel.upper >= 1.0 - 1e-6 ? "it can burn or decompose without air."
                             : unknown ? "no source gives the least oxygen that lets it burn, so that any oxygen "
                                         "counts as enough."
                                       : "the purge gas itself holds too much oxygen.";
  out += leg_text(question, plan.into_service, "Into service: before " + id + " goes into a vessel of air", "oxygen",
                  plan.into_service.possible ? "from where " + id + " can be let in without passing the range" : no_way,
                  style.width);
  out += leg_text(question, plan.out_of_service, "Out of service: before air goes into a vessel of " + id, id,
                  plan.out_of_service.possible ? "from where air can be let in without passing the range" : no_way,
                  style.width);
  out += "\n" + wrapped(
                    "The targets come from the flammable range with nitrogen (docs/methods.md) and the margin. "
                    "Carbon dioxide is on the safe side of them, argon and helium are not. What leaves the vessel "
                    "is led outside. Measure before you rely on it: dead ends and pockets do not take part.",
                    "", style.width, 0);
  out += "\n" + wrapped(caution(), "", style.width, 0);
  return style.unicode ? out : ascii_only(out);
}

std::string purge_json(const Substance& gas, const PurgeQuestion& question, const PurgePlan& plan) {
  return dumped({{"tool", {{"name", "leanside"}, {"version", version()}}},
                 {"notice", caution()},
                 {"gas", gas.id},
                 {"volume_m3", question.volume},
                 {"margin", question.margin},
                 {"into_service", leg_json(plan.into_service)},
                 {"out_of_service", leg_json(plan.out_of_service)}}) +
         "\n";
}

}  // namespace leanside
