// SPDX-License-Identifier: Apache-2.0
/// The fit of several spaces at once. Unknowns: Q_ji for j != i, row by row of i; then Q_oi; then the concentrations at
/// time 0.
#include <algorithm>
#include <cmath>
#include <limits>

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
      out.push_back((c[readings_[k].space] - readings_[k].value) * weight(readings_[k]));
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
  return report(best);
}

Result<Fitter::Uncertainty> Fitter::uncertainty_of(const std::vector<double>& p) const {
  Uncertainty out;
  const std::vector<double> r = deviations(p), j = jacobian(p);
  const std::size_t n = p.size(), rows = r.size();
  std::vector<std::size_t> free;
  for (std::size_t k = 0; k < n; ++k) {
    if (p[k] > nothing * scale_of(k)) free.push_back(k);
  }
  if (readings_.size() <= free.size()) {
    return tracer_fault(fmt::format("{} readings are too few for the {} flows and concentrations to be found",
                                    readings_.size(), free.size()));
  }
  const double freedom = static_cast<double>(readings_.size() - free.size());
  out.variance = sum_of_squares({r.begin(), r.begin() + static_cast<std::ptrdiff_t>(readings_.size())}) / freedom;
  const std::size_t f = free.size();
  std::vector<double> normal(f * f, 0.0), scale(f, 1e-300);
  out.inverse.assign(f * f, 0.0);
  for (std::size_t a = 0; a < f; ++a) {
    out.inverse[a * f + a] = 1.0;
    for (std::size_t b = 0; b < f; ++b) {
      double& sum = normal[b * f + a];
      for (std::size_t q = 0; q < readings_.size(); ++q) sum += j[free[a] * rows + q] * j[free[b] * rows + q];
    }
  }
  for (std::size_t a = 0; a < f; ++a) {
    for (std::size_t b = 0; b < f; ++b) scale[a] = std::max(scale[a], std::abs(normal[b * f + a]));
  }
  if (!linalg::solve_dense(normal, f, out.inverse, f, scale, 1e-11)) {
    return tracer_fault(
        "the readings do not tell the flows apart: let the tracer into one space only, so that the others take it "
        "up from there, and read until it has fallen in all of them");
  }
  out.free_count = f;
  out.at.assign(n, n);
  for (std::size_t a = 0; a < f; ++a) out.at[free[a]] = a;
  out.half = student_half(freedom);
  return out;
}

Estimate Fitter::estimate(const std::vector<double>& p, const Uncertainty& uncertainty, const Terms& terms) const {
  const std::size_t n = p.size();
  double value = 0.0, square = 0.0;
  for (const auto& [a, x] : terms) {
    value += x * p[a];
    for (const auto& [b, y] : terms) {
      if (uncertainty.at[a] < n && uncertainty.at[b] < n)
        square += x * y * uncertainty.inverse[uncertainty.at[b] * uncertainty.free_count + uncertainty.at[a]];
    }
  }
  const double reach = uncertainty.half * std::sqrt(std::max(0.0, square) * uncertainty.variance) * flow_scale_;
  return Estimate{value, std::max(0.0, value - reach), value + reach};
}

void Fitter::report_space(const std::vector<double>& p, const Uncertainty& uncertainty, std::size_t i) {
  const Estimate fresh = estimate(p, uncertainty, {{place(i, i), 1.0}});
  const double v = volume(i);
  out_.spaces.push_back(
      {data_.spaces[i], {fresh.value / v, fresh.low / v, fresh.high / v}, fresh, p[flows_count() + i]});
  const auto put = [&](const Side& from, const Side& to, const Estimate& flow) {
    if (flow.value > nothing * flow_scale_) out_.flows.push_back({from, to, flow});
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
  if (out_.scatter > 0.1) {
    out_.cautions.push_back(
        fmt::format("the readings lie {} % off the fit on the average: the spaces were not mixed, or "
                    "flows changed, or air comes by way of a space that was not measured",
                    format_number(100.0 * out_.scatter, 2)));
  }
  for (const TracerFlow& flow : out_.flows) {
    if (flow.flow.high - flow.flow.value > flow.flow.value) {
      out_.cautions.push_back("some flows are hardly determined: their interval is wider than they are large");
      break;
    }
  }
}

std::optional<Fault> Fitter::report(const std::vector<double>& p) {
  const auto found = uncertainty_of(p);
  if (const auto* fault = std::get_if<Fault>(&found)) return *fault;
  const auto& uncertainty = std::get<Uncertainty>(found);
  out_.scatter = std::sqrt(uncertainty.variance);
  for (std::size_t i = 0; i < m_; ++i) report_space(p, uncertainty, i);
  report_doubts();
  return {};
}

}  // namespace leanside::study
