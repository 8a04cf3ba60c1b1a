// SPDX-License-Identifier: Apache-2.0
/// What a change did, for programs.
#include "leanside/report.hpp"
#include "leanside/study/compare.hpp"
#include "report/json/assumption_json.hpp"
#include "report/json/json.hpp"
#include "report/words/study_words.hpp"

namespace leanside {
namespace {

using namespace report;

Json unmatched_json(const Unmatched& unmatched) { return {{"added", unmatched.added}, {"removed", unmatched.removed}}; }

Json aspect_json(const AspectChange& change) {
  const bool severity = change.aspect == Aspect::severity;
  return {{"aspect", word_of(change.aspect)},
          {"before", severity ? Json(severity_word(*change.before)) : or_null(change.before)},
          {"after", severity ? Json(severity_word(*change.after)) : or_null(change.after)},
          {"verdict", word_of(change.verdict)}};
}

Json warning_json(const Site& site, const std::vector<Warning>& warnings, const std::optional<std::size_t>& place) {
  if (!place) return nullptr;
  const Warning& w = warnings[*place];
  return {{"rank", *place + 1},        {"severity", word_of(w.severity)},      {"lfl_fraction", w.lfl_fraction},
          {"time_s", or_null(w.time)}, {"summary", summary_sentence(site, w)}, {"remedy", remedy_sentence(site, w)}};
}

Json site_json(const Site& site) { return {{"title", site.title}, {"file", site.file}}; }

}  // namespace

std::string comparison_json(const Site& site_before, const Assessment& before, const Site& site_after,
                            const Assessment& after, const Comparison& comparison) {
  std::string out = "{\n\"before\": " + dumped(site_json(site_before));
  const auto put = [&](const char* key, const Json& value) {
    out.append(",\n\"").append(key).append("\": ").append(dumped(value));
  };
  put("after", site_json(site_after));
  put("anything_worse", comparison.anything_worse);
  put("compared", comparison.compared);
  Json assumptions = Json::array();
  for (const JointAssumption& one : joint_assumptions(site_before, before, site_after, after)) {
    assumptions.push_back(assumption_json(*one.site, one.assumption, one.sentence));
    assumptions.back()["side"] = one.side;
  }
  put("assumptions", assumptions);
  put("terms", comparison.terms);
  put("spaces", unmatched_json(comparison.spaces));
  put("airways", unmatched_json(comparison.airways));
  put("releases", unmatched_json(comparison.releases));
  put("cases", unmatched_json(comparison.cases));
  out += ",\n\"changes\": ";
  {
    JsonList list{out, ""};
    for (const SpaceChange& change : comparison.changes) {
      Json aspects = Json::array();
      for (const AspectChange& aspect : change.aspects) aspects.push_back(aspect_json(aspect));
      list.next() += dumped({{"case", site_after.cases[change.case_after.value].id},
                             {"space", site_after.spaces[change.space_after.value].id},
                             {"verdict", word_of(change.verdict)},
                             {"lfl_fraction_before", change.lfl_before},
                             {"lfl_fraction_after", change.lfl_after},
                             {"aspects", aspects}});
    }
  }
  out += ",\n\"warnings\": ";
  {
    JsonList list{out, ""};
    for (const WarningChange& change : comparison.warnings) {
      const Site& site = change.after ? site_after : site_before;
      const Warning& w = change.after ? after.warnings[*change.after] : before.warnings[*change.before];
      list.next() += dumped({{"case", site.cases[w.case_index.value].id},
                             {"space", site.spaces[w.space.value].id},
                             {"verdict", word_of(change.verdict)},
                             {"of_unmatched", change.of_unmatched},
                             {"before", warning_json(site_before, before.warnings, change.before)},
                             {"after", warning_json(site_after, after.warnings, change.after)}});
    }
  }
  out += ",\n\"flows\": ";
  {
    JsonList list{out, ""};
    for (const AirwayChange& change : comparison.flows) {
      list.next() += dumped({{"case", site_after.cases[change.case_after.value].id},
                             {"airway", site_after.airways[change.airway_after.value].id},
                             {"flow_before_m3_s", change.forward_before},
                             {"return_flow_before_m3_s", change.backward_before},
                             {"flow_after_m3_s", change.forward_after},
                             {"return_flow_after_m3_s", change.backward_after}});
    }
  }
  return out + "\n}\n";
}

}  // namespace leanside
