// SPDX-License-Identifier: Apache-2.0
/// Fans that get too little air, in words.
#include <cmath>
#include <map>

#include <fmt/format.h>

#include "leanside/report.hpp"
#include "report/words/words.hpp"

namespace leanside::report {
namespace {

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

std::string pressure_words(const Site& site, const StarvedFan& fan) {
  return fan.pressure ? format_quantity(std::abs(*fan.pressure), "Pa", 3, site.conditions.units) : std::string{};
}

std::string case_words(const Site& site, const Found& found, std::size_t computed) {
  if (computed < 2 || found.cases.size() == computed) return {};
  std::string out = found.cases.size() == 1 ? "In the case " : "In the cases ";
  for (std::size_t i = 0; i < found.cases.size(); ++i) out += (i > 0 ? ", " : "") + label(site, found.cases[i]);
  return out + ": ";
}

std::string what_of(const Site& site, const Found& found, std::size_t computed) {
  const StarvedFan& fan = *found.worst;
  const VolumeFlows air{site, found.worst_case};
  const Airway& airway = site.airways[fan.fan.value];
  const std::string name = "the fan " + plain_text(airway.id);
  const std::string given = hourly(site, air.volume_flow(fan.given, first_side(airway)));
  const std::string carried = hourly(site, air.volume_flow(fan.carried, first_side(airway)));
  const std::string at = fan.pressure ? " against " + pressure_words(site, fan) : std::string{};
  const std::string place = label(site, fan.space);
  const std::string cases = case_words(site, found, computed);
  std::string out = cases;
  if (fan.carried < fan.given) {
    out += fmt::format(
        "{} moves {}{} instead of {}, because no opening in the file {} {}; only leaks do. Every figure here is "
        "computed with this smaller flow.",
        name, carried, at, given, fan.inlet ? "lets enough air into" : "lets enough air out of", place);
  } else {
    out += fmt::format(
        "{} would have to work against {} to move its {}. A real fan moves far less, and the gas is then richer than "
        "the figures here.",
        name, pressure_words(site, fan), given);
  }
  if (cases.empty()) out.front() = 'T';
  return out;
}

}  // namespace

std::string starved_help(const Site& site, const StarvedFan& fan) {
  const Airway& airway = site.airways[fan.fan.value];
  const double flow = VolumeFlows{site, CaseIndex{0}}.volume_flow(fan.given, first_side(airway));
  return fmt::format("open {} {} of at least {} free area. If there is such an opening, add it to the file",
                     fan.inlet ? "an inlet into" : "an outlet from", label(site, fan.space),
                     area_words(site, free_area_for(flow)));
}

std::vector<StarvedWords> starved_words(const Site& site, const Assessment& assessment) {
  std::vector<StarvedWords> out;
  for (const auto& [fan, found] : by_fan(assessment)) {
    const bool starves = found.worst->carried < found.worst->given;
    std::string help = starved_help(site, *found.worst) + ".";
    help.front() = 'O';
    out.push_back({fan,
                   fmt::format("Fan {}: {} {}", plain_text(site.airways[fan.value].id),
                               starves ? "too little air gets" : "too high a pressure",
                               starves ? (found.worst->inlet ? "into " : "out of ") + label(site, found.worst->space)
                                       : "at " + label(site, found.worst->space)),
                   what_of(site, found, assessment.cases.size()), std::move(help)});
  }
  return out;
}

}  // namespace leanside::report
