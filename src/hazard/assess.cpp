// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <map>
#include <set>
#include <utility>

#include <fmt/format.h>

#include "hazard/judge.hpp"
#include "hazard/layer_watch.hpp"
#include "hazard/watch.hpp"
#include "leanside/layer.hpp"

namespace leanside {

SolveFault hazard::fault_of_flows(const Site& site, CaseIndex which, const FlowFault& fault) {
  return {"case '" + site.cases[which.value].id + "': " + fault.message, !fault.numerical};
}

namespace {

using hazard::MixtureModels;

/// Fractions on a grid of times, filled from pieces that come space by space.
class SeriesGrid {
 public:
  SeriesGrid(const Site& site, std::size_t points) : columns_{site.gases.size()} {
    for (std::size_t k = 0; k < points; ++k) {
      times_.push_back(site.criteria.horizon * static_cast<double>(k) / static_cast<double>(points));
    }
    times_.push_back(site.criteria.horizon);  // rounded, it could lie behind the last piece
    fields_.assign(times_.size(), FractionField(site.spaces.size(), columns_));
    for (std::size_t i = 0; i < site.spaces.size(); ++i) {
      for (const GasShare& share : site.spaces[i].initial) fields_[0](SpaceIndex{i}, share.gas.value) = share.fraction;
    }
  }

  void see(const DensePiece& piece) {
    // Begins and ends are rounded: no instant may fall between two pieces, or behind the last.
    const double slack = 1e-12 * times_.back();
    auto k =
        static_cast<std::size_t>(std::lower_bound(times_.begin(), times_.end(), piece.begin - slack) - times_.begin());
    for (; k < times_.size() && times_[k] <= piece.end + slack; ++k) {
      const double s = piece.position_at(times_[k]);
      for (std::size_t c = 0; c < columns_; ++c) {
        const auto coefficients = piece.coefficients.subspan(c * (dense_degree + 1), dense_degree + 1);
        fields_[k](piece.space, c) = std::max(0.0, bernstein_value(coefficients, s));
      }
    }
  }

  const std::vector<double>& times() const { return times_; }

  void set_layers(const std::map<SpaceIndex, std::vector<LayerState>>& layers) { layers_ = layers; }

  /// Takes the course of one space from another run of the same case.
  void take(SpaceIndex space, const SeriesGrid& other) {
    for (std::size_t k = 0; k < times_.size(); ++k) {
      for (std::size_t c = 0; c < columns_; ++c) fields_[k](space, c) = other.fields_[k](space, c);
    }
    layers_.erase(space);
    const auto layered = other.layers_.find(space);
    if (layered != other.layers_.end()) layers_.insert(*layered);
  }

  void give(CaseIndex which, const AssessOptions& options) const {
    for (std::size_t k = 0; k < times_.size(); ++k) {
      options.series(which, times_[k], fields_[k]);
      if (!options.layer_series) continue;
      for (const auto& [space, states] : layers_) {
        if (k < states.size()) options.layer_series(which, times_[k], states[k]);
      }
    }
  }

