// SPDX-License-Identifier: Apache-2.0
#include "transport/linear/linear_system.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "base/linalg/worse.hpp"

namespace leanside::transport {
namespace {

/// The differences of a column are no more exact than this share of its largest value, however short the step is.
constexpr double round_off = 1e-15;

/// Of one step, in units of the tolerance.
struct StepError {
  double stored = 0.0;   ///< of the cells that hold gas
  double passing = 0.0;  ///< of those that hold nothing, which follow from the others
};

class Stepper {
 public:
  Stepper(const LinearSystem& system, const Tolerance& tolerance, std::span<double> x, std::span<double> integral)
      : system_{system},
        tolerance_{tolerance},
        x_{x},
        rows_{system.capacity.size()},
        shifted_{system.a},
        work_(x.size()),
        integral_{integral},
        step_integral_(integral.size()) {
    for (auto& d : differences_) d.resize(x.size());
  }

  /// A first step that suits the fastest cell. The error control lengthens it at once where it can.
  double first_step(double duration) const {
    double fastest = 0.0;
    for (std::size_t i = 0; i < rows_; ++i) {
      if (system_.capacity[i] > 0.0) {
        fastest = std::max(fastest, -system_.a.value[system_.a.diagonal[i]] / system_.capacity[i]);
      }
    }
    return fastest * duration > 0.5 ? 0.5 / fastest : duration;
  }

  bool factorise(double h) {
    // The rows of cells that hold nothing stay as they are, or they would be rounded otherwise at every length of step.
    for (std::size_t k = 0; k < shifted_.value.size(); ++k) {
      shifted_.value[k] = -scale_of(system_.a.row_of(k), h) * system_.a.value[k];
    }
    for (std::size_t i = 0; i < rows_; ++i) shifted_.value[shifted_.diagonal[i]] += system_.capacity[i];
    return lu_.factorise(shifted_);
  }

  /// The d_n for one step of length h.
  StepError try_step(double h) {
    auto& d = differences_;
    std::copy(x_.begin(), x_.end(), d[0].begin());
    weigh(x_);
    for (std::size_t k = 0; k < x_.size(); ++k) work_[k] += scale_of(k % rows_, h) * system_.source[k];
    lu_.solve(work_, system_.columns);
    std::fill(step_integral_.begin(), step_integral_.end(), 0.0);
    take_difference(x_, 1, h);
    for (std::size_t n = 1; n <= order; ++n) {
      lu_.solve(work_, system_.columns);
      take_difference(d[n], n + 1, h);
    }
    const auto& weights = end_weights();
    StepError worst;
    std::fill(work_.begin(), work_.end(), 0.0);
    for (std::size_t n = order + 1; n-- > 0;) {
      const double weight = weights[n];
      const std::vector<double>& part = d[n];
      for (std::size_t k = 0; k < work_.size(); ++k) work_[k] += weight * part[k];
    }
    const std::vector<double>& leading = d[order + 1];
    for (std::size_t first = 0; first < x_.size(); first += rows_) {
      double largest = 0.0;
      for (std::size_t k = first; k < first + rows_; ++k) largest = std::max(largest, std::abs(work_[k]));
      for (std::size_t k = first; k < first + rows_; ++k) {
        const double allowed = tolerance_.relative * std::max(std::abs(x_[k]), std::abs(work_[k])) +
                               tolerance_.absolute + round_off * largest;
        // Where no gas is, no error is allowed; an error of 0 is then none.
        double& kind = system_.capacity[k - first] > 0.0 ? worst.stored : worst.passing;
        if (leading[k] != 0.0) kind = linalg::worse(kind, error_weight() * std::abs(leading[k]) / allowed);
      }
    }
    return worst;
  }

  void accept(std::span<double> gone) {
    std::copy(work_.begin(), work_.end(), x_.begin());
    const auto& weights = end_weights();
    for (std::size_t c = 0; c < system_.columns; ++c) {
      for (std::size_t n = 1; n <= order; ++n) gone[c] += weights[n] * left_[n][c];
    }
    for (std::size_t k = 0; k < integral_.size(); ++k) integral_[k] += step_integral_[k];
  }

  std::span<const std::vector<double>> differences() const { return {differences_.data(), order + 1}; }

 private:
  double scale_of(std::size_t row, double h) const { return system_.capacity[row] > 0.0 ? pole * h : 1.0; }

  /// work_ = M y, column by column.
  void weigh(std::span<const double> y) {
    for (std::size_t first = 0; first < y.size(); first += rows_) {
      for (std::size_t i = 0; i < rows_; ++i) work_[first + i] = system_.capacity[i] * y[first + i];
    }
  }

