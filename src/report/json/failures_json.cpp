// SPDX-License-Identifier: Apache-2.0
/// What may fail, the worst first: JSON for programs.
#include <cstddef>
#include <span>
#include <string>
#include <vector>

#include "leanside/report.hpp"
#include "leanside/study/failures.hpp"
#include "report/json/assumption_json.hpp"
#include "report/json/json.hpp"
#include "report/words/failure_words.hpp"

namespace leanside {
namespace {

using namespace report;

Json consequence_json(const Site& site, const Consequence& consequence) {
  Json out{{"space", site.spaces[consequence.space.value].id},
           {"severity", word_of(consequence.severity)},
           {"lfl_fraction", consequence.lfl_fraction},
           {"time_s", or_null(consequence.time)}};
  if (consequence.starts) out["release_starts_s"] = *consequence.starts;
  if (consequence.gas) {
    out["gas"] = site.gases[consequence.gas->value].substance.id;
    out["gas_fraction"] = consequence.gas_fraction;
  }
  if (consequence.release) out["release"] = site.releases[consequence.release->value].id;
  if (consequence.subject == Subject::oxygen) out["oxygen"] = consequence.oxygen;
  if (consequence.severity == Severity::pressure) out["pressure_pa"] = consequence.pressure;
  return out;
}

Json failure_json(const Site& site, const Failure& failure) {
  Json out{{"kind", word_of(failure.kind)}};
  if (failure.airway) out["airway"] = site.airways[failure.airway->value].id;
  if (failure.space) out["space"] = site.spaces[failure.space->value].id;
  if (failure.system) out["system"] = site.systems[failure.system->value].id;
  if (failure.release) out["release"] = site.releases[failure.release->value].id;
  out["words"] = failure_words(site, failure);
  return out;
}

Json ids_of(const Site& site, const std::vector<SpaceIndex>& spaces) {
  Json out = Json::array();
  for (const SpaceIndex space : spaces) out.push_back(site.spaces[space.value].id);
  return out;
}

Json ids_of(const Site& site, const std::vector<AirwayIndex>& airways) {
  Json out = Json::array();
  for (const AirwayIndex airway : airways) out.push_back(site.airways[airway.value].id);
  return out;
}

Json leaks_json(const Site& site, const std::vector<LeakReliance>& leaks) {
  Json out = Json::array();
  for (const LeakReliance& leak : leaks) {
    out.push_back({{"space", site.spaces[leak.space.value].id}, {"inflow_m3_s", leak.inflow}});
  }
  return out;
}

/// The answer for one case: what stands at the top level for the first, in `other_cases` for the others.
void put_case(std::string& out, const Site& site, const FailureStudy& study) {
  const auto put = [&](const char* key, const Json& value) {
    out.append(",\n\"").append(key).append("\": ").append(dumped(value));
  };
  put("in_time", study.in_time);
  put("pairs_in_time", study.pairs_in_time);
  put("pairs_solved", study.pairs_solved);
  put("pairs_worse", study.pairs_worse);
  put("solved_by_update", study.by_update);
  put("solved_afresh", study.afresh);
  Json normal = Json::array();
  for (const Consequence& consequence : study.normal) normal.push_back(consequence_json(site, consequence));
  put("normal", normal);
  put("assumed_leaks", assumed_leaks(site, study));
  std::vector<AirwayIndex> starved;
  for (const StarvedFan& fan : study.starved) starved.push_back(fan.fan);
  put("starved_fans", ids_of(site, starved));
  out += ",\n\"groups\": ";
  {
    JsonList list{out, ""};
    std::size_t rank = 0;
    for (const FailureGroup& group : study.groups) {
      const FailureOutcome& first = study.outcomes[group.outcomes.front()];
      Json members = Json::array();
      for (const std::size_t k : group.outcomes) {
        Json member = Json::array();
        for (const std::size_t f : study.outcomes[k].failures) member.push_back(failure_json(site, study.failures[f]));
        members.push_back(member);
      }
      Json consequences = Json::array();
      for (const Consequence& consequence : first.consequences)
        consequences.push_back(consequence_json(site, consequence));
      list.next() += dumped({{"rank", ++rank},
                             {"failures", members},
                             {"consequences", consequences},
                             {"better", first.gone},
                             {"no_way_out", ids_of(site, first.unreached)},
                             {"assumed_leaks", leaks_json(site, first.leaks)},
                             {"starved_fans", ids_of(site, first.starved)},
                             {"fault", first.fault.empty() ? Json(nullptr) : Json(first.fault)}});
    }
  }
  out += ",\n\"one_fan_alone\": ";
  JsonList list{out, ""};
  for (const FanDependence& dependence : study.dependences) {
    list.next() +=
        dumped({{"fan", site.airways[dependence.fan.value].id}, {"spaces", ids_of(site, dependence.spaces)}});
  }
}

}  // namespace

std::string failures_json(const Site& site, std::span<const FailureStudy> studies) {
  std::string out = "{\n\"site\": " + dumped({{"title", site.title}, {"file", site.file}});
  const auto put = [&](const char* key, const Json& value) {
    out.append(",\n\"").append(key).append("\": ").append(dumped(value));
  };
  put("pairs", studies.front().pairs);
  put("assumptions", assumptions_json(site, assumptions_of(studies), studies.size()));
  put("case", site.cases[studies.front().case_index.value].id);
  put_case(out, site, studies.front());
  out += ",\n\"other_cases\": ";
  {
    JsonList list{out, ""};
    for (const FailureStudy& study : studies.subspan(1)) {
      std::string& entry = list.next();
      entry += "{\"case\": " + dumped(site.cases[study.case_index.value].id);
      put_case(entry, site, study);
      entry += "}";
    }
  }
  return out + "\n}\n";
}

}  // namespace leanside
