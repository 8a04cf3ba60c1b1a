// SPDX-License-Identifier: Apache-2.0
/// How much air is enough, how much gas is too much, for programs.
#include "leanside/report.hpp"
#include "leanside/study/size.hpp"
#include "report/json/assumption_json.hpp"
#include "report/json/json.hpp"
#include "report/words/study_words.hpp"

namespace leanside {
namespace {

using namespace report;

Json constraint_json(const Site& site, const Constraint& c) {
  Json out{{"case", site.cases[c.case_index.value].id},
           {"space", site.spaces[c.space.value].id},
           {"severity", c.starved ? Json(nullptr) : Json(word_of(c.severity))},
           {"lfl_fraction", c.lfl_fraction},
           {"is_steady", c.is_steady}};
  if (c.subject == Subject::oxygen) out["oxygen"] = c.oxygen;
  if (c.subject == Subject::pressure) out["pressure_pa"] = c.pressure;
  if (c.gas) out["gas"] = site.gases[c.gas->value].substance.id;
  if (c.gas) out["fraction"] = c.gas_fraction;
  if (c.release) out["release"] = site.releases[c.release->value].id;
  if (c.starved) out["starved_fan"] = site.airways[c.starved->value].id;
  if (c.over_for > 0.0) out["over_for_s"] = c.over_for;
  return out;
}

Json list_json(const Site& site, const std::vector<Constraint>& list) {
  Json out = Json::array();
  for (const Constraint& c : list) out.push_back(constraint_json(site, c));
  return out;
}

Json fans_json(const Site& site, const Sizing& sizing) {
  Json fans = Json::array();
  for (const FanSize& fan : sizing.fans) {
    const Space* const space = aired(site, fan.fan);
    fans.push_back({{"fan", site.airways[fan.fan.value].id},
                    {"now_m3_s", fan.now},
                    {"least_m3_s", fan.least},
                    {"flow_m3_s", fan.flow},
                    {"air_changes_per_s", space == nullptr ? Json(nullptr) : Json(fan.flow / space->volume)}});
  }
  return fans;
}

Json events_json(const Site& site, const Sizing& sizing) {
  Json events = Json::array();
  for (const EventSize& event : sizing.events) {
    Json cases = Json::array();
    for (const CaseIndex case_index : event.cases) cases.push_back(site.cases[case_index.value].id);
    events.push_back({{"fan", site.airways[event.fan.value].id},
                      {"cases", cases},
                      {"at_s", event.at},
                      {"now_m3_s", event.now},
                      {"switches_off", event.switches_off},
                      {"flow_m3_s", or_null(event.flow)}});
  }
  return events;
}

Json remaining_json(const Site& site, const Sizing& sizing) {
  Json remaining = Json::array();
  for (const Remaining& r : sizing.remaining) {
    Json one = constraint_json(site, r.warning);
    one["why"] = word_of(r.why);
    remaining.push_back(one);
  }
  return remaining;
}

Json influences_json(const Site& site, const Sizing& sizing) {
  Json influences = Json::array();
  for (const Influence& i : sizing.influences) {
    Json one{{"on", constraint_json(site, i.on)}};
    if (i.airway) one["airway"] = site.airways[i.airway->value].id;
    if (i.release) one["release"] = site.releases[i.release->value].id;
    one[i.airway ? "per_m3_s" : "per_mol_s"] = i.derivative;
    one["of_one_percent"] = i.of_one_percent;
    influences.push_back(one);
  }
  return influences;
}

}  // namespace

std::string sizing_json(const Site& site, const Sizing& sizing) {
  std::string out = "{\n\"site\": " + dumped({{"title", site.title}, {"file", site.file}});
  const auto put = [&](const char* key, const Json& value) {
    out.append(",\n\"").append(key).append("\": ").append(dumped(value));
  };
  put("of", sizing.of_release ? "release" : "fans");
  put("found", sizing.found);
  put("reason", sizing.found ? Json(nullptr) : Json(sizing.reason));
  put("factor", sizing.factor);
  if (sizing.of_release) {
    put("release", site.releases[sizing.release->value].id);
    put("at_once", sizing.whole);
  }
  put("fans", fans_json(site, sizing));
  put("events", events_json(site, sizing));
  put("before", list_json(site, sizing.before));
  put("remaining", remaining_json(site, sizing));
  put("binding", list_json(site, sizing.binding));
  Json untried = Json::array();
  for (const ReleaseIndex release : sizing.untried) untried.push_back(site.releases[release.value].id);
  put("untried", untried);
  put("influences", influences_json(site, sizing));
  put("runs", sizing.runs);
  put("assumptions", assumptions_json(site, sizing.assumptions));
  return out + "\n}\n";
}

}  // namespace leanside
