// SPDX-License-Identifier: Apache-2.0
/// How to purge a vessel, for programs.
#include "leanside/report.hpp"
#include "leanside/study/purge_replay.hpp"
#include "report/json/json.hpp"

namespace leanside {
namespace {

using namespace report;

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
