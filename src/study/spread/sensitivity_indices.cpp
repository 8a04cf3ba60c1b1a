// SPDX-License-Identifier: Apache-2.0
/// Quasi-random designs and the share of the variance that each input has.
///
/// Sources: Saltelli, Annoni, Azzini, Campolongo, Ratto and Tarantola 2010, "Variance based sensitivity analysis of
/// model output", Computer Physics Communications 181, table 2: first order (b), total order (f), which is Jansen's
/// (1999). Directions of the Sobol sequence: Joe and Kuo 2008, as they come with Boost.
#include <algorithm>
#include <cassert>
#include <cmath>

#include <boost/random/sobol.hpp>

#include "leanside/study/spread.hpp"
#include "study/spread/random.hpp"

namespace leanside {
namespace {

/// In (0, 1), never an end.
double unit_interval(std::uint64_t bits) { return (static_cast<double>(bits >> 12) + 0.5) * 0x1.0p-52; }

/// Sums over rows of what the estimators are made of.
class Sums {
 public:
  Sums(std::size_t inputs, std::span<const double> values, double centre)
      : inputs_{inputs},
        blocks_{inputs + 2},
        values_{values},
        centre_{centre},
        of_product_(inputs),
        of_square_(inputs),
        of_change_(inputs) {}

  void add(std::size_t row, double weight) {
    const auto f = values_.subspan(row * blocks_, blocks_);
    const double a = f[0] - centre_, b = f[1] - centre_;
    weight_ += weight;
    of_value_ += weight * (a + b);
    of_value_square_ += weight * (a * a + b * b);
    for (std::size_t i = 0; i < inputs_; ++i) {
      const double change = (f[2 + i] - centre_) - a;
      of_product_[i] += weight * b * change;
      of_change_[i] += weight * change;
      of_square_[i] += weight * change * change;
    }
  }
  double mean() const { return of_value_ / (2.0 * weight_); }
  double variance() const { return of_value_square_ / (2.0 * weight_) - mean() * mean(); }
  double first(std::size_t i) const { return (of_product_[i] - mean() * of_change_[i]) / weight_ / variance(); }
  double total(std::size_t i) const { return of_square_[i] / (2.0 * weight_) / variance(); }

 private:
  std::size_t inputs_, blocks_;
  std::span<const double> values_;
  double centre_;
  double weight_ = 0.0, of_value_ = 0.0, of_value_square_ = 0.0;
  std::vector<double> of_product_, of_square_, of_change_;
};

/// Standard deviation of what is added.
class Scatter {
 public:
  void add(double x) {
    ++count_;
    const double step = x - mean_;
    mean_ += step / static_cast<double>(count_);
    squares_ += step * (x - mean_);
  }
  double deviation() const { return count_ < 2 ? 0.0 : std::sqrt(squares_ / static_cast<double>(count_ - 1)); }

 private:
  std::size_t count_ = 0;
  double mean_ = 0.0, squares_ = 0.0;
};

}  // namespace

SensitivityDesign::SensitivityDesign(std::size_t inputs, std::size_t rows, std::uint64_t seed)
    : inputs_{inputs}, rows_{rows} {
  assert(inputs >= 1 && inputs <= most_inputs);
  a_.reserve(rows * inputs);
  b_.reserve(rows * inputs);
  boost::random::sobol sequence(2 * inputs);
  study::SplitMix bits{seed};
  std::vector<std::uint64_t> shift(2 * inputs);
  for (auto& digits : shift) digits = bits.next();
  for (std::size_t row = 0; row < rows; ++row) {
    for (std::size_t d = 0; d < 2 * inputs; ++d) {
      // Boost leaves out the first point of the sequence, 0, without which 2^m points are not spread evenly.
      const std::uint64_t bits_of_point = row == 0 ? 0 : sequence();
      (d < inputs ? a_ : b_).push_back(unit_interval(bits_of_point ^ shift[d]));
    }
  }
}

void SensitivityDesign::point(std::size_t row, std::size_t block, std::span<double> out) const {
  assert(row < rows_ && block < blocks() && out.size() == inputs_);
  const std::vector<double>& from = block == 1 ? b_ : a_;
  for (std::size_t i = 0; i < inputs_; ++i) out[i] = from[row * inputs_ + i];
  if (block >= 2) out[block - 2] = b_[row * inputs_ + block - 2];
}

Sensitivity sensitivity(std::size_t inputs, std::span<const double> values, std::uint64_t seed, std::size_t resamples) {
  const std::size_t rows = values.size() / (inputs + 2);
  assert(rows > 0 && rows * (inputs + 2) == values.size());
  // About a value of the model itself, so that little is lost in differences.
  const double centre = values.front();
  Sums all{inputs, values, centre};
  for (std::size_t row = 0; row < rows; ++row) all.add(row, 1.0);
  Sensitivity out;
  out.mean = centre + all.mean();
  out.variance = std::max(0.0, all.variance());
  constexpr double round_off = 1e-7;  // of the mean: what a result itself may be off
  if (out.variance <= std::pow(round_off * out.mean, 2)) return out;
  std::vector<Scatter> first(inputs), total(inputs);
  study::SplitMix bits{seed};
  std::vector<double> weight(rows);
  for (std::size_t k = 0; k < resamples; ++k) {
    weight.assign(rows, 0.0);
    for (std::size_t draw = 0; draw < rows; ++draw) weight[bits.below(rows)] += 1.0;
    Sums some{inputs, values, centre};
    for (std::size_t row = 0; row < rows; ++row) {
      if (weight[row] > 0.0) some.add(row, weight[row]);
    }
    if (!(some.variance() > 0.0)) continue;
    for (std::size_t i = 0; i < inputs; ++i) {
      first[i].add(some.first(i));
      total[i].add(some.total(i));
    }
  }
  for (std::size_t i = 0; i < inputs; ++i) {
    out.first.push_back({all.first(i), first[i].deviation()});
    out.total.push_back({all.total(i), total[i].deviation()});
  }
  return out;
}

}  // namespace leanside
