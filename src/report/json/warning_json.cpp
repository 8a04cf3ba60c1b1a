// SPDX-License-Identifier: Apache-2.0
#include "report/json/warning_json.hpp"

#include <string>
#include <string_view>
#include <vector>

#include "leanside/report.hpp"
#include "report/json/hazards_json.hpp"
#include "report/words/words.hpp"

namespace leanside::report {
namespace {

Json causes_json(const Site& site, const std::vector<Cause>& causes) {
  Json out = Json::array();
  for (const Cause& cause : causes) {
    if (cause.release) {
      out.push_back({{"release", site.releases[cause.release->value].id}, {"share", cause.share}});
    } else if (cause.initial_of) {
      const std::string& space = site.spaces[cause.initial_of->value].id;
      out.push_back({{"release", "initial:" + space}, {"initial", space}, {"share", cause.share}});
    }
  }
  return out;
}

std::string_view word_of_remedy(RemedyKind kind) {
  switch (kind) {
    case RemedyKind::more_fresh_air:
      return "more_fresh_air";
    case RemedyKind::more_air_for_peak:
      return "more_air_for_peak";
    case RemedyKind::keep_air_out:
      return "keep_air_out";
    case RemedyKind::vent_vessel:
      return "vent_vessel";
    case RemedyKind::vents:
      return "vents";
    case RemedyKind::open_inlet:
      return "open_inlet";
    case RemedyKind::stop_source:
      return "stop_source";
    case RemedyKind::reduce_source:
      return "reduce_source";
    case RemedyKind::restore_oxygen:
      return "restore_oxygen";
    case RemedyKind::remove_source:
      return "remove_source";
    case RemedyKind::leave:
      return "leave";
    case RemedyKind::air_before_opening:
      return "air_before_opening";
    case RemedyKind::watch:
      return "watch";
  }
  return "watch";
}

Json outcome_json(const Site& site, const std::optional<Outcome>& outcome) {
  if (!outcome) return nullptr;
  Json toxic = nullptr;
  if (const auto& gas = outcome->toxic) {
    toxic = {{"gas", site.gases[gas->gas.value].substance.id}, {"gas_fraction", gas->worst}, {"idlh", gas->idlh}};
  }
  return {{"worst", outcome->worst},
          {"over", outcome->over},
          {"over_s", outcome->over_time},
          {"steady_over", outcome->steady_over},
          {"has_steady_state", outcome->steady},
          {"toxic", toxic},
          {"lfl_fraction", or_null(outcome->fuel)},
          {"oxygen", or_null(outcome->oxygen)}};
}

/// What is advised, beside the air: what to stop, how much less, what each leaves.
void put_advice(Json& out, const Site& site, const Remedy& remedy) {
  const auto ids = [&](const std::vector<ReleaseIndex>& releases) {
    Json list = Json::array();
    for (const ReleaseIndex release : releases) list.push_back(site.releases[release.value].id);
    return list;
  };
  out["stop"] = {{"releases", ids(remedy.stop.releases)},
                 {"after_first", outcome_json(site, remedy.stop.after_first)},
                 {"after_all", outcome_json(site, remedy.stop.after_all)}};
  if (remedy.reduction) {
    out["reduction"] = {{"releases", ids(remedy.reduction->releases)},
                        {"share", remedy.reduction->share},
                        {"after", outcome_json(site, remedy.reduction->after)}};
  }
  if (remedy.opening) {
    out["opening"] = {{"fan", site.airways[remedy.opening->fan.value].id},
                      {"missing", remedy.opening->inlet ? "inlet" : "outlet"},
                      {"free_area_m2", remedy.opening->area},
                      {"after", outcome_json(site, remedy.opening->after)}};
  }
  out["air_limit"] = word_of(remedy.air_limit);
  out["after_air"] = outcome_json(site, remedy.after_air);
}

}  // namespace

Json warning_json(const Site& site, const Warning& warning, std::size_t rank) {
  const Space& space = site.spaces[warning.space.value];
  const Remedy& remedy = warning.remedy;
  Json out{{"rank", rank},
           {"severity", word_of(warning.severity)},
           {"case", site.cases[warning.case_index.value].id},
           {"space", space.id},
           {"lfl_fraction", warning.lfl_fraction},
           {"time_s", or_null(warning.time)},
           {"later_s", or_null(warning.later)},
           {"energy_j", warning.energy},
           {"worst_is_steady", warning.worst_is_steady},
           {"worst_state", word_of(warning.worst_state)},
           {"summary", summary_sentence(site, warning)},
           {"causes", causes_json(site, warning.causes)},
           {"remedy", remedy_sentence(site, warning)},
           {"remedy_kind", word_of_remedy(remedy.kind)},
           {"extra_air_m3_s", or_null(remedy.extra_air)},
           {"value_after", remedy.extra_air || remedy.vent_area ? Json(remedy.value_after) : Json(nullptr)},
           {"passes_through_range", remedy.passes_through_range},
           {"ignition", space.ignition}};
  if (warning.layer) out["layer"] = {{"from_m", warning.layer->from}, {"to_m", warning.layer->to}};
  if (warning.mixed_lfl_fraction) out["mixed_lfl_fraction"] = *warning.mixed_lfl_fraction;
  if (remedy.vent_area) out["vent_area_m2"] = *remedy.vent_area;
  put_advice(out, site, remedy);
  if (subject_of(warning) == Subject::oxygen) out["oxygen"] = warning.oxygen;
  if (warning.severity == Severity::pressure) out["pressure_pa"] = warning.pressure;
  if (warning.severity == Severity::flammable) {
    out["violent"] = warning.violent;
    out["near_stoichiometric"] = warning.near_stoichiometric;
  }
  put_hazard(out, site, warning);
  return out;
}

}  // namespace leanside::report