 private:
  std::size_t columns_;
  std::vector<double> times_;
  std::vector<FractionField> fields_;
  std::map<SpaceIndex, std::vector<LayerState>> layers_;
};

/// One case as it was solved.
struct Solved {
  CaseResult result;
  std::vector<Warning> warnings;
  std::optional<SeriesGrid> grid;
};

FractionField initial_field(const Site& site) {
  FractionField field(site.spaces.size(), site.gases.size());
  for (std::size_t i = 0; i < site.spaces.size(); ++i) {
    for (const GasShare& share : site.spaces[i].initial) field(SpaceIndex{i}, share.gas.value) = share.fraction;
  }
  return field;
}

std::optional<SolveFault> run_in_time(const Site& site, const AssessOptions& options, const MixtureModels& models,
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
  auto solved = solve_transient(site, result.which, gas_tracers(site), site.criteria.horizon, observe, observe_layers);
  if (auto* fault = std::get_if<SolveFault>(&solved)) return std::move(*fault);
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
  result.adrift = std::move(transient.adrift);
  result.releases = std::move(transient.releases);
  for (const ColumnBalance& balance : transient.balance) {
    result.balance_error = std::max(result.balance_error, balance.relative_error());
  }
  return std::nullopt;
}

std::optional<SolveFault> stand_still(const Site& site, const MixtureModels& models, CaseResult& result) {
  auto flows = balance_flows(site, state_at(site, result.which, 0.0));
  if (const auto* fault = std::get_if<FlowFault>(&flows)) {
    return hazard::fault_of_flows(site, result.which, *fault);
  }
  result.flows = std::move(std::get<FlowField>(flows));
  result.leaks = result.flows.leaks;
  result.overflowing = result.flows.overflowing;
  result.leaking = result.flows.leaking;
  result.starved = result.flows.starved;
  result.off_curve = result.flows.off_curve;
  result.adrift = result.flows.adrift;
  hazard::Watch watch(site, models);
  result.spaces = watch.at_start(initial_field(site));
  return std::nullopt;
}

/// Rooms in layers: their sustained state, and what is told of the room as a whole.
void judge_layers(const Site& site, const MixtureModels& models, const SustainedFractions& sustained,
                  const AssessOptions& options, CaseResult& result) {
  if (options.sustained_only) {
    for (const LayerState& state : sustained.layers) {
      result.layered.push_back(hazard::layered_at_start(site, state, result.spaces[state.space.value]));
    }
  }
  for (LayeredRoom& room : result.layered) {
    const SpaceResult gas = hazard::with_sustained(room, models.of(room.space), sustained);
    const SpaceResult& other = room.gas_above ? room.lower : room.upper;
    result.spaces[room.space.value] = hazard::is_worse(site, room.space, other, gas) ? other : gas;
  }
  for (const MixedRoom& room : sustained.mixed) {
    const auto same = [&](const MixedRoom& known) { return known.space == room.space; };
    if (std::none_of(result.mixed.begin(), result.mixed.end(), same)) result.mixed.push_back(room);
  }
}

/// Fans that starve once every event has happened belong to the answer as well, and what a second picture of a room
/// finds.
void add_starved(std::vector<StarvedFan>& known, const std::vector<StarvedFan>& more) {
  for (const StarvedFan& fan : more) {
    const auto same = std::find_if(known.begin(), known.end(), [&](const auto& other) { return other.fan == fan.fan; });
    std::optional<StarvedFan> worst;
    if (same != known.end()) worst = *same;
    keep_worst(worst, fan);
    if (same == known.end()) {
      known.push_back(*worst);
    } else {
      *same = *worst;
    }
  }
}

/// A fault where rounding has eaten the answer: sizes of the site so far apart that they do not fit into one sum.
std::optional<SolveFault> unsound(const Site& site, const CaseResult& result) {
  constexpr double most_lost = 1e-3, slack = 1e-4;  // of the gas of the site; of a fraction
  const auto fault = [&](const std::string& what) {
    return SolveFault{
        "case '" + site.cases[result.which.value].id + "': " + what +
        ": volumes, flows or rates of the site are too far apart to be computed with; are all units right?"};
  };
  if (!(result.balance_error <= most_lost)) return fault("gas got lost in rounding");
  const auto is_fraction = [&](double x) { return x >= -slack && x <= 1.0 + slack; };
  for (std::size_t i = 0; i < site.spaces.size(); ++i) {
    const SpaceResult& space = result.spaces[i];
    bool sound = is_fraction(space.lowest_oxygen) && is_fraction(space.highest_oxygen);
    for (const auto* x : {&space.peak.fraction, &space.end.fraction, &space.sustained.at.fraction}) {
      sound = sound && std::all_of(x->begin(), x->end(), is_fraction);
    }
    if (!sound) return fault("the fractions of '" + site.spaces[i].id + "' came out beyond 0 and 1");
  }
  return std::nullopt;
}

/// `asked` is the site as the user gave it, `site` the one with a picture chosen for every room.
std::optional<SolveFault> solve_case(const Site& site, const Site& asked, CaseIndex which, const AssessOptions& options,
                                     Solved& out) {
  const MixtureModels models = hazard::mixture_models(site, which);
  CaseResult& result = out.result;
  result.which = which;
  auto built = SustainedSystem::build(site, which);
  if (auto* fault = std::get_if<SolveFault>(&built)) return std::move(*fault);
  SustainedSystem& system = std::get<SustainedSystem>(built);
  auto solved = system.solve(gas_tracers(site));
  if (auto* fault = std::get_if<SolveFault>(&solved)) return std::move(*fault);
  const SustainedFractions& sustained = std::get<SustainedFractions>(solved);

  auto fault = options.sustained_only ? stand_still(site, models, result) : run_in_time(site, options, models, out);
  if (fault) return fault;
  for (std::size_t i = 0; i < site.spaces.size(); ++i) {
    SustainedInstant& at = result.spaces[i].sustained;
    at.reached = sustained.reached[i];
    at.reason = sustained.reason[i];
    at.at = models.of(SpaceIndex{i}).instant(0.0, sustained.fractions.of(SpaceIndex{i}));
  }
  judge_layers(site, models, sustained, options, result);
  add_starved(result.starved, sustained.flows.starved);
  if ((fault = unsound(site, result))) return fault;
  out.warnings = hazard::find_warnings(site, result);
  if (options.explain) {
    if ((fault = hazard::find_causes(site, result, models, system, out.warnings))) return fault;
    hazard::find_remedies(site, asked, options.sustained_only, result, models, system, out.warnings);
  }
  return std::nullopt;
}

/// The site with every "worse of both" room in one of the two pictures.
Site pictured(const Site& site, Stratification picture) {
  Site result = site;
  for (Space& space : result.spaces) {
    if (space.stratification == Stratification::worse_of_both) space.stratification = picture;
  }
  return result;
}

/// Of every space the worse of two pictures of the same case; `layered` becomes the answer.
void take_the_worse(const Site& site, Solved& layered, Solved& mixed) {
  CaseResult &result = layered.result, &other = mixed.result;
  result.picture.assign(site.spaces.size(), Picture::layered);
  const auto take = [&](auto& into, auto& from, SpaceIndex space) {
    std::erase_if(into, [&](const auto& entry) { return entry.space == space; });
    for (auto& entry : from) {
      if (entry.space == space) into.push_back(std::move(entry));
    }
  };
  for (std::size_t i = 0; i < site.spaces.size(); ++i) {
    const SpaceIndex space{i};
    if (!hazard::is_worse(site, space, other.spaces[i], result.spaces[i])) continue;
    result.picture[i] = Picture::mixed;
    result.spaces[i] = std::move(other.spaces[i]);
    take(result.layered, other.layered, space);
    take(layered.warnings, mixed.warnings, space);
    if (layered.grid && mixed.grid) layered.grid->take(space, *mixed.grid);
  }
  add_starved(result.starved, other.starved);
  result.balance_error = std::max(result.balance_error, other.balance_error);
}

std::optional<SolveFault> assess_case(const Site& site, CaseIndex which, const AssessOptions& options,
                                      Assessment& assessment) {
  Solved solved;
  const bool both = std::any_of(site.spaces.begin(), site.spaces.end(), [](const Space& space) {
    return space.stratification == Stratification::worse_of_both;
  });
  if (!both) {
    if (auto fault = solve_case(site, site, which, options, solved)) return fault;
  } else {
    const Site layered = pictured(site, Stratification::layered), mixed = pictured(site, Stratification::mixed);
    Solved beside;
    if (auto fault = solve_case(layered, site, which, options, solved)) return fault;
    if (auto fault = solve_case(mixed, site, which, options, beside)) return fault;
    take_the_worse(site, solved, beside);
  }
  if (solved.grid) solved.grid->give(which, options);
  assessment.balance_error = std::max(assessment.balance_error, solved.result.balance_error);
  assessment.cases.push_back(std::move(solved.result));
  std::move(solved.warnings.begin(), solved.warnings.end(), std::back_inserter(assessment.warnings));
  return std::nullopt;
}

/// What layered rooms rest on.
void assume_layers(const Site& site, std::vector<std::string>& texts) {
  if (!has_layers(site)) return;
  std::set<double> entrainment;
  bool air_changes = false;
  for (const Space& space : site.spaces) {
    if (space.stratification == Stratification::mixed) continue;
    entrainment.insert(space.entrainment);
    air_changes = air_changes || space.air_changes > 0.0;
  }
  std::string values;
  for (const double value : entrainment) values += (values.empty() ? "" : ", ") + format_number(value);
  texts.push_back(fmt::format(
      "in a layered room gas rises (or sinks) as one plume from each release, which draws in air on its way "
      "(entrainment coefficient {}), and gathers in one evenly mixed layer; nothing mixes across its edge. In the "
      "plume itself and close to the leak the gas is richer. Figures of such a room are those of the worse of its "
      "layers",
      values));
  texts.push_back(
      "air and gas that come into a layered room by an airway join the layer that the airway opens into; what leaks "
      "without a way that is given leaks from the other layer than that of the gas, the cautious side");
  if (air_changes) texts.push_back("air changes of a layered room are shared out to its layers by their volume");
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
      : has_layers(site)
          ? "gas mixes at once and evenly through each space that is not in layers. Near a leak, under a ceiling or on "
            "a "
            "floor it can be far richer than these averages"
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
  std::vector<std::string> standing = standing_assumptions(site, options);
  assume_layers(site, standing);
  for (std::string& text : standing) assessment.assumptions.push_back(std::move(text));
  return assessment;
}

}  // namespace leanside
