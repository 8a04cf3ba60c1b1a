// SPDX-License-Identifier: Apache-2.0
/// How sure an answer is whose values are ranges, for programs.
#include "leanside/report.hpp"
#include "leanside/study/spread.hpp"
#include "report/json/assumption_json.hpp"
#include "report/json/json_answer.hpp"
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
    worst[key] = finite_or_null(s.worst[p]);
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
  return {{"case", id_of(site, s.case_index)},
          {"space", id_of(site, s.space)},
          {"over_warn", uncertain_json(s.over_warn, "chance")},
          {"over_limit", uncertain_json(s.over_limit, "chance")},
          {"oxygen_chance", s.oxygen},
          {"pressure_chance", s.pressure},
          {"endless_chance", s.endless},
          {"lfl_fraction", worst},
          {"lfl_fraction_best", finite_or_null(s.at_best)},
          {"lfl_fraction_most", finite_or_null(s.largest)},
          {"time_to_warn_s", time},
          {"matters", matters}};
}

Json range_json(const Range& range) {
  return {{"name", range.name},
          {"kind", range.dimension == Dimension::fraction ? "number" : name_of(range.dimension)},
          {"low", range.low},
          {"best", range.best},
          {"high", range.high},
          {"low_text", range.low_text},
          {"best_text", range.best_text},
          {"high_text", range.high_text}};
}

}  // namespace

std::string spread_json(const Site& site, const SpreadStudy& study) {
  return answer_about(site, [&](JsonKeys& keys) {
    keys.put("draws", study.draws);
    keys.put("seed", study.seed);
    keys.put("shape", word_of(study.shape));
    keys.put("steady_only", study.steady_only);
    keys.put("horizon_s", study.horizon);
    keys.put("warn_at", site.criteria.warn_at);
    keys.put("assumptions", assumptions_json(site, study.assumptions));
    keys.put_each("ranges", site.ranges, range_json);
    keys.put_each("spaces", study.spaces, [&](const SpreadSpace& space) { return space_json(site, space); });
  });
}

}  // namespace leanside
