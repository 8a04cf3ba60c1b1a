// SPDX-License-Identifier: Apache-2.0
/// A site whose values are ranges: many draws of all of them at once.
#include "study/spread/spread.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <mutex>
#include <utility>

#include "base/parallel/pieces.hpp"
#include "hazard/judge.hpp"
#include "hazard/mixture.hpp"
#include "hazard/room_models.hpp"
#include "hazard/watch.hpp"
#include "leanside/study/spread.hpp"
#include "leanside/study/sweep.hpp"
#include "study/spread/spread_horizon.hpp"

namespace leanside {

std::string_view word_of(SpreadShape shape) { return shape == SpreadShape::triangular ? "triangular" : "two-piece"; }

double quantile(const Range& range, SpreadShape shape, double u) {
  const double low = range.low, best = range.best, high = range.high;
  if (shape == SpreadShape::two_piece) {
    return u < 0.5 ? low + 2.0 * u * (best - low) : best + 2.0 * (u - 0.5) * (high - best);
  }
  const double width = high - low;
  if (u * width < best - low) return low + std::sqrt(u * width * (best - low));
  return high - std::sqrt((1.0 - u) * width * (high - best));
}

namespace study {

std::vector<CaseIndex> cases_of(const Site& site, const SpreadOptions& options) {
  if (options.only) return {*options.only};
  std::vector<CaseIndex> out;
  for (std::size_t c = 0; c < site.cases.size(); ++c) out.push_back(CaseIndex{c});
  return out;
}

}  // namespace study

namespace {

using study::cases_of;
using study::never;

/// Fewer rows than this tell nothing of percentiles or indices.
constexpr std::size_t least_rows = 32;
/// Values that are kept at once: some hundred megabytes.
constexpr std::size_t most_values = 20'000'000;

std::size_t rows_of(const Site& site, const SpreadOptions& options) { return options.draws / (site.ranges.size() + 2); }

std::optional<Fault> refused(const Site& site, const SpreadOptions& options, std::size_t cases) {
  const std::size_t inputs = site.ranges.size();
  if (inputs == 0) {
    return Fault::bad_input(
        "no value of this file is a range, so there is nothing to draw; write for example "
        "rate = { low = \"2 L/min\", best = \"4 L/min\", high = \"8 L/min\" }");
  }
  if (inputs > SensitivityDesign::most_inputs) {
    return Fault::bad_input(std::to_string(inputs) + " ranges are more than the " +
                            std::to_string(SensitivityDesign::most_inputs) + " that can be drawn at once");
  }
  if (rows_of(site, options) < least_rows) {
    return Fault::bad_input(std::to_string(options.draws) + " draws are too few for " + std::to_string(inputs) +
                            (inputs == 1 ? " range" : " ranges") + ": at least " + std::to_string(least_draws(inputs)) +
                            " are needed");
  }
  const double values =
      static_cast<double>(rows_of(site, options) * (inputs + 2)) * static_cast<double>(cases * site.spaces.size());
  if (values > static_cast<double>(most_values)) {
    return Fault::bad_input(
        "so many draws of so many spaces and cases do not fit in memory; ask for fewer draws (--draws) or for one case "
        "(--case)");
  }
  return std::nullopt;
}

std::optional<Fault> run_in_time(const Site& site, CaseIndex case_index, double horizon, std::span<SpreadValue> out) {
  const auto models = hazard::mixture_models(site, case_index);
  hazard::Watch watch(site, models);
  auto solved =
      solve_transient(site, case_index, gas_tracers(site), horizon, [&](const DensePiece& piece) { watch.see(piece); });
  if (auto* fault = std::get_if<Fault>(&solved)) return std::move(*fault);
  const auto results = watch.finish(std::get<TransientResult>(solved));
  for (std::size_t i = 0; i < results.size(); ++i) {
    const SpaceResult& result = results[i];
    SpreadValue value;
    value.worst = result.peak.lfl_fraction;
    value.time = never;
    for (const Crossing& crossing : result.crossings) {
      if (crossing.threshold == Threshold::warn) value.time = std::min(value.time, crossing.up);
      if (crossing.threshold == Threshold::lfl) value.over_limit = true;
    }
    value.oxygen = result.oxygen_left_criteria.has_value();
    value.pressure = hazard::over_pressure(site.spaces[i], result).has_value();
    out[i] = value;
  }
  return std::nullopt;
}

std::optional<Fault> run_to_the_end(const Site& site, CaseIndex case_index, std::span<SpreadValue> out) {
  const auto models = hazard::mixture_models(site, case_index);
  auto solved = solve_steady(site, case_index, gas_tracers(site));
  if (auto* fault = std::get_if<Fault>(&solved)) return std::move(*fault);
  const auto& steady = std::get<SteadyFractions>(solved);
  for (std::size_t i = 0; i < out.size(); ++i) {
    const SpaceIndex space{i};
    const auto fractions = steady.fractions.of(space);
    const hazard::MixtureModel& model = models.of(space);
    SpreadValue value;
    value.endless = !steady.reached[i];
    value.worst = value.endless ? never : model.lfl_fraction(fractions);
    value.over_limit = hazard::reached(value.worst, 1.0);
    value.time = hazard::reached(value.worst, site.criteria.warn_at) ? 0.0 : never;
    const double oxygen = value.endless ? site.conditions.oxygen_in_air : model.oxygen_of(fractions);
    value.oxygen = oxygen < site.criteria.oxygen_low || oxygen > site.criteria.oxygen_high;
    out[i] = value;
  }
  return std::nullopt;
}

/// Of every space the worse of two room models.
void take_the_worse(std::span<SpreadValue> out, std::span<const SpreadValue> other) {
  for (std::size_t i = 0; i < out.size(); ++i) {
    SpreadValue& value = out[i];
    value.worst = std::max(value.worst, other[i].worst);
    value.time = std::min(value.time, other[i].time);
    value.over_limit = value.over_limit || other[i].over_limit;
    value.oxygen = value.oxygen || other[i].oxygen;
    value.pressure = value.pressure || other[i].pressure;
    value.endless = value.endless || other[i].endless;
  }
}

/// `horizon`: s; empty where the steady state is looked at.
std::optional<Fault> solve_draw(const Site& site, CaseIndex case_index, std::optional<double> horizon,
                                std::span<SpreadValue> out) {
  const auto solve = [&](const Site& modelled, std::span<SpreadValue> values) {
    return horizon ? run_in_time(modelled, case_index, *horizon, values) : run_to_the_end(modelled, case_index, values);
  };
  std::vector<SpreadValue> other(out.size());
  bool first = true;
  for (const Site& modelled : hazard::models_to_solve(site, case_index).sites) {
    if (auto fault = solve(modelled, first ? out : std::span{other})) return fault;
    if (!first) take_the_worse(out, other);
    first = false;
  }
  return std::nullopt;
}

std::string drawn_words(const Site& site, std::span<const double> values) {
  std::string out;
  for (std::size_t i = 0; i < values.size(); ++i) {
    out += (i > 0 ? ", " : "") + site.ranges[i].name + " " + value_words(site.ranges[i], values[i]);
  }
  return out;
}

/// Solves rows of a design; which thread does which is open, what comes out is not.
class RowSolver {
 public:
  RowSolver(const RangedSite& site, const SpreadOptions& options, double horizon)
      : site_{site},
        options_{options},
        horizon_{options.steady_only ? std::nullopt : std::optional{horizon}},
        cases_{cases_of(site.best(), options)},
        design_{site.best().ranges.size(), rows_of(site.best(), options), options.seed} {}

