// SPDX-License-Identifier: Apache-2.0
#include "second_opinion/extrapolation.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <stdexcept>

namespace second_opinion {
namespace {
constexpr std::size_t stages = 8;
Real node(int k, int nodes) { return (1 - std::cos(std::numbers::pi_v<Real> * Real(k) / Real(nodes - 1))) / 2; }

}  // namespace

Extrapolation::Extrapolation(Slope f, Real begin, Real end, const Vector& start, Real tolerance, Real floor,
                             std::function<Real(const Vector&)> ends, FirstStep first)
    : f_{std::move(f)}, tolerance_{tolerance}, floor_{floor}, end_{end} {
  knots_.push_back({begin, start, jacobian(begin, start)});
  // What decays fast is followed from the start. A first step across it would end well enough, but values within that
  // step would be off.
  const Real fastest = knots_.back().jacobian.cwiseAbs().rowwise().sum().maxCoeff();
  Real length = (end - begin) / 64;
  if (first == FirstStep::fastest_rate) length = std::min(length, 1 / std::max(fastest, 1 / (end - begin)));
  for (std::size_t tries = 0; knots_.back().time < end_; ++tries) {
    if (tries > 20000) throw std::runtime_error("the second solver makes no progress");
    const Knot& last = knots_.back();
    const bool to_end = length >= (end_ - last.time) * (1 - 1e-12L);
    if (to_end) length = end_ - last.time;
    const Step next = step(last, length);
    const Real factor = Real(0.8) * std::pow(std::max(next.error, Real(1e-12)), -Real(1) / stages);
    if (!(next.error <= 1)) {
      length *= std::isfinite(next.error) ? std::clamp(factor, Real(0.05), Real(0.7)) : Real(0.1);
      continue;
    }
    if (ends && ends(next.y) < 0) {  // bisect to find the zero
      Real low = 0, high = length;
      for (int i = 0; i < 60; ++i) {
        const Real middle = (low + high) / 2;
        (ends(step(last, middle).y) < 0 ? high : low) = middle;
      }
      end_ = last.time + high;
      knots_.push_back({end_, step(last, high).y, {}});
      return;
    }
    const Real time = to_end ? end_ : last.time + length;
    knots_.push_back({time, next.y, {}});
    if (time < end_) knots_.back().jacobian = jacobian(time, next.y);
    length *= std::clamp(factor, Real(0.2), Real(5));
  }
}

Matrix Extrapolation::jacobian(Real time, const Vector& y) const {
  const Vector f = f_(time, y);
  Matrix out(y.size(), y.size());
  for (Eigen::Index j = 0; j < y.size(); ++j) {
    Vector moved = y;
    const Real by = std::max(std::abs(y(j)), Real(1e-3)) * 1e-8L;
    moved(j) += by;
    out.col(j) = (f_(time, moved) - f) / by;
  }
  return out;
}

Extrapolation::Step Extrapolation::step(const Knot& from, Real length) const {
  std::vector<Vector> row, before;
  Step out;
  for (std::size_t j = 0; j < stages; ++j) {
    const std::size_t parts = j + 2;
    const Real h = length / Real(parts);
    const Eigen::PartialPivLU<Matrix> lu{Matrix::Identity(from.y.size(), from.y.size()) - h * from.jacobian};
    Vector y = from.y;
    for (std::size_t k = 1; k <= parts; ++k) y += lu.solve(h * f_(from.time + h * Real(k), y));
    row.assign(1, y);
    for (std::size_t k = 1; k <= j; ++k) {
      const Real ratio = Real(parts) / Real(parts - k);
      row.push_back(row[k - 1] + (row[k - 1] - before[k - 1]) / (ratio - 1));
    }
    before = row;
  }
  out.y = row.back();
  const Vector off = row[stages - 1] - row[stages - 2];
  for (Eigen::Index i = 0; i < off.size(); ++i) {
    const Real allowed = tolerance_ * std::max(std::abs(out.y(i)), std::abs(from.y(i))) + floor_;
    const Real error = std::abs(off(i)) / allowed;
    if (!(error <= out.error)) out.error = error;
  }
  return out;
}

Vector Extrapolation::at(Real time) const {
  auto next = std::upper_bound(knots_.begin(), knots_.end(), time, [](Real t, const Knot& k) { return t < k.time; });
  if (next == knots_.begin()) return knots_.front().y;
  const Knot& from = *std::prev(next);
  if (time <= from.time || next == knots_.end()) return from.y;
  // A shorter step from the same start may be less accurate than the whole one, which damps what decays fast.
  const Step once = step(from, time - from.time);
  if (once.error <= 1 || !closely_) return once.y;
  return Extrapolation(f_, from.time, time, from.y, tolerance_, floor_).knots_.back().y;
}

/// Interpolates between the results of single steps from the start of a step.
Vector Extrapolation::between(Real time) const {
  const auto next =
      std::upper_bound(knots_.begin() + 1, knots_.end() - 1, time, [](Real t, const Knot& k) { return t < k.time; });
  const Knot& from = *std::prev(next);
  const int nodes = closely_ ? 17 : 9;  // of the interpolation within a step, both ends included
  auto& values = inner_[from.time];
  const Real length = next->time - from.time, s = (time - from.time) / length;
  if (values.empty()) {
    for (int k = 0; k < nodes; ++k) {
      values.push_back(k == 0 ? from.y : k + 1 == nodes ? next->y : at(from.time + length * node(k, nodes)));
    }
  }
  Vector sum = Vector::Zero(from.y.size());
  Real weights = 0;
  for (int k = 0; k < nodes; ++k) {
    const Real off = s - node(k, nodes);
    if (std::abs(off) < 1e-15L) return values[static_cast<std::size_t>(k)];
    const Real weight = (k % 2 == 0 ? 1 : -1) * (k == 0 || k + 1 == nodes ? Real(0.5) : Real(1)) / off;
    sum += weight * values[static_cast<std::size_t>(k)];
    weights += weight;
  }
  return sum / weights;
}

std::vector<Real> Extrapolation::halves() const {
  std::vector<Real> out;
  for (const Knot& step : knots_) {
    if (!out.empty()) out.push_back((out.back() + step.time) / 2);
    out.push_back(step.time);
  }
  return out;
}

}  // namespace second_opinion
