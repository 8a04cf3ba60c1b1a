// SPDX-License-Identifier: Apache-2.0
#include "study/failures/failure_runner.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

#include "hazard/judge.hpp"
#include "hazard/layer_watch.hpp"
#include "leanside/advanced/release.hpp"
#include "study/failures/failure_consequence.hpp"

namespace leanside::study {
namespace {

/// Fractions below this, mol/mol, are no gas.
constexpr double no_gas = 1e-9;

bool holds_gas(const std::vector<double>& fractions) {
  return std::any_of(fractions.begin(), fractions.end(), [](double x) { return x > no_gas; });
}

/// What comes in by assumption, mol/s by space: through leaks, and through openings that are shut.
std::vector<double> inflow_of(const Site& site, const std::vector<AssumedLeak>& leaks,
                              const std::vector<AirwayIndex>& leaking, const std::vector<AirwayFlow>& flows) {
  std::vector<double> inflow(site.spaces.size(), 0.0);
  for (const AssumedLeak& leak : leaks) inflow[leak.space.value] = std::max(inflow[leak.space.value], leak.rate);
  for (const AirwayIndex airway : leaking) {
    const Side a = first_side(site.airways[airway.value]), b = second_side(site.airways[airway.value]);
    const AirwayFlow& flow = flows[airway.value];
    if (b) inflow[b->value] += flow.forward;
    if (a) inflow[a->value] += flow.backward;
  }
  return inflow;
}

network::Parts joined_spaces(const Site& site) {
  std::vector<network::Edge> edges;
  for (const Airway& airway : site.airways) {
    const Side a = first_side(airway), b = second_side(airway);
    if (a && b) edges.push_back({static_cast<int>(a->value), static_cast<int>(b->value)});
  }
  return network::connected_parts(static_cast<int>(site.spaces.size()), edges);
}

/// A harm as it counts when the worst moment is sought: how soon does not matter, since all may start at any time.
Consequence timeless(Consequence consequence) {
  consequence.time.reset();
  return consequence;
}

/// Takes from `more`, the same failures with another moment of the start, what is worse than in `all`.
void take_the_worse(FailureOutcome& all, FailureOutcome more, double oxygen_in_air) {
  for (Consequence& consequence : more.consequences) {
    const Consequence* known = same_thing(all.consequences, consequence);
    if (known == nullptr) {
      all.consequences.push_back(std::move(consequence));
    } else if (worse(timeless(consequence), timeless(*known), oxygen_in_air)) {
      all.consequences[static_cast<std::size_t>(known - all.consequences.data())] = std::move(consequence);
    }
  }
  all.gone = std::min(all.gone, more.gone);
  if (all.leaks.size() < more.leaks.size()) all.leaks = std::move(more.leaks);
  if (all.starved.size() < more.starved.size()) all.starved = std::move(more.starved);
}

}  // namespace

FailureRunner::FailureRunner(const Site& site, bool in_time)
    : site_{&site},
      in_time_{in_time},
      models_{hazard::mixture_models(site, CaseIndex{0})},
      joined_{joined_spaces(site)},
      openings_of_(site.spaces.size()),
      state_{state_at(site, CaseIndex{0}, std::numeric_limits<double>::infinity())} {
  how_.explain = false;
  how_.steady_only = !in_time;
  for (std::size_t i = 0; i < site.airways.size(); ++i) {
    if (!std::holds_alternative<Opening>(site.airways[i].kind)) continue;
    for (const Side& side : {first_side(site.airways[i]), second_side(site.airways[i])}) {
      if (side) openings_of_[side->value].push_back(AirwayIndex{i});
    }
  }
}

Result<FailureRunner> FailureRunner::build(const Site& site, bool in_time, bool reuse) {
  FailureRunner out{site, in_time};
  auto normal = assess(site, out.how_);
  if (auto* fault = std::get_if<Fault>(&normal)) return std::move(*fault);
  out.normal_found_ = out.found(normal);
  out.normal_ = std::move(std::get<Assessment>(normal));
  out.normal_harms_ = out.normal_found_.consequences;
  // The layers of a room move with the air: each failure is then a solution of its own.
  if (!in_time && reuse && !has_layers(site)) {
    auto built = FailureSolver::build(site);
    if (auto* fault = std::get_if<Fault>(&built)) return std::move(*fault);
    out.solver_.emplace(std::move(std::get<FailureSolver>(built)));
  }
  return out;
}

FailureRunner::Found FailureRunner::found(const Result<Assessment>& solved) const {
  Found found;
  if (const auto* fault = std::get_if<Fault>(&solved)) {
    found.fault = fault->message;
    return found;
  }
  const Assessment& assessment = std::get<Assessment>(solved);
  const CaseResult& result = assessment.cases.front();
  found.consequences = brief(assessment.warnings);
  found.inflow = inflow_of(*site_, result.leaks, result.leaking, result.flows.airways);
  found.starved = result.starved;
  for (const SpaceResult& space : result.spaces) {
    found.reached.push_back(space.steady.reached);
    found.holds_gas.push_back(leanside::study::holds_gas(space.peak.fraction) ||
                              leanside::study::holds_gas(space.end.fraction) ||
                              leanside::study::holds_gas(space.steady.at.fraction));
  }
  return found;
}

/// The warnings that go with these fractions in steady state.
FailureRunner::Found FailureRunner::judged(const std::vector<Failure>& failures,
                                           const FailureSolver::Solution& solution) const {
  Found found;
  found.reached = solution.reached;
  const CaseResult& normal = normal_.cases.front();
  const Criteria& criteria = site_->criteria;
  for (std::size_t i = 0; i < site_->spaces.size(); ++i) {
    const SpaceIndex space{i};
    const auto fractions = solution.fractions.of(space);
    found.holds_gas.push_back(normal_found_.holds_gas[i] ||
                              std::any_of(fractions.begin(), fractions.end(), [](double x) { return x > no_gas; }));
    const hazard::MixtureModel& model = models_.of(space);
    const SpaceResult& before = normal.spaces[i];
    const double oxygen = model.oxygen_of(fractions);
    constexpr double slack = 1e-6;
    const bool toxic = std::any_of(before.exposures.begin(), before.exposures.end(), [&](const Exposure& e) {
      return std::max(e.worst, fractions[e.gas.value]) >= e.idlh * (1.0 - slack);
    });
    const bool quiet = !toxic && model.lfl_fraction(fractions) < criteria.note_at - slack &&
                       before.peak.lfl_fraction == 0.0 && oxygen > criteria.oxygen_low + slack &&
                       oxygen < criteria.oxygen_high - slack && before.lowest_oxygen > criteria.oxygen_low &&
                       before.highest_oxygen < criteria.oxygen_high;
    if (quiet) continue;
    SpaceResult result = before;
    result.steady.reached = solution.reached[i];
    result.steady.at = model.instant(0.0, fractions);
    hazard::look_ahead(model, result);
    for (const Warning& w : hazard::warnings_of(*site_, CaseIndex{0}, space, result))
      found.consequences.push_back(brief(w));
  }
  add_sources(failures, found);
  return found;
}

/// What can be ignited at its source does not depend on the air: what could be before, and the releases that start.
void FailureRunner::add_sources(const std::vector<Failure>& failures, Found& found) const {
  for (const Consequence& h : normal_harms_) {
    if (h.subject == Subject::source) found.consequences.push_back(h);
  }
  for (const Failure& failure : failures) {
    if (!failure.release || !ignitable_at_source(*failure.release, found)) continue;
    Consequence consequence;
    consequence.space = site_->releases[failure.release->value].into;
    consequence.severity = Severity::near_source;
    consequence.time = site_->releases[failure.release->value].start;
    consequence.subject = Subject::source;
    consequence.release = failure.release;
    found.consequences.push_back(consequence);
  }
}

/// Whether a release that starts can be ignited close to it; in a space that burns as a whole that adds nothing.
bool FailureRunner::ignitable_at_source(ReleaseIndex release, const Found& found) const {
  const Release& of = site_->releases[release.value];
  const CaseResult& normal = normal_.cases.front();
  const bool nitrous = hazard::has_nitrous_oxide(*site_, normal.case_index);
  if (hazard::source_hazard(*site_, release, nitrous)) return true;
  const auto zone = hazard::source_zone(*site_, release, emission_rate(of, 0.0), normal.spaces[of.into.value], nitrous);
  if (!zone || !hazard::is_notable(*site_, *zone)) return false;
  return std::none_of(found.consequences.begin(), found.consequences.end(), [&](const Consequence& h) {
    return h.space == of.into && (h.severity == Severity::flammable || h.severity == Severity::rich);
  });
}

/// Whether some rooms that openings join may have no opening outside any more: only then a leak has to be assumed.
/// Looks at the neighbourhood of what failed alone, since a large site has thousands of failures.
bool FailureRunner::may_leak(const std::vector<Failure>& failures) const {
  const auto failed = [&](AirwayIndex airway, FailureKind kind) {
    return std::any_of(failures.begin(), failures.end(),
                       [&](const Failure& f) { return f.kind == kind && f.airway == airway; });
  };
  const auto carries = [&](AirwayIndex airway) {
    return (state_.airway_on[airway.value] && !failed(airway, FailureKind::shut)) ||
           failed(airway, FailureKind::opened);
  };
  std::vector<SpaceIndex> starts;
  for (const Failure& failure : failures) {
    // What is opened takes no air away, and an exchange takes out what it brings in.
    if (failure.kind != FailureKind::fan_off && failure.kind != FailureKind::shut) continue;
    const Airway& airway = site_->airways[failure.airway->value];
    if (std::holds_alternative<Exchange>(airway.kind)) continue;
    for (const Side& side : {first_side(airway), second_side(airway)}) {
      if (side) starts.push_back(*side);
    }
  }
  for (const SpaceIndex start : starts) {
    std::vector<SpaceIndex> seen{start};
    std::vector<bool> known(site_->spaces.size(), false);
    known[start.value] = true;
    bool grounded = false;
    for (std::size_t k = 0; k < seen.size() && !grounded; ++k) {
      for (const AirwayIndex opening : openings_of_[seen[k].value]) {
        if (!carries(opening)) continue;
        const Airway& airway = site_->airways[opening.value];
        for (const Side& side : {first_side(airway), second_side(airway)}) {
          if (!side) {
            grounded = true;
          } else if (!known[side->value]) {
            known[side->value] = true;
            seen.push_back(*side);
          }
        }
      }
    }
    if (!grounded) return true;
  }
  return false;
}

/// What comes in through assumed leaks in steady state, mol/s by space, where the flows are given by the file.
std::vector<double> FailureRunner::leaks_with(const std::vector<Failure>& failures) const {
  if (!may_leak(failures)) return normal_found_.inflow;
  const Site changed = with_failures(*site_, failures);
  const auto flows = balance_flows(changed, state_at(changed, CaseIndex{0}, std::numeric_limits<double>::infinity()));
  const auto* field = std::get_if<FlowField>(&flows);
  return field == nullptr ? normal_found_.inflow : inflow_of(*site_, field->leaks, field->leaking, field->airways);
}

/// Leaks count where gas is in the space or in any that airways join to it: elsewhere nothing can become worse.
std::vector<LeakReliance> FailureRunner::reliances(const Found& found, const Found& normal) const {
  constexpr double as_before = 1e-6;
  std::vector<bool> with_gas(static_cast<std::size_t>(joined_.count), false);
  for (std::size_t i = 0; i < found.holds_gas.size(); ++i) {
    if (found.holds_gas[i]) with_gas[static_cast<std::size_t>(joined_.part_of[i])] = true;
  }
  std::vector<LeakReliance> out;
  const Conditions& c = site_->conditions;
  for (std::size_t i = 0; i < found.inflow.size(); ++i) {
    const double more = found.inflow[i] - normal.inflow[i];
    if (!with_gas[static_cast<std::size_t>(joined_.part_of[i])] || more <= as_before * found.inflow[i]) continue;
    out.push_back({SpaceIndex{i}, more * gas_constant * c.outside_temperature / c.pressure});
  }
  return out;
}

FailureOutcome FailureRunner::compared(const Found& found, const Found& normal) const {
  FailureOutcome out;
  out.fault = found.fault;
  if (!out.fault.empty()) return out;
  const double air = site_->conditions.oxygen_in_air;
  for (const Consequence& h : found.consequences) {
    const Consequence* before = same_thing(normal.consequences, h);
    if (before == nullptr || worse(h, *before, air)) out.consequences.push_back(h);
  }
  for (const Consequence& h : normal.consequences) {
    // A space without a steady state has no value that could be better.
    if (h.space.value < found.reached.size() && !found.reached[h.space.value]) continue;
    const Consequence* after = same_thing(found.consequences, h);
    if (after == nullptr || worse(h, *after, air)) ++out.gone;
  }
  for (std::size_t i = 0; i < found.reached.size(); ++i) {
    if (!found.reached[i] && normal.reached[i]) out.unreached.push_back(SpaceIndex{i});
  }
  out.leaks = reliances(found, normal);
  out.starved = newly_starved(found.starved, normal.starved);
  return out;
}

/// In time, with releases that start at each of the moments: the worst of each space. Other failures begin at 0.
FailureRun FailureRunner::started(const std::vector<Failure>& failures,
                                  const std::vector<ReleaseIndex>& starting) const {
  FailureRun run;
  std::vector<Failure> others;
  for (const Failure& f : failures) {
    if (f.kind != FailureKind::release_starts) others.push_back(f);
  }
  const auto planned = start_moments(with_failures(*site_, others), starting);
  if (const auto* fault = std::get_if<Fault>(&planned)) {
    run.outcome.fault = fault->message;
    return run;
  }
  const auto& moments = std::get<StartMoments>(planned);
  run.moments_left_out = moments.left_out;
  // With nothing failed, over the same time: what only takes longer than the horizon is no work of the failure.
  Found normal = normal_found_;
  if (moments.until != site_->criteria.horizon) {
    Site longer = *site_;
    longer.criteria.horizon = moments.until;
    normal = found(assess(longer, how_));
  }
  std::string fault = normal.fault;
  bool any = false;
  for (const double moment : moments.at) {
    if (!normal.fault.empty()) break;
    Site changed = with_failures(*site_, failures, CaseIndex{0}, moment);
    changed.criteria.horizon = moments.until;
    FailureOutcome outcome = compared(found(assess(changed, how_)), normal);
    if (!outcome.fault.empty()) {
      fault = outcome.fault;
      ++run.moments_left_out;
      continue;
    }
    for (Consequence& consequence : outcome.consequences) consequence.starts = moment;
    if (any) {
      take_the_worse(run.outcome, std::move(outcome), site_->conditions.oxygen_in_air);
    } else {
      run.outcome = std::move(outcome);
    }
    any = true;
  }
  if (!any) run.outcome.fault = fault;
  return run;
}

FailureRun FailureRunner::run(std::vector<std::size_t> places, const std::vector<Failure>& as_listed) {
  FailureRun run;
  const std::vector<Failure> failures = taken_apart(*site_, as_listed);
  std::vector<ReleaseIndex> starting;
  for (const Failure& f : failures) {
    if (f.kind == FailureKind::release_starts) starting.push_back(*f.release);
  }
  const auto solution = solver_ ? solver_->solve(failures) : std::nullopt;
  if (solution) {
    Found result;
    result.fault = solution->fault;
    if (result.fault.empty()) {
      result = judged(failures, *solution);
      result.inflow = leaks_with(failures);
    }
    run.outcome = compared(result, normal_found_);
    run.by_update = true;
  } else if (in_time_ && !starting.empty()) {
    run = started(failures, starting);
  } else {
    run.outcome = compared(found(assess(with_failures(*site_, failures), how_)), normal_found_);
  }
  run.outcome.failures = std::move(places);
  auto& consequences = run.outcome.consequences;
  std::sort(consequences.begin(), consequences.end(),
            [](const Consequence& a, const Consequence& b) { return ranks_before(a, b); });
  return run;
}

}  // namespace leanside::study
