// SPDX-License-Identifier: Apache-2.0
/// What speaks against a decay, and the fit of one space.
#include <algorithm>
#include <cmath>
#include <limits>

#include <fmt/format.h>

#include "study/tracer/tracer_fitter.hpp"

namespace leanside {
namespace study {
namespace {

std::vector<Reading> readings_of(const TracerData& data) {
  std::vector<Reading> out;
  for (std::size_t k = 0; k < data.time.size(); ++k) {
    for (std::size_t i = 0; i < data.spaces.size(); ++i) {
      if (!std::isnan(data.value[k][i])) out.push_back({k, i, data.time[k], data.value[k][i]});
    }
  }
  return out;
}

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

}  // namespace

Fault tracer_fault(std::string message) {
  Diagnostic d;
  d.message = std::move(message);
  return Fault::in_input({std::move(d)});
}

Fitter::Fitter(const Site& site, const TracerData& data, double confidence, std::optional<double> fixed_error)
    : site_{site}, data_{data}, readings_{readings_of(data)}, m_{data.spaces.size()} {
  out_.confidence = confidence;
  out_.fixed_error = fixed_error;
  out_.readings = readings_.size();
  out_.background = data.background;
  out_.unit = data.unit;
  out_.duration = data.time.empty() ? 0.0 : data.time.back() - data.time.front();
}

Result<TracerFit> Fitter::run() {
  if (auto wrong = unfit()) return std::move(*wrong);
  if (m_ == 1) {
    if (auto wrong = out_.fixed_error ? fit_one_fixed() : fit_one()) return std::move(*wrong);
  } else {
    if (auto wrong = fit_several()) return std::move(*wrong);
  }
  assume();
  return std::move(out_);
}

std::optional<Fault> Fitter::unfit() const {
  if (m_ == 0) return tracer_fault("no space was measured");
  constexpr std::size_t most_spaces = 8;
  if (m_ > most_spaces) {
    return tracer_fault(
        fmt::format("{} spaces were measured; at most {} can be told apart by one decay", m_, most_spaces));
  }
  for (std::size_t i = 0; i < m_; ++i) {
    std::size_t count = 0;
    for (const Reading& r : readings_) count += r.space == i;
    const std::size_t needed = m_ == 1 ? 3 : m_ + 3;
    if (count < needed) {
      return tracer_fault(fmt::format("'{}' has {} reading{}; at least {} are needed{}", id(i), count,
                                      count == 1 ? "" : "s", needed,
                                      m_ == 1 ? ", better ten" : " where several spaces were measured"));
    }
  }
  for (const Reading& r : readings_) {
    if (m_ == 1 && r.value <= 0.0 && !out_.fixed_error) {
      return tracer_fault(
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
    return tracer_fault(
        fmt::format("the concentration {} from the first reading to the last, so it does not decay. Begin when the "
                    "tracer is shut off and mixed, and check the background",
                    last > first ? "rises" : "does not fall"));
  }
  return {};
}

std::pair<double, double> Fitter::ends_of(std::size_t i) const {
  double first = std::numeric_limits<double>::quiet_NaN(), last = 0.0;
  for (const Reading& r : readings_) {
    if (r.space != i) continue;
    if (std::isnan(first)) first = r.value;
    last = r.value;
  }
  return {first, last};
}

void Fitter::warn_of_short(double falls) {
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

std::optional<Fault> Fitter::fit_one() {
  std::vector<double> time, logarithm;
  for (const Reading& r : readings_) {
    time.push_back(r.time);
    logarithm.push_back(std::log(r.value));
  }
  const Line line = straight_line(time, logarithm);
  if (line.b >= 0.0) {
    return tracer_fault(
        "the line through the logarithms of the readings rises, so it does not decay. Begin when the tracer is shut "
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

void Fitter::warn_of_scatter() {
  if (!out_.fixed_error) return;
  constexpr double far = 2.0;
  if (out_.scatter > far * *out_.fixed_error) {
    out_.cautions.push_back(fmt::format(
        "the readings lie {} off the fit, more than twice the error of {} that was given: the spaces were not mixed, "
        "or flows changed, or the background is off",
        format_number(out_.scatter, 2), format_number(*out_.fixed_error, 2)));
  }
}

/// y = c exp(-n t) by least squares: for each n the best c is known, so what is searched is n alone.
std::optional<Fault> Fitter::fit_one_fixed() {
  const double span = out_.duration;
  const auto best_c = [&](double n) {
    double up = 0.0, down = 0.0;
    for (const Reading& r : readings_) {
      const double e = std::exp(-n * r.time);
      up += e * r.value;
      down += e * e;
    }
    return up / down;
  };
  const auto sum = [&](double n) {
    const double c = best_c(n);
    double out = 0.0;
    for (const Reading& r : readings_) out += std::pow(c * std::exp(-n * r.time) - r.value, 2);
    return out;
  };
  // Every rate from a hundredth of a fold over the test to fifty folds, then ever finer about the best.
  double n = 0.01 / span, factor = 1.3;
  for (double trial = n; trial < 50.0 / span; trial *= factor) n = sum(trial) < sum(n) ? trial : n;
  for (; factor - 1.0 > 1e-13; factor = 1.0 + 0.6 * (factor - 1.0)) {
    for (const double trial : {n / factor, n * factor}) n = sum(trial) < sum(n) ? trial : n;
  }
  const double c = best_c(n);
  double cc = 0.0, cn = 0.0, nn = 0.0;
  for (const Reading& r : readings_) {
    const double e = std::exp(-n * r.time), d = -c * r.time * e;
    cc += e * e;
    cn += e * d;
    nn += d * d;
  }
  const double freedom = static_cast<double>(readings_.size()) - 2.0, variance = sum(n) / freedom;
  const double determinant = cc * nn - cn * cn;
  if (!(determinant > 0.0) || !(c > 0.0)) {
    return tracer_fault("the readings do not tell the air change: they end too soon, or are all taken at one time");
  }
  out_.scatter = std::sqrt(variance);
  const double half = student_half(freedom) * std::sqrt(variance * cc / determinant);
  const Estimate rate{n, n - half, n + half};
  const double v = volume(0);
  const Estimate flow{v * rate.value, v * rate.low, v * rate.high};
  out_.spaces.push_back({data_.spaces[0], rate, flow, c});
  out_.flows.push_back({std::nullopt, data_.spaces[0], flow});
  out_.flows.push_back({data_.spaces[0], std::nullopt, flow});
  warn_of_short(std::exp(n * span));
  if (rate.low <= 0.0)
    out_.cautions.push_back("within the interval there may be no air change at all: the readings scatter too much");
  warn_of_scatter();
  return {};
}

void Fitter::curved(const std::vector<double>& x, const std::vector<double>& y, const Line& line) {
  if (x.size() < 6) return;
  std::vector<double> square(x.size()), rest(x.size());
  const double middle = 0.5 * (x.front() + x.back()), reach = 0.5 * (x.back() - x.front());
  for (std::size_t k = 0; k < x.size(); ++k) {
    square[k] = std::pow((x[k] - middle) / reach, 2);
    rest[k] = y[k] - line.a - line.b * x[k];
  }
  const Line bend = straight_line(square, rest);
  const double t = std::abs(bend.b) / std::sqrt(bend.variance_of_b + 1e-300);
  if (t > linalg::student_quantile(0.995, static_cast<double>(x.size()) - 3.0) && std::abs(bend.b) > 0.02) {
    out_.cautions.push_back(
        "the logarithms of the readings lie on a bend, not on a straight line: the air was not mixed, the air change "
        "varied, air of another room came in, or the background is off");
  }
}

void Fitter::assume() {
  using Kind = AssumptionKind;
  out_.assumptions = {{Kind::tracer_mixed},
                      {Kind::tracer_constant},
                      {m_ == 1 ? Kind::tracer_volume : Kind::tracer_volumes},
                      {m_ > 1 ? Kind::tracer_spaces_alone : Kind::tracer_free_inflow}};
  if (has_layers(site_)) out_.assumptions.insert(out_.assumptions.begin(), {Kind::tracer_stirs_layers});
}

}  // namespace study

Result<TracerFit> fit_tracer(const Site& site, const TracerData& data, double confidence,
                             std::optional<double> fixed_error) {
  return study::Fitter{site, data, confidence, fixed_error}.run();
}

}  // namespace leanside
