// SPDX-License-Identifier: Apache-2.0
#include "transport/run/pressure_traces.hpp"

#include <algorithm>

namespace leanside::transport {
namespace {

/// When the rise reaches a level that it ends above, s.
double time_of(const PressureRise& rise, double level) {
  if (rise.factor.size() == 1) return rise.end;
  double low = 0.0, high = 1.0;
  for (int k = 0; k < 60; ++k) {
    const double middle = 0.5 * (low + high);
    (bernstein_value(rise.factor, middle) < level ? low : high) = middle;
  }
  return rise.begin + high * (rise.end - rise.begin);
}

}  // namespace

PressureTraces::PressureTraces(const Site& site) : traces_(site.spaces.size()) {
  for (const Space& space : site.spaces) {
    rated_.push_back(space.rated_pressure ? std::optional{*space.rated_pressure / site.conditions.pressure}
                                          : std::nullopt);
  }
}

void PressureTraces::note(const PressureRise& rise) {
  PressureTrace& trace = traces_[rise.space.value];
  const double reached = rise.factor.back();
  trace.largest_factor = std::max(trace.largest_factor, reached);
  if (!trace.reaches_110_percent && reached >= 1.1) trace.reaches_110_percent = time_of(rise, 1.1);
  if (!trace.reaches_200_percent && reached >= 2.0) trace.reaches_200_percent = time_of(rise, 2.0);
  const auto& rated = rated_[rise.space.value];
  if (rated && !trace.reaches_rating && reached >= *rated) trace.reaches_rating = time_of(rise, *rated);
}

std::vector<PressureTrace> PressureTraces::traces(std::span<const double> pressure) const {
  std::vector<PressureTrace> result;
  for (std::size_t i = 0; i < traces_.size(); ++i) {
    if (!(traces_[i].largest_factor > 1.0)) continue;
    result.push_back(traces_[i]);
    result.back().space = SpaceIndex{i};
    result.back().final_factor = pressure[i];
  }
  return result;
}

}  // namespace leanside::transport
