// SPDX-License-Identifier: Apache-2.0
#include "transport/collocation.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace leanside::transport {
namespace {

constexpr double relative_tolerance = 1e-7;
constexpr double absolute_tolerance = 1e-12;
/// Iterations of the flows within a step before it is shortened.
constexpr int most_iterations = 25;

class Collocation {
 public:
  Collocation(std::vector<double>& x, std::vector<double>& capacity, std::size_t columns, const MomentAt& moment_at)
      : x_{x}, capacity_{capacity}, columns_{columns}, rows_{capacity.size()}, moment_at_{moment_at} {
    for (auto& stage : stage_) stage = x;
  }

  const std::string& fault() const { return fault_; }

  /// Makes the cells without capacity follow from the others at the start of the stretch; also tells the fastest rate,
  /// 1/s.
  std::optional<double> start() {
    for (int pass = 0; pass < most_iterations; ++pass) {
      auto moment = moment_at_(stages, 0.0, x_);
      if (take_fault(moment)) return std::nullopt;
      const Moment& now = std::get<Moment>(moment);
      std::vector<linalg::Entry> entries;
      std::vector<double> right = x_;
      for (std::size_t i = 0; i < rows_; ++i) {
        if (capacity_[i] > 0.0) {
          entries.push_back({static_cast<int>(i), static_cast<int>(i), 1.0});
          continue;
        }
        add_algebraic_row(now, i, 0, entries);
        for (std::size_t c = 0; c < columns_; ++c)
          right[c * rows_ + i] = now.cells.dead[i] ? 0.0 : -now.source[c * rows_ + i];
      }
      linalg::SparseLu lu;
      if (!lu.factorise(linalg::compress(static_cast<int>(rows_), entries))) {
        fault_ = "the junctions could not be solved";
        return std::nullopt;
      }
      lu.solve(right, columns_);
      const double change = largest_change(right, x_);
      x_ = right;
      if (change <= 1.0) {
        double fastest = 0.0;
        for (std::size_t i = 0; i < rows_; ++i) {
          if (capacity_[i] > 0.0) fastest = std::max(fastest, now.cells.through(static_cast<int>(i)) / capacity_[i]);
        }
        return fastest;
      }
    }
    fault_ = "flows and fractions of the junctions do not settle";
    return std::nullopt;
  }

  /// One step from `begin` of length h; the error in units of the tolerance, infinite where the flows did not settle.
  std::optional<double> try_step(double begin, double h) {
    for (auto& stage : stage_) stage = x_;
    for (int pass = 0; pass < most_iterations; ++pass) {
      for (std::size_t j = 0; j < stages; ++j) {
        auto moment = moment_at_(j, begin + radau().c[j] * h, stage_[j]);
        if (take_fault(moment)) return std::nullopt;
        moments_[j] = std::move(std::get<Moment>(moment));
      }
      if (!solve_stages(h)) return std::numeric_limits<double>::infinity();
      if (change_ <= 0.05) return error();
      if (!std::isfinite(change_)) break;
    }
    return std::numeric_limits<double>::infinity();
  }

  void accept(double h, std::span<double> gone) {
    for (std::size_t j = 0; j < stages; ++j) {
      const double weight = h * radau().a[stages - 1][j];
      for (std::size_t c = 0; c < columns_; ++c) {
        for (std::size_t i = 0; i < rows_; ++i) {
          gone[c] += weight * moments_[j].cells.outflow[i] * stage_[j][c * rows_ + i];
        }
      }
      for (std::size_t i = 0; i < rows_; ++i) capacity_[i] += weight * moments_[j].storage[i];
    }
    before_ = x_;
    x_ = stage_[stages - 1];
  }

  CollocationStep step(double begin, double end) const {
    CollocationStep result{begin, end, {}};
    result.values[0] = before_;
    for (std::size_t j = 0; j < stages; ++j) result.values[j + 1] = stage_[j];
    return result;
  }

 private:
  bool take_fault(const std::variant<Moment, std::string>& moment) {
    const auto* message = std::get_if<std::string>(&moment);
    if (message != nullptr) fault_ = *message;
    return message != nullptr;
  }

  double largest_change(const std::vector<double>& a, const std::vector<double>& b) const {
    double worst = 0.0;
    for (std::size_t k = 0; k < a.size(); ++k) {
      const double allowed = relative_tolerance * std::max(std::abs(a[k]), std::abs(b[k])) + absolute_tolerance;
      worst = std::max(worst, std::abs(a[k] - b[k]) / allowed);
    }
    return worst;
  }

  /// What streams in less what streams out, for cell i of a moment, its columns moved by `shift`.
  void add_algebraic_row(const Moment& moment, std::size_t i, int shift, std::vector<linalg::Entry>& entries) const {
    const int row = static_cast<int>(i) + shift;
    if (moment.cells.dead[i]) {
      entries.push_back({row, row, 1.0});
      return;
    }
    entries.push_back({row, row, -moment.cells.through(static_cast<int>(i))});
    for (const Stream& s : moment.cells.into(static_cast<int>(i))) entries.push_back({row, s.from + shift, s.rate});
  }