  Result<SpreadPart> run() {
    SpreadPart part;
    part.rows = design_.rows();
    part.row_begin = part.rows * (options_.shard.index - 1) / options_.shard.count;
    part.row_end = part.rows * options_.shard.index / options_.shard.count;
    const std::size_t rows = part.row_end - part.row_begin;
    part.values.resize(rows * design_.blocks() * cases_.size() * spaces());
    Sweep unseen;
    Sweep& sweep = options_.sweep ? *options_.sweep : unseen;
    sweep.total = rows * design_.blocks();
    std::atomic<bool> given_up{false};
    parallel::for_each_piece(
        rows, options_.threads, &given_up,
        [&] {
          return Mine{RangedSite::Draws{site_}, {}, {}};
        },
        [&](Mine& mine, std::size_t row) {
          if (sweep.stop || !solve_row(mine, part, row, sweep)) given_up = true;
        });
    if (sweep.stop) return Fault::stopped(sweep.done, sweep.total);
    if (fault_) return std::move(*fault_);
    return part;
  }

 private:
  struct Mine {
    RangedSite::Draws draws;
    std::vector<double> unit, value;
  };
  std::size_t spaces() const { return site_.best().spaces.size(); }

  bool solve_row(Mine& mine, SpreadPart& part, std::size_t row, Sweep& sweep) {
    const Site& best = site_.best();
    mine.unit.resize(design_.inputs());
    mine.value.resize(design_.inputs());
    const std::size_t one = cases_.size() * spaces();
    for (std::size_t block = 0; block < design_.blocks() && !sweep.stop; ++block) {
      design_.point(part.row_begin + row, block, mine.unit);
      for (std::size_t i = 0; i < mine.unit.size(); ++i) {
        mine.value[i] = quantile(best.ranges[i], options_.shape, mine.unit[i]);
      }
      const Site* site = mine.draws.at(mine.value);
      if (site == nullptr) {
        give_up(row, Fault::bad_input("values of the ranges that do not go together: " + drawn_words(best, mine.value) +
                                      ": " + mine.draws.faults().front().message));
        return false;
      }
      const std::span values{part.values.data() + (row * design_.blocks() + block) * one, one};
      for (std::size_t c = 0; c < cases_.size(); ++c) {
        const auto out = values.subspan(c * spaces(), spaces());
        auto fault = solve_draw(*site, cases_[c], horizon_, out);
        if (!fault) continue;
        fault->message = "with " + drawn_words(best, mine.value) + ": " + fault->message;
        give_up(row, std::move(*fault));
        return false;
      }
      ++sweep.done;
    }
    return true;
  }

