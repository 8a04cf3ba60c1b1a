// SPDX-License-Identifier: Apache-2.0
/// Where gas detectors see most, soonest, for programs.
#include <cmath>

#include "leanside/report.hpp"
#include "leanside/study/detectors.hpp"
#include "report/json/assumption_json.hpp"
#include "report/json/json.hpp"

namespace leanside {
namespace {

using namespace report;

Json scenario_json(const Site& site, const GasScenario& scenario) {
  return {{"case", site.cases[scenario.case_index.value].id},
          {"release", site.releases[scenario.release.value].id},
          {"sensor", word_of(scenario.sensor)}};
}

}  // namespace

std::string detectors_json(const Site& site, const DetectorPlan& plan) {
  std::string out = "{\n\"site\": " + dumped({{"title", site.title}, {"file", site.file}});
  const auto put = [&](const char* key, const Json& value) {
    out.append(",\n\"").append(key).append("\": ").append(dumped(value));
  };
  put("alarm", plan.alarm);
  put("mean_time_s", plan.mean_time);
  put("exact", plan.exact);
  put("bound_s", plan.bound);
  Json places = Json::array();
  for (const DetectorPlace& place : plan.places) {
    Json mountings = Json::array(), first = Json::array();
    for (const Mounting m : place.mountings) mountings.push_back(word_of(m));
    for (const std::size_t s : place.first) first.push_back(scenario_json(site, plan.scenarios[s]));
    places.push_back({{"space", site.spaces[place.space.value].id}, {"mount", mountings}, {"sees_first", first}});
  }
  put("places", places);
  out += ",\n\"releases\": ";
  {
    JsonList list{out, ""};
    for (std::size_t s = 0; s < plan.scenarios.size(); ++s) {
      Json one = scenario_json(site, plan.scenarios[s]);
      one["seen_after_s"] = or_null(plan.seen[s]);
      Json times = Json::object();
      for (std::size_t c = 0; c < plan.candidates.size(); ++c) {
        if (std::isfinite(plan.time[s][c])) times[site.spaces[plan.candidates[c].value].id] = plan.time[s][c];
      }
      one["alarm_after_s"] = times;
      list.next() += dumped(one);
    }
  }
  Json silent = Json::array();
  for (const GasScenario& scenario : plan.silent) silent.push_back(scenario_json(site, scenario));
  put("never_at_alarm", silent);
  put("assumptions", assumptions_json(site, plan.assumptions));
  return out + "\n}\n";
}

}  // namespace leanside
