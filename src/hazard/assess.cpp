// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <utility>

#include "hazard/judge.hpp"
#include "hazard/watch.hpp"

namespace leanside {
namespace {

using hazard::MixtureModels;

/// Fractions on a grid of times, filled from pieces that come space by space.
class SeriesGrid {
 public:
  SeriesGrid(const Site& site, std::size_t points) : columns_{site.gases.size()} {
    for (std::size_t k = 0; k <= points; ++k) {
      times_.push_back(site.criteria.horizon * static_cast<double>(k) / static_cast<double>(points));
    }
    fields_.assign(times_.size(), FractionField(site.spaces.size(), columns_));
    for (std::size_t i = 0; i < site.spaces.size(); ++i) {
      for (const GasShare& share : site.spaces[i].initial) fields_[0](SpaceIndex{i}, share.gas.value) = share.fraction;
    }
  }

  void see(const DensePiece& piece) {
    auto k = static_cast<std::size_t>(std::lower_bound(times_.begin(), times_.end(), piece.begin) - times_.begin());
    for (; k < times_.size() && times_[k] <= piece.end; ++k) {
      const double s = piece.position_at(times_[k]);
      for (std::size_t c = 0; c < columns_; ++c) {
        const auto coefficients = piece.coefficients.subspan(c * (dense_degree + 1), dense_degree + 1);
        fields_[k](piece.space, c) = std::max(0.0, bernstein_value(coefficients, s));
      }
    }
  }

  void give(CaseIndex which, const AssessOptions& options) const {
    for (std::size_t k = 0; k < times_.size(); ++k) options.series(which, times_[k], fields_[k]);
  }

