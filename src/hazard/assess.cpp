// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <utility>

#include <fmt/format.h>

#include "hazard/assumptions.hpp"
#include "hazard/experiments.hpp"
#include "hazard/facts.hpp"
#include "hazard/judge.hpp"
#include "hazard/layer_watch.hpp"
#include "hazard/room_models.hpp"
#include "hazard/series_grid.hpp"
#include "hazard/watch.hpp"
#include "hazard/worse_model.hpp"
#include "leanside/advanced/plumes.hpp"

namespace leanside {

Fault hazard::fault_of_flows(const Site& site, CaseIndex case_index, const FlowFault& fault) {
  return {"case '" + site.cases[case_index.value].id + "': " + fault.message, fault.kind};
}

namespace {

using hazard::add_starved;
using hazard::MixtureModels;
using hazard::SeriesGrid;
using hazard::Solved;
using hazard::take_the_worse;

constexpr double hour = 3600.0;
/// Without a horizon in the file the computed time is doubled from here until the verdict is settled, and ends there at
/// the latest.
constexpr double first_horizon = 8.0 * hour;
constexpr double longest_horizon = 365.0 * 24.0 * hour;
/// Looking past a given horizon means further runs; very large sites go without.
constexpr std::size_t spaces_to_look_past = 2000;

FractionField initial_field(const Site& site) {
  FractionField field(site.spaces.size(), site.gases.size());
  for (std::size_t i = 0; i < site.spaces.size(); ++i) {
    for (const GasShare& share : site.spaces[i].initial) field(SpaceIndex{i}, share.gas.value) = share.fraction;
  }
  return field;
}

std::optional<Fault> run_in_time(const Site& site, const AssessOptions& options, const MixtureModels& models,
                                 Solved& solved_case) {
  CaseResult& result = solved_case.result;
  hazard::Watch watch(site, models);
  std::optional<SeriesGrid>& grid = solved_case.grid;
  if (options.series) grid.emplace(site, std::max<std::size_t>(1, options.series_points));
  const auto observe = [&](const DensePiece& piece) {
    watch.see(piece);
    if (grid) grid->see(piece);
  };
  std::optional<hazard::LayerWatch> layers;
  LayerObserver observe_layers;
  if (has_layers(site)) {
    layers.emplace(site, models, SeriesGrid(site, std::max<std::size_t>(1, options.series_points)).times());
    observe_layers = [&](const LayerPiece& piece) { layers->see(piece); };
  }
  auto solved =
      solve_transient(site, result.case_index, gas_tracers(site), site.criteria.horizon, observe, observe_layers);
  if (auto* fault = std::get_if<Fault>(&solved)) return std::move(*fault);
  TransientResult& transient = std::get<TransientResult>(solved);
  result.spaces = watch.finish(transient);
  if (layers) {
    result.layered = layers->finish(transient);
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
    return hazard::fault_of_flows(site, result.case_index, *fault);
  }
  result.flows = std::move(std::get<FlowField>(flows));
  result.leaks = result.flows.leaks;
  result.overflowing = result.flows.overflowing;
  result.leaking = result.flows.leaking;
  result.starved = result.flows.starved;
  result.off_curve = result.flows.off_curve;
  result.unvented = result.flows.unvented;
  hazard::Watch watch(site, models);
  result.spaces = watch.at_start(initial_field(site));
  return std::nullopt;
}

/// Rooms in layers: their steady state, and the result of the room as a whole.
void judge_layers(const Site& site, const MixtureModels& models, const SteadyFractions& steady,
                  const AssessOptions& options, CaseResult& result) {
  if (options.steady_only) {
    for (const LayerState& state : steady.layers) {
      result.layered.push_back(hazard::layered_at_start(site, state, result.spaces[state.space.value]));
    }
  }
  for (LayeredRoom& room : result.layered) {
    const SpaceResult gas = hazard::with_steady(room, models.of(room.space), steady);
    const SpaceResult& other = room.gas_above ? room.lower : room.upper;
    result.spaces[room.space.value] = hazard::is_worse(site, room.space, other, gas) ? other : gas;
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
    hazard::look_ahead(models.of(space), result.spaces[i]);
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
std::optional<Fault> look_past(const Site& site, const AssessOptions& options, const SteadyFractions& steady,
                               const MixtureModels& models, Solved& out) {
  if (!options.explain) return std::nullopt;
  AssessOptions plain;
  plain.explain = false;
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
      judge_layers(longer, models, steady, plain, further.result);
    } while (!hazard::is_settled(longer, further.result));
  }
  out.rising = hazard::still_rising(site, out.result, further.result.spaces.empty() ? nullptr : &further.result);
  set_later(out.warnings, out.rising);
  return std::nullopt;
}

void find_facts(const Site& site, const MixtureModels& models, CaseResult& result) {
  for (SpaceResult& space : result.spaces) space.worst = hazard::worst_of(space);
  for (LayeredRoom& room : result.layered) {
    for (SpaceResult* layer : {&room.lower, &room.upper}) layer->worst = hazard::worst_of(*layer);
  }
  result.air = hazard::air_at_start(site, result);
  result.zones = hazard::source_zones(site, result);
  result.experiments = hazard::find_experiments(site, result, models);
}

/// `asked` is the site as the user gave it, `site` the one with a model chosen for every room.
std::optional<Fault> solve_case(const Site& site, const Site& asked, CaseIndex case_index, const AssessOptions& options,
                                Solved& out) {
  const MixtureModels models = hazard::mixture_models(site, case_index);
  CaseResult& result = out.result;
  result.case_index = case_index;
  auto built = SteadySystem::build(site, case_index);
  if (auto* fault = std::get_if<Fault>(&built)) return std::move(*fault);
  SteadySystem& system = std::get<SteadySystem>(built);
  auto solved = system.solve(gas_tracers(site));
  if (auto* fault = std::get_if<Fault>(&solved)) return std::move(*fault);
  const SteadyFractions& steady = std::get<SteadyFractions>(solved);

  auto fault = options.steady_only ? stand_still(site, models, result) : run_in_time(site, options, models, out);
  if (fault) return fault;
  take_steady(site, models, steady, result);
  judge_layers(site, models, steady, options, result);
  find_facts(site, models, result);
  add_starved(result.starved, steady.flows.starved);
  if ((fault = unsound(site, result))) return fault;
  const bool settled = options.steady_only || hazard::is_settled(site, result);
  out.needs_longer = !settled && site.criteria.open_ended && site.criteria.horizon < longest_horizon;
  if (out.needs_longer) return std::nullopt;
  out.warnings = hazard::find_warnings(site, result);
  if (!settled && (fault = look_past(site, options, steady, models, out))) return fault;
  if (options.explain) {
    if ((fault = hazard::find_causes(site, result, models, system, out.warnings))) return fault;
    hazard::find_remedies(site, asked, options.steady_only, result, models, system, out.warnings);
  }
  return std::nullopt;
}

/// Spaces of `site` that have layers in `chosen`, and show the worse of two models.
std::vector<NotJudged> without_layers(const Site& site, const Site& chosen, CaseIndex case_index) {
  std::vector<NotJudged> open;
  for (std::size_t i = 0; i < site.spaces.size(); ++i) {
    if (site.spaces[i].stratification != Stratification::worse_of_both || !chosen.spaces[i].gas_above) continue;
    NotJudged question{OpenQuestion::layers_unsolved};
    question.space = SpaceIndex{i};
    question.case_index = case_index;
    open.push_back(question);
  }
  return open;
}

/// Solves one case into `solved`, with every choice of room models; says in it where the computed time was too short.
std::optional<Fault> assess_case(const Site& site, CaseIndex case_index, const AssessOptions& options, Solved& solved) {
  const auto [sites, both] = hazard::models_to_solve(site, case_index);
  std::vector<NotJudged> unsolved;
  bool any = false;
  for (std::size_t k = 0; k < sites.size() && !solved.needs_longer; ++k) {
    const bool mixed = both && k + 1 == sites.size();
    const RoomModel model = mixed ? RoomModel::mixed : RoomModel::layered;
    Solved one;
    if (auto fault = solve_case(sites[k], site, case_index, options, one)) {
      if (!both || mixed) return fault;
      if (unsolved.empty()) unsolved = without_layers(site, sites[k], case_index);  // the mixed rooms are judged
    } else if (!any) {
      any = true;
      solved = std::move(one);
      if (both) solved.result.room_model.assign(site.spaces.size(), model);
    } else if (one.needs_longer) {
      solved.needs_longer = true;
    } else {
      take_the_worse(site, solved, one, model);
    }
  }
  std::move(unsolved.begin(), unsolved.end(), std::back_inserter(solved.rising));
  return std::nullopt;
}

/// The same where vapour condenses: what cannot stay in the air is taken from its releases, and the case solved again.
std::optional<Fault> assess_condensing(const Site& site, CaseIndex case_index, const AssessOptions& options,
                                       Solved& solved) {
  if (!hazard::may_condense(site)) return assess_case(site, case_index, options, solved);
  AssessOptions plain = options;
  plain.explain = false;
  plain.series = {};
  plain.layer_series = {};
  Site dried = site;
  std::vector<double> share(site.releases.size(), 1.0);
  constexpr int most_rounds = 8;
  for (int k = 0; k < most_rounds; ++k) {
    Solved trial;
    if (auto fault = assess_case(dried, case_index, plain, trial)) return fault;
    if (trial.needs_longer) {
      solved.needs_longer = true;
      return std::nullopt;
    }
    if (!hazard::condense(dried, trial.result, share)) break;
    dried = hazard::with_shares(site, share);
  }
  if (auto fault = assess_case(dried, case_index, options, solved)) return fault;
  for (std::size_t r = 0; r < share.size(); ++r) {
    if (share[r] < 1.0) solved.result.condensing.push_back({ReleaseIndex{r}, share[r]});
  }
  return std::nullopt;
}

void add_case(const AssessOptions& options, Solved solved, Assessment& assessment) {
  if (solved.grid) solved.grid->give(solved.result.case_index, options);
  assessment.balance_error = std::max(assessment.balance_error, solved.result.balance_error);
  assessment.cases.push_back(std::move(solved.result));
  std::move(solved.warnings.begin(), solved.warnings.end(), std::back_inserter(assessment.warnings));
  std::move(solved.rising.begin(), solved.rising.end(), std::back_inserter(assessment.not_judged));
}

/// All cases over the horizon of `site`, which is made longer where a case asks for that.
std::optional<Fault> assess_cases(Site& site, const AssessOptions& options, Assessment& assessment) {
  for (bool grew = true; grew;) {
    grew = false;
    assessment = {};
    for (std::size_t c = 0; c < site.cases.size(); ++c) {
      if (options.only && *options.only != CaseIndex{c}) continue;
      Solved solved;
      do {
        if (solved.needs_longer) {
          site.criteria.horizon = std::min(longest_horizon, 2.0 * site.criteria.horizon);
          grew = grew || !assessment.cases.empty();  // the cases before this one have the shorter time
        }
        solved = {};
        if (auto fault = assess_condensing(site, CaseIndex{c}, options, solved)) return fault;
      } while (solved.needs_longer);
      add_case(options, std::move(solved), assessment);
    }
  }
  return std::nullopt;
}

/// The site with the time that is to be computed, where the file leaves it open and the caller wants a course on a
/// grid, which cannot be given twice.
std::optional<Fault> fix_horizon(Site& site, const AssessOptions& options) {
  if (!site.criteria.open_ended || !options.series) return std::nullopt;
  AssessOptions plain;
  plain.only = options.only;
  plain.explain = false;
  Assessment unseen;
  if (auto fault = assess_cases(site, plain, unseen)) return fault;
  site.criteria.open_ended = false;
  return std::nullopt;
}

}  // namespace

Result<Assessment> assess(const Site& site, const AssessOptions& options) {
  Assessment assessment;
  Site timed = site;
  if (auto fault = fix_horizon(timed, options)) return *fault;
  if (auto fault = assess_cases(timed, options, assessment)) return *fault;
  assessment.horizon = timed.criteria.horizon;
  auto open = hazard::open_questions(timed);
  assessment.not_judged.insert(assessment.not_judged.begin(), open.begin(), open.end());
  assessment.stock = stock_of(site);
  if (!options.only || *options.only == CaseIndex{0}) {
    auto notes = hazard::storage_notes(assessment.stock, assessment.warnings);
    std::move(notes.begin(), notes.end(), std::back_inserter(assessment.warnings));
  }
  hazard::rank(site, assessment.warnings);
  assessment.findings = hazard::find_findings(assessment);
  for (std::size_t c = 1; c < assessment.cases.size(); ++c) {
    assessment.cases[c].differences = hazard::flow_differences(site, assessment.cases.front(), assessment.cases[c]);
  }
  assessment.assumptions = hazard::assumptions_of(site, options, assessment);
  return assessment;
}

}  // namespace leanside
