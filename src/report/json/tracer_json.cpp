// SPDX-License-Identifier: Apache-2.0
/// Air flows found by the decay of a tracer gas, for programs.
#include "leanside/report.hpp"
#include "leanside/study/tracer.hpp"
#include "report/json/assumption_json.hpp"
#include "report/json/json.hpp"

namespace leanside {
namespace {

using namespace report;

Json estimate_json(const Estimate& e) { return {{"value", e.value}, {"low", e.low}, {"high", e.high}}; }

Json side_json(const Site& site, const Side& side) {
  return side ? Json(site.spaces[side->value].id) : Json("outside");
}

}  // namespace

std::string tracer_json(const Site& site, const TracerFit& fit) {
  std::string out = "{\n\"site\": " + dumped({{"title", site.title}, {"file", site.file}});
  const auto put = [&](const char* key, const Json& value) {
    out.append(",\n\"").append(key).append("\": ").append(dumped(value));
  };
  put("confidence", fit.confidence);
  put("readings", fit.readings);
  put("duration_s", fit.duration);
  put("background", fit.background);
  put("unit", fit.unit);
  put("scatter", fit.scatter);
  if (fit.fixed_error) put("fixed_error", *fit.fixed_error);
  Json spaces = Json::array(), flows = Json::array();
  for (const TracerSpace& s : fit.spaces) {
    spaces.push_back({{"space", site.spaces[s.space.value].id},
                      {"air_change_per_s", estimate_json(s.air_change)},
                      {"fresh_air_m3_s", estimate_json(s.fresh)},
                      {"start", s.start}});
  }
  for (const TracerFlow& f : fit.flows) {
    flows.push_back(
        {{"from", side_json(site, f.from)}, {"to", side_json(site, f.to)}, {"flow_m3_s", estimate_json(f.flow)}});
  }
  put("spaces", spaces);
  put("flows", flows);
  put("cautions", fit.cautions);
  put("assumptions", assumptions_json(site, fit.assumptions));
  return out + "\n}\n";
}

}  // namespace leanside
