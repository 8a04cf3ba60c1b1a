// SPDX-License-Identifier: Apache-2.0
/// What all draws of a site say together: chances, percentiles, what matters most.
#include <algorithm>
#include <cmath>
#include <tuple>
#include <utility>

#include "base/parallel/pieces.hpp"
#include "hazard/assumptions.hpp"
#include "leanside/study/spread.hpp"
#include "study/spread/spread.hpp"
#include "study/spread/spread_horizon.hpp"

namespace leanside {
namespace {

using study::never;

/// The value below which `percent` of the sorted values lie: linear between neighbours, infinite where one is.
double percentile(const std::vector<double>& sorted, double percent) {
  const double at = percent / 100.0 * static_cast<double>(sorted.size() - 1);
  const auto below = static_cast<std::size_t>(at);
  const double low = sorted[below], high = sorted[std::min(below + 1, sorted.size() - 1)];
  const double part = at - static_cast<double>(below);
  if (part == 0.0 || low == high) return low;
  return std::isinf(high) ? high : low + part * (high - low);
}

/// A chance from the rows of a design. The draws of one row share values: rows, not draws, are the sample.
class Chance {
 public:
  Chance(std::size_t rows, std::size_t blocks) : blocks_{static_cast<double>(blocks)}, hits_(rows, 0.0) {}
  void add(std::size_t row) { hits_[row] += 1.0; }
  Uncertain estimate() const {
    const auto n = static_cast<double>(hits_.size());
    double sum = 0.0, squares = 0.0;
    for (const double hits : hits_) sum += hits;
    const double mean = sum / blocks_ / n;
    for (const double hits : hits_) squares += std::pow(hits / blocks_ - mean, 2);
    return {mean, std::sqrt(squares / (n - 1.0) / n)};
  }

 private:
  double blocks_;
  std::vector<double> hits_;
};

SpreadSpace space_of(const SpreadPart& whole, std::size_t inputs, std::size_t places, std::size_t place,
                     std::uint64_t seed) {
  const std::size_t blocks = inputs + 2, draws = whole.rows * blocks;
  SpreadSpace out;
  Chance warn{whole.rows, blocks}, limit{whole.rows, blocks};
  std::vector<double> worst(draws), time(draws);
  std::size_t oxygen = 0, pressure = 0, endless = 0;
  for (std::size_t k = 0; k < draws; ++k) {
    const SpreadValue& value = whole.values[k * places + place];
    worst[k] = value.worst;
    time[k] = value.time;
    if (value.time < never) warn.add(k / blocks);
    if (value.over_limit) limit.add(k / blocks);
    oxygen += value.oxygen;
    pressure += value.pressure;
    endless += value.endless;
  }
  const auto share = [&](std::size_t hits) { return static_cast<double>(hits) / static_cast<double>(draws); };
  out.over_warn = warn.estimate();
  out.over_limit = limit.estimate();
  out.oxygen = share(oxygen);
  out.pressure = share(pressure);
  out.endless = share(endless);
  if (endless == 0) out.sensitivity = sensitivity(inputs, worst, seed);
  std::sort(worst.begin(), worst.end());
  std::sort(time.begin(), time.end());
  out.largest = worst.back();
  for (const double percent : spread_percents) {
    out.worst.push_back(percentile(worst, percent));
    const double t = percentile(time, percent);
    out.time.push_back(t < never ? std::optional{t} : std::nullopt);
  }
  return out;
}

std::vector<Assumption> assumptions_of(const SpreadOptions& options, const Assessment& of_best) {
  using Kind = AssumptionKind;
  std::vector<Assumption> out{
      {options.shape == SpreadShape::triangular ? Kind::spread_triangular : Kind::spread_two_piece},
      {Kind::spread_independent},
      {Kind::spread_given_the_case}};
  for (Assumption& one : hazard::standing_of(of_best.assumptions)) {
    if (one.kind != Kind::best_values) out.push_back(std::move(one));
  }
  return out;
}

/// Places (case, space) of which something is to be told.
std::vector<std::size_t> places_told(const Site& site, const SpreadPart& whole, std::size_t places) {
  std::vector<bool> told(places, false);
  for (std::size_t k = 0; k < whole.values.size(); ++k) {
    const SpreadValue& value = whole.values[k];
    if (value.worst > 0.0 || value.oxygen || value.pressure) told[k % places] = true;
  }
  std::vector<std::size_t> out;
  for (std::size_t p = 0; p < places; ++p) {
    if (told[p] && site.spaces[p % site.spaces.size()].kind != SpaceKind::junction) out.push_back(p);
  }
  return out;
}

}  // namespace

Result<SpreadStudy> spread_of(const RangedSite& site, const SpreadOptions& options, const SpreadPart& whole) {
  const auto horizon = study::horizon_of_draws(site, options);
  if (const auto* fault = std::get_if<Fault>(&horizon)) return *fault;
  Site best = site.best();
  best.criteria.open_ended = false;  // all draws are computed over one time
  best.criteria.horizon = std::get<double>(horizon);
  AssessOptions assess_options;
  assess_options.only = options.only;
  assess_options.explain = false;
  assess_options.steady_only = options.steady_only;
  auto assessed = assess(best, assess_options);
  if (auto* fault = std::get_if<Fault>(&assessed)) return std::move(*fault);
  const auto& assessment = std::get<Assessment>(assessed);
  const std::size_t inputs = best.ranges.size(), spaces = best.spaces.size();
  SpreadStudy out;
  out.rows = whole.rows;
  out.draws = whole.rows * (inputs + 2);
  out.seed = options.seed;
  out.shape = options.shape;
  out.steady_only = options.steady_only;
  out.horizon = best.criteria.horizon;
  out.cases = study::cases_of(best, options);
  const std::size_t places = out.cases.size() * spaces;
  if (inputs == 0 || whole.row_begin != 0 || whole.row_end != whole.rows || whole.rows < 2 ||
      whole.values.size() != out.draws * places) {
    return Fault::bad_input("these are not all the draws of this site");
  }
  const auto told = places_told(best, whole, places);
  out.spaces.resize(told.size());
  parallel::for_each_piece(told.size(), options.threads, [&](std::size_t k) {
    const std::size_t place = told[k], c = place / spaces;
    SpreadSpace& space = out.spaces[k];
    space = space_of(whole, inputs, places, place, options.seed);
    space.case_index = out.cases[c];
    space.space = SpaceIndex{place % spaces};
    const SpaceResult& at_best = assessment.cases[c].spaces[place % spaces];
    if (!options.steady_only) {
      space.at_best = at_best.peak.lfl_fraction;
    } else {
      space.at_best = at_best.steady.reached ? at_best.steady.at.lfl_fraction : never;
    }
  });
  const auto order = [](const SpreadSpace& s) {
    return std::tuple(-s.over_limit.value, -s.over_warn.value, -s.worst[2], -s.largest, s.case_index, s.space);
  };
  std::sort(out.spaces.begin(), out.spaces.end(),
            [&](const SpreadSpace& a, const SpreadSpace& b) { return order(a) < order(b); });
  out.assumptions = assumptions_of(options, assessment);
  return out;
}

}  // namespace leanside
