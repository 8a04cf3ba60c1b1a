// SPDX-License-Identifier: Apache-2.0
#include "hazard/case_solver.hpp"

#include <algorithm>
#include <utility>

#include "hazard/experiments.hpp"
#include "hazard/facts.hpp"
#include "hazard/layer_watch.hpp"
#include "hazard/series_grid.hpp"
#include "hazard/watch.hpp"
#include "leanside/advanced/plumes.hpp"
#include "transport/transient/layered_run.hpp"

namespace leanside::hazard {
namespace {

/// Looking past a given horizon means further runs; very large sites go without.
constexpr std::size_t spaces_to_look_past = 2000;

FractionField initial_field(const Site& site) {
  FractionField field(site.spaces.size(), site.gases.size());
  for (std::size_t i = 0; i < site.spaces.size(); ++i) {
    for (const GasShare& share : site.spaces[i].initial) field(SpaceIndex{i}, share.gas.value) = share.fraction;
  }
  return field;
}

std::optional<Fault> run_in_time(const Site& site, const CaseOptions& options, const MixtureModels& models,
                                 Solved& solved_case) {
  CaseResult& result = solved_case.result;
  std::optional<Watch> watch;
  std::optional<SeriesGrid>& grid = solved_case.grid;
  std::optional<LayerWatch> layers;
  const auto start = [&] {
    const std::size_t points = std::max<std::size_t>(1, options.series_points);
    watch.emplace(site, models);
    if (options.series) grid.emplace(site, points);
    if (has_layers(site)) layers.emplace(site, models, SeriesGrid(site, points).times());
  };
  start();
  const auto observe = [&](const DensePiece& piece) {
    watch->see(piece);
    if (grid) grid->see(piece);
  };
  const LayerObserver observe_layers = [&](const LayerPiece& piece) { layers->see(piece); };
  transport::RunObservers observers{observe, observe_layers};
  observers.start_again = start;
  if (options.roughly) observers.layered_tolerance = transport::rough_layers;
  const auto tracers = gas_tracers(site);
  const double horizon = site.criteria.horizon;
  auto solved = has_layers(site) ? transport::run_layered(site, result.case_index, tracers, horizon, observers)
                                 : solve_transient(site, result.case_index, tracers, horizon, observe);
  if (auto* fault = std::get_if<Fault>(&solved)) return std::move(*fault);
  TransientResult& transient = std::get<TransientResult>(solved);
  result.spaces = watch->finish(transient);
  if (layers) {
    result.layered = layers->finish(transient);
    solved_case.judged = std::move(layers->judged());
    result.mixed = std::move(transient.mixed);
    if (grid) grid->set_layers(layers->courses());
  }
  result.flows = std::move(transient.first_flows);
  result.leaks = std::move(transient.leaks);
  result.overflowing = std::move(transient.overflowing);
  result.leaking = std::move(transient.leaking);
  result.starved = std::move(transient.starved);
  result.off_curve = std::move(transient.off_curve);
  result.unvented = std::move(transient.unvented);
  result.releases = std::move(transient.releases);
  for (const ColumnBalance& balance : transient.balance) {
    result.balance_error = std::max(result.balance_error, balance.relative_error());
  }
  return std::nullopt;
}

std::optional<Fault> stand_still(const Site& site, const MixtureModels& models, CaseResult& result) {
  auto flows = balance_flows(site, state_at(site, result.case_index, 0.0));
  if (const auto* fault = std::get_if<FlowFault>(&flows)) {
    return fault_of_flows(site, result.case_index, *fault);
  }
  result.flows = std::move(std::get<FlowField>(flows));
  result.leaks = result.flows.leaks;
  result.overflowing = result.flows.overflowing;
  result.leaking = result.flows.leaking;
  result.starved = result.flows.starved;
  result.off_curve = result.flows.off_curve;
  result.unvented = result.flows.unvented;
  Watch watch(site, models);
  result.spaces = watch.at_start(initial_field(site));
  return std::nullopt;
}

/// Rooms in layers: their steady state, and the result of the room as a whole.
void judge_layers(const Site& site, const MixtureModels& models, const SteadyFractions& steady,
                  const CaseOptions& options, Solved& solved) {
  CaseResult& result = solved.result;
  if (options.steady_only) {
    for (const LayerState& state : steady.layers) {
      const SpaceResult& at_start = result.spaces[state.space.value];
      result.layered.push_back(layered_at_start(site, state, at_start));
      solved.judged[state.space] = {at_start, at_start};
    }
  }
  for (LayeredRoom& room : result.layered) {
    auto& [gas, rest] = solved.judged[room.space];
    put_steady(site, models.of(room.space), steady, room, solved.judged[room.space]);
    result.spaces[room.space.value] = is_worse(site, room.space, rest, gas) ? rest : gas;
  }
  for (const MixedRoom& room : steady.mixed) {
    const auto same = [&](const MixedRoom& known) { return known.space == room.space; };
    if (std::none_of(result.mixed.begin(), result.mixed.end(), same)) result.mixed.push_back(room);
  }
}

/// A fault where round-off made the answer unusable: sizes so far apart that they do not fit into one sum.
std::optional<Fault> unsound(const Site& site, const CaseResult& result) {
  constexpr double most_lost = 1e-3, slack = 1e-4;  // of the gas of the site; of a fraction
  const auto fault = [&](const std::string& what) {
    return Fault{
        "case '" + site.cases[result.case_index.value].id + "': " + what +
            ": the volumes, flows or rates of the site differ too much for the computation; are all units right?",
        FaultKind::unsound};
  };
  if (!(result.balance_error <= most_lost)) return fault("gas was lost to round-off");
  const auto is_fraction = [&](double x) { return x >= -slack && x <= 1.0 + slack; };
  for (std::size_t i = 0; i < site.spaces.size(); ++i) {
    const SpaceResult& space = result.spaces[i];
    bool sound = is_fraction(space.lowest_oxygen) && is_fraction(space.highest_oxygen);
    for (const auto* x : {&space.peak.fraction, &space.end.fraction, &space.steady.at.fraction}) {
      sound = sound && std::all_of(x->begin(), x->end(), is_fraction);
    }
    if (!sound) return fault("the fractions in '" + site.spaces[i].id + "' are not between 0 and 1");
  }
  return std::nullopt;
}

void take_steady(const Site& site, const MixtureModels& models, const SteadyFractions& steady, CaseResult& result) {
  for (std::size_t i = 0; i < site.spaces.size(); ++i) {
    const SpaceIndex space{i};
    SteadyInstant& at = result.spaces[i].steady;
    at.reached = steady.reached[i];
    at.reason = steady.reason[i];
    at.at = models.of(space).instant(0.0, steady.fractions.of(space));
    look_ahead(models.of(space), result.spaces[i]);
  }
}

/// When a warning that is only true of the steady state comes true, from what was found to be still rising.
void set_later(std::vector<Warning>& warnings, const std::vector<NotJudged>& rising) {
  for (Warning& warning : warnings) {
    if (warning.time) continue;
    for (const NotJudged& open : rising) {
      const bool fits = (warning.severity == Severity::flammable && open.threshold == RisingTo::lfl) ||
                        (warning.severity == Severity::margin && open.threshold == RisingTo::warn) ||
                        (warning.severity == Severity::note && open.threshold == RisingTo::note) ||
                        (warning.severity == Severity::oxygen && open.threshold == RisingTo::oxygen) ||
                        (warning.toxic && open.threshold == RisingTo::idlh && open.gas == warning.toxic->gas);
      if (open.space == warning.space && fits) warning.later = open.time;
    }
  }
}

/// The same case past its horizon, until its verdict is settled: when does what still rises reach its thresholds?
std::optional<Fault> look_past(const Site& site, const CaseOptions& options, const SteadyFractions& steady,
                               const MixtureModels& models, Solved& out) {
  if (!options.explain) return std::nullopt;
  CaseOptions plain;
  plain.explain = false;
  plain.roughly = true;
  Site longer = site;
  double& horizon = longer.criteria.horizon;
  Solved further;
  if (site.spaces.size() <= spaces_to_look_past) {
    do {
      if (horizon >= longest_horizon) break;
      horizon = std::min(longest_horizon, std::max(first_horizon, 2.0 * horizon));
      further = {};
      further.result.case_index = out.result.case_index;
      if (auto fault = run_in_time(longer, plain, models, further)) return fault;
      take_steady(longer, models, steady, further.result);
      judge_layers(longer, models, steady, plain, further);
    } while (!is_settled(longer, further.result));
  }
  out.rising = still_rising(site, out.result, further.result.spaces.empty() ? nullptr : &further.result);
  set_later(out.warnings, out.rising);
  return std::nullopt;
}

void find_facts(const Site& site, const MixtureModels& models, CaseResult& result) {
  for (SpaceResult& space : result.spaces) space.worst = worst_of(space);
  for (LayeredRoom& room : result.layered) {
    for (SpaceResult* layer : {&room.lower, &room.upper}) layer->worst = worst_of(*layer);
  }
  result.air = air_at_start(site, result);
  result.zones = source_zones(site, result);
  result.experiments = find_experiments(site, result, models);
}

}  // namespace

std::optional<Fault> solve_case(CaseIndex case_index, const CaseOptions& options, Basis& basis, Solved& out) {
  const Site& site = basis.site;
  const MixtureModels& models = basis.models;
  CaseResult& result = out.result;
  result.case_index = case_index;
  auto built = SteadySystem::build(site, case_index);
  if (auto* fault = std::get_if<Fault>(&built)) return std::move(*fault);
  SteadySystem& system = basis.system.emplace(std::move(std::get<SteadySystem>(built)));
  auto solved = system.solve(gas_tracers(site));
  if (auto* fault = std::get_if<Fault>(&solved)) return std::move(*fault);
  const SteadyFractions& steady = std::get<SteadyFractions>(solved);

  auto fault = options.steady_only ? stand_still(site, models, result) : run_in_time(site, options, models, out);
  if (fault) return fault;
  take_steady(site, models, steady, result);
  judge_layers(site, models, steady, options, out);
  find_facts(site, models, result);
  add_starved(result.starved, steady.flows.starved);
  if ((fault = unsound(site, result))) return fault;
  const bool settled = options.steady_only || is_settled(site, result);
  out.needs_longer = !settled && site.criteria.open_ended && site.criteria.horizon < longest_horizon;
  if (out.needs_longer) return std::nullopt;
  out.warnings = find_warnings(site, result);
  if (!settled && (fault = look_past(site, options, steady, models, out))) return fault;
  return std::nullopt;
}

}  // namespace leanside::hazard
