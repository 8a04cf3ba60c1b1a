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

/// Takes the layers that a run found to be broken up out of the plan. Whether there were any.
bool take_out_broken(const LayeredSite& layers, const RunOutcome& outcome, LayerPlan& plan) {
  bool any = false;
  for (std::size_t k = 0; k < layers.rooms(); ++k) {
    if (!outcome.broken[k]) continue;
    plan.mix(SpaceIndex{layers.ambient_cell(k)}, *outcome.broken[k]);
    any = true;
  }
  return any;
}

/// Which rooms are in layers during the whole run: where something may break the layers up, a rough run without
/// observers finds out.
std::optional<Fault> try_plan(const Site& site, CaseIndex case_index, double horizon, LayerPlan& plan) {
  for (bool again = true; again && !plan.rooms.empty();) {
    LayeredSite layers(site, plan);
    if (!layers.may_break()) break;
    RunObservers unseen;
    unseen.layered_tolerance = rough_layers;
    auto trial = run(layers, case_index, gas_tracers(layers.site()), horizon, unseen);
    if (auto* fault = std::get_if<Fault>(&trial)) return std::move(*fault);
    again = take_out_broken(layers, std::get<RunOutcome>(trial), plan);
  }
  return std::nullopt;
}

/// Runs the rooms of a plan in layers, and as long as some are found to be broken up, all of it again without these.
Result<TransientResult> run_plan(const Site& site, CaseIndex case_index, std::span<const Tracer> tracers,
                                 double horizon, const RunObservers& observers, LayerPlan& plan) {
  while (!plan.rooms.empty()) {
    LayeredSite layers(site, plan);
    auto outcome = run(layers, case_index, layers.tracers(tracers), horizon, observers);
    if (auto* fault = std::get_if<Fault>(&outcome)) return std::move(*fault);
    RunOutcome& found = std::get<RunOutcome>(outcome);
    if (observers.start_again && layers.may_break() && take_out_broken(layers, found, plan)) {
      observers.start_again();
      continue;
    }
    collapse(layers, found.far_end, found.result);
    return std::move(found.result);
  }
  auto outcome = run(site, case_index, tracers, horizon, observers);
  if (auto* fault = std::get_if<Fault>(&outcome)) return std::move(*fault);
  return std::move(std::get<RunOutcome>(outcome).result);
}

}  // namespace

Result<TransientResult> run_layered(const Site& site, CaseIndex case_index, std::span<const Tracer> tracers,
                                    double horizon, const RunObservers& observers) {
  LayerPlan plan = plan_layers(site, case_index);
  if (!observers.start_again) {
    if (auto fault = try_plan(site, case_index, horizon, plan)) return std::move(*fault);
  }
  auto result = run_plan(site, case_index, tracers, horizon, observers, plan);
  if (auto* run = std::get_if<TransientResult>(&result)) run->mixed = std::move(plan.mixed);
  return result;
}

}  // namespace leanside::transport
