// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <utility>

#include <fmt/format.h>

#include "hazard/assumptions.hpp"
#include "hazard/case_solver.hpp"
#include "hazard/facts.hpp"
#include "hazard/room_models.hpp"

namespace leanside {

Fault hazard::fault_of_flows(const Site& site, CaseIndex case_index, const FlowFault& fault) {
  return {"case '" + site.cases[case_index.value].id + "': " + fault.message, fault.kind};
}

namespace {

using hazard::Basis;
using hazard::CaseOptions;
using hazard::longest_horizon;
using hazard::Solved;

/// Causes and remedies of `warnings`, which `result` of `basis.site` gave. `asked` is the site as the user gave it.
std::optional<Fault> explain(const Site& asked, const AssessOptions& options, const CaseResult& result, Basis& basis,
                             std::vector<Warning>& warnings) {
  if (warnings.empty()) return std::nullopt;
  if (auto fault = hazard::find_causes(basis.site, result, basis.models, *basis.system, warnings)) return fault;
  hazard::find_remedies(basis.site, asked, options.steady_only, result, basis.models, *basis.system, warnings);
  return std::nullopt;
}

/// The same where several models were solved: of each only the warnings that it shows.
std::optional<Fault> explain_each(const Site& asked, const AssessOptions& options,
                                  const std::vector<CaseResult>& results, std::vector<Basis>& bases, Solved& solved) {
  solved.shown_by.resize(solved.warnings.size(), 0);
  for (std::size_t k = 0; k < bases.size(); ++k) {
    std::vector<std::size_t> places;
    std::vector<Warning> own;
    for (std::size_t w = 0; w < solved.warnings.size(); ++w) {
      if (solved.shown_by[w] != k) continue;
      places.push_back(w);
      own.push_back(std::move(solved.warnings[w]));
    }
    if (auto fault = explain(asked, options, results[k], bases[k], own)) return fault;
    for (std::size_t w = 0; w < places.size(); ++w) solved.warnings[places[w]] = std::move(own[w]);
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
std::optional<Fault> assess_case(const Site& site, CaseIndex case_index, const CaseOptions& options, Solved& solved) {
  const auto [sites, both] = hazard::models_to_solve(site, case_index);
  const bool several = sites.size() > 1;
  std::vector<NotJudged> unsolved;
  std::vector<Basis> bases;
  std::vector<CaseResult> results;  // by basis, if there are several
  for (std::size_t k = 0; k < sites.size() && !solved.needs_longer; ++k) {
    const bool mixed = both && k + 1 == sites.size();
    const RoomModel model = mixed ? RoomModel::mixed : RoomModel::layered;
    Basis basis{sites[k], hazard::mixture_models(sites[k], case_index)};
    Solved one;
    if (auto fault = hazard::solve_case(case_index, options, basis, one)) {
      if (!both || mixed) return fault;
      if (unsolved.empty()) unsolved = without_layers(site, sites[k], case_index);  // the mixed rooms are judged
      continue;
    }
    bases.push_back(std::move(basis));
    if (several && options.explain) results.push_back(one.result);
    if (bases.size() == 1) {
      solved = std::move(one);
      if (both) solved.result.room_model.assign(site.spaces.size(), model);
    } else if (one.needs_longer) {
      solved.needs_longer = true;
    } else {
      hazard::take_the_worse(site, solved, one, model, bases.size() - 1);
    }
  }
  if (options.explain && !solved.needs_longer) {
    auto fault = several ? explain_each(site, options, results, bases, solved)
                         : explain(site, options, solved.result, bases.front(), solved.warnings);
    if (fault) return fault;
  }
  std::move(unsolved.begin(), unsolved.end(), std::back_inserter(solved.rising));
  return std::nullopt;
}

/// The same where vapour condenses: what cannot stay in the air is taken from its releases, and the case solved again.
std::optional<Fault> assess_condensing(const Site& site, CaseIndex case_index, const CaseOptions& options,
                                       Solved& solved) {
  if (!hazard::may_condense(site)) return assess_case(site, case_index, options, solved);
  CaseOptions plain = options;
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

void add_case(const CaseOptions& options, Solved solved, Assessment& assessment) {
  if (solved.grid) solved.grid->give(solved.result.case_index, options);
  assessment.balance_error = std::max(assessment.balance_error, solved.result.balance_error);
  assessment.cases.push_back(std::move(solved.result));
  std::move(solved.warnings.begin(), solved.warnings.end(), std::back_inserter(assessment.warnings));
  std::move(solved.rising.begin(), solved.rising.end(), std::back_inserter(assessment.not_judged));
}

/// All cases over the horizon of `site`, which is made longer where a case asks for that.
std::optional<Fault> assess_cases(Site& site, const CaseOptions& options, Assessment& assessment) {
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
std::optional<Fault> fix_horizon(Site& site, const CaseOptions& options) {
  if (!site.criteria.open_ended || !options.series) return std::nullopt;
  CaseOptions plain;
  plain.roughly = options.roughly;
  plain.only = options.only;
  plain.explain = false;
  Assessment unseen;
  if (auto fault = assess_cases(site, plain, unseen)) return fault;
  site.criteria.open_ended = false;
  return std::nullopt;
}

Result<Assessment> assess_as(const Site& site, const CaseOptions& options) {
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

}  // namespace

Result<Assessment> assess(const Site& site, const AssessOptions& options) {
  return assess_as(site, CaseOptions{options});
}

Result<Assessment> hazard::assess_roughly(const Site& site, const AssessOptions& options) {
  CaseOptions rough{options};
  rough.roughly = true;
  return assess_as(site, rough);
}

}  // namespace leanside
