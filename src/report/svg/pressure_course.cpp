// SPDX-License-Identifier: Apache-2.0
#include "report/svg/pressure_course.hpp"

#include <algorithm>
#include <cmath>

#include "leanside/advanced/airflow.hpp"
#include "leanside/advanced/release.hpp"
#include "report/words/words.hpp"

namespace leanside::report {
namespace {

/// Moles that the releases of a vessel have let into it by `time`.
double let_in(const Site& site, CaseIndex case_index, SpaceIndex space, double time) {
  double out = 0.0;
  for (std::size_t r = 0; r < site.releases.size(); ++r) {
    const Release& release = site.releases[r];
    if (release.into != space || follows_vapour(release)) continue;
    for (const EmissionSpan& span : emission(release, ReleaseIndex{r}, site.cases[case_index.value].events)) {
      if (span.begin >= time) break;
      const double until = span.age + std::min(time, span.end) - span.begin;
      out += amount_emitted(release, until) - amount_emitted(release, span.age);
    }
  }
  return out;
}

}  // namespace

PressureCourse pressure_course(const Site& site, const CaseResult& result, SpaceIndex space) {
  const Space& vessel = site.spaces[space.value];
  const SpaceResult& found = result.spaces[space.value];
  const double ambient = site.conditions.pressure, horizon = site.criteria.horizon;
  const double held = moles_held(vessel, site.conditions);
  constexpr double kilo = 1000.0, tolerance = 0.005;
  const auto from_amounts = [&](double time) {
    return ambient * (1.0 + let_in(site, result.case_index, space, time) / held);
  };
  PressureCourse out;
  out.joined = std::abs(from_amounts(horizon) - found.pressure) > tolerance * found.pressure;
  if (!out.joined) {
    constexpr int steps = 240;
    for (int i = 0; i <= steps; ++i) {
      out.points.push_back({horizon * i / steps, from_amounts(horizon * i / steps) / kilo});
    }
    return out;
  }
  out.points = {{0.0, ambient / kilo}, {horizon, found.pressure / kilo}};
  if (found.pressure_110) out.points.push_back({*found.pressure_110, 1.1 * ambient / kilo});
  if (found.pressure_200) out.points.push_back({*found.pressure_200, 2.0 * ambient / kilo});
  if (found.pressure_rated) out.points.push_back({*found.pressure_rated, *vessel.rated_pressure / kilo});
  std::stable_sort(out.points.begin(), out.points.end(),
                   [](const PlotPoint& a, const PlotPoint& b) { return a.time < b.time; });
  return out;
}

}  // namespace leanside::report
