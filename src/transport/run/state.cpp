// SPDX-License-Identifier: Apache-2.0
#include "transport/run/state.hpp"

#include "leanside/advanced/airflow.hpp"
#include "leanside/advanced/release.hpp"

namespace leanside::transport {

RunState initial_state(const Site& site, CaseIndex case_index, std::span<const Tracer> tracers) {
  RunState state;
  state.x = FractionField(site.spaces.size(), tracers.size());
  for (std::size_t c = 0; c < tracers.size(); ++c) {
    for (const Tracer::AtStart& at : tracers[c].initial) state.x(at.space, c) += at.fraction;
  }
  for (const Space& space : site.spaces) state.volume.push_back(space.volume);
  state.temperature = state_at(site, case_index, 0.0).temperature;
  state.pressure.assign(site.spaces.size(), 1.0);
  for (const Release& release : site.releases) {
    state.stock.push_back(follows_vapour(release) ? total_amount(release) : 0.0);
  }
  state.gone.assign(tracers.size(), 0.0);
  return state;
}

double ambient_moles(const Site& site, const RunState& state, std::size_t space) {
  return site.conditions.pressure * state.volume[space] / (gas_constant * state.temperature[space]);
}

std::vector<double> column_major(const FractionField& x, std::size_t rows) {
  std::vector<double> columns(rows * x.columns(), 0.0);
  for (std::size_t c = 0; c < x.columns(); ++c) {
    for (std::size_t i = 0; i < x.spaces(); ++i) columns[c * rows + i] = x(SpaceIndex{i}, c);
  }
  return columns;
}

void take_columns(std::span<const double> columns, std::size_t rows, FractionField& x) {
  for (std::size_t c = 0; c < x.columns(); ++c) {
    for (std::size_t i = 0; i < x.spaces(); ++i) x(SpaceIndex{i}, c) = columns[c * rows + i];
  }
}

}  // namespace leanside::transport
