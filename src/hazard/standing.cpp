// SPDX-License-Identifier: Apache-2.0
/// What every answer of this engine rests on, whatever the site.
#include <algorithm>
#include <set>

#include <fmt/format.h>

#include "hazard/judge.hpp"

namespace leanside::hazard {
namespace {

void assume_mixing(const Site& site, std::vector<std::string>& texts) {
  const bool short_circuits =
      std::any_of(site.spaces.begin(), site.spaces.end(), [](const Space& space) { return space.mixing_factor > 1.0; });
  const std::string how = short_circuits
                              ? "at once through each space; where a mixing factor is given, only its share of the air "
                                "takes part. "
                          : has_layers(site) ? "at once and evenly through each space that is not in layers. "
                                             : "at once and evenly through each space. ";
  texts.push_back("gas mixes " + how +
                  "Near a leak, under a ceiling or on a floor it can be far richer than these averages");
}

void assume_flows(const Site& site, std::vector<std::string>& texts) {
  const bool driven = std::any_of(site.airways.begin(), site.airways.end(), follows_pressure);
  texts.emplace_back(
      driven ? "air moves by itself through gaps and doorways only, and fans with a curve follow the pressure; every "
               "other flow is as the file gives it. The steady state was computed from a site without gas: where gas "
               "that has gathered keeps itself in, there may be another one"
             : "airflows are as the file gives them: no wind, no buoyancy of warm air or light gas, no fan weakened by "
               "the pressure that it works against");
}

void assume_layers(const Site& site, std::vector<std::string>& texts) {
  if (!has_layers(site)) return;
  std::set<double> entrainment;
  bool air_changes = false;
  for (const Space& space : site.spaces) {
    if (space.stratification == Stratification::mixed) continue;
    entrainment.insert(space.entrainment);
    air_changes = air_changes || space.air_changes > 0.0;
  }
  std::string values;
  for (const double value : entrainment) values += (values.empty() ? "" : ", ") + format_number(value);
  texts.push_back(fmt::format(
      "in a layered room gas rises (or sinks) as one plume from each release, which draws in air on its way "
      "(entrainment coefficient {}), and gathers in one layer; only diffusion in air at rest takes it across the edge. "
      "In the plume itself and close to the leak the gas is richer. Figures of such a room are those right under its "
      "ceiling or on its floor, where the layer is richest",
      values));
  texts.emplace_back(
      "air and gas that come into a layered room by an airway join the layer that the airway opens into; what leaks "
      "without a way that is given leaks from the other layer than that of the gas, the cautious side");
  if (air_changes) texts.emplace_back("air changes of a layered room are shared out to its layers by their volume");
}

}  // namespace

std::vector<std::string> standing_assumptions(const Site& site, const AssessOptions& options) {
  std::vector<std::string> texts;
  assume_mixing(site, texts);
  assume_flows(site, texts);
  texts.emplace_back(
      "gases are ideal, at the temperature of their space and at ambient pressure except in closed vessels");
  if (options.steady_only) texts.emplace_back("only the steady state was computed: peaks and times are not known");
  assume_layers(site, texts);
  return texts;
}

}  // namespace leanside::hazard
