// SPDX-License-Identifier: Apache-2.0
/// Where gas detectors see most, soonest, for programs.
#include <cmath>
#include <ranges>

#include "leanside/report.hpp"
#include "leanside/study/detectors.hpp"
#include "report/json/assumption_json.hpp"
#include "report/json/json_answer.hpp"

namespace leanside {
namespace {

using namespace report;

Json scenario_json(const Site& site, const GasScenario& scenario) {
  return {{"case", id_of(site, scenario.case_index)},
          {"release", id_of(site, scenario.release)},
          {"sensor", word_of(scenario.sensor)}};
}

}  // namespace

std::string detectors_json(const Site& site, const DetectorPlan& plan) {
  const auto scenario = [&](const GasScenario& one) { return scenario_json(site, one); };
  return answer_about(site, [&](JsonKeys& keys) {
    keys.put("alarm", plan.alarm);
    keys.put("mean_time_s", plan.mean_time);
    keys.put("exact", plan.exact);
    keys.put("bound_s", plan.bound);
    keys.put("places", array_of(plan.places, [&](const DetectorPlace& place) -> Json {
               return {
                   {"space", id_of(site, place.space)},
                   {"mount", array_of(place.mountings, [](Mounting m) { return word_of(m); })},
                   {"sees_first", array_of(place.first, [&](std::size_t s) { return scenario(plan.scenarios[s]); })}};
             }));
    keys.put_each("releases", std::views::iota(std::size_t{0}, plan.scenarios.size()), [&](std::size_t s) {
      Json one = scenario(plan.scenarios[s]);
      one["seen_after_s"] = or_null(plan.seen[s]);
      Json times = Json::object();
      for (std::size_t c = 0; c < plan.candidates.size(); ++c) {
        if (std::isfinite(plan.time[s][c])) times[site.spaces[plan.candidates[c].value].id] = plan.time[s][c];
      }
      one["alarm_after_s"] = times;
      return one;
    });
    keys.put("never_at_alarm", array_of(plan.silent, scenario));
    keys.put("assumptions", assumptions_json(site, plan.assumptions));
  });
}

}  // namespace leanside
