// SPDX-License-Identifier: Apache-2.0
/// Fans that get too little air, in words.
#include <cmath>
#include <map>

#include "leanside/report.hpp"
#include "report/words/words.hpp"

namespace leanside::report {
namespace {

using P = Phrase;

/// The worst finding about a fan, and the cases that have one.
struct Found {
  std::optional<StarvedFan> worst;
  CaseIndex worst_case;
  std::vector<CaseIndex> cases;
};

std::map<AirwayIndex, Found> by_fan(const Assessment& assessment) {
  std::map<AirwayIndex, Found> out;
  for (const CaseResult& result : assessment.cases) {
    for (const StarvedFan& fan : result.starved) {
      Found& found = out[fan.fan];
      const auto before = found.worst;
      keep_worst(found.worst, fan);
      if (!before || before->carried != found.worst->carried || before->pressure != found.worst->pressure) {
        found.worst_case = result.case_index;
      }
      found.cases.push_back(result.case_index);
    }
  }
  return out;
}

std::string pressure_words(Told site, const StarvedFan& fan) {
  return fan.pressure ? format_quantity(std::abs(*fan.pressure), "Pa", 3, site->conditions.units) : std::string{};
}

/// `what` with the cases that it happens in; a sentence.
std::string in_cases(Told site, const Found& found, std::size_t computed, const std::string& what) {
  if (computed < 2 || found.cases.size() == computed) return capital(what);
  std::string names;
  for (const CaseIndex one : found.cases) names += (names.empty() ? "" : ", ") + label(site, one);
  return site.tell(found.cases.size() == 1 ? P::starved_in_case : P::starved_in_cases,
                   {{"cases", names}, {"what", what}});
}

std::string what_of(Told site, const Found& found, std::size_t computed) {
  const StarvedFan& fan = *found.worst;
  const VolumeFlows air{site, found.worst_case};
  const Airway& airway = site->airways[fan.fan.value];
  const std::string name = plain_text(airway.id);
  const std::string given = hourly(site, air.volume_flow(fan.given, first_side(airway)));
  std::string carried = hourly(site, air.volume_flow(fan.carried, first_side(airway)));
  const std::string against = pressure_words(site, fan);
  if (fan.carried < fan.given) {
    if (fan.pressure) carried = site.tell(P::starved_against, {{"flow", carried}, {"pressure", against}});
    return in_cases(
        site, found, computed,
        site.tell(fan.inlet ? P::starved_inlet : P::starved_outlet,
                  {{"fan", name}, {"carried", carried}, {"given", given}, {"space", label(site, fan.space)}}));
  }
  return in_cases(site, found, computed,
                  site.tell(P::starved_pressure, {{"fan", name}, {"pressure", against}, {"given", given}}));
}

}  // namespace

std::string starved_help(Told site, const StarvedFan& fan) {
  const Airway& airway = site->airways[fan.fan.value];
  const double flow = VolumeFlows{site, CaseIndex{0}}.volume_flow(fan.given, first_side(airway));
  return site.tell(fan.inlet ? P::starved_help_inlet : P::starved_help_outlet,
                   {{"space", label(site, fan.space)}, {"area", area_words(site, free_area_for(flow))}});
}

std::vector<StarvedWords> starved_words(Told site, const Assessment& assessment) {
  std::vector<StarvedWords> out;
  for (const auto& [fan, found] : by_fan(assessment)) {
    const Phrase title = found.worst->carried >= found.worst->given ? P::starved_title_pressure
                         : found.worst->inlet                       ? P::starved_title_inlet
                                                                    : P::starved_title_outlet;
    out.push_back({fan,
                   site.tell(title, {{"fan", plain_text(site->airways[fan.value].id)},
                                     {"space", label(site, found.worst->space)}}),
                   what_of(site, found, assessment.cases.size()), capital(starved_help(site, *found.worst) + ".")});
  }
  return out;
}

}  // namespace leanside::report