  /// Takes d_(n-1) and E d_(n-1), which work_ holds, to d_n = d_(n-1) - E d_(n-1), and sets work_ = M d_n for the next
  /// solution. What left for outside is a row of its own that no other row depends on; its part of d_n is
  /// -gamma h f (E d_(n-1)). One pass does it all, because memory traffic takes the time on large sites.
  void take_difference(std::span<const double> before, std::size_t n, double h) {
    std::vector<double>& difference = differences_[n];
    const bool in_sum = n <= order;  // the last one only gives the error
    if (in_sum) left_[n].assign(system_.columns, 0.0);
    if (in_sum && !step_integral_.empty()) {
      const double part = -pole * h * end_weights()[n];
      for (std::size_t k = 0; k < step_integral_.size(); ++k) step_integral_[k] += part * work_[k];
    }
    for (std::size_t c = 0; c < system_.columns; ++c) {
      double left = 0.0;
      const std::size_t first = c * rows_;
      for (std::size_t i = 0; i < rows_; ++i) {
        const double solved = work_[first + i];
        const double now = before[first + i] - solved;
        difference[first + i] = now;
        left += system_.outflow[i] * solved;
        work_[first + i] = system_.capacity[i] * now;
      }
      if (in_sum) left_[n][c] = -pole * h * left;
    }
  }

  const LinearSystem& system_;
  Tolerance tolerance_;
  std::span<double> x_;
  std::size_t rows_;
  linalg::SparseMatrix shifted_;
  linalg::SparseLu lu_;
  std::array<std::vector<double>, order + 2> differences_;
  std::array<std::vector<double>, order + 1> left_;
  std::vector<double> work_;
  std::span<double> integral_;
  std::vector<double> step_integral_;  ///< of x over the step that is tried; summed up in the same way as left_
};

/// Shortest step, as a share of the stretch: what the fastest of all sites needs is far longer.
constexpr double shortest = 1e-40;

/// By which power of two the step should change after this error. At 0 the step keeps its length and its factors.
int change_of_step(double error) {
  constexpr int most = 5;
  if (error <= 0.0) return most;
  const double wanted = std::log2(0.3 / error) / static_cast<double>(order + 1);
  return std::clamp(static_cast<int>(std::floor(wanted)), -most, most);
}

}  // namespace

namespace {

/// Tells round-off in the cells that hold nothing, which no shorter step makes smaller, from an error of the step.
class PassingNoise {
 public:
  double error_of(const StepError& step) {
    const bool only_passing = step.stored <= 1.0 && step.passing > 1.0;
    if (only_passing && step.passing > 0.5 * before_) noise_ = true;
    before_ = only_passing ? step.passing : never_;
    return noise_ ? step.stored : linalg::worse(step.stored, step.passing);
  }

 private:
  static constexpr double never_ = std::numeric_limits<double>::infinity();
  double before_ = never_;  ///< error of the longer step that was tried before
  bool noise_ = false;
};

}  // namespace

bool make_consistent(const LinearSystem& system, std::span<double> x) {
  const std::size_t rows = system.capacity.size();
  if (std::all_of(system.capacity.begin(), system.capacity.end(), [](double m) { return m > 0.0; })) return true;
  linalg::SparseMatrix matrix = system.a;
  for (std::size_t column = 0; column < rows; ++column) {
    for (std::size_t k = matrix.begin(column); k < matrix.end(column); ++k) {
      const std::size_t row = matrix.row_of(k);
      if (system.capacity[row] > 0.0) matrix.value[k] = row == column ? 1.0 : 0.0;
    }
  }
  linalg::SparseLu lu;
  if (!lu.factorise(matrix)) return false;
  for (std::size_t row = 0; row < rows; ++row) {
    if (system.capacity[row] > 0.0) continue;
    for (std::size_t c = 0; c < system.columns; ++c) x[c * rows + row] = -system.source[c * rows + row];
  }
  lu.solve(x, system.columns);
  return true;
}

bool advance(const LinearSystem& system, double duration, const Tolerance& tolerance, std::span<double> x,
             std::span<double> gone, const std::function<void(const Step&)>& observe, StepCount& count,
             std::span<double> integral) {
  if (duration <= 0.0 || x.empty()) return true;
  if (!make_consistent(system, x)) return false;
  Stepper stepper(system, tolerance, x, integral);
  double h = stepper.first_step(duration);
  PassingNoise noise;
  double factorised = 0.0;
  double done = 0.0;
  while (done < duration) {
    // The last step takes a remainder shorter than a thousandth of a step along.
    const bool last = done + 1.001 * h >= duration;
    const double step = last ? duration - done : h;
    if (!(done + step > done) || step < shortest * duration) return false;
    if (step != factorised) {
      if (!stepper.factorise(step)) return false;
      factorised = step;
      ++count.factorisations;
    }
    const double error = noise.error_of(stepper.try_step(step));
    const int change = change_of_step(error);
    if (!(error <= 1.0)) {
      ++count.rejected;
      h = step * std::ldexp(1.0, std::isfinite(error) ? std::min(change, -1) : -5);
      continue;
    }
    stepper.accept(gone);
    ++count.steps;
    const double end = last ? duration : done + step;
    if (observe) observe({done, end, stepper.differences()});
    done = end;
    if (change > 0) h = step * std::ldexp(1.0, change);
  }
  return true;
}

}  // namespace leanside::transport
