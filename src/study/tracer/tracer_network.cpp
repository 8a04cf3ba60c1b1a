// SPDX-License-Identifier: Apache-2.0
/// The fit of several spaces at once. Unknowns: Q_ji for j != i, row by row of i; then Q_oi; then the concentrations at
/// time 0.
#include <algorithm>
#include <cmath>
#include <limits>
#include <span>

#include <fmt/format.h>

#include "base/linalg/dense.hpp"
#include "study/tracer/tracer_fitter.hpp"

namespace leanside::study {
namespace {

/// A flow or concentration that is less than this share of its scale is none.
constexpr double nothing = 1e-6;

}  // namespace

double Fitter::leaving_outside(const std::vector<double>& p, std::size_t i) const {
  double sum = 0.0;
  for (std::size_t j = 0; j < m_; ++j) sum += p[place(j, i)];
  for (std::size_t j = 0; j < m_; ++j) {
    if (j != i) sum -= p[place(i, j)];
  }
  return sum;
}

std::vector<double> Fitter::deviations(const std::vector<double>& p) const {
  std::vector<double> a(m_ * m_, 0.0);  // column-major
  for (std::size_t i = 0; i < m_; ++i) {
    double in = 0.0;
    for (std::size_t j = 0; j < m_; ++j) {
      in += p[place(j, i)];
      if (j != i) a[j * m_ + i] = p[place(j, i)] / volume(i);
    }
    a[i * m_ + i] = -in / volume(i);
  }
  std::vector<double> c(p.begin() + static_cast<std::ptrdiff_t>(flows_count()), p.end());
  std::vector<double> out;
  double now = data_.time.front(), last_step = -1.0;
  std::vector<double> exponential;
  std::size_t k = 0;
  for (std::size_t row = 0; row < data_.time.size(); ++row) {
    const double step = data_.time[row] - now;
    if (step > 0.0) {
      if (std::abs(step - last_step) > 1e-12 * step) {
        std::vector<double> scaled = a;
        for (double& v : scaled) v *= step;
        exponential = linalg::exponential(scaled, m_);
        last_step = step;
      }
      std::vector<double> next(m_, 0.0);
      for (std::size_t j = 0; j < m_; ++j) {
        for (std::size_t i = 0; i < m_; ++i) next[i] += exponential[j * m_ + i] * c[j];
      }
      c = std::move(next);
      now = data_.time[row];
    }
    for (; k < readings_.size() && readings_[k].row == row; ++k) {
      out.push_back((c[readings_[k].space] - readings_[k].value) * weight(k));
    }
  }
  for (std::size_t i = 0; i < m_; ++i) {
    constexpr double stiff = 1e3;
    out.push_back(stiff * std::min(0.0, leaving_outside(p, i)) / flow_scale_);
  }
  return out;
}

double Fitter::sum_of_squares(const std::vector<double>& r) {
  double sum = 0.0;
  for (const double v : r) sum += v * v;
  return sum;
}

std::vector<double> Fitter::jacobian(const std::vector<double>& p) const {
  std::vector<double> out;
  for (std::size_t k = 0; k < p.size(); ++k) {
    std::vector<double> up = p, down = p;
    const double h = 1e-5 * (p[k] / scale_of(k) + 0.1);
    up[k] += h * scale_of(k);
    down[k] -= h * scale_of(k);
    const std::vector<double> above = deviations(up), below = deviations(down);
    for (std::size_t q = 0; q < above.size(); ++q) out.push_back((above[q] - below[q]) / (2.0 * h));
  }
  return out;
}

double Fitter::descend(std::vector<double>& p) const {
  std::vector<double> r = deviations(p);
  double cost = sum_of_squares(r), damping = 1e-2;
  for (int pass = 0; pass < 1000; ++pass) {
    const std::vector<double> j = jacobian(p);
    const std::size_t n = p.size(), rows = r.size();
    std::vector<double> normal(n * n, 0.0), gradient(n, 0.0);
    for (std::size_t a = 0; a < n; ++a) {
      for (std::size_t q = 0; q < rows; ++q) gradient[a] += j[a * rows + q] * r[q];
      for (std::size_t b = 0; b < n; ++b) {
        for (std::size_t q = 0; q < rows; ++q) normal[b * n + a] += j[a * rows + q] * j[b * rows + q];
      }
    }
    bool better = false;
    double gained = 0.0;
    for (int attempt = 0; attempt < 12 && !better; ++attempt) {
      std::vector<double> matrix = normal, step(n);
      std::vector<double> scale(n, 1e-300);
      for (std::size_t a = 0; a < n; ++a) {
        // An unknown at its bound that wants to go below stays there.
        const bool held = p[a] <= 0.0 && gradient[a] > 0.0;
        step[a] = held ? 0.0 : -gradient[a];
        if (held) {
          for (std::size_t b = 0; b < n; ++b) matrix[b * n + a] = matrix[a * n + b] = 0.0;
          matrix[a * n + a] = 1.0;
        } else {
          matrix[a * n + a] += damping * (normal[a * n + a] + 1e-12);
        }
      }
      for (std::size_t a = 0; a < n; ++a) {
        for (std::size_t b = 0; b < n; ++b) scale[a] = std::max(scale[a], std::abs(matrix[b * n + a]));
      }
      if (!linalg::solve_dense(matrix, n, step, 1, scale, 1e-15)) {
        damping *= 10.0;
        continue;
      }
      std::vector<double> next = p;
      for (std::size_t a = 0; a < n; ++a) next[a] = std::max(0.0, p[a] + step[a] * scale_of(a));
      const std::vector<double> there = deviations(next);
      const double value = sum_of_squares(there);
      if (value < cost) {
        gained = cost - value;
        p = std::move(next);
        r = there;
        cost = value;
        damping = std::max(1e-9, 0.3 * damping);
        better = true;
      } else {
        damping *= 4.0;
      }
    }
    if (!better || gained < 1e-12 * cost + 1e-24) break;
  }
  return cost;
}

double Fitter::fastest_fall(std::size_t i) const {
  double out = 0.0;
  const Reading* last = nullptr;
  for (const Reading& r : readings_) {
    if (r.space != i) continue;
    if (last != nullptr && r.value > 0.01 * largest_ && last->value > r.value) {
      out = std::max(out, std::log(last->value / r.value) / (r.time - last->time));
    }
    last = &r;
  }
  return out;
}

std::optional<Fault> Fitter::fit_several() {
  largest_in_.assign(m_, 0.0);
  for (const Reading& r : readings_) {
    largest_ = std::max(largest_, r.value);
    largest_in_[r.space] = std::max(largest_in_[r.space], r.value);
  }
  for (std::size_t i = 0; i < m_; ++i) {
    if (largest_in_[i] > 1e-6 * largest_) continue;
    return tracer_fault(fmt::format("no tracer was read in '{}' at any time: leave its column out", id(i)));
  }
  expect_errors({});
  // The whole of the tracer falls at about the rate of the fresh air.
  double first = 0.0, last = 0.0, all = 0.0;
  for (std::size_t i = 0; i < m_; ++i) {
    const auto ends = ends_of(i);
    first += volume(i) * std::max(ends.first, 0.0);
    last += volume(i) * std::max(ends.second, 0.0);
    all += volume(i);
  }
  const double rate = std::log(first / std::max(last, 1e-3 * first)) / out_.duration;
  flow_scale_ = rate * all / static_cast<double>(m_);
  // Into each space at least as much air comes as its fastest fall tells; which share of it is fresh is open.
  std::vector<double> best;
  double least = std::numeric_limits<double>::infinity();
  for (const double fresh : {0.05, 0.3, 0.6, 0.9}) {
    for (const double more : {1.0, 4.0}) {
      std::vector<double> p(unknowns(), 0.0);
      for (std::size_t i = 0; i < m_; ++i) {
        const double in = more * volume(i) * std::max(rate, fastest_fall(i));
        for (std::size_t j = 0; j < m_; ++j) {
          p[place(j, i)] = in * (j == i ? fresh : (1.0 - fresh) / static_cast<double>(m_ - 1));
        }
        p[flows_count() + i] = std::max(ends_of(i).first, 1e-3 * largest_);
      }
      const double cost = descend(p);
      if (cost < least) least = cost, best = std::move(p);
    }
  }
  constexpr int passes = 3;
  for (int pass = 0; pass < passes && !out_.fixed_error; ++pass) {
    std::vector<double> fitted = deviations(best);
    for (std::size_t k = 0; k < readings_.size(); ++k) fitted[k] = readings_[k].value + fitted[k] * error_[k];
    expect_errors(fitted);
    descend(best);
  }
  return report(best);
}

void Fitter::expect_errors(const std::vector<double>& concentrations) {
  // Below this share of the highest reading of a space an instrument is no longer relatively as good.
  constexpr double least_share = 0.02;
  error_.clear();
  for (std::size_t k = 0; k < readings_.size(); ++k) {
    const Reading& r = readings_[k];
    const double value = concentrations.empty() ? r.value : concentrations[k];
    error_.push_back(out_.fixed_error.value_or(std::max(value, 0.0) + least_share * largest_in_[r.space]));
  }
}

namespace {

/// The upper left corner of a matrix of more rows: `rows` of the column `column`.
std::span<const double> column_of(const std::vector<double>& matrix, std::size_t all_rows, std::size_t rows,
                                  std::size_t column) {
  return std::span{matrix}.subspan(column * all_rows, rows);
}

double product(std::span<const double> a, std::span<const double> b) {
  double sum = 0.0;
  for (std::size_t q = 0; q < a.size(); ++q) sum += a[q] * b[q];
  return sum;
}

}  // namespace

/// One step without bounds from where the descent ended, and HC3: (J'J)^-1 J' diag(r/(1-h))^2 J (J'J)^-1, h the
/// leverage of each reading. Of a fixed error the common variance is used, which its readings share.
Result<Fitter::Uncertainty> Fitter::uncertainty_of(const std::vector<double>& p) const {
  Uncertainty out;
  const std::vector<double> r = deviations(p), j = jacobian(p);
  const std::size_t n = p.size(), rows = r.size(), readings = readings_.size();
  if (readings <= n) {
    return tracer_fault(
        fmt::format("{} readings are too few for the {} flows and concentrations to be found", readings, n));
  }
  const double freedom = static_cast<double>(readings - n);
  const std::span<const double> rest = std::span{r}.first(readings);
  std::vector<double> normal(n * n, 0.0), scale(n, 1e-300), inverse(n * n, 0.0);
  for (std::size_t a = 0; a < n; ++a) {
    inverse[a * n + a] = 1.0;
    for (std::size_t b = 0; b < n; ++b) {
      normal[b * n + a] = product(column_of(j, rows, readings, a), column_of(j, rows, readings, b));
      scale[a] = std::max(scale[a], std::abs(normal[b * n + a]));
    }
  }
  if (!linalg::solve_dense(normal, n, inverse, n, scale, 1e-11)) {
    return tracer_fault(
        "the readings do not tell the flows apart: let the tracer into one space only, so that the others take it "
        "up from there, and read until it has fallen in all of them");
  }
  std::vector<double> gradient, step(n, 0.0);
  for (std::size_t a = 0; a < n; ++a) gradient.push_back(product(column_of(j, rows, readings, a), rest));
  out.unbounded = p;
  for (std::size_t a = 0; a < n; ++a) {
    for (std::size_t b = 0; b < n; ++b) step[a] -= inverse[b * n + a] * gradient[b];
    out.unbounded[a] += step[a] * scale_of(a);
  }
  std::vector<double> left(rest.begin(), rest.end());
  for (std::size_t a = 0; a < n; ++a) {
    for (std::size_t q = 0; q < readings; ++q) left[q] += j[a * rows + q] * step[a];
  }
  out.variance = product(left, left) / freedom;
  out.half = student_half(freedom);
  out.covariance.assign(n * n, 0.0);
  for (std::size_t q = 0; q < readings; ++q) {
    std::vector<double> influence(n, 0.0);
    double leverage = 0.0;
    for (std::size_t a = 0; a < n; ++a) {
      for (std::size_t b = 0; b < n; ++b) influence[a] += inverse[b * n + a] * j[b * rows + q];
      leverage += influence[a] * j[a * rows + q];
    }
    constexpr double most_leverage = 0.99;
    const double deleted = left[q] / (1.0 - std::min(leverage, most_leverage));
    const double square = out_.fixed_error ? out.variance : deleted * deleted;
    for (std::size_t a = 0; a < n; ++a) {
      for (std::size_t b = 0; b < n; ++b) out.covariance[b * n + a] += influence[a] * influence[b] * square;
    }
  }
  return out;
}

Estimate Fitter::estimate(const std::vector<double>& p, const Uncertainty& uncertainty, const Terms& terms) const {
  const std::size_t n = p.size();
  double value = 0.0, middle = 0.0, square = 0.0;
  for (const auto& [a, x] : terms) {
    value += x * p[a];
    middle += x * uncertainty.unbounded[a];
    for (const auto& [b, y] : terms) square += x * y * uncertainty.covariance[b * n + a];
  }
  const double reach = uncertainty.half * std::sqrt(std::max(0.0, square)) * flow_scale_;
  return Estimate{value, std::max(0.0, std::min(value, middle - reach)), std::max(value, middle + reach)};
}

void Fitter::report_space(const std::vector<double>& p, const Uncertainty& uncertainty, std::size_t i) {
  const Estimate fresh = estimate(p, uncertainty, {{place(i, i), 1.0}});
  const double v = volume(i);
  out_.spaces.push_back(
      {data_.spaces[i], {fresh.value / v, fresh.low / v, fresh.high / v}, fresh, p[flows_count() + i]});
  const auto put = [&](const Side& from, const Side& to, const Estimate& flow) {
    out_.flows.push_back({from, to, {flow.value > nothing * flow_scale_ ? flow.value : 0.0, flow.low, flow.high}});
  };
  put(std::nullopt, data_.spaces[i], fresh);
  Terms leaving;
  for (std::size_t k = 0; k < m_; ++k) leaving.push_back({place(k, i), 1.0});
  for (std::size_t k = 0; k < m_; ++k) {
    if (k == i) continue;
    put(data_.spaces[k], data_.spaces[i], estimate(p, uncertainty, {{place(k, i), 1.0}}));
    leaving.push_back({place(i, k), -1.0});
  }
  put(data_.spaces[i], std::nullopt, estimate(p, uncertainty, leaving));
}

void Fitter::report_doubts() {
  double first = 0.0, last = 0.0;
  for (std::size_t i = 0; i < m_; ++i) {
    first += volume(i) * ends_of(i).first;
    last += volume(i) * ends_of(i).second;
  }
  warn_of_short(first / std::max(last, 1e-9 * first));
  warn_of_scatter();
  if (!out_.fixed_error && out_.scatter > 0.1) {
    out_.cautions.push_back(
        fmt::format("the readings lie {} % off the fit on the average: the spaces were not mixed, or "
                    "flows changed, or air comes by way of a space that was not measured",
                    format_number(100.0 * out_.scatter, 2)));
  }
  for (const TracerFlow& flow : out_.flows) {
    if (flow.flow.value > 0.0 && flow.flow.high - flow.flow.value > flow.flow.value) {
      out_.cautions.push_back("some flows are hardly determined: their interval is wider than they are large");
      break;
    }
  }
}

std::optional<Fault> Fitter::report(const std::vector<double>& p) {
  const auto found = uncertainty_of(p);
  if (const auto* fault = std::get_if<Fault>(&found)) return *fault;
  const auto& uncertainty = std::get<Uncertainty>(found);
  out_.scatter = std::sqrt(uncertainty.variance) * out_.fixed_error.value_or(1.0);
  for (std::size_t i = 0; i < m_; ++i) report_space(p, uncertainty, i);
  report_doubts();
  return {};
}

}  // namespace leanside::study