 private:
  std::size_t columns_;
  std::vector<double> times_;
  std::vector<FractionField> fields_;
};

FractionField initial_field(const Site& site) {
  FractionField field(site.spaces.size(), site.gases.size());
  for (std::size_t i = 0; i < site.spaces.size(); ++i) {
    for (const GasShare& share : site.spaces[i].initial) field(SpaceIndex{i}, share.gas.value) = share.fraction;
  }
  return field;
}

std::optional<SolveFault> run_in_time(const Site& site, const AssessOptions& options, const MixtureModels& models,
                                      CaseResult& result) {
  hazard::Watch watch(site, models);
  std::optional<SeriesGrid> grid;
  if (options.series) grid.emplace(site, std::max<std::size_t>(1, options.series_points));
  const auto observe = [&](const DensePiece& piece) {
    watch.see(piece);
    if (grid) grid->see(piece);
  };
  auto solved = solve_transient(site, result.which, gas_tracers(site), site.criteria.horizon, observe);
  if (auto* fault = std::get_if<SolveFault>(&solved)) return std::move(*fault);
  TransientResult& transient = std::get<TransientResult>(solved);
  result.spaces = watch.finish(transient);
  result.flows = std::move(transient.first_flows);
  result.leaks = std::move(transient.leaks);
  result.overflowing = std::move(transient.overflowing);
  result.off_curve = std::move(transient.off_curve);
  result.adrift = std::move(transient.adrift);
  result.releases = std::move(transient.releases);
  for (const ColumnBalance& balance : transient.balance) {
    result.balance_error = std::max(result.balance_error, balance.relative_error());
  }
  if (grid) grid->give(result.which, options);
  return std::nullopt;
}

std::optional<SolveFault> stand_still(const Site& site, const MixtureModels& models, CaseResult& result) {
  auto flows = balance_flows(site, state_at(site, result.which, 0.0));
  if (const auto* fault = std::get_if<FlowFault>(&flows)) {
    return SolveFault{"case '" + site.cases[result.which.value].id + "': " + fault->message, true};
  }
  result.flows = std::move(std::get<FlowField>(flows));
  result.leaks = result.flows.leaks;
  result.overflowing = result.flows.overflowing;
  result.off_curve = result.flows.off_curve;
  result.adrift = result.flows.adrift;
  hazard::Watch watch(site, models);
  result.spaces = watch.at_start(initial_field(site));
  return std::nullopt;
}

std::optional<SolveFault> assess_case(const Site& site, CaseIndex which, const AssessOptions& options,
                                      Assessment& assessment) {
  const MixtureModels models = hazard::mixture_models(site, which);
  CaseResult result;
  result.which = which;
  auto built = SustainedSystem::build(site, which);
  if (auto* fault = std::get_if<SolveFault>(&built)) return std::move(*fault);
  SustainedSystem& system = std::get<SustainedSystem>(built);
  auto solved = system.solve(gas_tracers(site));
  if (auto* fault = std::get_if<SolveFault>(&solved)) return std::move(*fault);
  const SustainedFractions& sustained = std::get<SustainedFractions>(solved);

  auto fault = options.sustained_only ? stand_still(site, models, result) : run_in_time(site, options, models, result);
  if (fault) return fault;
  for (std::size_t i = 0; i < site.spaces.size(); ++i) {
    SustainedInstant& at = result.spaces[i].sustained;
    at.reached = sustained.reached[i];
    at.reason = sustained.reason[i];
    at.at = models.of(SpaceIndex{i}).instant(0.0, sustained.fractions.of(SpaceIndex{i}));
  }
  std::vector<Warning> warnings = hazard::find_warnings(site, result);
  if (options.explain) {
    if ((fault = hazard::find_causes(site, result, models, system, warnings))) return fault;
    hazard::find_remedies(site, result, models, system, warnings);
  }
  assessment.balance_error = std::max(assessment.balance_error, result.balance_error);
  assessment.cases.push_back(std::move(result));
  std::move(warnings.begin(), warnings.end(), std::back_inserter(assessment.warnings));
  return std::nullopt;
}

/// What every answer of this engine rests on, whatever the site.
std::vector<std::string> standing_assumptions(const Site& site, const AssessOptions& options) {
  std::vector<std::string> texts;
  const bool short_circuits =
      std::any_of(site.spaces.begin(), site.spaces.end(), [](const Space& space) { return space.mixing_factor > 1.0; });
  texts.push_back(
      short_circuits
          ? "gas mixes at once through each space; where a mixing factor is given, only its share of the air takes "
            "part. "
            "Near a leak, under a ceiling or on a floor the gas can be far richer than these averages"
          : "gas mixes at once and evenly through each space. Near a leak, under a ceiling or on a floor it can be far "
            "richer than these averages");
  const bool driven = std::any_of(site.airways.begin(), site.airways.end(), follows_pressure);
  texts.push_back(
      driven ? "air moves by itself through gaps and doorways only, and fans with a curve follow the pressure; every "
               "other flow is as the file gives it. The long run was sought from a site without gas: where gas that is "
               "once there keeps itself in, another state is possible"
             : "airflows are as the file gives them: no wind, no warm or light gas rising, no fan weakened by what it "
               "works against");
  texts.push_back(
      "gases are ideal, at the temperature of their space and at ambient pressure except in closed vessels");
  if (options.sustained_only) texts.push_back("only the sustained state was computed: peaks and times are not known");
  return texts;
}

}  // namespace

std::variant<Assessment, SolveFault> assess(const Site& site, const AssessOptions& options) {
  Assessment assessment;
  for (std::size_t c = 0; c < site.cases.size(); ++c) {
    if (options.only && *options.only != CaseIndex{c}) continue;
    if (auto fault = assess_case(site, CaseIndex{c}, options, assessment)) return *fault;
  }
  assessment.stock = stock_of(site);
  if (!options.only || *options.only == CaseIndex{0}) {
    auto notes = hazard::storage_notes(assessment.stock, assessment.warnings);
    std::move(notes.begin(), notes.end(), std::back_inserter(assessment.warnings));
  }
  hazard::rank(site, assessment.warnings);
  assessment.assumptions = site.assumptions;
  for (std::string& text : standing_assumptions(site, options)) assessment.assumptions.push_back(std::move(text));
  return assessment;
}

}  // namespace leanside