  bool solve_stages(double h) {
    const auto& r = radau();
    const auto n = static_cast<int>(rows_);
    std::vector<linalg::Entry> entries;
    std::vector<double> right(stages * rows_ * columns_, 0.0);
    const std::size_t length = stages * rows_;
    for (std::size_t i = 0; i < rows_; ++i) {
      for (std::size_t s = 0; s < stages; ++s) {
        const int row = static_cast<int>(i) + static_cast<int>(s) * n;
        if (capacity_[i] <= 0.0) {
          const Moment& moment = moments_[s];
          add_algebraic_row(moment, i, static_cast<int>(s) * n, entries);
          for (std::size_t c = 0; c < columns_; ++c) {
            right[c * length + s * rows_ + i] = moment.cells.dead[i] ? 0.0 : -moment.source[c * rows_ + i];
          }
          continue;
        }
        // Moles: N_s X_s - h sum_j a_sj (streams in less streams out + released)_j = N x at the start.
        double held = capacity_[i];
        for (std::size_t j = 0; j < stages; ++j) {
          const Moment& moment = moments_[j];
          const double weight = h * r.a[s][j];
          const int shift = static_cast<int>(j) * n;
          held += weight * moment.storage[i];
          const double out = moment.cells.through(static_cast<int>(i)) - moment.storage[i];
          entries.push_back({row, static_cast<int>(i) + shift, weight * out});
          for (const Stream& stream : moment.cells.into(static_cast<int>(i))) {
            entries.push_back({row, stream.from + shift, -weight * stream.rate});
          }
          for (std::size_t c = 0; c < columns_; ++c) {
            right[c * length + s * rows_ + i] += weight * moment.source[c * rows_ + i];
          }
        }
        entries.push_back({row, row, held});
        for (std::size_t c = 0; c < columns_; ++c)
          right[c * length + s * rows_ + i] += capacity_[i] * x_[c * rows_ + i];
      }
    }
    linalg::SparseLu lu;
    if (!lu.factorise(linalg::compress(static_cast<int>(length), entries))) return false;
    lu.solve(right, columns_);
    change_ = 0.0;
    for (std::size_t s = 0; s < stages; ++s) {
      std::vector<double> now(rows_ * columns_);
      for (std::size_t c = 0; c < columns_; ++c) {
        for (std::size_t i = 0; i < rows_; ++i) now[c * rows_ + i] = right[c * length + s * rows_ + i];
      }
      change_ = std::max(change_, largest_change(now, stage_[s]));
      stage_[s] = std::move(now);
    }
    return true;
  }

  /// The highest term of the polynomial over the step stands for what was cut off: smooth solutions come down fast.
  double error() const {
    const auto& w = radau().highest;
    constexpr double cut_off_share = 0.1;
    double worst = 0.0;
    for (std::size_t k = 0; k < x_.size(); ++k) {
      double term = w[0] * x_[k];
      for (std::size_t s = 0; s < stages; ++s) term += w[s + 1] * stage_[s][k];
      const double allowed =
          relative_tolerance * std::max(std::abs(x_[k]), std::abs(stage_[stages - 1][k])) + absolute_tolerance;
      worst = std::max(worst, cut_off_share * std::abs(term) / allowed);
    }
    return worst;
  }

  std::vector<double>& x_;
  std::vector<double>& capacity_;
  std::size_t columns_, rows_;
  const MomentAt& moment_at_;
  std::array<std::vector<double>, stages> stage_;
  std::array<Moment, stages> moments_;
  std::vector<double> before_;
  double change_ = 0.0;
  std::string fault_;
};

}  // namespace

std::optional<std::string> advance_coupled(std::vector<double>& x, std::vector<double>& capacity, std::size_t columns,
                                           double duration, const MomentAt& moment_at, std::span<double> gone,
                                           const std::function<void(const CollocationStep&)>& observe,
                                           StepCount& count) {
  if (duration <= 0.0 || x.empty()) return std::nullopt;
  Collocation collocation(x, capacity, columns, moment_at);
  const auto fastest = collocation.start();
  if (!fastest) return collocation.fault();
  double h = *fastest * duration > 0.1 ? 0.1 / *fastest : duration;
  double done = 0.0;
  while (done < duration) {
    const bool last = done + 1.01 * h >= duration;
    const double step = last ? duration - done : h;
    const auto error = collocation.try_step(done, step);
    ++count.factorisations;
    if (!error) return collocation.fault();
    const double factor = *error > 0.0 ? 0.9 * std::pow(*error, -1.0 / static_cast<double>(stages)) : 4.0;
    if (!(*error <= 1.0)) {
      ++count.rejected;
      h = step * (std::isfinite(*error) ? std::clamp(factor, 0.1, 0.5) : 0.25);
      if (!(done + h > done) || h < 1e-12 * duration) return "flows and fractions do not settle within a step";
      continue;
    }
    collocation.accept(step, gone);
    ++count.steps;
    const double end = last ? duration : done + step;
    if (observe) observe(collocation.step(done, end));
    done = end;
    h = step * std::clamp(factor, 0.3, 4.0);
  }
  return std::nullopt;
}

}  // namespace leanside::transport
