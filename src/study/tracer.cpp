// SPDX-License-Identifier: Apache-2.0
/// Flows from a decay. One space: straight line through the logarithms. Several: V_i dC_i/dt = sum_j Q_ji (C_j - C_i) -
/// Q_oi C_i with the flows into each space as unknowns (what leaves is then given by the balance), fitted by Levenberg
/// and Marquardt's method with bounds at 0, from several starts.
#include <algorithm>
#include <cmath>
#include <limits>

#include <fmt/format.h>

#include "leanside/study.hpp"
#include "linalg/dense.hpp"
#include "study/student.hpp"

namespace leanside {
namespace {

Diagnostics fault(std::string message) {
  Diagnostic d;
  d.message = std::move(message);
  return {std::move(d)};
}

/// A reading of one space.
struct Reading {
  std::size_t row = 0, space = 0;
  double time = 0.0, value = 0.0;
};

std::vector<Reading> readings_of(const TracerData& data) {
  std::vector<Reading> out;
  for (std::size_t k = 0; k < data.time.size(); ++k) {
    for (std::size_t i = 0; i < data.spaces.size(); ++i) {
      if (!std::isnan(data.value[k][i])) out.push_back({k, i, data.time[k], data.value[k][i]});
    }
  }
  return out;
}

/// Straight line y = a + b x by least squares, with the variance of b.
struct Line {
  double a = 0.0, b = 0.0, variance_of_b = 0.0, scatter = 0.0;
};

Line straight_line(const std::vector<double>& x, const std::vector<double>& y) {
  const double n = static_cast<double>(x.size());
  double mx = 0.0, my = 0.0;
  for (std::size_t k = 0; k < x.size(); ++k) mx += x[k] / n, my += y[k] / n;
  double sxx = 0.0, sxy = 0.0;
  for (std::size_t k = 0; k < x.size(); ++k) sxx += (x[k] - mx) * (x[k] - mx), sxy += (x[k] - mx) * (y[k] - my);
  Line line;
  line.b = sxy / sxx;
  line.a = my - line.b * mx;
  double rest = 0.0;
  for (std::size_t k = 0; k < x.size(); ++k) rest += std::pow(y[k] - line.a - line.b * x[k], 2);
  const double variance = rest / (n - 2.0);
  line.variance_of_b = variance / sxx;
  line.scatter = std::sqrt(variance);
  return line;
}

class Fitter {
 public:
  Fitter(const Site& site, const TracerData& data, double confidence)
      : site_{site}, data_{data}, readings_{readings_of(data)}, m_{data.spaces.size()} {
    out_.confidence = confidence;
    out_.readings = readings_.size();
    out_.background = data.background;
    out_.unit = data.unit;
    out_.duration = data.time.empty() ? 0.0 : data.time.back() - data.time.front();
  }

  std::variant<TracerFit, Diagnostics> run() {
    if (auto wrong = unfit()) return std::move(*wrong);
    if (m_ == 1) {
      if (auto wrong = fit_one()) return std::move(*wrong);
    } else {
      if (auto wrong = fit_several()) return std::move(*wrong);
    }
    assume();
    return std::move(out_);
  }

 private:
  const std::string& id(std::size_t i) const { return site_.spaces[data_.spaces[i].value].id; }
  double volume(std::size_t i) const { return site_.spaces[data_.spaces[i].value].volume; }