  /// Rows are begun in order, so that the fault of the first faulty row is the one reported.
  void give_up(std::size_t row, Fault fault) {
    const std::lock_guard<parallel::Guard> lock{guard_};
    if (fault_ && fault_row_ <= row) return;
    fault_row_ = row;
    fault_ = std::move(fault);
  }

  const RangedSite& site_;
  const SpreadOptions& options_;
  std::optional<double> horizon_;
  std::vector<CaseIndex> cases_;
  SensitivityDesign design_;
  parallel::Guard guard_;
  std::optional<Fault> fault_;
  std::size_t fault_row_ = 0;
};

}  // namespace

std::size_t least_draws(std::size_t ranges) { return least_rows * (ranges + 2); }

Result<SpreadPart> spread_part(const RangedSite& site, const SpreadOptions& options) {
  assert(options.shard.index >= 1 && options.shard.index <= options.shard.count);
  const Site& best = site.best();
  if (auto fault = refused(best, options, cases_of(best, options).size())) return std::move(*fault);
  const auto horizon = study::horizon_of_draws(site, options);
  if (const auto* fault = std::get_if<Fault>(&horizon)) return *fault;
  return RowSolver{site, options, std::get<double>(horizon)}.run();
}

Result<SpreadStudy> study_spread(const RangedSite& site, const SpreadOptions& options) {
  assert(options.shard.count == 1);
  auto part = spread_part(site, options);
  if (auto* fault = std::get_if<Fault>(&part)) return std::move(*fault);
  auto study = spread_of(site, options, std::get<SpreadPart>(part));
  if (auto* fault = std::get_if<Fault>(&study)) return std::move(*fault);
  return std::move(std::get<SpreadStudy>(study));
}

}  // namespace leanside
