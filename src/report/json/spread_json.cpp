// SPDX-License-Identifier: Apache-2.0
/// How sure an answer is whose values are ranges, for programs.
#include <cmath>

#include "leanside/report.hpp"
#include "leanside/study/spread.hpp"
#include "report/json/assumption_json.hpp"
#include "report/json/json.hpp"
#include "report/words/study_words.hpp"

namespace leanside {
namespace {

using namespace report;

Json uncertain_json(const Uncertain& figure, const char* name) {
  return {{name, figure.value}, {"error", figure.error}};
}

Json space_json(const Site& site, const SpreadSpace& s) {
  Json worst = Json::object(), time = Json::object(), matters = Json::array();
  for (std::size_t p = 0; p < std::size(spread_percents); ++p) {
    const std::string key = format_number(spread_percents[p]);
    worst[key] = std::isfinite(s.worst[p]) ? Json(s.worst[p]) : Json(nullptr);
    time[key] = or_null(s.time[p]);
  }
  for (const std::size_t i : by_weight(s.sensitivity)) {
    const Uncertain &first = s.sensitivity.first[i], &total = s.sensitivity.total[i];
    matters.push_back({{"range", site.ranges[i].name},
                       {"first", first.value},
                       {"first_error", first.error},
                       {"total", total.value},
                       {"total_error", total.error}});
  }
  return {{"case", site.cases[s.case_index.value].id},
          {"space", site.spaces[s.space.value].id},
          {"over_warn", uncertain_json(s.over_warn, "chance")},
          {"over_limit", uncertain_json(s.over_limit, "chance")},
          {"oxygen_chance", s.oxygen},
          {"pressure_chance", s.pressure},
          {"endless_chance", s.endless},
          {"lfl_fraction", worst},
          {"lfl_fraction_best", std::isfinite(s.at_best) ? Json(s.at_best) : Json(nullptr)},
          {"lfl_fraction_most", std::isfinite(s.largest) ? Json(s.largest) : Json(nullptr)},
          {"time_to_warn_s", time},
          {"matters", matters}};
}

}  // namespace

std::string spread_json(const Site& site, const SpreadStudy& study) {
  std::string out = "{\n\"site\": " + dumped({{"title", site.title}, {"file", site.file}});
  const auto put = [&](const char* key, const Json& value) {
    out.append(",\n\"").append(key).append("\": ").append(dumped(value));
  };
  put("draws", study.draws);
  put("seed", study.seed);
  put("shape", word_of(study.shape));
  put("steady_only", study.steady_only);
  put("horizon_s", study.horizon);
  put("warn_at", site.criteria.warn_at);
  put("assumptions", assumptions_json(site, study.assumptions));
  out += ",\n\"ranges\": ";
  {
    JsonList list{out, ""};
    for (const Range& range : site.ranges) {
      list.next() += dumped({{"name", range.name},
                             {"kind", range.dimension == Dimension::fraction ? "number" : name_of(range.dimension)},
                             {"low", range.low},
                             {"best", range.best},
                             {"high", range.high},
                             {"low_text", range.low_text},
                             {"best_text", range.best_text},
                             {"high_text", range.high_text}});
    }
  }
  out += ",\n\"spaces\": ";
  {
    JsonList list{out, ""};
    for (const SpreadSpace& space : study.spaces) list.next() += dumped(space_json(site, space));
  }
  return out + "\n}\n";
}

}  // namespace leanside
