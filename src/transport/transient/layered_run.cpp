// SPDX-License-Identifier: Apache-2.0
#include "transport/transient/layered_run.hpp"

#include <algorithm>
#include <utility>

namespace leanside::transport {
namespace {

/// The result of the expanded site in terms of the site as it was written. `far_end`: see RunOutcome.
void collapse(const LayeredSite& layers, const std::vector<std::vector<double>>& far_end, TransientResult& result) {
  const std::size_t n = result.end.spaces() - layers.rooms(), columns = result.end.columns();
  for (std::size_t k = 0; k < layers.rooms(); ++k) {
    result.layers.push_back(layers.layer_state(k, result.end, layers.gas_cell(k)));
    if (!far_end[k].empty()) result.layers.back().far_end = far_end[k];
  }
  FractionField end(n, columns);
  for (std::size_t i = 0; i < n; ++i) {
    const SpaceIndex cell{layers.cell_of(SpaceIndex{i})};
    for (std::size_t c = 0; c < columns; ++c) end(SpaceIndex{i}, c) = result.end(cell, c);
  }
  for (const LayerState& state : result.layers) {
    for (std::size_t c = 0; c < columns; ++c) end(state.space, c) = state.far_end[c];
  }
  result.end = std::move(end);
  result.first_flows = layers.collapsed(result.first_flows);
  for (AssumedLeak& leak : result.leaks) {
    leak.space = layers.original(leak.space);
    if (leak.other) leak.other = layers.original(*leak.other);
  }
  const auto map_all = [&](auto& list) {
    for (auto& entry : list) entry = layers.original(entry);
    std::sort(list.begin(), list.end());
    list.erase(std::unique(list.begin(), list.end()), list.end());
  };
  for (auto* list : {&result.overflowing, &result.leaking, &result.off_curve}) {
    std::erase_if(*list, [&](AirwayIndex piece) { return !layers.is_written(piece); });
    map_all(*list);
  }
  map_all(result.unvented);
}

/// Which rooms are in layers during the whole run: where something may break the layers up, a run without observers
/// finds out.
Result<LayerPlan> tried_plan(const Site& site, CaseIndex case_index, double horizon) {
  LayerPlan plan = plan_layers(site, case_index);
  for (bool again = true; again && !plan.rooms.empty();) {
    again = false;
    LayeredSite layers(site, plan);
    if (!layers.may_break()) break;
    auto trial = run(layers, case_index, gas_tracers(layers.site()), horizon, {});
    if (auto* fault = std::get_if<Fault>(&trial)) return std::move(*fault);
    const auto& broken = std::get<RunOutcome>(trial).broken;
    for (std::size_t k = 0; k < layers.rooms(); ++k) {
      if (!broken[k]) continue;
      plan.mix(SpaceIndex{layers.ambient_cell(k)}, *broken[k]);
      again = true;
    }
  }
  return plan;
}

}  // namespace

Result<TransientResult> run_layered(const Site& site, CaseIndex case_index, std::span<const Tracer> tracers,
                                    double horizon, const RunObservers& observers) {
  auto tried = tried_plan(site, case_index, horizon);
  if (auto* fault = std::get_if<Fault>(&tried)) return std::move(*fault);
  LayerPlan& plan = std::get<LayerPlan>(tried);
  LayeredSite layers(site, plan);
  auto outcome = plan.rooms.empty() ? run(site, case_index, tracers, horizon, observers)
                                    : run(layers, case_index, layers.tracers(tracers), horizon, observers);
  if (auto* fault = std::get_if<Fault>(&outcome)) return std::move(*fault);
  TransientResult result = std::move(std::get<RunOutcome>(outcome).result);
  if (!plan.rooms.empty()) collapse(layers, std::get<RunOutcome>(outcome).far_end, result);
  result.mixed = std::move(plan.mixed);
  return result;
}

}  // namespace leanside::transport