  /// What no method can make up for.
  std::optional<Diagnostics> unfit() const {
    if (m_ == 0) return fault("no space was measured");
    constexpr std::size_t most_spaces = 8;
    if (m_ > most_spaces) {
      return fault(fmt::format("{} spaces were measured; at most {} can be told apart by one decay", m_, most_spaces));
    }
    for (std::size_t i = 0; i < m_; ++i) {
      std::size_t count = 0;
      for (const Reading& r : readings_) count += r.space == i;
      const std::size_t needed = m_ == 1 ? 3 : m_ + 3;
      if (count < needed) {
        return fault(fmt::format("'{}' has {} reading{}; at least {} are needed{}", id(i), count, count == 1 ? "" : "s",
                                 needed, m_ == 1 ? ", better ten" : " where several spaces were measured"));
      }
    }
    for (const Reading& r : readings_) {
      if (m_ == 1 && r.value <= 0.0) {
        return fault(
            fmt::format("the reading of '{}' after {} is at or below the background of {}: leave out what was "
                        "read when the tracer had gone, or check the background",
                        id(r.space), format_duration(r.time), format_number(data_.background, 4)));
      }
    }
    // The sum over the spaces can only fall, since no tracer comes in.
    double first = 0.0, last = 0.0;
    for (std::size_t i = 0; i < m_; ++i) {
      const auto ends = ends_of(i);
      first += volume(i) * ends.first;
      last += volume(i) * ends.second;
    }
    if (last >= first) {
      return fault(
          fmt::format("the concentration {} from the first reading to the last: that is no decay. Begin when the "
                      "tracer is shut off and mixed, and check the background",
                      last > first ? "rises" : "does not fall"));
    }
    return {};
  }

  /// First and last reading of a space.
  std::pair<double, double> ends_of(std::size_t i) const {
    double first = std::numeric_limits<double>::quiet_NaN(), last = 0.0;
    for (const Reading& r : readings_) {
      if (r.space != i) continue;
      if (std::isnan(first)) first = r.value;
      last = r.value;
    }
    return {first, last};
  }

  void warn_of_short(double falls) {
    if (readings_.size() < 5 * m_) {
      out_.cautions.push_back(
          fmt::format("only {} readings: more would make the interval narrower and show a slip", readings_.size()));
    }
    if (falls < 2.0) {
      out_.cautions.push_back(
          fmt::format("the concentration falls only by a factor of {} over the test: go on until it has at least "
                      "halved, better until "
                      "a third is left",
                      format_number(falls, 3)));
    }
  }

  std::optional<Diagnostics> fit_one() {
    std::vector<double> time, logarithm;
    for (const Reading& r : readings_) {
      time.push_back(r.time);
      logarithm.push_back(std::log(r.value));
    }
    const Line line = straight_line(time, logarithm);
    if (line.b >= 0.0) {
      return fault(
          "the line through the logarithms of the readings rises: that is no decay. Begin when the tracer is shut "
          "off and mixed, and check the background");
    }
    const double freedom = static_cast<double>(readings_.size()) - 2.0;
    const double half = student_half(freedom) * std::sqrt(line.variance_of_b);
    const Estimate rate{-line.b, -line.b - half, -line.b + half};
    const double v = volume(0);
    const Estimate flow{v * rate.value, v * rate.low, v * rate.high};
    out_.scatter = line.scatter;
    out_.spaces.push_back({data_.spaces[0], rate, flow, std::exp(line.a)});
    out_.flows.push_back({std::nullopt, data_.spaces[0], flow});
    out_.flows.push_back({data_.spaces[0], std::nullopt, flow});
    const auto ends = ends_of(0);
    warn_of_short(ends.first / ends.second);
    if (rate.low <= 0.0)
      out_.cautions.push_back("within the interval there may be no air change at all: the readings scatter too much");
    curved(time, logarithm, line);
    return {};
  }

  /// Deviations from a straight line of the first half against the second: a bend means poor mixing, a change of the
  /// air or a wrong background.
  void curved(const std::vector<double>& x, const std::vector<double>& y, const Line& line) {
    if (x.size() < 6) return;
    std::vector<double> square(x.size()), rest(x.size());
    const double middle = 0.5 * (x.front() + x.back()), reach = 0.5 * (x.back() - x.front());
    for (std::size_t k = 0; k < x.size(); ++k) {
      square[k] = std::pow((x[k] - middle) / reach, 2);
      rest[k] = y[k] - line.a - line.b * x[k];
    }
    const Line bend = straight_line(square, rest);
    const double t = std::abs(bend.b) / std::sqrt(bend.variance_of_b + 1e-300);
    if (t > study::student_quantile(0.995, static_cast<double>(x.size()) - 3.0) && std::abs(bend.b) > 0.02) {
      out_.cautions.push_back(
          "the logarithms of the readings lie on a bend, not on a straight line: the air was not mixed, the air change "
          "varied, air of another room came in, or the background is off");
    }
  }

