// SPDX-License-Identifier: Apache-2.0
/// How much air is enough, how much gas is too much, for programs.
#include "leanside/report.hpp"
#include "leanside/study/size.hpp"
#include "report/json/assumption_json.hpp"
#include "report/json/json_answer.hpp"
#include "report/words/study_words.hpp"

namespace leanside {
namespace {

using namespace report;

Json constraint_json(const Site& site, const Constraint& c) {
  Json out{{"case", id_of(site, c.case_index)},
           {"space", id_of(site, c.space)},
           {"severity", c.starved ? Json(nullptr) : Json(word_of(c.severity))},
           {"lfl_fraction", c.lfl_fraction},
           {"is_steady", c.is_steady}};
  if (c.subject == Subject::oxygen) out["oxygen"] = c.oxygen;
  if (c.subject == Subject::pressure) out["pressure_pa"] = c.pressure;
  if (c.gas) out["gas"] = id_of(site, *c.gas);
  if (c.gas) out["fraction"] = c.gas_fraction;
  if (c.release) out["release"] = id_of(site, *c.release);
  if (c.starved) out["starved_fan"] = id_of(site, *c.starved);
  if (c.over_for > 0.0) out["over_for_s"] = c.over_for;
  return out;
}

Json list_json(const Site& site, const std::vector<Constraint>& list) {
  return array_of(list, [&](const Constraint& c) { return constraint_json(site, c); });
}

Json fan_json(const Site& site, const FanSize& fan) {
  const Space* const space = aired(site, fan.fan);
  return {{"fan", id_of(site, fan.fan)},
          {"now_m3_s", fan.now},
          {"least_m3_s", fan.least},
          {"flow_m3_s", fan.flow},
          {"air_changes_per_s", space == nullptr ? Json(nullptr) : Json(fan.flow / space->volume)}};
}

Json opening_json(const Site& site, const OpeningSize& opening) {
  return {{"opening", id_of(site, opening.opening)},
          {"now_m2", opening.now},
          {"least_m2", opening.least},
          {"area_m2", opening.area}};
}

Json event_json(const Site& site, const EventSize& event) {
  return {{"fan", id_of(site, event.fan)}, {"cases", ids_of(site, event.cases)}, {"at_s", event.at},
          {"now_m3_s", event.now},         {"switches_off", event.switches_off}, {"flow_m3_s", or_null(event.flow)}};
}

Json remaining_json(const Site& site, const Remaining& r) {
  Json one = constraint_json(site, r.warning);
  one["why"] = word_of(r.why);
  return one;
}

Json influence_json(const Site& site, const Influence& i) {
  Json one{{"on", constraint_json(site, i.on)}};
  if (i.airway) one["airway"] = id_of(site, *i.airway);
  if (i.release) one["release"] = id_of(site, *i.release);
  one[i.airway ? "per_m3_s" : "per_mol_s"] = i.derivative;
  one["of_one_percent"] = i.of_one_percent;
  return one;
}

/// What was sized.
std::string_view subject_of(const Sizing& sizing) {
  if (sizing.of_release) return "release";
  return sizing.fans.empty() && !sizing.openings.empty() ? "openings" : "fans";
}

}  // namespace

std::string sizing_json(const Site& site, const Sizing& sizing) {
  const auto each = [&](const auto& things, const auto& json_of) {
    return array_of(things, [&](const auto& thing) { return json_of(site, thing); });
  };
  return answer_about(site, [&](JsonKeys& keys) {
    keys.put("of", subject_of(sizing));
    keys.put("found", sizing.found);
    keys.put("reason", sizing.found ? Json(nullptr) : Json(sizing.reason));
    keys.put("factor", sizing.factor);
    if (sizing.of_release) {
      keys.put("release", id_of(site, *sizing.release));
      keys.put("at_once", sizing.whole);
    }
    keys.put("fans", each(sizing.fans, fan_json));
    keys.put("openings", each(sizing.openings, opening_json));
    keys.put("events", each(sizing.events, event_json));
    keys.put("before", list_json(site, sizing.before));
    keys.put("remaining", each(sizing.remaining, remaining_json));
    keys.put("binding", list_json(site, sizing.binding));
    keys.put("untried", ids_of(site, sizing.untried));
    keys.put("influences", each(sizing.influences, influence_json));
    keys.put("runs", sizing.runs);
    keys.put("assumptions", assumptions_json(site, sizing.assumptions));
  });
}

}  // namespace leanside
