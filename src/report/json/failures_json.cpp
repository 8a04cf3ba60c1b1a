// SPDX-License-Identifier: Apache-2.0
/// What may fail, the worst first: JSON for programs.
#include <cstddef>
#include <span>
#include <string>
#include <vector>

#include "leanside/report.hpp"
#include "leanside/study/failures.hpp"
#include "report/json/assumption_json.hpp"
#include "report/json/json_answer.hpp"
#include "report/words/failure_words.hpp"

namespace leanside {
namespace {

using namespace report;

Json consequence_json(const Site& site, const Consequence& consequence) {
  Json out{{"space", id_of(site, consequence.space)},
           {"severity", word_of(consequence.severity)},
           {"lfl_fraction", consequence.lfl_fraction},
           {"time_s", or_null(consequence.time)}};
  if (consequence.starts) out["release_starts_s"] = *consequence.starts;
  if (consequence.gas) {
    out["gas"] = id_of(site, *consequence.gas);
    out["gas_fraction"] = consequence.gas_fraction;
  }
  if (consequence.release) out["release"] = id_of(site, *consequence.release);
  if (consequence.subject == Subject::oxygen) out["oxygen"] = consequence.oxygen;
  if (consequence.severity == Severity::pressure) out["pressure_pa"] = consequence.pressure;
  return out;
}

Json failure_json(const Site& site, const Failure& failure) {
  Json out{{"kind", word_of(failure.kind)}};
  if (failure.airway) out["airway"] = id_of(site, *failure.airway);
  if (failure.space) out["space"] = id_of(site, *failure.space);
  if (failure.system) out["system"] = id_of(site, *failure.system);
  if (failure.release) out["release"] = id_of(site, *failure.release);
  out["words"] = failure_words(site, failure);
  return out;
}

Json group_json(const Site& site, const FailureStudy& study, const FailureGroup& group, std::size_t rank) {
  const FailureOutcome& first = study.outcomes[group.outcomes.front()];
  const auto member = [&](std::size_t outcome) {
    return array_of(study.outcomes[outcome].failures,
                    [&](std::size_t failure) { return failure_json(site, study.failures[failure]); });
  };
  return {
      {"rank", rank},
      {"failures", array_of(group.outcomes, member)},
      {"consequences", array_of(first.consequences, [&](const Consequence& c) { return consequence_json(site, c); })},
      {"better", first.gone},
      {"no_way_out", ids_of(site, first.unreached)},
      {"assumed_leaks", array_of(first.leaks,
                                 [&](const LeakReliance& leak) -> Json {
                                   return {{"space", id_of(site, leak.space)}, {"inflow_m3_s", leak.inflow}};
                                 })},
      {"starved_fans", ids_of(site, first.starved)},
      {"in_time", first.in_time},
      {"fault", first.fault.empty() ? Json(nullptr) : Json(first.fault)}};
}

/// The answer for one case: what stands at the top level for the first, in `other_cases` for the others.
void put_case(JsonKeys& keys, const Site& site, const FailureStudy& study) {
  keys.put("in_time", study.in_time);
  keys.put("pairs_in_time", study.pairs_in_time);
  keys.put("pairs_solved", study.pairs_solved);
  keys.put("pairs_worse", study.pairs_worse);
  keys.put("pairs_not_compared", study.pairs_not_compared);
  keys.put("followed", study.singles_followed);
  keys.put("pairs_followed", study.pairs_followed);
  keys.put("solved_by_update", study.by_update);
  keys.put("solved_afresh", study.afresh);
  keys.put("normal", array_of(study.normal, [&](const Consequence& c) { return consequence_json(site, c); }));
  keys.put("assumed_leaks", assumed_leaks(site, study));
  keys.put("starved_fans", array_of(study.starved, [&](const StarvedFan& fan) { return id_of(site, fan.fan); }));
  std::size_t rank = 0;
  keys.put_each("groups", study.groups,
                [&](const FailureGroup& group) { return group_json(site, study, group, ++rank); });
  keys.put_each("one_fan_alone", study.dependences, [&](const FanDependence& dependence) -> Json {
    return {{"fan", id_of(site, dependence.fan)}, {"spaces", ids_of(site, dependence.spaces)}};
  });
}

}  // namespace

std::string failures_json(const Site& site, std::span<const FailureStudy> studies) {
  return answer_about(site, [&](JsonKeys& keys) {
    keys.put("pairs", studies.front().pairs);
    keys.put("assumptions", assumptions_json(site, assumptions_of(studies), studies.size()));
    keys.put("case", id_of(site, studies.front().case_index));
    put_case(keys, site, studies.front());
    JsonList list{keys.at("other_cases"), ""};
    for (const FailureStudy& study : studies.subspan(1)) {
      JsonKeys entry{list.next()};
      entry.put("case", id_of(site, study.case_index));
      put_case(entry, site, study);
    }
  });
}

}  // namespace leanside