  double student_half(double freedom) const { return study::student_quantile(0.5 + 0.5 * out_.confidence, freedom); }

  // ---- several spaces. Unknowns: Q_ji for j != i, row by row of i; then Q_oi; then the concentrations at time 0.

  std::size_t flows_count() const { return m_ * m_; }
  std::size_t unknowns() const { return flows_count() + m_; }
  /// Place of the flow from j into i; j == i: from outside.
  std::size_t place(std::size_t j, std::size_t i) const { return i * m_ + j; }

  double leaving_outside(const std::vector<double>& p, std::size_t i) const {
    double sum = 0.0;
    for (std::size_t j = 0; j < m_; ++j) sum += p[place(j, i)];
    for (std::size_t j = 0; j < m_; ++j) {
      if (j != i) sum -= p[place(i, j)];
    }
    return sum;
  }

  double weight(const Reading& r) const { return 1.0 / (r.value + 0.02 * largest_in_[r.space]); }

  /// Weighted deviations of all readings, then what a flow to outside below 0 costs.
  std::vector<double> deviations(const std::vector<double>& p) const {
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

  static double sum_of_squares(const std::vector<double>& r) {
    double sum = 0.0;
    for (const double v : r) sum += v * v;
    return sum;
  }

  double scale_of(std::size_t k) const { return k < flows_count() ? flow_scale_ : largest_; }

  /// Derivatives of the deviations, deviations x unknowns, column-major, per scaled unknown.
  std::vector<double> jacobian(const std::vector<double>& p) const {
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

  /// One descent; p is replaced by where it ends.
  double descend(std::vector<double>& p) const {
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

  /// 1/s, between two readings that stand well over the last digit.
  double fastest_fall(std::size_t i) const {
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

  std::optional<Diagnostics> fit_several() {
    largest_in_.assign(m_, 0.0);
    for (const Reading& r : readings_) {
      largest_ = std::max(largest_, r.value);
      largest_in_[r.space] = std::max(largest_in_[r.space], r.value);
    }
    for (std::size_t i = 0; i < m_; ++i) {
      if (largest_in_[i] > 1e-6 * largest_) continue;
      return fault(fmt::format("no tracer was read in '{}' at any time: leave its column out", id(i)));
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

  /// Values with intervals from the curvature of the sum of squares.
  std::optional<Diagnostics> report(const std::vector<double>& p) {
    const std::vector<double> r = deviations(p);
    const std::vector<double> j = jacobian(p);
    const std::size_t n = p.size(), rows = r.size();
    std::vector<std::size_t> free;
    constexpr double nothing = 1e-6;
    for (std::size_t k = 0; k < n; ++k) {
      if (p[k] > nothing * scale_of(k)) free.push_back(k);
    }
    if (readings_.size() <= free.size()) {
      return fault(fmt::format("{} readings are too few for the {} flows and concentrations to be found",
                               readings_.size(), free.size()));
    }
    const double freedom = static_cast<double>(readings_.size() - free.size());
    const double variance =
        sum_of_squares({r.begin(), r.begin() + static_cast<std::ptrdiff_t>(readings_.size())}) / freedom;
    out_.scatter = std::sqrt(variance);
    const std::size_t f = free.size();
    std::vector<double> normal(f * f, 0.0), inverse(f * f, 0.0), scale(f, 1e-300);
    for (std::size_t a = 0; a < f; ++a) {
      inverse[a * f + a] = 1.0;
      for (std::size_t b = 0; b < f; ++b) {
        for (std::size_t q = 0; q < readings_.size(); ++q)
          normal[b * f + a] += j[free[a] * rows + q] * j[free[b] * rows + q];
      }
    }
    for (std::size_t a = 0; a < f; ++a) {
      for (std::size_t b = 0; b < f; ++b) scale[a] = std::max(scale[a], std::abs(normal[b * f + a]));
    }
    if (!linalg::solve_dense(normal, f, inverse, f, scale, 1e-11)) {
      return fault(
          "the readings do not tell the flows apart: let the tracer into one space only, so that the others take it "
          "up from there, and read until it has fallen in all of them");
    }
    std::vector<std::size_t> at(n, n);
    for (std::size_t a = 0; a < f; ++a) at[free[a]] = a;
    const double half = student_half(freedom);
    /// Estimate of a sum of flows with these signs.
    const auto estimate = [&](const std::vector<std::pair<std::size_t, double>>& terms) {
      double value = 0.0, square = 0.0;
      for (const auto& [a, x] : terms) {
        value += x * p[a];
        for (const auto& [b, y] : terms) {
          if (at[a] < n && at[b] < n) square += x * y * inverse[at[b] * f + at[a]];
        }
      }
      const double reach = half * std::sqrt(std::max(0.0, square) * variance) * flow_scale_;
      return Estimate{value, std::max(0.0, value - reach), value + reach};
    };
    for (std::size_t i = 0; i < m_; ++i) {
      const Estimate fresh = estimate({{place(i, i), 1.0}});
      const double v = volume(i);
      out_.spaces.push_back(
          {data_.spaces[i], {fresh.value / v, fresh.low / v, fresh.high / v}, fresh, p[flows_count() + i]});
      const auto put = [&](const Side& from, const Side& to, const Estimate& flow) {
        if (flow.value > nothing * flow_scale_) out_.flows.push_back({from, to, flow});
      };
      put(std::nullopt, data_.spaces[i], fresh);
      std::vector<std::pair<std::size_t, double>> leaving;
      for (std::size_t k = 0; k < m_; ++k) leaving.push_back({place(k, i), 1.0});
      for (std::size_t k = 0; k < m_; ++k) {
        if (k == i) continue;
        put(data_.spaces[k], data_.spaces[i], estimate({{place(k, i), 1.0}}));
        leaving.push_back({place(i, k), -1.0});
      }
      put(data_.spaces[i], std::nullopt, estimate(leaving));
    }
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
    return {};
  }

  void assume() {
    out_.assumptions.push_back(
        "the tracer is mixed evenly through each space, none is let in during the test, and none is "
        "taken up by walls or comes from people (carbon dioxide does)");
    out_.assumptions.push_back(
        "flows and temperatures do not change during the test; another day, another wind and another "
        "door give other flows");
    out_.assumptions.push_back(
        fmt::format("volumes are those of the site file; an error of theirs is not in the interval{}",
                    m_ == 1 ? ", and does not touch the air change rate" : ""));
    if (m_ > 1) {
      out_.assumptions.push_back(
          "air comes from outside and from the spaces that were measured alone; each reading counts "
          "with its relative deviation");
    } else {
      out_.assumptions.push_back(
          "all air that comes in is taken as free of tracer above the background, from outside or not");
    }
  }

  const Site& site_;
  const TracerData& data_;
  std::vector<Reading> readings_;
  std::size_t m_;
  double largest_ = 0.0, flow_scale_ = 1.0;
  std::vector<double> largest_in_;  ///< by space
  TracerFit out_;
};

}  // namespace

std::variant<TracerFit, Diagnostics> fit_tracer(const Site& site, const TracerData& data, double confidence) {
  return Fitter{site, data, confidence}.run();
}

}  // namespace leanside
