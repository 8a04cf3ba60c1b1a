// SPDX-License-Identifier: Apache-2.0
/// Air flows found by the decay of a tracer gas, for programs.
#include "leanside/report.hpp"
#include "leanside/study/tracer.hpp"
#include "report/json/assumption_json.hpp"
#include "report/json/json_answer.hpp"

namespace leanside {
namespace {

using namespace report;

Json estimate_json(const Estimate& e) { return {{"value", e.value}, {"low", e.low}, {"high", e.high}}; }

}  // namespace

std::string tracer_json(const Site& site, const TracerFit& fit) {
  return answer_about(site, [&](JsonKeys& keys) {
    keys.put("confidence", fit.confidence);
    keys.put("readings", fit.readings);
    keys.put("duration_s", fit.duration);
    keys.put("background", fit.background);
    keys.put("unit", fit.unit);
    keys.put("scatter", fit.scatter);
    if (fit.fixed_error) keys.put("fixed_error", *fit.fixed_error);
    keys.put("spaces", array_of(fit.spaces, [&](const TracerSpace& s) -> Json {
               return {{"space", id_of(site, s.space)},
                       {"air_change_per_s", estimate_json(s.air_change)},
                       {"fresh_air_m3_s", estimate_json(s.fresh)},
                       {"start", s.start}};
             }));
    keys.put("flows", array_of(fit.flows, [&](const TracerFlow& f) -> Json {
               return {{"from", id_of(site, f.from)}, {"to", id_of(site, f.to)}, {"flow_m3_s", estimate_json(f.flow)}};
             }));
    keys.put("cautions", fit.cautions);
    keys.put("assumptions", assumptions_json(site, fit.assumptions));
  });
}

}  // namespace leanside
