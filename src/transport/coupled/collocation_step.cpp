// SPDX-License-Identifier: Apache-2.0
#include "transport/coupled/collocation_step.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "base/linalg/worse.hpp"

namespace leanside::transport {
namespace {

/// Most iterations of the flows in one step; after that the step is shortened.
constexpr int most_iterations = 40;
/// Flows and fractions have settled when their last change is below this, in units of the tolerance.
constexpr double settled = 0.05;
/// A stock counts as used up below this share of what it was at the start of the stretch.
constexpr double spent = 1e-13;
/// Earlier iterations from which the next one is made.
constexpr std::size_t depth_of_acceleration = 12;
/// Iterations before the first one that is made from earlier ones: what settles at once needs no help.
constexpr int plain_iterations = 2;
constexpr StepError unsettled{std::numeric_limits<double>::infinity(), std::numeric_limits<double>::infinity()};

/// The fractions of a cell that holds nothing are followed less closely than those of the cells that they come from;
/// where next to nothing flows they are noise.
constexpr double passing_tolerance = 1e-5;

}  // namespace

Collocation::Collocation(const CoupledStretch& stretch, std::vector<double>& x, std::vector<double>& capacity,
                         std::vector<double>& stock)
    : x_{x},
      capacity_{capacity},
      stock_{stock},
      whole_stock_{stock},
      columns_{stretch.columns},
      rows_{capacity.size()},
      moment_at_{stretch.moment_at},
      fixed_{stretch.fixed},
      relative_tolerance_{stretch.relative_tolerance},
      factors_(columns_ + 1),
      anderson_{depth_of_acceleration} {
  for (auto& stage : stage_) stage = x;
}

std::optional<double> Collocation::start() {
  for (int pass = 0; pass < most_iterations; ++pass) {
    auto moment = moment_at_({stages, 0.0, 0.0, x_, capacity_, false});
    if (take_fault(moment)) return std::nullopt;
    const Moment& now = std::get<Moment>(moment);
    std::vector<linalg::Entry> entries;
    std::vector<double> right = x_;
    for (std::size_t i = 0; i < rows_; ++i) {
      if (capacity_[i] > 0.0) {
        entries.push_back({i, i, 1.0});
        continue;
      }
      add_algebraic_row(now, i, 0, entries);
      for (std::size_t c = 0; c < columns_; ++c)
        right[c * rows_ + i] = now.cells.dead[i] ? 0.0 : -now.source[c * rows_ + i];
    }
    linalg::SparseLu lu;
    if (!lu.factorise(linalg::compress(rows_, entries))) {
      fault_ = "the equations of the junctions are singular";
      return std::nullopt;
    }
    lu.solve(right, columns_);
    const double change = largest_change(right, x_);
    x_ = right;
    if (change <= 1.0) {
      double fastest = 0.0;
      for (const Draw& draw : now.draws) fastest = std::max(fastest, draw.slope / capacity_[draw.cell]);
      for (std::size_t i = 0; i < rows_; ++i) {
        if (capacity_[i] > 0.0) fastest = std::max(fastest, now.cells.through(i) / capacity_[i]);
      }
      return fastest;
    }
  }
  fault_ = "the flows and fractions of the junctions do not settle";
  return std::nullopt;
}

std::optional<StepError> Collocation::try_step(double begin, double h) {
  guess_stages(h);
  moving_ = false;
  anderson_.restart();
  for (int pass = 0; pass < most_iterations; ++pass) {
    if (!evaluate(begin, h, pass == 0)) return std::nullopt;
    if (pass == 0 && !moments_[0].moving.empty()) {
      moving_ = true;
      at_ = held_;
    }
    const auto evaluated = stage_;
    const auto evaluated_held = at_;
    if (!solve_stages(h, true)) return unsettled;
    if (moving_ && !move_pairs(h)) return unsettled;
    if (fixed_) return error();
    if (change_ <= settled) {
      // Once more with the outflow found last, so that what is drawn and what leaves add up exactly.
      if (moments_[0].draws.empty()) return error();
      if (!evaluate(begin, h, false)) return std::nullopt;
      return solve_stages(h, false) ? error() : unsettled;
    }
    if (!std::isfinite(change_)) break;
    if (pass >= plain_iterations) accelerate(evaluated, evaluated_held);
  }
  return unsettled;
}

double Collocation::stock_at(std::size_t d, std::size_t s, double h) const {
  double left = stock_[d];
  for (std::size_t j = 0; j < stages; ++j) left -= h * radau().a[s][j] * rate_[d][j];
  return left;
}

std::optional<std::pair<std::size_t, double>> Collocation::first_spent(double h) const {
  std::optional<std::pair<std::size_t, double>> first;
  for (std::size_t d = 0; d < rate_.size(); ++d) {
    if (!(stock_at(d, stages - 1, h) < 0.0)) continue;
    std::array<double, dense_degree + 1> left{};
    for (std::size_t k = 0; k <= dense_degree; ++k) {
      left[k] = radau().bernstein[k][0] * stock_[d];
      for (std::size_t s = 0; s < stages; ++s) left[k] += radau().bernstein[k][s + 1] * stock_at(d, s, h);
    }
    double low = 0.0, high = 1.0;
    for (int k = 0; k < 60; ++k) {
      const double middle = 0.5 * (low + high);
      (bernstein_value(left, middle) > 0.0 ? low : high) = middle;
    }
    if (!first || high < first->second) first.emplace(d, high);
  }
  return first;
}

double Collocation::step_to_end(double begin, double h, std::size_t d, double share) {
  double length = share * h;
  for (int pass = 0; pass < most_iterations; ++pass) {
    const auto error = try_step(begin, length);
    if (!error || !(error->stored <= 1.0)) break;
    const double left = stock_at(d, stages - 1, length);
    if (std::abs(left) <= spent * whole_stock_[d]) return length;
    length = std::clamp(length + left / rate_[d][stages - 1], 0.5 * length, h);
  }
  return std::numeric_limits<double>::quiet_NaN();
}

void Collocation::accept(double h, std::span<double> gone) {
  for (std::size_t d = 0; d < rate_.size(); ++d) {
    stock_[d] = stock_at(d, stages - 1, h);
    if (stock_[d] <= spent * whole_stock_[d]) stock_[d] = 0.0;
  }
  for (std::size_t j = 0; j < stages; ++j) {
    const double weight = h * radau().a[stages - 1][j];
    for (std::size_t c = 0; c < columns_; ++c) {
      for (std::size_t i = 0; i < rows_; ++i) {
        gone[c] += weight * moments_[j].cells.outflow[i] * stage_[j][c * rows_ + i];
      }
    }
  }
  find_held(h);
  held_before_ = capacity_;
  capacity_ = held_[stages - 1];
  before_ = x_;
  x_ = stage_[stages - 1];
  last_length_ = h;
  last_x_ = stage_;
  last_held_ = held_;
}

CollocationStep Collocation::step(double begin, double end) const {
  CollocationStep result{begin, end, {}, {}, false};
  result.values[0] = before_;
  result.held[0] = held_before_;
  for (std::size_t j = 0; j < stages; ++j) {
    result.values[j + 1] = stage_[j];
    result.held[j + 1] = held_[j];
  }
  return result;
}

void Collocation::find_held(double h) {
  for (std::size_t s = 0; s < stages; ++s) {
    held_[s] = capacity_;
    for (std::size_t j = 0; j < stages; ++j) {
      for (std::size_t i = 0; i < rows_; ++i) held_[s][i] += h * radau().a[s][j] * moments_[j].storage[i];
    }
  }
}

bool Collocation::evaluate(double begin, double h, bool first) {
  for (std::size_t j = 0; j < stages; ++j) {
    auto moment = moment_at_({j, begin, h, stage_[j], moving_ ? at_[j] : held_[j], first && j == 0});
    if (take_fault(moment)) return false;
    moments_[j] = std::move(std::get<Moment>(moment));
  }
  if (first) slopes_ = moments_[0].moving;
  return true;
}

bool Collocation::take_fault(const std::variant<Moment, std::string>& moment) {
  const auto* message = std::get_if<std::string>(&moment);
  if (message != nullptr) fault_ = *message;
  return message != nullptr;
}

StepError Collocation::error() const {
  const auto& w = radau().highest;
  constexpr double cut_off_share = 0.1;
  StepError worst;
  for (std::size_t c = 0; c < columns_; ++c) {
    for (std::size_t i = 0; i < rows_; ++i) {
      const std::size_t k = c * rows_ + i;
      double term = w[0] * x_[k];
      for (std::size_t s = 0; s < stages; ++s) term += w[s + 1] * stage_[s][k];
      const double relative =
          capacity_[i] > 0.0 ? relative_tolerance_ : std::max(relative_tolerance_, passing_tolerance);
      const double allowed = relative * std::max(std::abs(x_[k]), std::abs(stage_[stages - 1][k])) + absolute_tolerance;
      double& kind = capacity_[i] > 0.0 ? worst.stored : worst.passing;
      kind = linalg::worse(kind, cut_off_share * std::abs(term) / allowed);
    }
  }
  for (const MovingPair& pair : moments_[0].moving) {
    double term = w[0] * capacity_[pair.grows];
    for (std::size_t s = 0; s < stages; ++s) term += w[s + 1] * held_[s][pair.grows];
    const auto least = [&](const std::vector<double>& held) { return std::min(held[pair.grows], held[pair.shrinks]); };
    const double allowed = relative_tolerance_ * std::max(least(capacity_), least(held_[stages - 1]));
    worst.stored = linalg::worse(worst.stored, cut_off_share * std::abs(term) / allowed);
  }
  return worst;
}

}  // namespace leanside::transport
